"""Long lines folded to the width of the terminal, between words; whole where nobody looks, such as in a pipe."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator

from clampbook.paragraphs import laid

_A_PIPE = 1000  # columns where nobody looks: every line as long as it is
_FURTHER = 2  # columns that what is folded stands further in


def folded(lines: Iterable[str], further: int = _FURTHER) -> Iterator[str]:
    """Each line, in as many as the terminal needs; a number stays with its unit, a long word as it is."""
    width = columns()
    for text in lines:
        for line in text.split("\n"):
            yield from laid(line, width, further=" " * (len(line) - len(line.lstrip()) + further))


def columns() -> int:
    """So many columns the terminal has; where nobody looks, more than any line."""
    return shutil.get_terminal_size((_A_PIPE, 24)).columns
