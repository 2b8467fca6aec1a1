"""What the bench lists: open runs, procedures, and what falls due after which work."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from at_keyboard import START, named, onward, played, walking
from clampbook import demo
from clampbook.book.due.listing import Span
from clampbook.book.due.procedures import released
from clampbook.book.releases import Given, give, releasing
from clampbook.ledger.stamp import Stamp
from clampbook.run import prompts as ask
from clampbook.screens import bench_lists
from museum import museum


@played
async def test_due_work_is_told_by_title_and_day(tmp_path: Path) -> None:
    """Nobody knows a run by its drawn letters; what it was and when it was done is known."""
    book = museum(tmp_path / "book")
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Ended)

    found, _ = bench_lists.follow_ups(book, Span(START + timedelta(days=1)))

    assert [
        "Look at the head after the first run · Cylinder head, pattern C · Whinchat · A-17, done 2026-03-02 "
        "· due 2026-03-16 or after 10 h of use, at 10 h"
    ] == [each.text for each in bench_lists.due_lines(found)]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        (False, "A, released"),
        (True, "A, draft: it was changed after the release by Maud of 2026-03-02"),
    ],
)
def test_a_released_procedure_is_told_as_it_stands(tmp_path: Path, changed: bool, told: str) -> None:
    """Whatever its head says: a change makes it a draft."""
    book = museum(tmp_path / "book")
    path = book.root / "procedures" / "whinchat-coupling-flange.toml"
    maud = book.person_named("Maud")
    given = Given(person=maud, at=START, compared_with="Sheet 14", look_again_by="2027-03-02")
    give(book, releasing(book, path, given), None, Stamp(START, "+01:00", maud.id))
    if changed:
        path.write_bytes(path.read_bytes().replace(b"Coupling flange", b"Shaft flange"))

    held = released(book, book.procedures())
    sheets = [bench_lists.held_to_its_release(each, held) for each in bench_lists.sheets(book)]

    assert [told] == [each.revision for each in sheets if each.path == path]


def test_a_link_out_of_the_book_is_listed_by_its_name_and_not_read(tmp_path: Path) -> None:
    """What stands in a file elsewhere is no business of the bench."""
    book = museum(tmp_path / "book")
    (tmp_path / "elsewhere.toml").write_text('title = "Somebody\'s letter"\nrevision = "Z"\n', encoding="utf-8")
    (book.root / "procedures" / "linked.toml").symlink_to(tmp_path / "elsewhere.toml")

    assert ["linked"] == [each.text for each in bench_lists.sheets(book) if each.path.stem == "linked"]
