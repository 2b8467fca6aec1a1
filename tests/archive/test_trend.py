"""Readings over time: a tool that drifts slowly shows before any of its readings is outside."""

from __future__ import annotations

import statistics
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path
from random import Random

import pikepdf
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archive.book_of_records import a_record, made
from archive.test_pulls import RECORD, reading
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive
from clampbook.archive.trend import Point, Trend, Wanted, longest_on_one_side, points, running_median, trend
from clampbook.archive.trend_pages import pdf
from clampbook.archive.trend_words import drawn, told
from clampbook.book.book import Book
from clampbook.tools.identity import Identity

VALUES = st.lists(st.floats(-50, 50), min_size=1, max_size=60)


def tool(id: str) -> Identity:
    """A tool of the book that is asked, whose records do not say which one they are of."""
    return Identity(id, frozenset(), own="this")


def series(values: list[float], outcomes: dict[int, str] | None = None, seconds: float = 30) -> Trend:
    """The trend of these deviations, one a day."""
    begin = datetime(2026, 3, 2, 9, tzinfo=UTC)
    found = trend(
        [
            Point(
                "20260302-pump-aaaaaaaa",
                number + 1,
                (begin + timedelta(days=number)).isoformat(),
                float(number),
                value,
                (outcomes or {}).get(number, "within"),
                seconds,
                "w5",
                "ines",
            )
            for number, value in enumerate(values)
        ]
    )
    assert found is not None
    return found


def said(found: Trend) -> str:
    """All that is said."""
    return "\n".join(told("W5", found))


class TestDrift:
    """A median that moves."""

    def test_a_drifting_tool_is_told_while_all_its_readings_are_within(self) -> None:
        """From the target to 3 % above it, with 1 % of spread: the window of ±7 % knows nothing of it."""
        chance = Random(5)
        found = series([number / 30 + chance.gauss(0, 1) for number in range(90)])

        assert 1.0 < found.moved < 3.0
        assert found.one_side >= 9
        assert "The median went up by" in said(found)
        assert "in a row lie on one side of the median" in said(found)

    def test_a_steady_tool_says_so(self) -> None:
        """It reads 1 % too much, always: that is for its check to say, and no drift."""
        found = series([1.0] * 30)

        assert (1.0, 0.0, 0) == (found.median, found.moved, found.one_side)
        assert "The median stayed where it was: +1.0 % in the first third, +1.0 % in the last." in said(found)

    def test_a_hasty_hand_shows_in_its_pace(self) -> None:
        """Seconds from one pull to the next, in the first third and in the last."""
        slow, hasty = series([0.0] * 9, seconds=40).points, series([1.5] * 9, seconds=6).points
        found = trend([*slow, *hasty])

        assert found is not None
        assert (40, 6) == (found.first_seconds, found.last_seconds)
        assert "40 s in the first third, 6 s in the last" in said(found)

    def test_few_readings_have_no_thirds(self) -> None:
        """Eight are too few to say that anything moved."""
        assert "third" not in said(series([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]))

    def test_nothing_comes_of_nothing(self) -> None:
        """No reading, no chart."""
        assert trend([]) is None


class TestFigures:
    """What is worked out."""

    @settings(max_examples=50)
    @given(VALUES)
    def test_the_running_median_is_that_of_the_last_nine(self, values: list[float]) -> None:
        """At every place."""
        running = running_median(values)

        assert len(values) == len(running)
        assert statistics.median(values[-9:]) == running[-1]
        assert values[0] == running[0]

    @pytest.mark.parametrize(
        ("values", "longest"),
        [([1, 2, 3], 3), ([1, -1, 1], 1), ([1, 0, 2, -1, -2, -3], 3), ([0, 0], 0), ([], 0), ([1, 1, -1, 1, 1, 1], 3)],
    )
    def test_the_longest_stretch_on_one_side(self, values: list[float], longest: int) -> None:
        """Values on the median are passed over."""
        assert longest == longest_on_one_side(values, 0)


