"""Our own slim figures: three rows high, one cell thick, for where the solid ones are too wide; units in small letters.

Each sign is a drawing of six half rows, upper half first.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

ROWS: Final = 3
_HALVES: Final = {("·", "·"): " ", ("#", "·"): "▀", ("·", "#"): "▄", ("#", "#"): "█"}
_DRAWN: Final = {
    "0": "·##· #··# #·## ##·# #··# ·##·",
    "1": "·##· ··#· ··#· ··#· ··#· ·###",
    "2": "·##· #··# ···# ·##· #··· ####",
    "3": "###· ···# ·##· ···# ···# ###·",
    "4": "··#· ·##· #·#· #### ··#· ··#·",
    "5": "#### #··· ###· ···# ···# ###·",
    "6": "·##· #··· ###· #··# #··# ·##·",
    "7": "#### ···# ··#· ··#· ·#·· ·#··",
    "8": "·##· #··# ·##· #··# #··# ·##·",
    "9": "·##· #··# #··# ·### ···# ·##·",
    ".": "· · · · · #",
    ",": "·· ·· ·· ·· ·# #·",
    ":": "· · # · # ·",
    "·": "· · · # · ·",
    "°": "·#· #·# ·#· ··· ··· ···",
    "%": "#··# #··# ··#· ·#·· #··# #··#",
    "–": "··· ··· ··· ### ··· ···",
    "-": "·· ·· ·· ## ·· ··",
    "+": "··· ··· ·#· ### ·#· ···",
    "/": "··# ··# ·#· ·#· #·· #··",
    "N": "#··# #··# ##·# #·## #··# #··#",
    "m": "····· ····· ##·#· #·#·# #·#·# #·#·#",
    "l": "# # # # # #",
    "b": "#··· #··· ###· #··# #··# ###·",
    "f": "·## #·· ##· #·· #·· #··",
    "t": "·#· ·#· ### ·#· ·#· ·##",
    "i": "# · # # # #",
    "n": "···· ···· ###· #··# #··# #··#",
    "k": "#··· #··· #·#· ##·· #·#· #··#",
    "g": "···· ···· ·### #··# ·### ·##·",
    "c": "··· ··· ·## #·· #·· ·##",
    "d": "···# ···# ·### #··# #··# ·###",
    "a": "···· ···· ·### #··# #··# ·###",
    "o": "···· ···· ·##· #··# #··# ·##·",
    "z": "··· ··· ### ··# ·#· ###",
}


def covers_slim(text: str) -> bool:
    """Tell whether there is a slim figure for every sign of the text."""
    return bool(text) and all(sign == " " or sign in _DRAWN for sign in text)


@lru_cache(maxsize=256)
def slim(text: str) -> tuple[str, ...]:
    """Draw the text in three lines of equal width; a sign that has no figure is left blank."""
    drawn = [_sign(sign) for sign in text]
    return tuple(" ".join(sign[row] for sign in drawn) for row in range(ROWS))


@lru_cache(maxsize=128)
def _sign(sign: str) -> tuple[str, ...]:
    return half_blocks(_DRAWN[sign]) if sign in _DRAWN else ("  ",) * ROWS


@lru_cache(maxsize=128)
def half_blocks(drawing: str) -> tuple[str, ...]:
    """Put half rows, upper half first, into rows of half blocks."""
    halves = drawing.split()
    return tuple(
        "".join(_HALVES[pair] for pair in zip(halves[2 * row], halves[2 * row + 1], strict=True)) for row in range(ROWS)
    )
