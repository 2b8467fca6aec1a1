"""The last gate before a terminal: no character that steers it, or turns the direction of a line, is ever painted.

Whatever shows a text writes such characters out itself; this is for the text that somebody forgot.
"""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from clampbook.text import printable

_STANDS_FOR_IT = "?"


class NothingUnseen(LineFilter):
    """Takes them out of every line that is painted; the line keeps its width."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same segments, with nothing in them that does not show."""
        del background
        if all(text.isprintable() for text, _, _ in segments):
            return segments
        return [Segment(_seen(text), style, control) for text, style, control in segments]


def _seen(text: str) -> str:
    """The text without them; one that takes room, as an unassigned character does, becomes a question mark."""
    if text.isprintable():
        return text
    return "".join(sign if _shows(sign) else _STANDS_FOR_IT * min(cell_len(sign), 1) for sign in text)


def _shows(sign: str) -> bool:
    return printable(sign) == sign
