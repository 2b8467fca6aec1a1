"""Follow-ups that records announce: on what, by when, at how much use, and which run has done one."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
import tomli_w

from clampbook.archive.follow_ups import FollowUp, waiting
from clampbook.archive.index import Archive
from clampbook.book.book import Book
from clampbook.units import Quantity

from .book_of_records import GOLDEN, HEAD, a_record, made

LOOK = "Look at the head after the first run"
LATER = "20260316-whinchat-pattern-c-head-aaaaaaaa"


def listed(book: Book) -> tuple[FollowUp, ...]:
    """The follow-ups of a book whose index is new."""
    with Archive(book.root) as archive:
        archive.refresh()
        return archive.asked(waiting)


def a_follow_up(book: Book, outcome: str) -> None:
    """A record of the follow-up of the head that ended so."""
    record = tomllib.loads((GOLDEN / "follow-up" / "record.toml").read_text(encoding="utf-8"))
    a_record(book, LATER, tomli_w.dumps(record | {"outcome": outcome}))


def test_a_follow_up_is_told_with_thing_and_person_and_when(tmp_path: Path) -> None:
    """Fourteen days after the closing of 2 March, or ten hours after the 412 that stood on the meter."""
    (found,) = listed(made(tmp_path))

    assert (HEAD, LOOK, "4107", "Ines", "2026-03-02") == (
        found.run,
        found.title,
        found.equipment,
        found.person,
        found.done,
    )
    assert ("2026-03-16", "10 h") == (found.due_at[:10], found.or_use)
    assert found.by_use is not None
    assert ("Engine hours", Quantity(Decimal(422), "h")) == (found.by_use.meter.name, found.by_use.at)


@pytest.mark.parametrize(
    ("outcome", "waits"),
    [("done", 0), ("accepted", 0), ("not accepted", 0), ("abandoned", 1), ("damaged", 1)],
)
def test_a_follow_up_that_ended_is_done_unless_nobody_finished_it(tmp_path: Path, outcome: str, waits: int) -> None:
    """One that was abandoned, or closed as damaged, is still to be done."""
    book = made(tmp_path)
    a_follow_up(book, outcome)

    assert waits == len(listed(book))


def test_a_meter_that_was_corrected_counts_as_corrected(tmp_path: Path) -> None:
    """412 that was 421: ten hours later it shows 431."""
    book = Book.create(tmp_path, "Harbour museum")
    record = tomllib.loads((GOLDEN / "head" / "record.toml").read_text(encoding="utf-8"))
    (first,) = (row for row in record["answer"] if row.get("is") == "usage")
    record["answer"].append({**first, "line": 130, "answer": "421", "corrects": first["line"]})
    first["corrected_at_line"] = 130
    a_record(book, HEAD, tomli_w.dumps(record))

    (found,) = listed(book)

    assert found.by_use is not None
    assert Decimal(431) == found.by_use.at.value


def test_without_the_meter_nobody_knows_at_how_much(tmp_path: Path) -> None:
    """It was left out at the first run: the follow-up stays due after 10 h of use."""
    book = Book.create(tmp_path, "Harbour museum")
    record = tomllib.loads((GOLDEN / "head" / "record.toml").read_text(encoding="utf-8"))
    record["answer"] = [row for row in record["answer"] if row.get("is") != "usage"]
    a_record(book, HEAD, tomli_w.dumps(record))

    (found,) = listed(book)

    assert ("10 h", None) == (found.or_use, found.by_use)
