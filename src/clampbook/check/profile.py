"""How far a tool is off at any torque, from the points of a check: what old readings are reckoned again with."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

from msgspec import Struct

from clampbook.check.judging import Judgement
from clampbook.check.plan import CheckPlan
from clampbook.check.statistics import together
from clampbook.tools.uncertainty import Checked

_WORK = Context(prec=18, rounding=ROUND_HALF_EVEN)


class Profile(Struct, frozen=True):
    """Mean deviations in percent at rising torques in the tool's unit. At least one."""

    unit: str
    points: tuple[tuple[Decimal, Decimal], ...]

    def at(self, torque: Decimal) -> Decimal:
        """The deviation at a torque: between two points on the straight line, beyond the last as at the last.

        Assumes that a tool drifts smoothly between the points of its check, which nobody has measured.
        """
        below = [point for point in self.points if point[0] <= torque]
        above = [point for point in self.points if point[0] >= torque]
        if not below or not above:
            return (above or below)[0 if above else -1][1]
        (low, first), (high, second) = below[-1], above[0]
        if low == high:
            return first
        with localcontext(_WORK):
            return first + (second - first) * (torque - low) / (high - low)

    @property
    def even(self) -> bool:
        """Whether it is the same everywhere."""
        return len({off for _, off in self.points}) == 1


def evenly(unit: str, percent: Decimal) -> Profile:
    """The same deviation at every torque, as somebody says it."""
    return Profile(unit, ((Decimal(1), percent),))


def checked(plan: CheckPlan, judgement: Judgement) -> Checked | None:
    """What a check says of the uncertainty of one pull with the tool; None where too little was pulled."""
    found = together(judgement.pooled)
    if found is None or found.scatter is None:
        return None
    reference = plan.reference
    known = 0.0
    if reference is not None and reference.uncertainty is not None:
        known = float(reference.uncertainty / reference.coverage)
    return Checked(float(found.mean), float(found.scatter), found.n, known)


def profile(judgement: Judgement, unit: str) -> Profile | None:
    """The mean deviations by which a tool was judged, in the first of its directions; None where there is none."""
    points = {
        point.point.value: point.figures.mean
        for series in judgement.judging[:1]
        for point in series.points
        if point.figures is not None
    }
    return Profile(unit, tuple(sorted(points.items()))) if points else None
