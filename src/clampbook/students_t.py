"""Student's t: within how many standard uncertainties a mean of few readings is known.

The standard library has the normal distribution alone, and a library for one number would be loaded by every check.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

LEVEL = 0.95
_NORMAL_FROM = 1e6  # degrees of freedom from which on both distributions agree to six digits
_TINY = 1e-300
_CLOSE = 1e-15
_MOST_STEPS = 5000
_MOST_TANGENTS = 100


@lru_cache(maxsize=512)
def t_factor(freedom: float) -> float:
    """The factor k = t_p(ν) for an interval of 95 %, half of the rest on either side; ν need not be whole.

    Source: JCGM 100:2008, G.3.2 and table G.2. Range: ν ≥ 1. The part within ± t bends down as t grows, so that
    Newton's tangents, begun at the factor of the normal distribution, come up to it from below.
    """
    if freedom < 1:
        raise ValueError("fewer than one degree of freedom")
    t = NormalDist().inv_cdf((1 + LEVEL) / 2)
    if freedom >= _NORMAL_FROM:
        return t
    half = freedom / 2
    top = 2 * math.exp(math.lgamma(half + 0.5) - math.lgamma(half)) / math.sqrt(freedom * math.pi)
    for _ in range(_MOST_TANGENTS):
        slope = top * math.exp(-(half + 0.5) * math.log1p(t * t / freedom))
        step = (LEVEL - _within(t * t / (freedom + t * t), freedom)) / slope
        t += step
        if step <= t * _CLOSE:
            break
    return t


def _within(share: float, freedom: float) -> float:
    """The part of the distribution within ± t, for `share` = t²/(ν + t²): I_share(1/2, ν/2) (Abramowitz and Stegun,
    26.7.1 and 26.5.27)."""
    a, b = 0.5, freedom / 2
    gammas = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    lead = math.exp(gammas + a * math.log(share) + b * math.log1p(-share))
    if share < (a + 1) / (a + b + 2):
        return lead * _fraction(a, b, share) / a
    return 1 - lead * _fraction(b, a, 1 - share) / b


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function (Abramowitz and Stegun, 26.5.8), from its head down."""
    value, above, below = 1.0, 1.0, 0.0
    for step in range(_MOST_STEPS):
        numerator = _coefficient(step, a, b, x)
        below, above = 1 + numerator * below, 1 + numerator / above
        below = 1 / (below if abs(below) > _TINY else _TINY)
        above = above if abs(above) > _TINY else _TINY
        value *= above * below
        if step and abs(above * below - 1) < _CLOSE:
            break
    return 1 / value


def _coefficient(step: int, a: float, b: float, x: float) -> float:
    """The numerators d₁, d₂ … of the fraction 1/(1 + d₁/(1 + d₂/(1 + …))), counted from 0."""
    m, odd = divmod(step + 1, 2)
    if odd:
        return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
    return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
