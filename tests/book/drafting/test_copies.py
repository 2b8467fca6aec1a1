"""The copy of what is typed and not saved: aside, for its own file alone, and nothing that can be walked."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from at_drafts import COVER, full_disk
from clampbook.book.drafting import copies
from clampbook.ledger.refusals import LedgerFull

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def test_a_copy_holds_what_was_typed_and_what_it_began_from(cover: Path) -> None:
    """The same text comes back, of the same file."""
    copies.keep(cover, "# half ty", copies.digest(COVER.encode()), AT)
    found = copies.kept(cover)

    assert found is not None
    assert ("# half ty", copies.digest(COVER.encode()), AT) == (found.text, found.before, found.at)


def test_every_file_has_its_own(cover: Path, tmp_path: Path) -> None:
    """Files of one name in two folders too."""
    other = tmp_path / "elsewhere" / "cover.toml"
    copies.keep(cover, "# mine", None, AT)

    assert copies.kept(other) is None


def test_it_lies_in_the_folder_for_state_and_is_no_procedure(cover: Path, state: Path) -> None:
    """Nothing that reads procedures finds it, and nobody else may read it."""
    copies.keep(cover, COVER, None, AT)
    (made,) = (each for each in state.rglob("*") if each.is_file())

    assert ".json" == made.suffix
    assert 0 == made.stat().st_mode & 0o077
    assert ["cover.toml"] == [each.name for each in cover.parent.iterdir() if each.is_file()]


def test_a_newer_one_takes_its_place_and_a_saved_one_is_forgotten(cover: Path) -> None:
    """There is one at most."""
    copies.keep(cover, "# one", None, AT)
    copies.keep(cover, "# two", None, AT)
    found = copies.kept(cover)
    copies.forget(cover)

    assert found is not None and "# two" == found.text
    assert copies.kept(cover) is None


def test_what_is_no_copy_is_none(cover: Path, state: Path) -> None:
    """A file that somebody damaged stops nobody from opening the draft."""
    copies.keep(cover, "# one", None, AT)
    (made,) = (each for each in state.rglob("*") if each.is_file())
    made.write_bytes(b"\x00{")

    assert copies.kept(cover) is None


def test_on_a_full_disk_the_copy_before_stays(cover: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And it is told."""
    copies.keep(cover, "# one", None, AT)
    full_disk(monkeypatch)
    with pytest.raises(LedgerFull):
        copies.keep(cover, "# two", None, AT)
    found = copies.kept(cover)

    assert found is not None and "# one" == found.text
