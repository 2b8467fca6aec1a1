"""Mean, standard deviation, spread, worst and drift of deviations, from exact decimals: nothing is lost on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

_EXACT = Context(prec=50, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Figures:
    """Of at least one value, all in one unit, in the order in which they were taken.

    `scatter` is the standard deviation of a sample (n - 1), None for a single value. `worst` is the value farthest
    from zero with its sign, the earlier of two that are equally far. `drift` is the last value minus the first.
    """

    n: int
    mean: Decimal
    scatter: Decimal | None
    least: Decimal
    most: Decimal
    worst: Decimal
    drift: Decimal

    @property
    def spread(self) -> Decimal:
        """Largest minus smallest."""
        return self.most - self.least


def figures(values: Sequence[Decimal]) -> Figures | None:
    """The figures of these values; None where there is none.

    The sum of squares is taken about the mean, in 50 digits, so that small differences of large numbers keep theirs
    (NIST StRD, univariate summary statistics, shows what is lost otherwise). An uneven mean is rounded in the 50th.
    """
    if not values:
        return None
    n = len(values)
    with localcontext(_EXACT):
        mean = sum(values, Decimal(0)) / n
        offsets = [value - mean for value in values]
        rest = sum(offsets, Decimal(0))  # 0 but for the rounding of the mean
        squares = sum([offset * offset for offset in offsets], Decimal(0)) - rest * rest / n
        scatter = (squares / (n - 1)).sqrt() if n > 1 else None
        least, most = min(values), max(values)
        return Figures(n, mean, scatter, least, most, _worst(values, least, most), values[-1] - values[0])


def _worst(values: Sequence[Decimal], least: Decimal, most: Decimal) -> Decimal:
    if -least == most:
        return values[min(values.index(least), values.index(most))]
    return most if most > -least else least


def difference(first: Figures, second: Figures) -> tuple[Decimal, Decimal | None]:
    """How far the mean of `second` lies above that of `first`, and the standard uncertainty of that difference.

    The uncertainty is that of two independent means, √(s₁²/n₁ + s₂²/n₂) (JCGM 100:2008, 4.2.3 and 5.1.2); None where
    one of them is a single value.
    """
    with localcontext(_EXACT):
        apart = second.mean - first.mean
        if first.scatter is None or second.scatter is None:
            return apart, None
        return apart, (first.scatter**2 / first.n + second.scatter**2 / second.n).sqrt()
