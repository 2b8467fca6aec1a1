"""The width of a text on the page, near enough to tell what fits beside what. In em of the type it is set in."""

from __future__ import annotations

WHOLE = 59.0  # the width of a page between its margins, in the type of tables
HALF = 28.0  # a column of two

_FIGURE, _MIDDLING, _MARK = 0.47, 0.5, 0.62
_NARROW = dict.fromkeys("fijlt.,:;'’|!()[] \u00a0·/r-–", 0.29)
_WIDE = dict.fromkeys("mwMWABCDGHKNOQRUVX%+−", 0.74)
_SIGNS = {**_NARROW, **_WIDE, **dict.fromkeys("●▄▀○◆×↺?", _MARK), **dict.fromkeys("0123456789", _FIGURE)}


def wide(text: str) -> float:
    """At least as wide as the text is drawn, whatever common signs it holds."""
    return sum(_SIGNS.get(sign, _MIDDLING) for sign in text)
