"""The certificate of a tool at one place of its scale: how far it was off there, and how well that is known."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Context, Decimal
from itertools import pairwise

from clampbook.tools.model import Certified, Tool

_WORK = Context(prec=12, rounding=ROUND_HALF_EVEN)
_SHORT = Context(prec=3, rounding=ROUND_CEILING)  # what is not known never comes out smaller than it is


def certified_at(tool: Tool, shown: Decimal) -> Certified | None:
    """Its certificate for a number on its scale: between two points off by as a straight line has it, and as
    uncertain as the worse of the two. None below the first point and above the last one, where it says nothing."""
    points = tool.points
    exact = next((point for point in points if point.at == shown), None)
    if exact is not None:
        return exact
    for low, high in pairwise(points):
        if low.at < shown < high.at:
            share = _WORK.divide(shown - low.at, high.at - low.at)
            off = _WORK.add(low.off_by, _WORK.multiply(share, high.off_by - low.off_by))
            return Certified(at=shown, off_by=off, uncertainty=max(low.uncertainty, high.uncertainty))
    return None


def not_known(point: Certified, coverage: Decimal) -> Decimal:
    """The expanded uncertainty of a reading that nothing was corrected in: what it is off by counts in full (JCGM
    100:2008, 5.1.2), beside the uncertainty of the certificate."""
    square = _WORK.add(point.uncertainty**2, (coverage * point.off_by) ** 2)
    return _SHORT.plus(_WORK.sqrt(square))
