"""Whether a tool can do what a step needs: what rules it out, what needs a reason to go on, what is only noted."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.lever import reach
from clampbook.tools.model import WORKING, Tool
from clampbook.tools.setting import CannotHold, Held, hold, scale
from clampbook.tools.state import State, state
from clampbook.units import convert, show, show_window

USEFUL_FROM = Decimal("0.2")  # of the maximum: what tools are rated for, and what workshops keep to
COARSE = Decimal("0.1")  # of the torque: a scale with wider steps is noted (US Army TM 1-1500-204-23-9, Table 8-1)
ANYHOW = Circumstances()


class Fitness(Struct, frozen=True):
    """`cannot` is final, each of `refused` needs a reason to go on, `notes` are for the person to know."""

    cannot: str | None = None
    refused: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def suits(self) -> bool:
        """True where nobody has to give a reason for taking the tool."""
        return self.cannot is None and not self.refused


class Margin(Struct, frozen=True):
    """A pull with the tool at `mark` of its own scale: the torque at the fastener, by how much it may be off there,
    and what the window leaves, all three in `unit`."""

    mark: Decimal
    applied: Decimal
    error: Decimal
    leaves: Decimal
    unit: str

    @property
    def ratio(self) -> Decimal:
        """How many times what the tool may be off the window leaves."""
        return self.leaves / self.error


def fitness(tool: Tool, demand: Demand, at: Circumstances = ANYHOW) -> Fitness:
    """How a tool fits what a step wants of it, as it stands."""
    return fitness_and_margin(tool, demand, at)[0]


def fitness_and_margin(tool: Tool, demand: Demand, at: Circumstances = ANYHOW) -> tuple[Fitness, Margin | None]:
    """The same, and how the tool's error stands to the window; None where either is not known."""
    cannot = _wrong_kind(tool, demand)
    if cannot is not None:
        return Fitness(cannot=cannot), None
    cannot, refused, notes = _as_it_stands(tool, at)
    if cannot is not None:
        return Fitness(cannot=cannot), None
    if demand.need == "angle":
        return Fitness(None, (*refused, *_end_of_turn(tool, demand)), notes), None
    aim, unit = demand.aim, demand.unit
    if aim is None or unit is None:
        return Fitness(None, refused, notes), None
    held = hold(aim, demand.window, unit, tool, reach(tool, at.adapter), at.adapter)
    if isinstance(held, CannotHold):
        return Fitness(cannot=held.sentence), None
    away = _margin(tool, demand, held)
    against = (*refused, *_outside_useful(tool, held.wanted), *_too_wide(tool, away))
    told = (*notes, *_outside_middle(tool, held.wanted), *_coarse(tool, held.wanted))
    return Fitness(None, against, told), away


def _margin(tool: Tool, demand: Demand, held: Held) -> Margin | None:
    low, high = demand.window
    if tool.permissible_deviation is None or demand.target is None or demand.unit is None:
        return None
    rooms = [held.applied - low] if low is not None else []
    rooms += [high - held.applied] if high is not None else []
    error = held.applied * tool.permissible_deviation / 100
    return Margin(held.mark, held.applied, error, min(rooms), demand.unit) if rooms and error else None


def useful_span(tool: Tool) -> tuple[Decimal, Decimal] | None:
    """The part of the scale that is used: as written, or from a fifth of the maximum up to it."""
    if tool.useful is not None or tool.maximum is None:
        return tool.useful
    return tool.maximum * USEFUL_FROM, tool.maximum


def middle_half(tool: Tool) -> tuple[Decimal, Decimal] | None:
    """From a quarter to three quarters of the scale, where tools read best (tests/reference holds the sources)."""
    if tool.maximum is None:
        return None
    minimum = tool.minimum or Decimal(0)
    quarter = (tool.maximum - minimum) / 4
    return minimum + quarter, tool.maximum - quarter


