"""Uncertainty of one applied torque, and its part in a window; plain numbers, in percent or in one unit.

Every result carries what was assumed. A torque is all that this is about: how much of it becomes clamp load is another
matter, and far less certain.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from statistics import NormalDist

from clampbook.statistical import COVERAGE, combined, of_step, rectangular, student
from clampbook.tools.certificate import certified_at
from clampbook.tools.model import Certified, Tool
from clampbook.units import convert

Ends = tuple[float | None, float | None]
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Checked:
    """Findings of a check of a tool, in percent of the reference: mean deviation, scatter (n - 1) of `readings`."""

    mean: float
    scatter: float
    readings: int
    reference: float = 0.0  # standard uncertainty of the reference


@dataclass(frozen=True, slots=True)
class Share:
    """One source of uncertainty, as a standard uncertainty in percent of the torque."""

    name: str
    percent: float


@dataclass(frozen=True, slots=True)
class Applied:
    """The standard uncertainty of one applied torque: in percent, at the torque itself, and all that went into it."""

    at: float
    percent: float
    shares: tuple[Share, ...]
    assumed: tuple[str, ...]

    @property
    def standard(self) -> float:
        """In the unit of the torque."""
        return self.at * self.percent / 100

    @property
    def expanded(self) -> float:
        """Times two, in the unit of the torque."""
        return COVERAGE * self.standard


def applied(
    tool: Tool, at: float, *, checked: Checked | None = None, repeatability: float = 0.0, ratio: float = 0.0
) -> Applied | None:
    """Uncertainty of one pull at `at` (the tool's unit, above zero) with this tool; None where nothing is known.

    With a check its scatter, its mean deviation and its reference are used; without one its certificate, where that has
    points on both sides; else the permissible deviation, as a rectangle. `repeatability` is a standard uncertainty in
    percent for whoever pulls, beside what is in the check, `ratio` that of a multiplier's ratio.
    Source: JCGM 100:2008, clauses 4 and 5; the choice of parts follows ISO 6789-2 in kind, from memory.
    """
    if at <= 0:
        return None
    if checked is not None:
        shares, told = _from_check(checked)
    elif (point := certified_at(tool, Decimal(repr(at)))) is not None:
        shares, told = _from_certificate(tool, point)
    elif tool.permissible_deviation is not None:
        shares, told = _from_limits(tool, float(tool.permissible_deviation))
    else:
        return None
    if tool.resolution is not None:
        shares.append(Share("resolution", of_step(float(tool.resolution)) / at * 100))
        told.append(f"A step of its scale is {tool.resolution} {tool.unit}, and the nearest one is read or set.")
    if repeatability:
        shares.append(Share("repeatability", repeatability))
        told.append(f"Pull by pull differs by {repeatability:g} % (standard deviation) beyond that.")
    if ratio:
        shares.append(Share("ratio of the multiplier", ratio))
        told.append(f"The ratio of the multiplier is known to {ratio:g} % (standard uncertainty).")
    told.append("The sources are independent, and what an adapter or its angle adds is not counted.")
    return Applied(at, combined(*(share.percent for share in shares)), tuple(shares), tuple(told))


def _from_limits(tool: Tool, limit: float) -> tuple[list[Share], list[str]]:
    told = f"{tool.name} is anywhere within its permissible deviation of ±{limit:g} %, with equal right."
    return [Share("permissible deviation", rectangular(limit))], [told]


def _from_certificate(tool: Tool, point: Certified) -> tuple[list[Share], list[str]]:
    """An uncorrected deviation counts in full, as one that a check found does."""
    off, known = float(point.off_by), float(point.uncertainty / tool.coverage)
    told = [
        f"The certificate of {tool.name} has {off:+.2f} % here; nothing was corrected for it, so it counts in full.",
        f"Its certificate is known to {known:.2f} % (standard uncertainty).",
    ]
    return [Share("deviation by certificate", abs(off)), Share("certificate", known)], told


def _from_check(checked: Checked) -> tuple[list[Share], list[str]]:
    """An uncorrected mean deviation counts in full (the root of the mean square of what is expected of one pull)."""
    shares = [
        Share("mean deviation", abs(checked.mean)),
        Share("scatter", checked.scatter * student(checked.readings)),
        Share("reference", checked.reference),
    ]
    told = [
        f"The last check found {checked.mean:+.2f} % on average; nothing was corrected for it, so it counts in full.",
        f"Pulls differ as the {checked.readings} of the check did ({checked.scatter:.2f} %).",
        f"The reference of that check is known to {checked.reference:.2f} % (standard uncertainty).",
    ]
    return shares, told


def probability_within(value: float, window: Ends, standard_uncertainty: float) -> float:
    """Probability that the true value lies in the window when `value` was found; an open end is None.

    p = Φ((T_U - y)/u) - Φ((T_L - y)/u). Source: JCGM 106:2012, 7.2 to 7.4. Range: u ≥ 0; at u = 0 it is 1 or 0.
    Assumes that errors are normal and that nothing was known of the value beforehand.
    """
    low, high = window
    if standard_uncertainty <= 0:
        return float((low is None or value >= low) and (high is None or value <= high))
    below = 0.0 if low is None else _NORMAL.cdf((low - value) / standard_uncertainty)
    above = 0.0 if high is None else _NORMAL.cdf((value - high) / standard_uncertainty)
    return max(0.0, 1.0 - below - above)


def guarded(window: Ends, standard_uncertainty: float, coverage: float = COVERAGE) -> Ends | None:
    """The window made narrower at each end by a guard band of U = k·u; None where nothing is left of it.

    Source: JCGM 106:2012, 8.3.2 (guarded acceptance). With one limit and k = 2 whatever is accepted lies within with a
    probability of 97.7 % at least.
    """
    band = coverage * standard_uncertainty
    low, high = window
    low, high = None if low is None else low + band, None if high is None else high - band
    return None if low is not None and high is not None and low > high else (low, high)


def of_reading(tool: Tool, value: float, unit: str, *, checked: Checked | None = None) -> float | None:
    """The standard uncertainty of a torque given in `unit`, in that unit; None where nothing is known of the tool."""
    at = float(convert(Decimal(str(value)), unit, tool.unit))
    found = applied(tool, at, checked=checked)
    return None if found is None else found.percent / 100 * value
