"""The file of a draft: opened as text, saved whole or not at all, never over what somebody else wrote."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_drafts import COVER, full_disk
from clampbook.book.drafting import files
from clampbook.book.drafting.files import ChangedMeanwhile
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault, LedgerFull
from clampbook.procedure.intake import MOST_BYTES


class TestOpening:
    """What is no text is told, and stays as it is."""

    def test_a_file_is_its_text_and_its_bytes(self, cover: Path) -> None:
        """The bytes are what it is held against when it is saved."""
        assert (COVER, COVER.encode()) == files.opened(cover)

    def test_a_file_that_is_not_there_has_no_bytes(self, tmp_path: Path) -> None:
        """Nor any text yet."""
        assert ("", None) == files.opened(tmp_path / "new.toml")

    def test_no_folder_is_made(self, tmp_path: Path) -> None:
        """A mistyped path is told."""
        with pytest.raises(LedgerFault, match="there is no folder"):
            files.opened(tmp_path / "procedurse" / "new.toml")
        assert not (tmp_path / "procedurse").exists()

    @pytest.mark.parametrize(
        ("data", "said"),
        [
            (b'title = "Caf\xe9"\n', "not UTF-8"),
            (b"\xff\xfef\x00o\x00r\x00", "UTF-16"),
            (bytes(range(256)) * 10, "not UTF-8"),
            (b"#" * (MOST_BYTES + 1), "larger than 1 MB"),
            (b"\xef\xbb\xbfformat = 2\n", "byte order mark"),
        ],
    )
    def test_what_is_no_text_is_told_with_what_to_do(self, tmp_path: Path, data: bytes, said: str) -> None:
        """And not a byte of it changes."""
        path = tmp_path / "odd.toml"
        path.write_bytes(data)
        with pytest.raises(Faulty, match=said):
            files.opened(path)
        assert data == path.read_bytes()

    def test_a_character_that_breaks_a_line_unseen_is_told_with_its_line(self, tmp_path: Path) -> None:
        """An editor would save it as another line."""
        path = tmp_path / "odd.toml"
        path.write_text(f"{COVER}# one\u2028two\n", encoding="utf-8")
        with pytest.raises(LedgerFault, match=r"on line 22 that does not show, \\u\{2028\}"):
            files.opened(path)

    def test_lines_that_end_as_in_windows_stay_so(self, tmp_path: Path) -> None:
        """Where all of them do."""
        path = tmp_path / "cover.toml"
        path.write_bytes(COVER.replace("\n", "\r\n").encode())
        assert "\r\n" in files.opened(path)[0]


class TestSaving:
    """Whole, or not at all."""

    def test_a_new_file_is_made(self, tmp_path: Path) -> None:
        """Readable as other files of its owner."""
        path = tmp_path / "new.toml"
        data = files.save(path, COVER, None)

        assert data == path.read_bytes() == COVER.encode()

    def test_a_file_keeps_who_may_read_it(self, cover: Path) -> None:
        """As its owner said."""
        cover.chmod(0o640)
        files.save(cover, "# another\n", COVER.encode())

        assert 0o640 == cover.stat().st_mode & 0o777

    def test_a_file_that_another_program_changed_is_not_touched(self, cover: Path) -> None:
        """Its bytes come with the refusal."""
        cover.write_text("# theirs\n", encoding="utf-8")
        with pytest.raises(ChangedMeanwhile) as refused:
            files.save(cover, "# mine\n", COVER.encode())

        assert b"# theirs\n" == refused.value.now == cover.read_bytes()

    def test_a_file_that_came_meanwhile_is_not_touched(self, tmp_path: Path) -> None:
        """It was not there when the draft began."""
        path = tmp_path / "new.toml"
        path.write_text("# theirs\n", encoding="utf-8")
        with pytest.raises(ChangedMeanwhile):
            files.save(path, "# mine\n", None)

        assert b"# theirs\n" == path.read_bytes()

    def test_a_file_that_is_gone_is_told(self, cover: Path) -> None:
        """It may have been moved."""
        cover.unlink()
        with pytest.raises(ChangedMeanwhile, match="no longer there") as refused:
            files.save(cover, "# mine\n", COVER.encode())

        assert refused.value.now is None

    def test_on_a_full_disk_the_file_stays_as_it_was(self, cover: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """And no half of the new one is left."""
        full_disk(monkeypatch)
        with pytest.raises(LedgerFull):
            files.save(cover, "# mine\n", COVER.encode())

        assert COVER.encode() == cover.read_bytes()
        assert ["cover.toml"] == [each.name for each in cover.parent.iterdir() if each.is_file()]

    def test_a_link_stays_a_link(self, cover: Path) -> None:
        """What it leads to is saved."""
        link = cover.parent / "link.toml"
        link.symlink_to(cover)
        files.save(link, "# mine\n", COVER.encode())

        assert link.is_symlink()
        assert b"# mine\n" == cover.read_bytes()

    def test_more_than_a_procedure_may_have_is_refused(self, cover: Path) -> None:
        """It could not be opened again."""
        with pytest.raises(LedgerFault, match="larger than 1 MB"):
            files.save(cover, "#" * (MOST_BYTES + 1), COVER.encode())

        assert COVER.encode() == cover.read_bytes()
