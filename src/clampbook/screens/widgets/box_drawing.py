"""A place of the joint as a frame: its number, its mark, and how it is framed, row by row."""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal

from rich.cells import cell_len

from clampbook.screens.widgets.map_boxes import MARK, Box
from clampbook.screens.widgets.marks import Mark, sign, tone
from clampbook.screens.widgets.slim_figures import half_blocks, slim

Standing = Literal["now", "next", ""]
_FRAMES: Final[dict[Standing, str]] = {"now": "┏━┓┃┗━┛", "next": "╭╌╮╎╰╌╯", "": "╭─╮│╰─╯"}
_LARGE_MARKS: Final = {
    "●": "·###· ##### ##### ##### ##### ·###·",
    "○": "·###· ##·## #···# #···# ##·## ·###·",
    "▄": "····· ····· ····· ##### ##### #####",
    "▀": "##### ##### ##### ····· ····· ·····",
    "◆": "··#·· ·###· ##### ##### ·###· ··#··",
    "!": "··#·· ··#·· ··#·· ··#·· ····· ··#··",
    "×": "#···# ·#·#· ··#·· ··#·· ·#·#· #···#",
    "?": "·##·· #··#· ··#·· ·#··· ····· ·#···",
    "–": "····· ····· ····· ##### ····· ·····",
    "↺": "#·##· ##··# ###·# ····# #···# ·###·",
}

Part = tuple[str, str]  # a text and its tone


def rows_of(label: str, mark: Mark, standing: Standing, box: Box, row: int) -> tuple[Part, ...]:
    """Give one row of the frame, from its left end."""
    left, across, right, side, low_left, low, low_right = tuple(_FRAMES[standing])
    edge = "edge" if standing == "now" else "quiet"
    if row == 0:
        return ((f"{left}{across * (box.columns - 2)}{right}", edge),)
    if row == box.rows - 1:
        return ((f"{low_left}{low * (box.columns - 2)}{low_right}", edge),)
    number, shape = _within(label, "·" if mark == "to do" else sign(mark), box, row - 1)
    told = "now" if standing == "now" else "ink" if mark != "to do" or standing else "quiet"
    coloured = "now" if standing == "now" else tone(mark)
    return ((side, edge), (number, told), (f"{shape} ", coloured), (side, edge))


@lru_cache(maxsize=1024)
def _within(label: str, shown: str, box: Box, row: int) -> tuple[str, str]:
    """The number and the mark of a row within the frame."""
    if not box.grand:
        return f" {label}{' ' * (box.label - cell_len(label))} ", " " if shown == "·" else shown
    drawn = slim(label)[row]
    large = half_blocks(_LARGE_MARKS[shown])[row] if shown in _LARGE_MARKS else " " * MARK
    return f" {drawn}{' ' * (box.label - len(drawn))}  ", large
