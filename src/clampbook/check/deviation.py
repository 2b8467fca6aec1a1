"""The deviation of a torque tool as ISO 6789 defines it, and the uncertainty with which a check can know it."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext

from clampbook.statistical import COVERAGE
from clampbook.tools.model import Tool
from clampbook.units import convert

_WORK = Context(prec=18, rounding=ROUND_HALF_EVEN)  # digits: no reference has a third of them
_DIGIT = Decimal(12)  # a scale's step d stands for a rectangle of half width d/2, whose square is d²/12
_HUNDRED = Decimal(100)


def deviation(indicated: Decimal, reference: Decimal) -> Decimal:
    """Tell how far a tool is off, in percent of the reference: above zero where it shows, or is set to, more
    than there is.

    A = (x_a - x_r) · 100 / x_r (ISO 6789-1); x_a is what an indicating tool shows or what a setting tool is set to,
    x_r what the reference shows, both in one unit. The reference must be above zero.
    """
    return _WORK.divide(_WORK.multiply(_WORK.subtract(indicated, reference), _HUNDRED), reference)


def deviations(indicated: Iterable[Decimal], reference: Iterable[Decimal]) -> list[Decimal]:
    """The same for many readings at once."""
    with localcontext(_WORK):
        return [(x_a - x_r) * _HUNDRED / x_r for x_a, x_r in zip(indicated, reference, strict=True)]


def true_torque(shown: Decimal, off: Decimal) -> Decimal:
    """Give what the reference would have shown where a tool with deviation `off` (percent) shows, or is set
    to, `shown`.
    """
    return _WORK.divide(_WORK.multiply(shown, _HUNDRED), _WORK.add(_HUNDRED, off))


def uncertainty(tool: Tool, reference: Tool | None, at: Decimal) -> Decimal | None:
    """The expanded uncertainty (k = 2) of one deviation found at `at` (in the tool's unit), in percent.

    Reference (its certificate) and the steps of both scales are independent (JCGM 100:2008, 5.1.2); a step d counts as
    d/√12 (F.2.2.1). A setting tool has no reading, so its scale's step is part of how it is set and is not counted.
    How well the reference stands on the day, its drift since the certificate, and how the tool is held are not in it.
    None where no uncertainty of the reference is known or `at` is not above zero.
    """
    if reference is None or reference.uncertainty is None or at <= 0:
        return None
    with localcontext(_WORK):
        square = (reference.uncertainty / reference.coverage) ** 2
        if reference.resolution is not None:
            square += _of_step(convert(reference.resolution, reference.unit, tool.unit), at)
        if tool.kind == "indicating" and tool.resolution is not None:
            square += _of_step(tool.resolution, at)
        return COVERAGE * square.sqrt()


def _of_step(step: Decimal, at: Decimal) -> Decimal:
    """The square of the relative standard uncertainty of a scale's step, in percent squared."""
    return (step / at * _HUNDRED) ** 2 / _DIGIT
