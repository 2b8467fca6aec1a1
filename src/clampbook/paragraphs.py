"""A text in lines of so many columns, for whoever shows one where rows are counted: no number parts from its unit."""

from __future__ import annotations

from textwrap import wrap

from clampbook.unit_table import NO_BREAK, unparted


def laid(text: str, columns: int, first: str = "", further: str = "", *, cut: bool = False) -> list[str]:
    """Break a text between words; at least one line. `first` and `further` stand before its first and other lines.

    A word that is longer than a line is `cut`, or else stands as it is.
    """
    kept = unparted(text)
    lines = wrap(
        kept, columns, initial_indent=first, subsequent_indent=further, break_long_words=cut, break_on_hyphens=False
    )
    return [line.replace(NO_BREAK, " ") for line in lines] or [""]
