"""Whether a tool can do what a step needs: what rules it out, what needs a reason to go on, what is only noted."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.tools.model import Tool
from clampbook.tools.setting import CannotHold, Ends, what_to_set
from clampbook.units import convert, show, show_window

Need = Literal["torque", "reading", "angle"]
USEFUL_FROM = Decimal("0.2")  # of the maximum: what tools are rated for, and what workshops keep to


class Fitness(Struct, frozen=True):
    """`cannot` is final, each of `refused` needs a reason to go on, `notes` are for the person to know."""

    cannot: str | None = None
    refused: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def suits(self) -> bool:
        """True where nobody has to give a reason for taking the tool."""
        return self.cannot is None and not self.refused


def fitness(
    tool: Tool, need: Need, target: Decimal | None = None, window: Ends = (None, None), unit: str | None = None
) -> Fitness:
    """How a tool fits a step that needs a torque (from either kind), a torque reading, or an angle.

    `target` and `window` are in `unit`; where there is no target, the middle of the window stands for it.
    """
    if wrong := _wrong_kind(tool, need):
        return Fitness(cannot=wrong)
    aim = target if target is not None else _aim(window)
    if need == "angle" or aim is None or unit is None:
        return Fitness()
    if isinstance(cannot := what_to_set(aim, window, unit, tool), CannotHold):
        return Fitness(cannot=cannot.sentence)
    return _on_the_scale(tool, convert(aim, unit, tool.unit))


def middle_half(tool: Tool) -> tuple[Decimal, Decimal] | None:
    """From a quarter to three quarters of the scale, where tools read best (tests/reference holds the sources)."""
    if tool.maximum is None:
        return None
    minimum = tool.minimum or Decimal(0)
    quarter = (tool.maximum - minimum) / 4
    return minimum + quarter, tool.maximum - quarter


def _wrong_kind(tool: Tool, need: Need) -> str | None:
    torque = tool.kind in ("setting", "indicating")
    if need == "angle":
        reads = not torque or tool.reads_angle
        return None if reads else f"{tool.name} shows no angle: take a gauge, or turn from mark to mark"
    if not torque:
        return f"{tool.name} is no torque tool"
    if need == "reading" and tool.kind == "setting":
        return f"{tool.name} lets go at what it was set to and shows no reading: take an indicating tool"
    return None


def _on_the_scale(tool: Tool, wanted: Decimal) -> Fitness:
    """Below a fifth of the maximum a reason is asked for; outside the middle half it is said."""
    middle = middle_half(tool)
    if tool.maximum is None or middle is None:
        return Fitness()
    least = tool.maximum * USEFUL_FROM
    if wanted < least:
        told = f"below {show(least, tool.unit)}, a fifth of its maximum, {tool.name} is not to be trusted"
        return Fitness(refused=(f"{show(wanted, tool.unit)} is little for {tool.name}: {told}",))
    if not middle[0] <= wanted <= middle[1]:
        best = show_window(*middle, tool.unit)
        told = f"{show(wanted, tool.unit)} lies outside the middle half of {tool.name}'s scale, {best}"
        return Fitness(notes=(told,))
    return Fitness()


def _aim(window: Ends) -> Decimal | None:
    low, high = window
    if low is not None and high is not None:
        return (low + high) / 2
    return low if low is not None else high
