"""The pulls of a check as lots of a band: the series beside each other at every point, with what is still to come."""

from __future__ import annotations

from clampbook.check.judging import AtPoint, Judgement, units_of
from clampbook.check.plan import CheckPlan, Phase, Series
from clampbook.check.progress import Progress
from clampbook.check.wording import MARKS
from clampbook.screens.widgets.band_drawing import Band, Dot, Lot
from clampbook.tools.model import CheckVerdict, way_word
from clampbook.tools.permitted import beyond
from clampbook.units import convert, show

_BEYOND: CheckVerdict = "failed"
_AS_PERMITTED: CheckVerdict = "passed"


def pulls_drawn(plan: CheckPlan, progress: Progress, phase: Phase) -> Band:
    """Every pull of a phase, point by point, and there series by series."""
    of_phase = [pull for pull in progress.pulls if pull.phase == phase]
    last = of_phase[-1].line if of_phase else None
    lots = []
    for at, point in enumerate(plan.points):
        for number, series in enumerate(plan.series):
            mine = [pull for pull in of_phase if (pull.series, pull.point) == (number, at)]
            dots = [
                Dot(
                    pull.deviation,
                    MARKS[_BEYOND if beyond(pull.deviation, plan.permissible) else _AS_PERMITTED],
                    now=pull.line == last,
                )
                for pull in mine
            ]
            dots += [Dot(None)] * (plan.readings - len(mine))
            places = [show(convert(point.value, plan.tool.unit, unit), unit) for unit in units_of(plan)]
            lots.append(Lot(tuple(dots), (*places, *_way(plan, series))))
    return Band(tuple(lots), plan.permissible)


def _way(plan: CheckPlan, series: Series) -> tuple[str, ...]:
    """Give what tells a series from the others; nothing where there is only one."""
    if len(plan.series) < 2:
        return ()
    told = [series.technique] if len({each.technique for each in plan.series}) > 1 else []
    told += [way_word(series.direction)] if len({each.direction for each in plan.series}) > 1 else []
    return (" ".join(told),)


def points_drawn(judgement: Judgement) -> tuple[Dot, ...]:
    """The points by which a tool was judged, in rising order: the mean, and how far the pulls reached."""
    points = [point for series in judgement.judging for point in series.points]
    return tuple(map(_point, sorted(points, key=lambda each: each.point.value)))


def _point(each: AtPoint) -> Dot:
    found = each.figures
    if found is None:
        return Dot(None)
    return Dot(found.mean, MARKS[each.verdict], found.least, found.most)
