"""Which tool serves the step at hand, and what must be done with it first: take it up, zero it, set it."""

from __future__ import annotations

from decimal import Decimal

from clampbook.run.fold.tools import WANTS_ZERO
from clampbook.run.plan import Plan
from clampbook.run.progress import InHand, Need, Pass, Progress
from clampbook.run.prompts import Ends, SetTool, TakeTool, ToolOffer, Where, ZeroTool
from clampbook.run.session import Session
from clampbook.tools.fitness import fitness
from clampbook.tools.model import Tool
from clampbook.tools.setting import CannotHold, what_to_set
from clampbook.units import UNITS_OF, Kind, convert

FINISHED = "finished, not typed"  # what was found at the step at hand after a break
MARKS = Tool(id="marks", name="the marks", kind="marks", unit="°")
WITHOUT_GAUGE = "the sheet wants this turn judged by a gauge, for from mark to mark there is no number"


def ready_tool(
    session: Session, need: Need, target: Decimal | None, window: Ends, unit: str, place: Where
) -> Tool | TakeTool | ZeroTool | SetTool:
    """The tool in hand that serves the need, or what is to be asked first."""
    progress = session.progress
    held = _in_use(progress, need)
    if held is None or held.out or _cannot(held.tool, target, window, unit):
        return TakeTool(need, offers(session, need, target, window, unit), place, target, window, unit)
    tool = held.tool
    if progress.found == FINISHED:
        return tool
    if tool.kind in WANTS_ZERO and not held.zeroed:
        return ZeroTool(tool, place)
    if tool.kind == "setting" and target is not None:
        setting = what_to_set(target, window, unit, tool)
        assert not isinstance(setting, CannotHold)
        if held.set_to is None or Decimal(held.set_to) != setting.value:
            return SetTool(tool, setting, UNITS_OF[Kind.TORQUE], place, target, window, unit)
    return tool


def _in_use(progress: Progress, need: Need) -> InHand | None:
    name = progress.using.get(need)
    return progress.hand.get(name) if name is not None else None


def _cannot(tool: Tool, target: Decimal | None, window: Ends, unit: str) -> bool:
    if target is None or tool.kind not in ("setting", "indicating"):
        return False
    if tool.kind == "indicating":
        wanted = convert(target, unit, tool.unit)
        below = tool.minimum is not None and wanted < tool.minimum
        return below or (tool.maximum is not None and wanted > tool.maximum)
    return isinstance(what_to_set(target, window, unit, tool), CannotHold)


def offers(session: Session, need: Need, target: Decimal | None, window: Ends, unit: str) -> tuple[ToolOffer, ...]:
    """Every tool of the book that could be thought of, those that fit first; turning by marks comes last."""
    found: list[ToolOffer] = []
    for tool in session.tools:
        if tool.kind == "reference":
            continue
        if (tool.kind == "angle gauge" or tool.reads_angle) != (need == "angle") and need == "angle":
            continue
        if tool.kind == "angle gauge" and need != "angle":
            continue
        fit = fitness(tool, need, target, window, unit if need != "angle" else None)
        held = session.progress.hand.get(tool.id)
        refused = fit.refused
        if held is not None and held.out:
            refused = (f"{tool.name} was dropped in this run and has not been checked since", *refused)
        found.append(ToolOffer(tool, refused, fit.notes, fit.cannot))
    found.sort(key=lambda offer: (offer.cannot is not None, len(offer.refused), len(offer.notes)))
    if need == "angle":
        found.append(ToolOffer(MARKS, (WITHOUT_GAUGE,)))
    return tuple(found)


def at_work(plan: Plan, progress: Progress, index: int) -> Pass:
    """The pass that a recheck step belongs to now."""
    first, _ = plan.run_of[index]
    current = progress.passes.get(first) or Pass()
    return Pass(number=current.number, allowed=current.allowed) if current.over else current
