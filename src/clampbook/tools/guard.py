"""Guarded acceptance: where a procedure asks for it, a reading is within only where it is so beyond question."""

from __future__ import annotations

from decimal import ROUND_CEILING, Context, Decimal

from clampbook.procedure.model import Accept
from clampbook.statistical import COVERAGE, combined, rectangular
from clampbook.tools.lever import Reach
from clampbook.tools.model import Tool
from clampbook.tools.setting import Ends, on_tool
from clampbook.tools.standard import WIDEST
from clampbook.tools.uncertainty import applied

# A band never comes out narrower than it is, and never differs with the machine that worked it out.
_SHORT = Context(prec=3, rounding=ROUND_CEILING)


def band(tool: Tool, target: Decimal, unit: str, through: Reach) -> Decimal:
    """The guard band U = 2u of one reading at a target, in the sheet's unit; for an indicating tool.

    u comes from what the run keeps of the tool (its permissible deviation as a rectangle, its resolution), so that
    anybody can work it out again; a tool that does not say how far it may deviate is taken for one of the widest
    permissible deviation of ISO 6789-1.
    """
    ratio = float(through.unsure)
    found = applied(tool, float(on_tool(target, unit, tool, through)), ratio=ratio)
    percent = found.percent if found is not None else combined(rectangular(float(WIDEST)), ratio)
    return _SHORT.create_decimal(target * Decimal(repr(COVERAGE * percent)) / 100)


def accepted(
    accept: Accept, tool: Tool, target: Decimal | None, window: Ends, unit: str, through: Reach
) -> Ends | None:
    """The window that a reading must lie in to be within: the sheet's, or made narrower by the guard band at each end
    (JCGM 106:2012, 8.3.2). None where nothing is left of it: this tool can never show that the torque is right.

    A release shows no number, and what has no target has no band; there the window stays as it is.
    """
    if accept == "simple" or tool.kind != "indicating" or target is None or target <= 0:
        return window
    guard = band(tool, target, unit, through)
    low, high = (None if end is None else end + sign * guard for end, sign in zip(window, (1, -1), strict=True))
    return None if low is not None and high is not None and low > high else (low, high)
