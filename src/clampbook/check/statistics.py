"""Mean, standard deviation, spread, worst and drift of deviations, from exact decimals: nothing is lost on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

_EXACT = Context(prec=50, rounding=ROUND_HALF_EVEN)
_SHORT = Context(prec=12, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Figures:
    """Of at least one value, all in one unit, in the order in which they were taken.

    `scatter` is the standard deviation of a sample (n - 1), None for a single value. `worst` is the value farthest
    from zero with its sign, the earlier of two that are equally far.
    """

    n: int
    mean: Decimal
    scatter: Decimal | None
    least: Decimal
    most: Decimal
    worst: Decimal
    first: Decimal
    last: Decimal

    @property
    def spread(self) -> Decimal:
        """Largest minus smallest."""
        return self.most - self.least

    @property
    def drift(self) -> Decimal:
        """The last value minus the first."""
        return self.last - self.first


def figures(values: Sequence[Decimal]) -> Figures | None:
    """The figures of these values; None where there is none.

    Σ(x - m)² is taken as Σ(x - c)² - (Σ(x - c))²/n with c close to the mean, in 50 digits, so that small differences
    of large numbers keep theirs (NIST StRD, univariate summary statistics, shows what is lost otherwise).
    """
    if not values:
        return None
    n = len(values)
    with localcontext(_EXACT):
        total = sum(values, Decimal(0))
        mean = total / n
        near = _SHORT.plus(mean)  # few digits: short numbers are squared much faster, and the identity is exact
        offsets = [value - near for value in values]
        rest = sum(offsets, Decimal(0))
        squares = sum([offset * offset for offset in offsets], Decimal(0)) - rest * rest / n
        scatter = (squares / (n - 1)).sqrt() if n > 1 else None
        least, most = min(values), max(values)
        return Figures(n, mean, scatter, least, most, _worst(values, least, most), values[0], values[-1])


def together(parts: Sequence[Figures]) -> Figures | None:
    """The figures of several lots of values as of one, in the order of the lots; None where there is none.

    Squares about the common mean are those about each own mean, and n times the square of how far that lies off.
    """
    if not parts:
        return None
    n = sum(part.n for part in parts)
    with localcontext(_EXACT):
        mean = sum([part.mean * part.n for part in parts], Decimal(0)) / n
        within = sum([part.scatter**2 * (part.n - 1) for part in parts if part.scatter is not None], Decimal(0))
        between = sum([(part.mean - mean) ** 2 * part.n for part in parts], Decimal(0))
        scatter = ((within + between) / (n - 1)).sqrt() if n > 1 else None
    least, most = min(part.least for part in parts), max(part.most for part in parts)
    worst = max((part.worst for part in parts), key=abs)
    return Figures(n, mean, scatter, least, most, worst, parts[0].first, parts[-1].last)


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
