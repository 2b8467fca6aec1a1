"""Readings as flat rows: each with its target, how far it lay from it, and how long after the pull before."""

from __future__ import annotations

import csv
import tomllib
from io import StringIO
from pathlib import Path

import pytest

from archive.book_of_records import GOLDEN, HEAD, a_record, made
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive
from clampbook.archive.pulls import Pull, pulls
from clampbook.archive.readings import as_csv, readings
from clampbook.book.book import Book

RECORD = """
[[group]]
group = "Nuts"
thread = "M8"
[[group.stage]]
stage = 1
what = "pull"
round = 1
target = "20"
window_from = "18"
[[position]]
position = "a"
group = "Nuts"
fits = "M8 x 40 mm"
[[position]]
position = "b"
group = "Nuts"
"""


def reading(line: int, position: str, value: str, at: str, *more: str, low: str = "18") -> str:
    """A row of a record; what is said in `more` takes the place of what is usual."""
    usual = {
        "standing": "counts",
        "outcome": "within",
        "tool": "w5",
        "by": "ines",
        "kind": "pull",
        "at_fastener": value,
        "window_from": low,
        "judged_unit": "N·m",
    }
    usual |= dict(each.split("=") for each in more)
    keys = "".join(f'{key} = "{said}"\n' for key, said in usual.items())
    where = f'line = {line}\nstage = 1\nround = 1\nposition = "{position}"\nat = "2026-03-02T{at}+01:00"\n'
    return f"[[reading]]\n{where}{keys}"


def of(*rows: str) -> list[Pull]:
    """The pulls of a record with these rows."""
    return list(pulls(tomllib.loads(RECORD + "".join(rows))))


class TestDeviation:
    """In percent of the target."""

    def test_above_and_below(self) -> None:
        """21 and 19 where 20 is wanted."""
        found = of(reading(1, "a", "21", "09:00:00"), reading(2, "b", "19", "09:00:30"))

        assert [5.0, -5.0] == [pull.deviation for pull in found]

    def test_prevailing_torque_moves_the_target_with_its_window(self) -> None:
        """2 N·m of prevailing torque: the window begins at 20, and 22 is what is wanted."""
        (pull,) = of(reading(1, "a", "22", "09:00:00", low="20"))

        assert (0.0, "22") == (pull.deviation, pull.target)

    @pytest.mark.parametrize("standing", ["void", "corrected", "earlier stroke"])
    def test_what_is_no_reading_has_none(self, standing: str) -> None:
        """A void pull, a mistyped one, a part of a turn."""
        (pull,) = of(reading(1, "a", "30", "09:00:00", f"standing={standing}"))

        assert pull.deviation is None

    def test_a_pull_before_starting_over_has_one(self) -> None:
        """It was pulled, and says something of the hand and the tool."""
        (pull,) = of(reading(1, "a", "24", "09:00:00", "standing=earlier attempt", "outcome=over"))

        assert 20.0 == pull.deviation

    def test_a_release_has_none(self) -> None:
        """It has no number."""
        with (GOLDEN / "flange" / "record.toml").open("rb") as file:
            found = list(pulls(tomllib.load(file)))

        assert {None} == {pull.deviation for pull in found if pull.kind == "pull"}
        assert {""} == {pull.shown for pull in found if pull.outcome in ("clicked", "confirmed together")}


class TestPace:
    """Seconds from one pull to the next."""

    def test_the_first_has_none_and_a_break_gives_none(self) -> None:
        """Eleven minutes are no pull."""
        times = ("09:00:00", "09:00:30", "09:11:31", "09:11:51")

        assert [None, 30.0, None, 20.0] == [
            pull.seconds for pull in of(*(reading(n, "a", "20", at) for n, at in enumerate(times, 1)))
        ]


class TestPlace:
    """Group and fastener."""

    def test_what_fits_the_position_else_the_thread_of_its_group(self) -> None:
        """As the record has them."""
        found = of(reading(1, "a", "20", "09:00:00"), reading(2, "b", "20", "09:00:30"))

        assert [("Nuts", "M8 x 40 mm"), ("Nuts", "M8")] == [(pull.group, pull.fastener) for pull in found]


class TestTable:
    """Readings as CSV."""

    def table(self, book: Book, *, releases: bool = False) -> list[dict[str, str]]:
        """The rows of the whole book."""
        with Archive(book.root) as archive:
            archive.refresh()
            text = archive.asked(lambda c: "".join(as_csv(readings(c, Query(), clicks=releases))))
        return list(csv.DictReader(StringIO(text, newline="")))

    def test_a_row_holds_what_the_record_holds(self, tmp_path: Path) -> None:
        """Run, step, group, position, value, at the fastener, window, outcome, tool, person, time."""
        rows = [row for row in self.table(made(tmp_path / "book")) if row["run"] == HEAD and row["line"] == "33"]

        (row,) = rows
        assert ("3.1/1", "Head bolts", "1", "29.6", "lbf·ft", "40.132", "N·m", "40", "38", "42", "0.3300") == tuple(
            row[key]
            for key in (
                "step", "group", "position", "value", "unit", "at_fastener", "at_fastener_unit", "target",
                "window_from", "window_to", "deviation_percent",
            )
        )  # fmt: skip
        assert ("within", "counts", "w5", "ines", "2026-03-02T09:17:30.000+01:00") == tuple(
            row[key] for key in ("outcome", "standing", "tool", "person", "time")
        )
        assert ("3.1", "3", "1") == (row["stage"], row["stage_number"], row["round"])

    def test_a_release_is_no_reading(self, tmp_path: Path) -> None:
        """It is there only where it is asked for, with its setting and without a value."""
        book = made(tmp_path / "book")

        assert "clicked" not in {row["outcome"] for row in self.table(book)}
        clicked = [row for row in self.table(book, releases=True) if row["outcome"] == "clicked"]
        assert clicked
        assert {("", "")} == {(row["value"], row["at_fastener"]) for row in clicked}
        assert all(row["set_to"] for row in clicked)

    def test_no_cell_is_a_formula_or_steers_a_terminal(self, tmp_path: Path) -> None:
        """A hostile record does no harm in a spreadsheet."""
        book = Book.create(tmp_path / "book", "Museum")
        hostile = '=HYPERLINK(\\"x\\")'
        text = f'title = "{hostile}"\n' + reading(1, "+1", "20", "09:00:00", "tool=@sum", "by=\\u001b[2J")
        a_record(book, "20260401-odd-bbbbbbbb", text)

        (row,) = self.table(book)
        assert ('\'=HYPERLINK("x")', "'+1", "'@sum", "\\u{1b}[2J") == (
            row["title"],
            row["position"],
            row["tool"],
            row["person"],
        )
