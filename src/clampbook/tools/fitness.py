"""Fitness of a tool for what a step needs: what rules it out, what needs a reason to go on, what is only noted."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, Context, Decimal
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.tools.against import AdapterBeyond, EndOfTurn, MayBeOff, OffRange, One, PullsBeyond
from clampbook.tools.aim import Aim, Unusable, aim_at, not_on_it, wrong_kind
from clampbook.tools.certificate import certified_at, not_known
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.measuring import against_it, noted
from clampbook.tools.model import WORKING, Tool
from clampbook.tools.prevailing import UpTo, read_from, torque_words, unreadable, usable_up_to
from clampbook.tools.setting import on_tool
from clampbook.tools.state import State, state
from clampbook.units import convert, show, show_span

USEFUL_FROM = Decimal("0.2")  # of the maximum: what tools are rated for, and what workshops keep to
COARSE = Decimal("0.1")  # of the torque: a scale with wider steps is noted (US Army TM 1-1500-204-23-9, Table 8-1)
ANYHOW = Circumstances()
_SHORT_ROOT, _SHORT = Context(prec=12), Context(prec=3, rounding=ROUND_CEILING)


class Fitness(Struct, frozen=True):
    """`cannot` is final, each of `against` needs a reason to go on, `notes` are for the person to know.

    `reads_from` is the least torque at the fastener that it can show, where less may have to be read, and `up_to` the
    greatest prevailing torque with which it can be used, where more may come; both in the demand's unit.
    """

    cannot: str | None = None
    against: tuple[One, ...] = ()
    notes: tuple[str, ...] = ()
    reads_from: Decimal | None = None
    up_to: Decimal | None = None

    @property
    def suits(self) -> bool:
        """True where nobody has to give a reason for taking the tool."""
        return self.cannot is None and not self.against


class Margin(Struct, frozen=True):
    """A pull with the tool at `mark` of its own scale: the torque at the fastener, by how much it may be off there
    (`percent` of it), and what the window leaves, all three in `unit`."""

    mark: Decimal
    applied: Decimal
    error: Decimal
    leaves: Decimal
    unit: str
    percent: Decimal

    @property
    def ratio(self) -> Decimal:
        """Width of the window in multiples of what the tool may be off."""
        return self.leaves / self.error


def fitness(tool: Tool, demand: Demand, at: Circumstances = ANYHOW) -> Fitness:
    """Fitness of a tool, as it stands, for what a step wants of it."""
    return fitness_and_margin(tool, demand, at)[0]


def fitness_and_margin(
    tool: Tool, demand: Demand, at: Circumstances = ANYHOW
) -> tuple[Fitness, Margin | None, Aim | None]:
    """The same, how the tool's error stands to the window (None where either is not known), and what it aims at."""
    cannot = wrong_kind(tool, demand)
    if cannot is not None:
        return Fitness(cannot=cannot), None, None
    cannot = not_on_it(tool, demand, at.adapter)
    if cannot is not None:
        return Fitness(cannot=cannot), None, None
    cannot, against, notes = _as_it_stands(tool, at)
    if cannot is not None:
        return Fitness(cannot=cannot), None, None
    if demand.need == "measure":
        return _fit((*against, *against_it(tool, demand)), (*notes, *noted(tool, demand))), None, None
    if demand.need == "angle":
        return _fit((*against, *_end_of_turn(tool, demand)), notes), None, None
    if demand.unit is None:
        return _fit(against, notes), None, None
    aim, point = aim_at(demand, tool, at.adapter), demand.point
    if isinstance(aim, Unusable):
        return Fitness(cannot=aim.sentence), None, None
    if point is None:
        start = read_from(demand, aim)
        told = notes if start is None else (*notes, unreadable(aim))
        return replace(_fit(against, told), reads_from=start), None, aim
    away, wanted = _margin(tool, demand, aim), on_tool(point, demand.unit, tool, aim.through)
    against = (*against, *_outside_working_range(tool, wanted), *_more_than_borne(aim, wanted), *_too_wide(away))
    up_to = usable_up_to(demand, aim)
    notes = notes if up_to is None else (*notes, _only_up_to(tool, up_to, demand))
    told = (*notes, *_outside_middle(tool, wanted), *_coarse(tool, wanted))
    return replace(_fit(against, told), up_to=None if up_to is None else up_to.most), away, aim


def _fit(against: tuple[One, ...], notes: tuple[str, ...]) -> Fitness:
    return Fitness(None, against, notes)


