"""The deviation of a tool at any torque, from the points of a check: what old readings are reckoned again with."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

from msgspec import Struct

from clampbook.check.figures import together
from clampbook.check.judging import AtPoint, Judgement
from clampbook.check.plan import CheckPlan
from clampbook.statistical import COVERAGE
from clampbook.tools.uncertainty import Checked

_WORK = Context(prec=18, rounding=ROUND_HALF_EVEN)


class OffAt(Struct, frozen=True):
    """The deviation that the tool was found with at one torque (in its unit), in percent: on average, and the
    worst pull.

    `unsure`: within how much either way (k = 2) one pull was there, by the scatter of its pulls and the uncertainty of
    the reference; 0 where somebody just says how far off it was.
    """

    torque: Decimal
    mean: Decimal
    worst: Decimal | None = None
    unsure: Decimal = Decimal(0)


class Profile(Struct, frozen=True):
    """The deviations of a tool at rising torques, in its unit. At least one."""

    unit: str
    points: tuple[OffAt, ...]

    def at(self, torque: Decimal) -> Decimal:
        """The mean deviation at a torque: between two points on the straight line, beyond the last as at the last.

        Assumes that a tool drifts smoothly between the points of its check, which nobody has measured.
        """
        low, high = self._beside(torque)
        if low.torque == high.torque:
            return low.mean
        with localcontext(_WORK):
            return low.mean + (high.mean - low.mean) * (torque - low.torque) / (high.torque - low.torque)

    def unsure_at(self, torque: Decimal) -> Decimal:
        """Within how much either way that is known: as at the less sure of the two points beside it."""
        return max(point.unsure for point in self._beside(torque))

    def _beside(self, torque: Decimal) -> tuple[OffAt, OffAt]:
        below = [point for point in self.points if point.torque <= torque]
        above = [point for point in self.points if point.torque >= torque]
        return (below or above[:1])[-1], (above or below[-1:])[0]

    @property
    def said(self) -> bool:
        """True where somebody said it, for every torque alike; else a check found it."""
        return self.points[0].worst is None


def evenly(unit: str, percent: Decimal) -> Profile:
    """The same deviation at every torque, as somebody says it."""
    return Profile(unit, (OffAt(Decimal(1), percent),))


def checked(plan: CheckPlan, judgement: Judgement) -> Checked | None:
    """Give what a check says of the uncertainty of one pull with the tool; None where too little was pulled."""
    found = together(judgement.pooled)
    if found is None or found.scatter is None:
        return None
    reference = plan.reference
    known = 0.0
    if reference is not None and reference.uncertainty is not None:
        known = float(reference.uncertainty / reference.coverage)
    return Checked(float(found.mean), float(found.scatter), found.n, known)


def profile(judgement: Judgement, unit: str) -> Profile | None:
    """The deviations by which a tool was judged, in the first of its directions; None where there is none."""
    points = {
        point.point.value: OffAt(point.point.value, point.figures.mean, point.figures.worst, _unsure(point))
        for series in judgement.judging[:1]
        for point in series.points
        if point.figures is not None
    }
    return Profile(unit, tuple(points[torque] for torque in sorted(points))) if points else None


def _unsure(point: AtPoint) -> Decimal:
    """Expanded (k = 2): the scatter of single pulls and the uncertainty of a deviation, which do not depend on each
    other, put together by the root of their squares (JCGM 100:2008, 5.1.2)."""
    scatter = point.figures.scatter if point.figures is not None else None
    with localcontext(_WORK):
        return ((COVERAGE * (scatter or Decimal(0))) ** 2 + (point.guard or Decimal(0)) ** 2).sqrt()
