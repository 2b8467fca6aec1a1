"""A text at its column of a line of the map, and the line made of them."""

from __future__ import annotations

from msgspec import Struct


class Piece(Struct, frozen=True):
    """A text at a column of a line, the tone it is painted in, and whether it is underlined."""

    column: int
    text: str
    tone: str = "ink"
    underlined: bool = False


Line = tuple[Piece, ...]
