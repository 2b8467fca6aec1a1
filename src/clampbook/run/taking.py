"""Which tool serves the step at hand, and what must be done with it first: take it up, zero it, set it."""

from __future__ import annotations

from decimal import Decimal

from clampbook.run.acceptance import accepted
from clampbook.run.demands import demand
from clampbook.run.fold.tools import WANTS_ZERO
from clampbook.run.plan import Plan
from clampbook.run.progress import InHand, Need, Pass, Progress
from clampbook.run.prompts import Ends, SetTool, TakeTool, ToolOffer, Where, ZeroTool
from clampbook.run.session import Session
from clampbook.run.tool_offers import ToolWay
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.lever import NoReach, reach
from clampbook.tools.model import WORKING, Adapter, Tool
from clampbook.tools.ranking import Ranked, order, ranked
from clampbook.tools.setting import CannotHold, on_tool, what_to_set
from clampbook.units import UNITS_OF, Kind

FINISHED = "finished, not typed"  # what was found at the step at hand after a break
MARKS = Tool(id="marks", name="the marks", kind="marks", unit="°")
WITHOUT_GAUGE = "the sheet wants this turn judged by a gauge, for from mark to mark there is no number"


def ready_tool(
    session: Session, need: Need, target: Decimal | None, window: Ends, place: Where
) -> InHand | TakeTool | ZeroTool | SetTool:
    """The tool in hand that serves the need, or what is to be asked first; figures are in the sheet's unit."""
    progress, unit = session.progress, session.plan.unit
    held = _in_use(progress, need)
    if held is None or held.out or _cannot(held, target, window, unit) or _too_doubtful(session, held, target, window):
        of = unit if need != "angle" else "°"
        return TakeTool(need, offers(session, need, target, window, place), place, target, window, of, session.unread)
    tool = held.tool
    if progress.found == FINISHED:
        return held
    if tool.kind in WANTS_ZERO and not held.zeroed:
        return ZeroTool(tool, place)
    if tool.kind == "setting" and target is not None:
        setting = what_to_set(target, window, unit, tool, held.adapter)
        assert not isinstance(setting, CannotHold)
        if held.set_to is None or Decimal(held.set_to) != setting.value:
            first = progress.seq == held.taken
            return SetTool(tool, setting, UNITS_OF[Kind.TORQUE], place, target, window, unit, held.adapter, first)
    return held


def _in_use(progress: Progress, need: Need) -> InHand | None:
    name = progress.using.get(need)
    return progress.hand.get(name) if name is not None else None


def _cannot(held: InHand, target: Decimal | None, window: Ends, unit: str) -> bool:
    tool = held.tool
    if target is None or tool.kind not in WORKING:
        return False
    if tool.kind == "indicating":
        wanted = on_tool(target, unit, tool, held.through)
        below = tool.minimum is not None and wanted < tool.minimum
        return below or (tool.maximum is not None and wanted > tool.maximum)
    return isinstance(what_to_set(target, window, unit, tool, held.adapter), CannotHold)


def _too_doubtful(session: Session, held: InHand, target: Decimal | None, window: Ends) -> bool:
    plan = session.plan
    return accepted(plan.accept, held.tool, target, window, plan.unit, held.through) is None


def offers(
    session: Session, need: Need, target: Decimal | None, window: Ends, place: Where | None = None
) -> tuple[ToolOffer, ...]:
    """Every tool of the book that could be thought of, those that fit best first; turning by marks comes last."""
    plan = session.plan
    step = plan.steps[plan.index_of[place.id]] if place is not None else None
    wanted = demand(plan, step, need, target, window) if need != "angle" else demand(plan, step, need)
    found = [_offer(session, tool, wanted) for tool in session.tools if _thought_of(tool, need)]
    found.sort(key=lambda pair: order(pair[0]))
    offered = [offer for _, offer in found]
    if need == "angle":
        offered.append(ToolOffer(MARKS, (WITHOUT_GAUGE,)))
    return tuple(offered)


def _thought_of(tool: Tool, need: Need) -> bool:
    """Gauges and what reads angles for a turn, everything else but references for a torque."""
    if tool.kind == "reference":
        return False
    return (tool.kind == "angle gauge" or tool.reads_angle) if need == "angle" else tool.kind != "angle gauge"


def _offer(session: Session, tool: Tool, wanted: Demand) -> tuple[Ranked, ToolOffer]:
    """A tool with what speaks against it; with adapters in the book also each way of taking it."""
    straight = ranked(tool, wanted, _at(session, tool, None))
    held = session.progress.hand.get(tool.id)
    dropped: tuple[str, ...] = ()
    if held is not None and held.out:
        dropped = (f"{tool.name} was dropped in this run and has not been checked since",)
    ways = [_way(straight, None, dropped, _nothing_left(session, tool, wanted, None))]
    if tool.kind in WORKING and wanted.need != "angle":
        for adapter in session.adapters:
            if not isinstance(reach(tool, adapter), NoReach):
                found = ranked(tool, wanted, _at(session, tool, adapter))
                ways.append(_way(found, adapter, dropped, _nothing_left(session, tool, wanted, adapter)))
    best = next((way for way in ways if way.cannot is None), ways[0])
    several, last = tuple(ways) if len(ways) > 1 else (), tool.id in session.last_run.tools
    offer = ToolOffer(tool, best.refused, best.notes, best.cannot, several, last)
    return straight, offer


def _way(found: Ranked, adapter: Adapter | None, dropped: tuple[str, ...], doubtful: str | None) -> ToolWay:
    fit = found.fit
    return ToolWay(adapter, (*dropped, *fit.refused), fit.notes, fit.cannot or doubtful)


def _nothing_left(session: Session, tool: Tool, wanted: Demand, adapter: Adapter | None) -> str | None:
    """That this tool leaves nothing of a guarded window, in a sentence."""
    plan, through = session.plan, reach(tool, adapter)
    if plan.accept == "simple" or wanted.need == "angle" or isinstance(through, NoReach):
        return None
    if accepted(plan.accept, tool, wanted.target, wanted.window, plan.unit, through) is not None:
        return None
    return f"what is not known of {tool.name} leaves nothing of the window, which this procedure wants guarded"


def _at(session: Session, tool: Tool, adapter: Adapter | None) -> Circumstances:
    return Circumstances(adapter=adapter, today=session.today, use=session.use(tool.id))


def at_work(plan: Plan, progress: Progress, index: int) -> Pass:
    """The pass that a recheck step belongs to now."""
    first, _ = plan.run_of[index]
    current = progress.passes.get(first) or Pass()
    return Pass(number=current.number, allowed=current.allowed) if current.over else current
