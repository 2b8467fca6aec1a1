"""A topic in pieces that are shown at once: whole sections, so few lines that none takes long to lay out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampbook.help.topics import Topic

_MOST = 75  # lines
_FENCE = "```"


@dataclass(frozen=True, slots=True)
class Piece:
    """Some sections of a page, from this line on (from 0)."""

    first: int
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """The piece as Markdown."""
        return "\n".join(self.lines)


def pieces(topic: Topic) -> tuple[Piece, ...]:
    """The whole page; each piece begins with a heading, and only a section that is longer by itself is longer."""
    made: list[Piece] = []
    for section in _sections(topic.text.splitlines()):
        if made and len(made[-1].lines) + len(section.lines) <= _MOST:
            made[-1] = Piece(made[-1].first, (*made[-1].lines, *section.lines))
        else:
            made.append(section)
    return tuple(made)


def piece_with(line: int, of: tuple[Piece, ...]) -> int:
    """The place among these pieces of the one that has this line of the page."""
    return max(place for place, piece in enumerate(of) if piece.first <= max(line, 0))


def _sections(page: list[str]) -> Iterator[Piece]:
    first, in_code = 0, False
    for at, line in enumerate(page):
        in_code ^= line.startswith(_FENCE)
        if at > first and line.startswith("##") and not in_code:
            yield Piece(first, tuple(page[first:at]))
            first = at
    yield Piece(first, tuple(page[first:]))
