"""Whatever is typed in a check, it is stored or answered with a sentence; whatever is damaged is told."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from check.book_of_tools import made
from check.doing import R1, W2
from clampbook.book.book import Book
from clampbook.book.checks import check_or_none, tell_book
from clampbook.book.starting.checking import checking, open_check
from clampbook.check import rests_on
from clampbook.check.folder import CheckFolder
from clampbook.check.loading import load
from clampbook.check.planning import planned
from clampbook.check.progress import fold
from clampbook.ledger.refusals import LedgerFault
from clampbook.people import Person
from clampbook.plain.checking import CheckLoop, Face
from clampbook.plain.lines import Lines
from clampbook.record.checks.record import build
from clampbook.work.frozen import RecordFault

INES = Person("ines", "Ines")
LINES = st.sampled_from(
    [
        "+",
        "-",
        "1",
        "2",
        "3",
        "60 N·m",
        "60",
        "59.4",
        "*",
        "* 1",
        "* 2",
        "* 3",
        "/ a note",
        "?",
        "",
        " ",
        "21,5",
        "spring",
    ]
)


class Still:
    """A clock that stands."""

    def now(self) -> datetime:
        """Always the same."""
        return datetime(2026, 3, 2, 9, tzinfo=UTC)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The museum's book."""
    return made(tmp_path_factory.mktemp("museum") / "book")


def begun(book: Book) -> CheckFolder:
    """A check of W2 at 60 N·m, three pulls."""
    from decimal import Decimal

    return open_check(book, planned(W2, R1, targets=(Decimal(60),), readings=3), INES, Still(), "handed in")


def typed(book: Book, check: CheckFolder, lines: list[str]) -> str:
    """How it ended after these lines."""
    stream = io.BytesIO("".join(f"{line}\n" for line in lines).encode("utf-8", "surrogatepass"))
    with checking(book, check, clock=Still(), person=INES, fresh=True) as now:
        loop = CheckLoop(now, Face(io.StringIO(), 60, False), Lines(stream, terminal=False), Still(), lambda: None)
        return loop.run()


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lines=st.lists(LINES | st.text(max_size=12), max_size=30))
def test_any_lines_leave_a_check_that_reads_back(book: Book, lines: list[str]) -> None:
    """The daybook folds to where it was left, and a record can be made of it."""
    check = begun(book)
    outcome = typed(book, check, [line.replace("\n", " ").replace("\r", " ") for line in lines])
    plan, progress = load(check)

    assert outcome in ("paused", "closed", "abandoned")
    assert progress.seq == len(check.lines()[0])
    assert build(check.plan(), check.daybook.read_bytes()).startswith(b"record = 2")
    tell_book(book, check, plan, progress)


def places(data: bytes) -> Iterator[int]:
    """Every so many bytes."""
    return iter(range(3, len(data) - 1, max(1, len(data) // 60)))


def test_a_changed_byte_in_a_finished_check_is_told_in_a_sentence(book: Book, tmp_path: Path) -> None:
    """In plan or daybook, anywhere; only the last line's own bytes are vouched for by the book's log instead."""
    check = begun(book)
    typed(book, check, ["-", "1", *["+"] * 5, "60 N·m", "59.4", "59.5", "59.6", "-", "+"])
    plan, daybook = check.plan(), check.daybook.read_bytes()
    last = daybook.rstrip(b"\n").rfind(b"\n")

    for at in places(plan):
        with pytest.raises(RecordFault):
            build(plan[:at] + bytes([plan[at] ^ 1]) + plan[at + 1 :], daybook)
    for at in places(daybook[:last]):
        with pytest.raises(RecordFault):
            build(plan, daybook[:at] + bytes([daybook[at] ^ 1]) + daybook[at + 1 :])
    assert tmp_path.is_dir()


def test_a_check_cut_off_anywhere_is_an_earlier_check_or_told(book: Book) -> None:
    """Never another one."""
    check = begun(book)
    typed(book, check, ["-", "1", *["+"] * 5, "60 N·m", "59.4", "59.5"])
    plan, whole = check.frozen(), check.daybook.read_bytes()
    lines = check.lines()[0]

    for at in places(whole):
        check.daybook.write_bytes(whole[:at])
        try:
            _, progress = load(check)
        except LedgerFault as fault:
            assert fault.sentence
        else:
            from clampbook.check.events import read

            assert progress == fold(plan, [read(line) for line in lines[: progress.seq]])
    check.daybook.write_bytes(whole)


def test_a_check_is_meant_only_where_nothing_else_can_be(book: Book) -> None:
    """By a part of its name that no other check and no run has."""
    check = begun(book)

    assert check == check_or_none(book, check.id[-8:])
    assert check_or_none(book, "-w2-") is None
    assert check_or_none(book, "") is None


def test_the_reference_whose_calibration_is_past_is_told() -> None:
    """On the day of the check."""
    from datetime import date

    from msgspec.structs import replace

    past = replace(R1, calibration_due="2026-01-01")
    told = " ".join(rests_on.told(planned(W2, past, today=date(2026, 3, 2))))

    assert "calibration overdue since 1 January 2026" in told
