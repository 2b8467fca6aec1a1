"""The tool for the step at hand, and what must be done with it first: take it up, zero it, set it."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from msgspec.structs import replace

from clampbook.run.fold.tools import WANTS_ZERO
from clampbook.run.fold.trouble import causes_of_a_zero
from clampbook.run.in_hand.aim import Beside, beside_due, wanted
from clampbook.run.in_hand.measuring import NOT_LISTED, measured, not_listed, serving
from clampbook.run.in_hand.offers import ToolOffer, ToolWay
from clampbook.run.in_hand.on_paper import aimed_as_used, as_it_was_used, for_this
from clampbook.run.progress import FINISHED, InHand, Need, Progress, standing
from clampbook.run.prompts import (
    Align,
    Attested,
    BackAtMark,
    BackOff,
    Confirm,
    Loosen,
    Measure,
    Prompt,
    Recheck,
    SetTool,
    TakeTool,
    Tighten,
    ToolAside,
    Turn,
    Where,
    ZeroTool,
)
from clampbook.run.session import Session
from clampbook.run.told.places import where
from clampbook.tools.adapting import of_kind, serves
from clampbook.tools.against import NoGauge, cause, clause
from clampbook.tools.aim import Aim, aim_at
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import Fitness, fitness
from clampbook.tools.model import Adapter, Tool
from clampbook.tools.ranking import Ranked, looked_at, rank, through
from clampbook.tools.state import state
from clampbook.units import UNITS_OF, Kind

_ON_LOOK_ALIKES = ("N·m", "lbf·ft", "lbf·in", "kgf·m")  # what stands on the scales of workshops (common practice)
MARKS = Tool(id="marks", name="the marks", kind="marks", unit="°")


def ready_tool(
    session: Session, index: int, place: Where, beside: Beside | None = None
) -> Aim | TakeTool | ZeroTool | SetTool:
    """Give what the pull of a plan step (from 0) aims at with the tool in hand that serves it, or what is
    asked first.
    """
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    demand = wanted(plan, step, standing(progress, step.position or ""), beside)
    assert demand is not None
    if plan.late:
        return _as_on_form(session, demand, place, beside)
    held = _with_its_adapter(demand, _in_use(progress, demand.need))
    aim = None if held is None else aim_at(demand, held.tool, held.adapter)
    fit = None if held is None or progress.found == FINISHED else _as_the_book_knows_it(session, demand, held)
    if held is None or not isinstance(aim, Aim) or _wants_a_reason(progress, held, fit):
        return _taking(session, demand, place)
    if fit is not None and fit.against:
        aim = replace(aim, despite=_despite(progress, held, fit))
    if progress.found == FINISHED:
        return _as_it_was(progress, place, aim, held)
    if held.tool.kind in WANTS_ZERO and not held.zeroed:
        return ZeroTool(held.tool, place)
    if aim.set_to is not None and (held.set_to is None or Decimal(held.set_to) != aim.set_to.value):
        return SetTool(place, aim, _units(progress, held), progress.seq == held.taken)
    return aim


def _as_on_form(
    session: Session, demand: Demand, place: Where, beside: Beside | None
) -> Aim | TakeTool | ZeroTool | SetTool:
    """The same of a pull that stands on a paper form: which tool, how its zero was, what it was set to; a torque that
    is read beside a pull has no setting."""
    progress = session.progress
    held = _in_use(progress, demand.need)
    if held is None:
        return _taking(session, demand, place)
    held = for_this(demand, held)
    if held.tool.kind in WANTS_ZERO and not held.zeroed:
        return ZeroTool(held.tool, place)
    aim = aimed_as_used(demand, held)
    known = (held.set_to is not None or held.set_blank) and held.set_for == aim.target
    if held.tool.kind == "setting" and beside is None and not known:
        return SetTool(place, aim, _units(progress, held), finished_before=True)
    return aim


def zero_after(session: Session) -> ZeroTool | None:
    """The zero after the work, which a paper form has a box for beside each tool that has one; None where all were
    asked, as at the work, where nobody looks at it then."""
    plan, progress = session.plan, session.progress
    if not plan.late:
        return None
    for held in sorted(progress.hand.values(), key=lambda each: each.taken):
        if held.tool.kind in WANTS_ZERO and not held.zeroed_after:
            return ZeroTool(held.tool, where(plan, progress, len(plan.steps) - 1), after=True)
    return None


def _taking(session: Session, demand: Demand, place: Where) -> TakeTool:
    wanted = demand.adapter
    return TakeTool(
        demand.need,
        offers(session, demand),
        place,
        demand.target,
        demand.window,
        demand.unit,
        session.unread,
        adapter=wanted,
        lacking=wanted is not None and not of_kind(session.adapters, wanted),
    )


def _with_its_adapter(demand: Demand, held: InHand | None) -> InHand | None:
    """A tool in hand where the adapter that is asked for stands on it; one that was asked for elsewhere is taken off
    again before the next pull."""
    if held is None or demand.need == "angle":
        return held
    if demand.adapter is None or held.adapter is None:  # a form may not say what was on it
        return held if held.demanded == demand.adapter else None
    return held if serves(held.adapter, demand.adapter) else None


def ready_if_in_hand(session: Session, index: int, place: Where) -> Aim | TakeTool | ZeroTool | SetTool | None:
    """The same, of a step that goes without a reading where no tool in hand shows one that suits it: None then."""
    if _in_use(session.progress, "reading") is None:
        return None
    ready = ready_tool(session, index, place)
    return None if isinstance(ready, TakeTool) else ready


def read_at_best(session: Session, index: int, place: Where) -> Aim | TakeTool | ZeroTool | SetTool | None:
    """The same where a tool that shows a reading is asked for; None where the book has none that can."""
    ready = ready_tool(session, index, place)
    none = isinstance(ready, TakeTool) and all(each.cannot is not None for each in ready.offers)
    return None if none else ready


def _units(progress: Progress, held: InHand) -> tuple[str, ...]:
    """The units that its scale may have, in an order that does not tell which: its own and what look-alike tools have,
    until one was read off it in this run, or where it has no other."""
    if held.tool.only_unit or held.tool.id in progress.scales:
        return (held.tool.unit,)
    return tuple(unit for unit in UNITS_OF[Kind.TORQUE] if unit in (*_ON_LOOK_ALIKES, held.tool.unit))


def _as_it_was(progress: Progress, place: Where, aim: Aim, held: InHand) -> Aim | SetTool:
    """A pull that was finished before a break was made as the tool was set then; where nobody knows, its scale is read
    first, for a click is worth what it was set to."""
    if aim.set_to is None:
        return aim
    if held.set_to is None:
        return SetTool(place, aim, _units(progress, held), finished_before=True)
    mark = Decimal(held.set_to)
    return aim if mark == aim.mark else replace(aim, mark=mark, applied=aim.there(mark))


def ready_gauge(session: Session, index: int, place: Where) -> Tool | TakeTool | ZeroTool:
    """Give what shows the turn of a plan step (from 0), or what is asked first."""
    progress = session.progress
    demand, held = wanted(session.plan, session.plan.steps[index]), _in_use(progress, "angle")
    assert demand is not None
    past = progress.found == FINISHED or session.plan.late
    fit = None if held is None or past else _as_the_book_knows_it(session, demand, held)
    if held is None or _wants_a_reason(progress, held, fit):
        return TakeTool("angle", offers(session, demand), place, None, (None, None), "°", session.unread)
    if progress.found != FINISHED and held.tool.kind in WANTS_ZERO and not held.zeroed:
        return ZeroTool(held.tool, place)
    return for_this(demand, held).tool


def ready_instrument(session: Session, index: int, place: Where, what: str) -> Tool | TakeTool | None:
    """Give what measures at a plan step (from 0), or ask for it; None where the book has nothing that could, or
    another one than it lists was taken."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    demand, serves = measured(plan, step, progress), progress.using.get(serving(step.stage))
    if demand is None or serves == NOT_LISTED.id:
        return None
    held = None if serves is None else progress.hand.get(serves)
    if held is not None and plan.late:
        return held.tool
    if held is not None and not _wants_a_reason(progress, held, _as_the_book_knows_it(session, demand, held)):
        return held.tool
    found = offers(session, demand)
    if not found and (held is not None or not plan.late):
        return None if held is None else held.tool
    return TakeTool("measure", found, place, None, demand.window, demand.unit, what=what)


