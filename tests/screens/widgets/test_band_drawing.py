"""Deviations against their band: what is inside never stands beyond its edge, what is outside never on it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.screens.widgets.band_drawing import Band, Dot, Lot, drawn, plain_rows

PERMISSIBLE = Decimal(4)
DEVIATIONS = st.decimals(-40, 40, places=2, allow_nan=False)


def picture(*values: str | None, width: int = 30, height: int = 9) -> list[str]:
    """One lot without captions."""
    dots = tuple(Dot(None if value is None else Decimal(value)) for value in values)
    return list(plain_rows(drawn(Band((Lot(dots),), PERMISSIBLE), width, height)))


def test_the_band_is_drawn_around_zero_with_its_edges_named() -> None:
    """Four rows up and four rows down."""
    rows = picture("0", "4", "-4")

    assert ("+4 %", "   0", "−4 %") == (rows[0][:4], rows[4][:4], rows[8][:4])
    assert ("●", "●", "●") == (rows[4][5], rows[0][7], rows[8][9])


def test_what_is_still_to_come_stands_on_zero() -> None:
    """As a point."""
    assert "●─·─·" in picture("0", None, None)[4]


def test_what_lies_outside_stands_beyond_the_edge_however_little_it_is() -> None:
    """4.01 % is not permitted."""
    rows = picture("4.01", "3.99")
    edge = next(number for number, row in enumerate(rows) if row.startswith("+4 %"))
    outside = next(number for number, row in enumerate(rows) if row[5:6] == "●")
    inside = next(number for number, row in enumerate(rows) if row[7:8] == "●")

    assert outside < edge <= inside


@given(st.lists(DEVIATIONS, min_size=1, max_size=12), st.integers(20, 80), st.integers(5, 24))
def test_every_mark_is_on_the_side_of_the_edge_where_it_belongs(values: list[Decimal], width: int, height: int) -> None:
    """At any size and for any deviations."""
    band = Band((Lot(tuple(map(Dot, values))),), PERMISSIBLE)
    rows = drawn(band, width, height)
    plain = plain_rows(rows)
    edges = [number for number, row in enumerate(plain) if row[:4] in ("+4 %", "−4 %")]
    inside = sum(row[5:].count("●") for row in plain[edges[0] : edges[1] + 1])
    shown = sum(row[5:].count("●") for row in plain)
    pitch = 2 if 2 * len(values) - 1 <= width - 5 else 1
    standing = values[: (width - 5 + pitch - 1) // pitch]

    assert len(standing) == shown
    assert sum(abs(value) <= PERMISSIBLE for value in standing) == inside


@pytest.mark.parametrize("width", [30, 40, 60, 78])
def test_where_room_is_short_the_last_pull_stays(width: int) -> None:
    """Lots before it go first."""
    lots = [Lot(tuple(Dot(Decimal(1)) for _ in range(10)), (str(number),)) for number in range(6)]
    lots[4] = Lot((Dot(Decimal(1), "◆", now=True),), ("now",))
    rows = plain_rows(drawn(Band(tuple(lots), PERMISSIBLE), width, 9))

    assert any("◆" in row for row in rows)
    assert "now" in rows[-1]


def test_reaches_go_from_the_least_to_the_most() -> None:
    """A mean with what was read around it."""
    dot = Dot(Decimal(0), "●", least=Decimal(-2), most=Decimal(2))
    rows = plain_rows(drawn(Band((Lot((dot,)),), PERMISSIBLE), 20, 9))

    assert ["│", "│", "●", "│", "│"] == [row[5] for row in rows[2:7]]