def _wrong_kind(tool: Tool, demand: Demand) -> str | None:
    torque = tool.kind in WORKING
    if tool.kind == "reference":
        return f"{tool.name} is the reference that others are checked against, and tightens nothing"
    if demand.need == "angle":
        reads = not torque or tool.reads_angle
        return None if reads else f"{tool.name} shows no angle: take a gauge, or turn from mark to mark"
    if not torque:
        return f"{tool.name} is no torque tool"
    if demand.need == "reading" and tool.kind == "setting":
        return f"{tool.name} lets go at what it was set to and shows no reading: take an indicating tool"
    wanted = "anticlockwise" if demand.anticlockwise else "clockwise"
    if tool.directions not in ("both", wanted):
        return f"{tool.name} works {tool.directions} only, and this is tightened {wanted}"
    return None


def standing(tool: Tool, at: Circumstances) -> State | None:
    """In what state a tool is, as far as anybody has looked or the day is known; marks are always there."""
    if tool.kind == "marks" or at.state is not None or at.today is None:
        return at.state
    return state(tool, at.today, at.use)


def _as_it_stands(tool: Tool, at: Circumstances) -> tuple[str | None, tuple[str, ...], tuple[str, ...]]:
    """What its calibration, its last check and the like say: that it is out, what needs a reason, what is only said."""
    found = standing(tool, at)
    if found is None:
        return None, (), ()
    if found.out:
        return f"{tool.name} is out of service: {found.because[0]}", (), ()
    return None, _of(tool, found.against), _of(tool, found.notes)


def _of(tool: Tool, clauses: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{tool.name}: {each}" for each in clauses)


def _end_of_turn(tool: Tool, demand: Demand) -> Iterator[str]:
    """A torque tool that turns must bear the torque at the end of the turn."""
    if demand.up_to is None or demand.unit is None or tool.kind not in WORKING or tool.maximum is None:
        return
    end = convert(demand.up_to, demand.unit, tool.unit)
    if end > tool.maximum:
        yield f"the turn may end with {show(end, tool.unit)}, beyond the scale of {tool.name} ({scale(tool)})"


def _outside_useful(tool: Tool, wanted: Decimal) -> Iterator[str]:
    """Outside the useful part of the scale a reason is asked for."""
    span = useful_span(tool)
    if span is None or span[0] <= wanted <= span[1]:
        return
    here = show(wanted, tool.unit)
    if tool.useful is None:
        told = f"below {show(span[0], tool.unit)}, a fifth of its maximum, {tool.name} is not to be trusted"
        yield f"{here} is little for {tool.name}: {told}"
    else:
        yield f"{here} lies outside the useful part of {tool.name}'s scale, {show_window(*span, tool.unit)}"


def _outside_middle(tool: Tool, wanted: Decimal) -> Iterator[str]:
    """Outside the middle half of the scale it is said, unless a reason is asked for already."""
    middle, span = middle_half(tool), useful_span(tool)
    if middle is None or span is None or middle[0] <= wanted <= middle[1] or not span[0] <= wanted <= span[1]:
        return
    best = show_window(*middle, tool.unit)
    yield f"{show(wanted, tool.unit)} lies outside the middle half of {tool.name}'s scale, {best}"


def _coarse(tool: Tool, wanted: Decimal) -> Iterator[str]:
    if tool.resolution is not None and tool.resolution > wanted * COARSE:
        step = show(tool.resolution, tool.unit)
        yield f"the scale of {tool.name} goes in steps of {step}, more than a tenth of {show(wanted, tool.unit)}"


def _too_wide(tool: Tool, away: Margin | None) -> Iterator[str]:
    """A tool that may be off by more than the window leaves can miss it with nobody at fault."""
    if away is None or away.ratio >= 1:
        return
    error, leaves = show(away.error, away.unit), show(away.leaves, away.unit)
    yield f"{tool.name} may be off by {error} (±{tool.permissible_deviation} %), and the window leaves {leaves}"