def _as_the_book_knows_it(session: Session, demand: Demand, held: InHand) -> Fitness | None:
    """Judge how a tool in hand fits what is wanted now; None where the book does not list it, and so knows
    nothing of it.
    """
    tool, stock = held.tool, session.stock
    if all(each.id != tool.id for each in stock.tools):
        return None
    day, use = session.today, stock.use(tool.id)
    at = Circumstances(adapter=held.adapter, today=day, use=use, state=None if day is None else state(tool, day, use))
    return fitness(tool, demand, at)


def _wants_a_reason(progress: Progress, held: InHand, fit: Fitness | None) -> bool:
    """True where something speaks against a tool in hand for which nobody has given a reason yet: it suited
    the steps before and does not suit this one, or something has come to light meanwhile. A reason stands for
    tool and cause.
    """
    if fit is None:
        return False
    zero_comes_next = held.tool.kind in WANTS_ZERO and not held.zeroed
    settled = causes_of_a_zero(progress, held.tool.id) if zero_comes_next else frozenset()
    causes = (each for each in map(cause, fit.against) if each not in settled)
    return fit.cannot is not None or any((held.tool.id, each) not in progress.reasons for each in causes)


def _despite(progress: Progress, held: InHand, fit: Fitness) -> tuple[str, ...]:
    """List what speaks against it, each with the reason that was given."""
    given = ((one, progress.reasons.get((held.tool.id, cause(one)))) for one in fit.against)
    return tuple(
        f"{held.tool.name}: {clause(one)} (used anyway: {reason})" for one, reason in given if reason is not None
    )


