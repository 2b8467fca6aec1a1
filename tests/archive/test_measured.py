"""Measured values over the years: in one unit, beside the window of the latest."""

from __future__ import annotations

import json
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import pytest

from archive.book_of_records import CRANK, a_record, made
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive
from clampbook.archive.measured import Measured, OtherKind, Value, measured, names, values
from clampbook.archive.readings import HEAD, readings
from clampbook.archive.trend import Wanted
from clampbook.book.book import Book

PLAN = {
    "stages": [
        {"number": 1, "do": "measure", "what": "Camshaft end play"},
        {"number": 2, "do": "measure", "what": "Oil pressure"},
        {"number": 3, "do": "measure", "what": None},
        {"number": 4, "do": "apply", "what": "Thread locker"},
    ]
}


def value(told: str, unit: str = "mm", *, what: str = "End play", low: str = "0.10", high: str = "0.25") -> Value:
    """A value that an engine gave, within its window."""
    ends = (Decimal(low) if low else None, Decimal(high) if high else None)
    run, at = "20260302-caps-aaaaaaaa", "2026-03-02T09:00:00.000+01:00"
    return Value(run, 1, at, "3.1/-", what, "d1", "ines", "within", Decimal(told), unit, *ends)


def summed(found: Sequence[Value]) -> Measured:
    """The chart of these values."""
    result = measured(found)
    assert isinstance(result, Measured)
    return result


def row(line: int, stage: int, told: str, unit: str = "mm", **more: str) -> str:
    """A measured value in a record."""
    usual = {
        "kind": "measurement",
        "outcome": "within",
        "standing": "counts",
        "value": told,
        "unit": unit,
        "result": told,
        "judged_unit": unit,
        "at": f"2026-04-01T09:{line:02}:00.000+01:00",
        "by": "ines",
    } | more
    keys = "".join(f'{key} = "{said}"\n' for key, said in usual.items())
    return f'[[reading]]\nline = {line}\nstep = "{stage}.1/-"\nstage = {stage}\nround = 1\n{keys}'


def asked(book: Book, words: str, wanted: Wanted = Wanted()) -> list[tuple[str, str, str]]:  # noqa: B008 - frozen
    """What was measured, its value and its unit."""
    with Archive(book.root) as archive:
        archive.refresh()
        found = archive.asked(lambda connection: values(connection, wanted, words))
    return [(each.what, str(each.value), each.unit) for each in found]


class TestOneUnit:
    """That of the latest."""

    def test_inches_become_millimetres_exactly(self) -> None:
        """0.006 in are 0.1524 mm, with their window of 0.004 to 0.010 in."""
        found = summed([value("0.006", "in", low="0.004", high="0.010"), value("0.18")])

        assert ["0.1524", "0.18"] == [str(each.value) for each in found.values]
        assert (Decimal("0.1016"), Decimal("0.254")) == (found.values[0].low, found.values[0].high)
        assert {"mm"} == {each.unit for each in found.values}

    def test_and_millimetres_inches_where_the_latest_is_in_inches(self) -> None:
        """0.254 mm are 0.01 in."""
        found = summed([value("0.254"), value("0.007", "in", low="", high="0.010")])

        assert ["0.01", "0.007"] == [str(each.value) for each in found.values]
        assert (Decimal("0.010"),) == found.ends

    def test_a_pressure_in_bar_and_psi(self) -> None:
        """1 bar is 100 kPa."""
        found = summed([value("4.5", "bar", low="3", high=""), value("430", "kPa", low="300", high="")])

        assert [Decimal(450), Decimal(430)] == [each.value for each in found.values]

    def test_two_kinds_have_no_chart(self) -> None:
        """A stretch in millimetres and one in degrees."""
        other, latest = value("0.16"), value("90", "°")

        assert OtherKind(other, latest) == measured([other, latest])

    def test_no_value_has_none(self) -> None:
        """Nothing comes of nothing."""
        assert measured([]) is None


class TestFigures:
    """As of every run chart."""

    def test_the_wear_of_twelve_years(self) -> None:
        """0.10, 0.11 … 0.21 mm: thirds of four values each, medians between their second and third."""
        found = summed([value(f"0.{hundredths}") for hundredths in range(10, 22)])

        assert ("0.155", "0.115", "0.195") == tuple(map(str, (found.median, found.first, found.last)))
        assert Decimal("0.055") == found.middle_half
        assert 6 == found.one_side
        assert (Decimal("0.10"), Decimal("0.14"), Decimal("0.17")) == tuple(found.running[at] for at in (0, 8, 11))

    def test_what_they_were_called(self) -> None:
        """A procedure may name it anew: the latest name last."""
        found = summed([value("1", what="Play"), value("1", what="End play"), value("1", what="Play")])

        assert ("End play", "Play") == found.whats


