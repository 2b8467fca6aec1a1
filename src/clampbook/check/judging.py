"""The verdict of readings on a tool: each point passed, failed or undecided, each series, and two side
by side.

A workshop's comparison with its reference is a verification; it is no calibration, and nothing here calls it one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

from clampbook.check.deviation import uncertainty
from clampbook.check.figures import Figures, figures, together
from clampbook.check.plan import CheckPlan, Point, Series
from clampbook.statistical import Difference, difference, far_from_the_others
from clampbook.tools.model import CheckVerdict
from clampbook.tools.permitted import beyond
from clampbook.units import convert

_WORK = Context(prec=18, rounding=ROUND_HALF_EVEN)
Deviations = Mapping[tuple[int, int], Sequence[Decimal]]  # series and point, from 0: deviations in percent, in order


@dataclass(frozen=True, slots=True)
class AtPoint:
    """One point of one series. `guard` is the expanded uncertainty of a deviation there, in percent, where known.

    `missing`: how many readings it lacks; with too few of them nothing is called passed. `far`: the places (from 0) of
    readings far from the others, which count like any."""

    point: Point
    figures: Figures | None
    guard: Decimal | None
    verdict: CheckVerdict
    permissible: Decimal
    missing: int = 0
    far: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class OfSeries:
    """One series: its points that have readings, in the order of the plan, and the figures of all of them together."""

    series: Series
    points: tuple[AtPoint, ...]
    figures: Figures | None
    verdict: CheckVerdict
    permissible: Decimal


@dataclass(frozen=True, slots=True)
class Beside:
    """Two series at one point: how far the second's mean lies above the first's, in percent of the reference."""

    first: Series
    second: Series
    point: Point
    apart: Difference


@dataclass(frozen=True, slots=True)
class Judgement:
    """All series of one phase. The tool is judged by those of the `technique` that the plan names first, in each
    direction; the worst of them is the verdict. Other techniques only show what the way of pulling does.

    `units` are those in which a point is told: the tool's, and the reference's where it has another.
    `whole`: nothing that judges the tool is still to be pulled."""

    series: tuple[OfSeries, ...]
    beside: tuple[Beside, ...]
    technique: str
    units: tuple[str, ...]
    whole: bool = True

    @property
    def judging(self) -> tuple[OfSeries, ...]:
        """The series by which the tool is judged; all of them where that way was never pulled."""
        return tuple(each for each in self.series if each.series.technique == self.technique) or self.series

    @property
    def verdict(self) -> CheckVerdict:
        """The verdict on the tool; one good pull of many planned does not make it good."""
        found = worst_of([each.verdict for each in self.judging])
        return found if self.whole or found == "failed" else "undecided"

    @property
    def pooled(self) -> tuple[Figures, ...]:
        """The figures of each series that judges."""
        return tuple(each.figures for each in self.judging if each.figures is not None)

    @property
    def worst(self) -> Decimal | None:
        """The deviation farthest from zero."""
        return max((each.worst for each in self.pooled), key=abs, default=None)


def verdict_of(found: Figures | None, permissible: Decimal, guard: Decimal | None) -> CheckVerdict:
    """Passed where every reading is inside even at the edge of the uncertainty, failed where one is beyond even then.

    What lies between is undecided (JCGM 106:2012, 8.3.2: guarded acceptance and guarded rejection with a guard
    band of the expanded uncertainty). Without a known uncertainty nothing can pass.
    """
    if found is None:
        return "undecided"
    farthest = abs(found.worst)
    if guard is None:
        return "failed" if beyond(found.worst, permissible) else "undecided"
    if farthest - guard > permissible:
        return "failed"
    return "passed" if farthest + guard <= permissible else "undecided"


def judge(plan: CheckPlan, found: Deviations) -> Judgement:
    """Judge the deviations of one phase; a series, and a point of one, that has no reading is left out."""
    pulled = [number for number in range(len(plan.series)) if any(found.get((number, at)) for at in _places(plan))]
    series = tuple(_series(plan, number, found) for number in pulled)
    beside = tuple(
        each for at, first in enumerate(series) for second in series[at + 1 :] for each in _beside(plan, first, second)
    )
    return Judgement(series, beside, plan.series[0].technique, units_of(plan))


def units_of(plan: CheckPlan) -> tuple[str, ...]:
    """The units in which a point is told: the tool's first."""
    both = (plan.tool.unit, plan.tool.unit if plan.reference is None else plan.reference.unit)
    return tuple(dict.fromkeys(both))


def worst_of(verdicts: Sequence[CheckVerdict]) -> CheckVerdict:
    """Failed where one is, else undecided where one is (or there is none), else passed."""
    if "failed" in verdicts:
        return "failed"
    return "passed" if verdicts and set(verdicts) == {"passed"} else "undecided"


def _places(plan: CheckPlan) -> range:
    return range(len(plan.points))


def _series(plan: CheckPlan, number: int, found: Deviations) -> OfSeries:
    given = [(at, values) for at in _places(plan) if (values := found.get((number, at)))]
    points = tuple(_at_point(plan, plan.points[at], values) for at, values in given)
    pooled = together([each.figures for each in points if each.figures is not None])
    return OfSeries(plan.series[number], points, pooled, worst_of([each.verdict for each in points]), plan.permissible)


def _at_point(plan: CheckPlan, point: Point, values: Sequence[Decimal]) -> AtPoint:
    found, guard = figures(values), uncertainty(plan.tool, plan.reference, point.value)
    verdict = verdict_of(found, plan.permissible, guard)
    if verdict == "passed" and missing(plan, len(values)):
        verdict = "undecided"
    lacks, far = missing(plan, len(values)), far_from_the_others(values)
    return AtPoint(point, found, guard, verdict, plan.permissible, lacks, far)


def missing(plan: CheckPlan, count: int) -> int:
    """Count the readings that a point of a file lacks, of those that the standard wants; at the bench all are
    asked for.
    """
    return max(plan.readings - count, 0) if plan.source == "file" else 0


def _beside(plan: CheckPlan, first: OfSeries, second: OfSeries) -> list[Beside]:
    """Two series with other techniques in the same direction, point by point."""
    if first.series.direction != second.series.direction:
        return []
    rows, at = [], {each.point: each for each in second.points}
    for one in first.points:
        other = at.get(one.point)
        if other is not None and one.figures is not None and other.figures is not None:
            apart = difference(one.figures, other.figures, _step(plan, one.point))
            rows.append(Beside(first.series, second.series, one.point, apart))
    return rows


def _step(plan: CheckPlan, point: Point) -> Decimal:
    """The step of the scale that is read, in percent of the torque at a point; 0 where it is not known."""
    read = plan.reference if plan.held == "indicated" else plan.tool
    if read is None or read.resolution is None or point.value <= 0:
        return Decimal(0)
    with localcontext(_WORK):
        return convert(read.resolution, read.unit, plan.tool.unit) / point.value * 100
