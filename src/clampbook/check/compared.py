"""Two techniques beside each other in words: which reads higher, by how much, and within what that is known."""

from __future__ import annotations

from typing import Literal

from clampbook.check.percents import interval, percent
from clampbook.statistical import Difference
from clampbook.text import started

Differs = Literal["higher", "lower"]


def compared(first: str, second: str, apart: Difference, place: str = "") -> str:
    """Tell of the means of two techniques, and where: "Quick reads 1.20 % higher than slow at 60.0 N·m, 95 % interval
    0.40 to 2.00 %"."""
    where = f" at {place}" if place else ""
    if apart.low is None or apart.high is None:
        mean = percent(apart.mean)
        return f"{started(second)} against {first}{where}: {mean}, too few readings or no scatter to tell by"
    side = differs(apart)
    if side is None:
        known = interval(apart.low, apart.high)
        return f"No difference can be told between {second} and {first}{where}, 95 % interval {known}"
    known = interval(*sorted((abs(apart.low), abs(apart.high))))
    off = percent(abs(apart.mean), sign=False)
    return f"{started(second)} reads {off} {side} than {first}{where}, 95 % interval {known}"


def differs(apart: Difference) -> Differs | None:
    """The side on which the second surely reads; None where no difference can be told."""
    if apart.low is None or apart.high is None:
        return None
    return "higher" if apart.low > 0 else "lower" if apart.high < 0 else None
