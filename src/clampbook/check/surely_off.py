"""The side on which a tool surely reads off, and what its bolts got by it: a fact only beyond what is not known."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext
from typing import Literal

from msgspec import Struct

from clampbook.check.figures import Figures
from clampbook.check.judging import Judgement, OfSeries
from clampbook.check.plan import Direction, Phase
from clampbook.statistical import COVERAGE
from clampbook.students_t import t_factor
from clampbook.units import plain

Reads = Literal["high", "low"]
_WORK = Context(prec=30, rounding=ROUND_HALF_EVEN)
_NO_END = 1e9  # degrees of freedom of a reference's certificate beside readings that are all alike
_BOLTS: dict[Reads, Literal["less", "more"]] = {"high": "less", "low": "more"}


class SurelyOff(Struct, frozen=True, kw_only=True):
    """The points of one direction, in the tool's unit, at which it reads to one side; `bolts`: they got less, or more,
    than the tool said. `everywhere`: there is no other point."""

    phase: Phase
    direction: Direction
    reads: Reads
    bolts: Literal["less", "more"]
    points: tuple[str, ...]
    everywhere: bool


def reads(found: Figures | None, guard: Decimal | None) -> Reads | None:
    """The side to which the mean of some readings is surely off; None where that may be chance or the reference.

    Mean and reference are independent: u² = s²/n + (U/2)², times t of the effective degrees of freedom, the
    reference's being without end (JCGM 100:2008, 5.1.2 and G.4.1). A single reading shows no scatter, and a reference
    without a known uncertainty nothing at all.
    """
    if found is None or found.scatter is None or guard is None:
        return None
    with localcontext(_WORK):
        of_mean = found.scatter**2 / found.n
        square = of_mean + (guard / COVERAGE) ** 2
        freedom = min(float((square / of_mean) ** 2 * (found.n - 1)), _NO_END) if of_mean else _NO_END
        if abs(found.mean) <= Decimal(t_factor(freedom)) * square.sqrt():
            return None
    return "high" if found.mean > 0 else "low"


def surely_off(judgement: Judgement, phase: Phase) -> tuple[SurelyOff, ...]:
    """Direction by direction, of the series that judge the tool."""
    return tuple(each for series in judgement.judging for each in _of_series(series, phase))


def _of_series(series: OfSeries, phase: Phase) -> Sequence[SurelyOff]:
    by_side: dict[Reads, list[str]] = {}
    for point in series.points:
        side = reads(point.figures, point.guard)
        if side is not None:
            by_side.setdefault(side, []).append(plain(point.point.value))
    return [
        SurelyOff(
            phase=phase,
            direction=series.series.direction,
            reads=side,
            bolts=_BOLTS[side],
            points=tuple(points),
            everywhere=len(points) == len(series.points),
        )
        for side, points in by_side.items()
    ]
