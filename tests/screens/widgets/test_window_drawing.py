"""What was read, in its window: on one line, and as a run."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from clampbook.run.told.words import Band, Read
from clampbook.screens.widgets.window_drawing import line, plain_row, run

BAND = Band(Decimal("28.1"), Decimal("30.9"), "lbf·ft", Decimal("29.5"))
USUAL, NARROW = 78, 38


def read(position: str, value: str, mark: str = "within") -> Read:
    """A number as it was read."""
    return Read(position, mark, value, "lbf·ft", Decimal(value))  # type: ignore[arg-type]


THREE = (read("5", "29.7"), read("6", "28.9"), read("7", "29.5"))


def test_the_ends_and_the_target_stand_on_the_line_before_anything_was_read() -> None:
    """With the unit of what is read behind the high end."""
    shown = plain_row(line(BAND, (), USUAL)).split()

    assert ("28.1", "30.9", "lbf·ft") == (shown[0], shown[2], shown[3])
    assert ("├", "┼", "┤") == (shown[1][0], shown[1][len(shown[1]) // 2], shown[1][-1])


def test_each_reading_lies_where_it_lies_in_the_window() -> None:
    """Left of the target what was less, right of it what was more; the last ones in words behind."""
    shown = plain_row(line(BAND, (read("6", "28.9"), read("5", "30.0")), USUAL))
    bar = shown[shown.index("├") : shown.index("┤")]

    assert bar.index("●") < bar.index("┼") < bar.rindex("●")
    assert shown.endswith("6 28.9   5 30.0")


@pytest.mark.parametrize(("mark", "value", "sign"), [("under", "27.0", "▄"), ("over", "32.0", "▀")])
@pytest.mark.parametrize("width", [USUAL, NARROW])
def test_a_reading_outside_stands_beyond_its_end(mark: str, value: str, sign: str, width: int) -> None:
    """Low left of the low end, high right of the high one; never on the window itself."""
    shown = plain_row(line(replace(BAND, found=(read("4", value, mark),)), (read("4", value, mark),), width))

    assert sign not in shown[shown.index("├") : shown.index("┤")]
    assert (mark == "under") == (shown.index(sign) < shown.index("├"))
    assert value in shown


def test_at_the_very_end_of_the_window_is_within_it() -> None:
    """Both ends belong to the window."""
    low, high = (plain_row(line(BAND, (read("1", value),), USUAL)) for value in ("28.1", "30.9"))

    assert ("├●", "●┤") == (low[low.index("├") :][:2], high[high.index("┤") - 1 :][:2])


def test_the_newest_alone_is_bold() -> None:
    """Which one is the latest can be seen in the window and behind it."""
    parts = line(BAND, THREE, USUAL)

    assert ["●", "7 29.5"] == [text for text, tone in parts if tone == "bold"]


def test_an_open_end_is_drawn_open() -> None:
    """Where only the most is told, nothing ends on the other side."""
    shown = plain_row(line(Band(None, Decimal("0.05"), "mm"), (), USUAL)).split()

    assert ("╌", "┤", ["0.05", "mm"]) == (shown[0][0], shown[0][-1], shown[1:])


def test_a_gap_lies_as_far_along_as_it_is_wide() -> None:
    """0.03 of at most 0.05 mm is past the middle; only no gap at all stands at its beginning."""
    band = Band(None, Decimal("0.05"), "mm")
    bars = [plain_row(line(band, (_gap(value),), USUAL)).split()[0] for value in ("0.00", "0.03", "0.05")]
    first, middle, last = (bar.index("●") / (len(bar) - 1) for bar in bars)

    assert first < 0.05
    assert 0.55 < middle < 0.65
    assert last > 0.95


def _gap(value: str) -> Read:
    return Read("top", "within", value, "mm", Decimal(value))


def test_degrees_stand_close_to_their_number() -> None:
    """94°, as in every sentence."""
    assert "┤ 94°" in plain_row(line(Band(Decimal(90), Decimal(94), "°", Decimal(90)), (), USUAL))


def test_a_run_stands_between_its_lines_over_the_numbers_of_its_bolts() -> None:
    """From left to right as it was pulled, over above the high line, under below the low one."""
    reads = (*THREE, read("8", "32.0", "over"), read("9", "27.0", "under"))
    shown = [plain_row(row) for row in run(BAND, reads, 34, 9)]
    at = {sign: next(number for number, row in enumerate(shown) if sign in row) for sign in ("30.9", "28.1", "▀", "▄")}

    assert at["▀"] < at["30.9"] < at["28.1"] < at["▄"]
    assert ["5", "6", "7", "8", "9"] == shown[-1].split()
    assert shown[-1].index("8") == shown[at["▀"]].index("▀")


def test_a_run_that_is_too_long_keeps_its_latest() -> None:
    """The oldest readings go first."""
    reads = tuple(read(str(number), "29.5") for number in range(1, 15))

    assert "14" == plain_row(run(BAND, reads, 34, 9)[-1]).split()[-1]


@given(
    st.lists(st.tuples(st.integers(1, 200), st.decimals("20", "40", places=1)), max_size=8),
    st.integers(24, 160),
    st.integers(7, 12),
)
def test_nothing_is_drawn_beyond_its_room(values: list[tuple[int, Decimal]], width: int, height: int) -> None:
    """Whatever was read, in any room."""
    reads = tuple(
        Read(str(at), "under" if value < 28.1 else "over" if value > 30.9 else "within", str(value), "lbf·ft", value)
        for at, value in values
    )

    rows = run(BAND, reads, width, height)

    assert height == len(rows)
    assert max(cell_len(plain_row(row)) for row in (*rows, line(BAND, reads, width))) <= width


def test_on_a_narrow_screen_the_newest_mark_has_a_name() -> None:
    """A dot without one would be taken for the bolt at hand."""
    shown = plain_row(line(BAND, THREE, NARROW))

    assert shown.endswith("30.9 lbf·ft   7 29.5")
    assert cell_len(shown) <= NARROW


def test_a_number_beyond_an_end_is_whole_or_not_there() -> None:
    """ "▀ 3" is another reading than ▀ 31.4: where only one number fits, it is that of the newest."""
    beyond = (read("4", "26.4", "under"), read("5", "31.4", "over"))

    assert "▀ 31.4" in plain_row(line(BAND, beyond, NARROW))
    assert "▄ 2" not in plain_row(line(BAND, beyond, NARROW))
