"""The questions of the topic, asked of three small books; the answers were worked out by hand."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import duckdb
import pytest

from clampbook.help.questions import questions, tables_of
from fleet.datasets import exported
from fleet.three_books import three_books


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[duckdb.DuckDBPyConnection]:
    """The engine with the tables of the three books."""
    folder = tmp_path_factory.mktemp("three")
    exported(folder / "dataset", *three_books(folder / "books"))
    with duckdb.connect() as opened:
        opened.execute(tables_of(folder / "dataset"))
        yield opened


def _answer(engine: duckdb.DuckDBPyConnection, question: str) -> list[tuple[object, ...]]:
    return engine.execute(questions()[question]).fetchall()


def test_the_topic_asks_six_questions() -> None:
    assert len(questions()) == 6


def test_w5_drifted_by_one_and_a_half_percent_from_the_slip_to_the_dock(engine: duckdb.DuckDBPyConnection) -> None:
    assert _answer(engine, "Drift of a tool across sites") == [
        ("HM-0118", "slip0001", date(2026, 2, 1), 1.0, None),
        ("HM-0118", "dock0001", date(2026, 5, 1), 2.5, 1.5),
        ("HM-0300", "quay0001", date(2026, 1, 10), 0.5, None),
        ("HM-0400", "dock0001", date(2026, 1, 5), 0.2, None),
    ]


def test_one_bolt_of_ten_was_started_over(engine: duckdb.DuckDBPyConnection) -> None:
    assert _answer(engine, "Joints reworked most") == [("Flange", "Flange bolts", 4, 10, 1, 10.0)]


def test_a_reference_vouches_for_pulls_two_checks_away(engine: duckdb.DuckDBPyConnection) -> None:
    """HM-0201 checked HM-0300, which checked W5 in February. In May another reference took W5 over, so neither the run
    before nor the one after is among them."""
    assert _answer(engine, "Everything one reference has vouched for") == [
        ("HM-0118", date(2026, 2, 1), date(2026, 5, 1), "dock0001", 1, 3),
        ("HM-0118", date(2026, 2, 1), date(2026, 5, 1), "slip0001", 1, 4),
        ("HM-0300", date(2026, 1, 10), None, None, 0, 0),
    ]


def test_lots_of_oil_differ_in_how_their_readings_spread(engine: duckdb.DuckDBPyConnection) -> None:
    """L1: 0, 5, 2, 2 and 2 percent. L2: 0, 1, -1 and 0."""
    assert _answer(engine, "Readings against target by lubricant and lot") == [
        ("oil", "Oil", "L1", 5, 2.2, 1.79),
        ("oil", "Oil", "L2", 4, 0.0, 0.82),
        ("oil", None, None, 1, 0.0, None),
    ]


def test_a_bolt_takes_25_seconds_and_the_break_of_20_minutes_is_none_of_them(
    engine: duckdb.DuckDBPyConnection,
) -> None:
    """10, 10, 10, 20, 30, 30, 40, and 90 with its second attempt."""
    assert _answer(engine, "Time a bolt takes") == [("Flange", "Flange bolts", 8, 25.0, 55.0)]


def test_revision_b_brought_half_as_many_deviations(engine: duckdb.DuckDBPyConnection) -> None:
    assert _answer(engine, "Deviations by procedure revision") == [
        ("Flange", "A", 2, 2, 1.0, "over"),
        ("Flange", "B", 2, 1, 0.5, "not on the form"),
    ]
