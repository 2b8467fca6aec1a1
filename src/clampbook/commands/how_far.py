"""The progress of a long pass over a book, on the terminal of who waits for it; nothing where nobody looks."""

from __future__ import annotations

import shutil
import sys
from collections import deque
from math import ceil
from time import monotonic

_EACH = 0.1  # seconds between two lines
_MARKS = 20  # of the last ones, so that the estimate follows what is quick or slow just now
_APART = 0.5  # seconds between two of them
_STOPS = ", Ctrl-C stops"


class HowFar:
    """A line that is written over itself: how many of `count` are done, and how long the others will take."""

    def __init__(self, count: int, what: str) -> None:
        self._count, self._what = count, what
        self._looks = sys.stderr.isatty()
        self._told, self._longest = 0.0, 0
        self._marks = deque([(monotonic(), 0)], _MARKS)

    def come(self, number: int) -> None:
        """Say that so many are done."""
        at = monotonic()
        if not self._looks or at - self._told < _EACH:
            return
        self._told = at
        line = f"{number} of {self._count} {self._what}{self._left(number, at)}"
        if at - self._marks[-1][0] >= _APART:
            self._marks.append((at, number))
        room = shutil.get_terminal_size().columns - 1
        self._write(line + _STOPS if len(line + _STOPS) <= room else line[:room])

    def end(self) -> None:
        """Say that all are done."""
        if self._looks:
            self._write(f"{self._count} of {self._count} {self._what}", "\n")

    def _left(self, number: int, at: float) -> str:
        begun, before = self._marks[0]
        if number <= before or at - begun < _APART:
            return ""
        return f", about {in_short((self._count - number) * (at - begun) / (number - before))} left"

    def _write(self, line: str, end: str = "") -> None:
        self._longest = max(self._longest, len(line))
        print(f"\r{line:<{self._longest}}", end=end, file=sys.stderr, flush=True)


def in_short(seconds: float) -> str:
    """Seconds as somebody who waits wants them: 7 s, 25 s, 4 min, 3 h."""
    if seconds <= 10:
        return f"{max(1, ceil(seconds))} s"
    if seconds <= 90:
        return f"{5 * ceil(seconds / 5)} s"
    if seconds <= 90 * 60:
        return f"{ceil(seconds / 60)} min"
    return f"{ceil(seconds / 3600)} h"