def _margin(tool: Tool, demand: Demand, aim: Aim) -> Margin | None:
    low, high = demand.window
    if aim.mark is None or aim.applied is None:
        return None
    known = certified_at(tool, aim.mark)
    percent = tool.permissible_deviation if known is None else not_known(known, tool.coverage)
    if percent is None:
        return None
    rooms = [aim.applied - low] if low is not None else []
    rooms += [high - aim.applied] if high is not None else []
    if aim.through.unsure:  # of a multiplier's ratio, which does not depend on the tool (JCGM 100:2008, 5.1.2)
        percent = _SHORT.plus(_SHORT_ROOT.sqrt(percent**2 + (2 * aim.through.unsure) ** 2))
    error = aim.applied * percent / 100
    return Margin(aim.mark, aim.applied, error, min(rooms), aim.unit, percent) if rooms and error else None


def _only_up_to(tool: Tool, up_to: UpTo, demand: Demand) -> str:
    return f"{tool.name}: above {torque_words(up_to.most, demand.unit)} of prevailing torque, {up_to.beyond}"


def useful_span(tool: Tool) -> tuple[Decimal, Decimal] | None:
    """The part of the scale that is used: as written, or from a fifth of the maximum up to it."""
    if tool.working_range is not None or tool.maximum is None:
        return tool.working_range
    return tool.maximum * USEFUL_FROM, tool.maximum


def middle_half(tool: Tool) -> tuple[Decimal, Decimal] | None:
    """From a quarter to three quarters of the scale, where tools read best (tests/reference holds the sources)."""
    if tool.maximum is None:
        return None
    minimum = tool.minimum or Decimal(0)
    quarter = (tool.maximum - minimum) / 4
    return minimum + quarter, tool.maximum - quarter


def place_on_scale(tool: Tool, wanted: Decimal) -> Literal["best", "low", "high"] | None:
    """Tell where in its working range a torque lies; None outside it, and where the scale has no known end."""
    middle, span = middle_half(tool), useful_span(tool)
    if span is None or not span[0] <= wanted <= span[1]:
        return None
    if middle is None or middle[0] <= wanted <= middle[1]:
        return "best"
    return "low" if wanted < middle[0] else "high"


def standing(tool: Tool, at: Circumstances) -> State | None:
    """In what state a tool is, as far as anybody has looked or the day is known; marks are always there."""
    if tool.kind == "marks" or at.state is not None or at.today is None:
        return at.state
    return state(tool, at.today, at.use)


def _as_it_stands(tool: Tool, at: Circumstances) -> tuple[str | None, tuple[One, ...], tuple[str, ...]]:
    """Words of its calibration, its last check and the like: that it is out, what needs a reason, what is only said."""
    found = standing(tool, at)
    if found is None:
        return None, (), ()
    if found.out:
        return f"{tool.name}: {found.because[0]}", (), ()
    return None, found.against, _of(tool, found.notes)


def _of(tool: Tool, clauses: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{tool.name}: {each}" for each in clauses)


def _end_of_turn(tool: Tool, demand: Demand) -> Iterator[One]:
    """A torque tool that turns must bear the torque at the end of the turn."""
    if demand.up_to is None or demand.unit is None or tool.kind not in WORKING or tool.maximum is None:
        return
    end = convert(demand.up_to, demand.unit, tool.unit)
    if end > tool.maximum:
        yield EndOfTurn(end, tool.maximum, tool.unit)


def _outside_working_range(tool: Tool, wanted: Decimal) -> Iterator[One]:
    """Outside the working range a reason is asked for."""
    span = useful_span(tool)
    if span is None or span[0] <= wanted <= span[1]:
        return
    if tool.maximum is not None and wanted > tool.maximum:  # nothing is aimed at there, but the pull may go so far
        yield PullsBeyond(wanted, tool.maximum, tool.unit)
    else:
        yield OffRange(wanted, *span, tool.unit)


def _more_than_borne(aim: Aim, wanted: Decimal) -> Iterator[One]:
    """A multiplier that is not aimed at a torque can be pulled beyond what it bears."""
    borne = aim.through.greatest(aim.tool.unit)
    if borne is not None and aim.adapter is not None and wanted > borne[0]:
        yield AdapterBeyond(wanted, aim.tool.unit, aim.adapter.name, borne[1])


def _outside_middle(tool: Tool, wanted: Decimal) -> Iterator[str]:
    """Outside the middle half of the scale it is said, unless a reason is asked for already."""
    middle, side = middle_half(tool), place_on_scale(tool, wanted)
    if middle is not None and side in ("low", "high"):
        best = show_span(*middle, tool.unit)
        yield f"{tool.name}: {show(wanted, tool.unit)} is {side} on its scale (best {best})"


def _coarse(tool: Tool, wanted: Decimal) -> Iterator[str]:
    if tool.resolution is not None and tool.resolution > wanted * COARSE:
        step = show(tool.resolution, tool.unit)
        yield f"{tool.name}: scale lines {step} apart, coarse for {show(wanted, tool.unit)}"


def _too_wide(away: Margin | None) -> Iterator[One]:
    """A tool that may be off by more than the window leaves can miss it with nothing done wrong."""
    if away is not None and away.ratio < 1:
        yield MayBeOff(away.error, away.leaves, away.unit, away.percent)