def _in_use(progress: Progress, need: Need) -> InHand | None:
    name = progress.using.get(need)
    return progress.hand.get(name) if name is not None else None


def offers(session: Session, demand: Demand) -> tuple[ToolOffer, ...]:
    """Every tool of the book that could be thought of, as they are ranked everywhere; turning by marks, and what is not
    listed, comes last of those that can be taken."""
    found = rank(looked_at(session.stock, session.today), demand, adapters_at_hand(session))
    offered = [_offer(session, each) for each in found if _thought_of(each.tool, demand.need)]
    if session.plan.late:
        offered = _as_used(session, offered)
    can = [offer for offer in offered if offer.cannot is None]
    if demand.need == "angle":
        can.append(ToolOffer(MARKS, (NoGauge(),), on_form=session.plan.late))
    if demand.need == "measure" and offered:
        can.append(ToolOffer(not_listed(demand)))
    return (*can, *(offer for offer in offered if offer.cannot is not None))


def _as_used(session: Session, offered: list[ToolOffer]) -> list[ToolOffer]:
    """As they can stand on a form: in the order of the file, so that each keeps its number from stage to stage."""
    order = {tool.id: place for place, tool in enumerate(session.tools)}
    hand = session.progress.hand
    found = [as_it_was_used(each, session.today, in_hand=each.tool.id in hand) for each in offered]
    return sorted(found, key=lambda each: order.get(each.tool.id, len(order)))


def adapters_at_hand(session: Session) -> tuple[Adapter, ...]:
    """The adapters of the book, with the lengths that were measured in this run; how one is put on is asked anew."""
    lengths = session.progress.lengths
    return tuple(
        replace(each, extension=lengths.get(each.id)) if each.extension is None else each for each in session.adapters
    )


def way_through(session: Session, demand: Demand, tool: Tool, adapter: Adapter) -> ToolWay:
    """A tool with an adapter whose length and angle are known now."""
    looked = next(each for each in looked_at(session.stock, session.today) if each[0].id == tool.id)
    return _way(through(looked[0], demand, looked[1], adapter))


def wanted_at(prompt: Prompt, session: Session) -> tuple[Demand, Where] | None:
    """Give what a prompt wants of a tool, and where in the work; None where none is used."""
    if isinstance(prompt, Attested | ToolAside):
        return None
    match prompt:
        case Confirm(pull=pull):
            return None if pull is None else wanted_at(pull, session)
        case TakeTool(need="measure"):
            return _measured_at(prompt.where, session)
        case ZeroTool(after=True):
            return None
        case Align() | TakeTool() | Tighten() | SetTool() | Recheck() | Turn() | ZeroTool():
            place = prompt.where
        case Measure(part=part):
            if part is None or part == "stretch":
                return _measured_at(prompt.where, session)
            place = prompt.where
        case Loosen() | BackOff() | BackAtMark():
            return None
        case _:
            assert_never(prompt)
    plan = session.plan
    step = plan.steps[plan.index_of[place.id]]
    state = standing(session.progress, step.position or "")
    demand = wanted(plan, step, state, beside_due(plan, step, state))
    return None if demand is None else (demand, place)


def _measured_at(place: Where, session: Session) -> tuple[Demand, Where] | None:
    """The same where something is measured; None where the book has nothing that could."""
    plan = session.plan
    demand = measured(plan, plan.steps[plan.index_of[place.id]], session.progress)
    return (demand, place) if demand is not None and offers(session, demand) else None


def _thought_of(tool: Tool, need: Need) -> bool:
    """Gauges and what reads angles for a turn, everything else but references for a torque; of instruments only those
    were ranked that measure it."""
    if tool.kind == "reference":
        return False
    if need == "measure":
        return True
    return (tool.kind == "angle gauge" or tool.reads_angle) if need == "angle" else tool.kind != "angle gauge"


def _offer(session: Session, ranked: Ranked) -> ToolOffer:
    """A tool with what speaks against it; with adapters in the book also each way of taking it."""
    fit, last = ranked.fit, ranked.tool.id in session.last_run.tools
    ways = tuple(map(_way, ranked.ways))
    was = session.use(ranked.tool.id).serial_was
    return ToolOffer(ranked.tool, fit.against, fit.notes, fit.cannot, ways, last, was, open=ranked.open)


def _way(ranked: Ranked) -> ToolWay:
    return ToolWay(ranked.adapter, ranked.fit.against, ranked.fit.notes, ranked.fit.cannot)
