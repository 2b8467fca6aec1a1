"""A long table is set with sizes that are worked out beforehand, and looks as a short one does."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise

import pypdf
import pytest

from clampbook.record.form.blocks import Rows, Sheets
from clampbook.record.pages.blocks import Block, Pages, Readings
from clampbook.record.pages.pages import encoded
from clampbook.record.report import FORM, typeset

Word = tuple[float, float, str]
_MADE = (2026, 3, 2, 8, 0, 0)
_SHORT = 100  # rows that the typesetter still sizes by itself
_ON_ONE_PAGE = 40
_OUTCOMES = ("● within", "▄ under", "▀ over", "◆ by concession", "○ clicked", "! not as expected")
_VALUES = ("9.5", "30", "128.25", "−4.0", "", "30.0 ?")
_POINT = 72 / 25.4  # in a millimetre


def words(data: bytes, page: int = 0) -> list[Word]:
    """Each piece of text of a page, with its place in points."""
    found: list[Word] = []

    def seen(text: str, outer: list[float], inner: list[float], _font: object, _size: object) -> None:
        x = inner[4] * outer[0] + inner[5] * outer[2] + outer[4]
        y = inner[4] * outer[1] + inner[5] * outer[3] + outer[5]
        if text.strip():
            found.append((round(x, 2), round(y, 2), text.strip()))

    pypdf.PdfReader(BytesIO(data)).pages[page].extract_text(visitor_text=seen)
    return found


def report_of(*blocks: Block) -> bytes:
    """The pages of these blocks."""
    return typeset(encoded(Pages("Hull", "20260302-hull", "ab12", _MADE, blocks, ())), {})


def table(rows: int, panels: int = 2, name: str = "Pin {}") -> Readings:
    """Readings of all kinds, of one width and of many, in panels beside each other."""
    cells = tuple(
        tuple(
            cell
            for panel in range(panels)
            for cell in (
                name.format(100 + row + 1000 * panel),
                _OUTCOMES[(row + panel) % len(_OUTCOMES)],
                _VALUES[row % len(_VALUES)],
                f"1{row % 10}:{row % 6}1:07",
            )
        )
        for row in range(rows)
    )
    return Readings(("Pos.", "Outcome", "N·m", "Time"), (2,), cells, panels, 24)


@pytest.mark.parametrize("name", ["Pin {}", "The bolt beside the sea-water inlet number {}"])
def test_a_long_table_of_readings_stands_where_a_short_one_would(name: str) -> None:
    """Its columns are as wide, and its rows as high, as the typesetter makes those of a table that it sizes itself;
    one that is too wide for the page is left to it."""
    short, long = ({*words(report_of(table(rows, name=name)))} for rows in (_SHORT, _SHORT + 1))
    assert len({y for _, y, _ in short}) > _ON_ONE_PAGE
    assert {word for word in short if "page" not in word[2]} <= long


def form_of(rows: Rows) -> bytes:
    """A form with this table alone."""
    return typeset(encoded(Sheets("Hull", "Hull", "ab12", _MADE, None, (), (rows,))), {}, template=FORM)


@pytest.mark.parametrize(("double", "high"), [(False, 6.6), (True, 12.0)])
def test_a_row_of_a_form_is_as_high_as_a_pencil_needs(double: bool, high: float) -> None:
    """Whatever is written in it."""
    lines = tuple((f"B{number}", "", "") for number in range(20))
    places = [y for _, y, text in words(form_of(Rows(("Pos.", "Torque", "Time"), (12, 30, 20), lines, double=double)))
              if text.startswith("B")]  # fmt: skip
    assert len(places) == len(lines)
    assert {round((one - next_) / _POINT, 1) for one, next_ in pairwise(places)} == {high}


def test_a_row_of_a_form_grows_with_what_is_printed_in_it() -> None:
    """Some lines of small print need more than a pencil does, and the row below begins below them."""
    told = "Wind it down to the lowest mark before you lay it away for the night. Note in its log where it was left."
    lines = (("B1", told, ""), ("B2", "", ""), ("B3", "", ""))
    found = words(form_of(Rows(("Pos.", "How", "Time"), (12, 30, 30), lines)))
    first, second, third = (y for _, y, text in found if text.startswith("B"))
    assert (second - third) / _POINT == pytest.approx(6.6, abs=0.01)
    assert (first - second) / _POINT > 9
    printed = [y for _, y, text in found if text in told]
    assert len(printed) >= 3
    assert min(printed) - second > 6.6 * _POINT / 2