class TestChart:
    """The chart in plain text."""

    def test_every_reading_has_its_mark(self) -> None:
        """By its outcome, as everywhere; in the column of its turn."""
        lines = list(drawn(series([-4.0, 0.0, 4.0, 2.0], {0: "under", 2: "over", 3: "by concession"})))
        columns = ["".join(line[11:].ljust(4)[at] for line in lines[:-1]).replace(" ", "") for at in range(4)]

        assert ["▄" in columns[0], "●" in columns[1], "▀" in columns[2], "◆" in columns[3]] == [True] * 4
        assert lines[0].startswith("   +")
        assert "target" in lines[6]

    def test_points_too_far_apart_have_the_mark_for_wrong(self) -> None:
        """Their values are within, and not over."""
        text = said(series([0.0, 1.0, 0.0], {1: "too far apart"}))

        assert "! too far apart" in text
        assert "▀" not in text

    @settings(max_examples=50)
    @given(VALUES)
    def test_it_always_fits_a_terminal(self, values: list[float]) -> None:
        """80 columns, 14 lines, with whatever values."""
        lines = list(drawn(series(values)))

        assert 14 == len(lines)
        assert max(map(len, lines)) <= 80

    def test_many_readings_share_columns_and_none_that_is_outside_is_hidden(self) -> None:
        """Of 5 000 the one that was over still shows."""
        text = "\n".join(drawn(series([0.0] * 5000, {2500: "over"})))

        assert 1 == text.count("▀")


class TestPaper:
    """The chart as a PDF."""

    def test_it_says_the_same(self, tmp_path: Path) -> None:
        """PDF/A-3, with the name, the sentences and the runs; markup in a name stays a name."""
        name = '#eval("1") *W5* $x$'
        made_at = datetime(2026, 5, 1, 12, tzinfo=UTC)
        data = pdf(name, series([number / 10 for number in range(40)]), made=made_at, log_head="0" * 64)
        path = tmp_path / "chart.pdf"
        path.write_bytes(data)

        text = "".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages)
        assert name in text
        assert "40 readings in 1 run" in text
        assert "The median went up by 2.7\N{NO-BREAK SPACE}%" in text
        with pikepdf.open(path) as opened:
            assert "3" == opened.open_metadata()["pdfaid:part"]


class TestAskingTheArchive:
    """Whose readings."""

    @pytest.fixture
    def book(self, tmp_path: Path) -> Book:
        """The golden runs, and one with two tools, two people."""
        book = made(tmp_path / "book")
        rows = (
            reading(1, "a", "21", "09:00:00"),
            reading(2, "b", "22", "09:00:30", "by=tomas"),
            reading(3, "b", "19", "09:00:40", "tool=w9", "done_by=tomas"),
        )
        closed = f'title = "Pump"\nclosed_at = "{date(2026, 3, 9)}T10:00:00+01:00"\n'
        a_record(book, "20260309-pump-bbbbbbbb", closed + RECORD + "".join(rows))
        return book

    @pytest.mark.parametrize(
        ("wanted", "deviations"),
        [
            (Wanted(tool=tool("w9")), [-5.0]),
            (Wanted(person="tomas", runs=Query(procedure="Pump")), [10.0, -5.0]),
            (Wanted(fastener="M8 x 40"), [5.0]),
            (Wanted(fastener="nuts"), [5.0, 10.0, -5.0]),
            (Wanted(fastener="%"), []),
            (Wanted(stage="1", runs=Query(since="2026-03-09")), [5.0, 10.0, -5.0]),
            (Wanted(stage="1.2", runs=Query(since="2026-03-09")), []),
            (Wanted(stage="turn", runs=Query(since="2026-03-09")), []),
            (Wanted(tool=tool("w5"), person="ines", runs=Query(since="2026-03-09")), [5.0]),
        ],
    )
    def test_by_tool_person_fastener_and_stage(self, book: Book, wanted: Wanted, deviations: list[float]) -> None:
        """All that is given must hold; who did it counts, not who typed it."""
        with Archive(book.root) as archive:
            archive.refresh()
            found = archive.asked(lambda connection: points(connection, wanted))

        assert deviations == [point.deviation for point in found]


def test_of_few_readings_none_is_drawn_nearer_to_the_target_than_it_was() -> None:
    """Two readings, 16.7 % and 0.3 % over: the chart is as high as the farther needs."""
    chart = list(drawn(series([16.7, 0.3])))

    assert "+19.2 %" == chart[0].partition("│")[0].strip()
    assert "farther out" not in said(series([16.7, 0.3]))


def test_of_many_readings_those_at_the_edge_are_told() -> None:
    """One of forty, 30 % under, stands at the edge of a chart that is made for the rest."""
    told_of = said(series([0.5, -0.5] * 20 + [-30.0]))

    assert "1 reading is beyond the chart, drawn at its edge, the farthest at −30.0 %." in told_of
