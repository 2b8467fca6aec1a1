"""Figures of a sample, and standard uncertainties: what several readings, or limits alone, tell of a value.

Figures of readings are exact decimals, so that small differences of large numbers keep their digits; uncertainties are
plain floats. Of the standard library only the normal distribution would do (`tools.uncertainty` takes it): `mean` and
`stdev` give the same digits and take five times as long over the readings of a check.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext
from statistics import median

from clampbook.students_t import t_factor

COVERAGE = 2  # expanded uncertainty of some 95 %, the custom of certificates
_AS_SIGMA, _FAR = Decimal("0.6745"), Decimal("3.5")
_FEWEST_BESIDE = 5
_NO_SHARE = 1e-9  # of readings that are all alike in what is not known of a difference
_EXACT = Context(prec=100, rounding=ROUND_HALF_EVEN)
_SHORT = Context(prec=12, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Sample:
    """Figures of at least one value, all in one unit. `scatter` is the standard deviation of a sample (n - 1), None for
    a single value. `least` and `most` are exact, `mean` and `scatter` good to some 50 digits."""

    n: int
    mean: Decimal
    scatter: Decimal | None
    least: Decimal
    most: Decimal

    @property
    def spread(self) -> Decimal:
        """Largest minus smallest."""
        return _EXACT.subtract(self.most, self.least)


def sample(values: Sequence[Decimal]) -> Sample | None:
    """Figures of these values; None where there is none.

    Σ(x - m)² is taken as Σ(x - c)² - (Σ(x - c))²/n with c close to the mean, so that small differences of large numbers
    keep theirs (NIST StRD, univariate summary statistics, shows what is lost otherwise).
    """
    if not values:
        return None
    n = len(values)
    with localcontext(_EXACT):  # whatever the caller's context, the figures are the same
        mean = sum(values, Decimal(0)) / n
        near = _SHORT.plus(mean)  # few digits: short numbers are squared much faster, and the identity is exact
        offsets = [value - near for value in values]
        rest = sum(offsets, Decimal(0))
        squares = sum([offset * offset for offset in offsets], Decimal(0)) - rest * rest / n
        scatter = (squares / (n - 1)).sqrt() if n > 1 else None
        return Sample(n, mean, scatter, min(values), max(values))


def together(parts: Sequence[Sample]) -> Sample | None:
    """Figures of several samples as of one; None where there is none.

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
    return Sample(n, mean, scatter, min(part.least for part in parts), max(part.most for part in parts))


@dataclass(frozen=True, slots=True)
class Difference:
    """Mean of one sample above that of another. `low` to `high` holds the true one with 95 %, by `freedom` degrees of
    freedom; None where no interval can be given: a single value, or no scatter at all."""

    mean: Decimal
    low: Decimal | None = None
    high: Decimal | None = None
    freedom: float | None = None


def difference(first: Sample, second: Sample, step: Decimal = Decimal(0)) -> Difference:
    """Mean of `second` minus mean of `first`, with Welch's interval of 95 %: ± t(ν) · √(s₁²/n₁ + s₂²/n₂).

    ν = (v₁ + v₂)² / (v₁²/(n₁-1) + v₂²/(n₂-1)) with v = s²/n (Welch 1947; JCGM 100:2008, G.4.1), so that neither equal
    scatter nor equal numbers are assumed. Assumes independent readings, roughly normal. What both samples have in
    common, such as the reference's own error, cancels and is not in it. `step` is that of the scale that was read: a
    mean is not known better than δ/√12 (JCGM 100:2008, F.2.2.1), even where all readings are alike.
    """
    with localcontext(_EXACT):
        apart = second.mean - first.mean
        if first.scatter is None or second.scatter is None:
            return Difference(apart)
        parts = [(each.scatter or Decimal(0)) ** 2 / each.n for each in (first, second)]
        square = sum(parts, 2 * step**2 / 12)
        if not square:
            return Difference(apart)
        shares = [(part / square) ** 2 / (each.n - 1) for part, each in zip(parts, (first, second), strict=True)]
        freedom = 1 / max(float(sum(shares, Decimal(0))), _NO_SHARE)
        half = Decimal(t_factor(freedom)) * square.sqrt()
        return Difference(apart, apart - half, apart + half, freedom)


def far_from_the_others(values: Sequence[Decimal]) -> tuple[int, ...]:
    """The places (from 0) of values that lie far from the others: 0.6745 · |x - median| / MAD above 3.5.

    MAD is the median of the distances from the median. Source: Iglewicz and Hoaglin 1993, as the NIST/SEMATECH
    e-Handbook, 1.3.5.17, gives it. None of fewer than five values (common practice, no source), and none where more
    than half are alike: MAD is 0 then, and the score does not exist. By chance one of five good values has such a
    score about once in five times, so that it is a reason to look and never one to leave a value out.
    """
    if len(values) < _FEWEST_BESIDE:
        return ()
    with localcontext(_EXACT):
        middle = median(values)
        distances = [abs(value - middle) for value in values]
        usual = median(distances)
        return tuple(at for at, off in enumerate(distances) if usual and _AS_SIGMA * off > _FAR * usual)


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within ± `half_width` with equal right: a/√3.

    Source: JCGM 100:2008, 4.3.7. Range: a ≥ 0. Assumes that nothing within the limits is likelier than the rest.
    """
    return half_width / math.sqrt(3)


def triangular(half_width: float) -> float:
    """Standard uncertainty where values near the middle are likelier, falling off to ± `half_width`: a/√6.

    Source: JCGM 100:2008, 4.3.9. Range: a ≥ 0.
    """
    return half_width / math.sqrt(6)


def of_step(step: float) -> float:
    """Standard uncertainty of a reading from a scale or display with steps of `step`: δ/√12, 0.29 δ.

    Source: JCGM 100:2008, F.2.2.1. Range: δ ≥ 0. Assumes that the reading is the nearest step.
    """
    return step / math.sqrt(12)


def combined(*parts: float) -> float:
    """Root of the sum of squares. Source: JCGM 100:2008, 5.1.2. Assumes that the parts are independent."""
    return math.hypot(*parts)


def student(readings: int) -> float:
    """Factor by which the scatter of a few readings is widened, because a few can agree by chance: √((n-1)/(n-3)).

    Source: JCGM 101:2008, 6.4.9.4 (the standard deviation of the scaled t-distribution of n readings). Range: for
    fewer than four readings there is no such number; 2.0 is taken, which is common practice without a source.
    """
    return math.sqrt((readings - 1) / (readings - 3)) if readings >= 4 else 2.0
