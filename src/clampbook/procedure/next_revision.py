"""The revision that comes after another: A and B, 3 and 4."""

from __future__ import annotations

import re
from collections.abc import Container

_NUMBER = re.compile(r"(.*?)(\d+)")
_LETTER = re.compile(r"(.*?)([A-Za-z])")


def next_revision(revision: str, taken: Container[str] = ()) -> str:
    """The name that follows, and that none of those `taken` has."""
    following = _next(revision)
    while following in taken:
        following = _next(following)
    return following


def _next(revision: str) -> str:
    number = _NUMBER.fullmatch(revision)
    if number is not None:
        return f"{number[1]}{int(number[2]) + 1:0{len(number[2])}d}"
    letter = _LETTER.fullmatch(revision)
    if letter is None:
        return f"{revision} 2"
    before, last = letter[1], letter[2]
    if last in "Zz":
        # As columns are counted: after Z comes AA.
        return (
            f"{_next(before) if before[-1:].isalpha() else before + ('A' if last == 'Z' else 'a')}{chr(ord(last) - 25)}"
        )
    return f"{before}{chr(ord(last) + 1)}"