class TestAskingTheArchive:
    """By the words of a measure stage."""

    @pytest.fixture
    def book(self, tmp_path: Path) -> Book:
        """The golden runs, one of them with end plays, and one of another engine part a month later."""
        book = made(tmp_path / "book")
        rows = (
            row(1, 1, "0.31", standing="adjusted since", outcome="over"),
            row(2, 1, "0.20", tool="d1"),
            row(3, 2, "4.5", "bar"),
            row(4, 2, "wide", "bar"),
            row(5, 2, "4.6", "furlong"),
            row(6, 3, "1"),
            row(7, 1, "0.21", kind="recheck"),
        )
        path = a_record(book, "20260401-cams-bbbbbbbb", 'closed_at = "2026-04-01T10:00:00+01:00"\n' + "".join(rows))
        path.with_name("plan.json").write_text(json.dumps(PLAN), encoding="utf-8")
        return book

    @pytest.mark.parametrize("words", ["Crankshaft end play", "crankshaft END", "rankshaft e"])
    def test_a_part_of_the_name_in_small_or_capital_letters(self, book: Book, words: str) -> None:
        """The record says stage 7, the frozen plan what that is."""
        assert [("Crankshaft end play", "0.175", "mm")] == asked(book, words)

    def test_several_names_come_together_by_time(self, book: Book) -> None:
        """What was adjusted since counts no longer, and a recheck is none."""
        assert [("Crankshaft end play", "0.175", "mm"), ("Camshaft end play", "0.20", "mm")] == asked(book, "end play")

    def test_what_is_no_number_or_has_no_known_unit_is_left_out(self, book: Book) -> None:
        """A record that anybody wrote does not stop the chart."""
        assert [("Oil pressure", "4.5", "bar")] == asked(book, "oil")

    def test_a_sign_stands_for_itself(self, book: Book) -> None:
        """% is no word for everything."""
        assert [] == asked(book, "%")

    @pytest.mark.parametrize(
        ("wanted", "told"),
        [
            (Wanted(runs=Query(since="2026-04-01")), ["0.20"]),
            (Wanted(runs=Query(until="2026-03-31")), ["0.175"]),
            (Wanted(runs=Query(procedure="Main bearing")), ["0.175"]),
            (Wanted(stage="1"), ["0.20"]),
            (Wanted(person="maud"), []),
        ],
    )
    def test_with_the_other_options(self, book: Book, wanted: Wanted, told: list[str]) -> None:
        """All that is given must hold."""
        assert told == [number for _, number, _ in asked(book, "end play", wanted)]

    def test_the_difference_is_what_was_measured(self, book: Book) -> None:
        """A length when tight, less the free length: 0.16 mm of stretch at each of eight bolts."""
        assert 8 * [("Length when tight", "0.16", "mm")] == asked(book, "Length when tight")

    def test_a_whole_name_takes_that_alone(self, book: Book) -> None:
        """Else a short one could never be charted without the longer ones."""
        plan = {"stages": [{"number": 1, "do": "measure", "what": "End play"}]}
        path = a_record(book, "20260402-play-cccccccc", row(1, 1, "0.22"))
        path.with_name("plan.json").write_text(json.dumps(plan), encoding="utf-8")

        assert [("End play", "0.22", "mm")] == asked(book, "end play")

    @pytest.mark.parametrize("plan", [None, "{", "[]", '{"stages": 1}', '{"stages": [{"do": "measure"}]}'])
    def test_a_damaged_plan_names_nothing(self, book: Book, plan: str | None) -> None:
        """The run is found all the same."""
        path = book.path("runs", CRANK, "plan.json")
        path.unlink()
        if plan is not None:
            path.write_text(plan, encoding="utf-8")

        assert [] == asked(book, "Crankshaft end play")
        assert 1 == len(asked(book, "Camshaft end play"))

    def test_what_is_known(self, book: Book) -> None:
        """Each name once, in the order of the alphabet."""
        with Archive(book.root) as archive:
            archive.refresh()
            known = archive.asked(names)

        assert (
            "Camshaft end play",
            "Crankshaft end play",
            "Free length",
            "Gap between head and block",
            "Gap between the flanges",
            "Length when tight",
            "Oil pressure",
            "Torque to turn the crankshaft",
        ) == known


def test_the_table_of_readings_names_what_was_measured(tmp_path: Path) -> None:
    """In a column of its own; what no stage names has none."""
    book = made(tmp_path)
    record = a_record(book, "20260401-caps-bbbbbbbb", row(1, 1, "0.15") + row(2, 3, "0.20"))
    (record.parent / "plan.json").write_text(json.dumps(PLAN), "utf-8")

    with Archive(book.root) as archive:
        archive.refresh()
        found = archive.asked(lambda connection: list(readings(connection, Query(), [record.parent.name])))

    assert ["Camshaft end play", ""] == [each[HEAD.index("measured")] for each in found]
