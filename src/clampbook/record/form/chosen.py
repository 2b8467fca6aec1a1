"""The tools that somebody chose for a form: which of them does which stage, and what it is set to there.

What it aims at is the same value as in the walk (`tools/aim`); nothing is worked out here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from decimal import Context, Decimal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.procedure.model import Stage
from clampbook.record.form.places import PULL_TO, adds_prevailing, reads_prevailing
from clampbook.run.in_hand.demands import StageDemand, demands
from clampbook.run.kinds.pulls import until_it_gives
from clampbook.run.plan import Plan
from clampbook.run.told.torques import at_mark, windows
from clampbook.text import as_sentence
from clampbook.tools.against import clause
from clampbook.tools.aim import OPEN, Aim, named
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.model import MEASURING, WORKING, Adapter, Stock, Tool
from clampbook.tools.ranking import Ranked, looked_at, ranked, through
from clampbook.tools.setting import on_tool
from clampbook.tools.state import STATE_WORDS
from clampbook.units import plain

_ONE, _SHORT = Decimal(1), Context(prec=4)
_FIELDS = {  # where it is written
    "tighten": "Tool",
    "recheck": "Tool",
    "prevailing torque": "Prevailing read with",
    "turn": "Angle gauge",
    "final torque": "Torque tool",
    "measure": "Instrument",
    "stretch": "Instrument",
}


class Choice(Struct, frozen=True):
    """A tool of the book, with the adapter on it; for all stages, or for the one of this number alone."""

    tool: Tool
    adapter: Adapter | None = None
    stage: int | None = None

    @property
    def name(self) -> str:
        """As it is called: "W2", "W7+A1"."""
        return named(self.tool, self.adapter)


class Taken(Struct, frozen=True):
    """The chosen tools, and by the number of a stage in the plan what is said of them there and printed in its boxes
    (None: nobody writes there); of the same stage at several joints by that of the first. `against` says by the id of
    a tool why it is not ready. The `unused` stand at no stage."""

    choices: tuple[Choice, ...] = ()
    lines: dict[int, tuple[str, ...]] = {}
    boxes: dict[int, dict[str, str | None]] = {}
    against: dict[str, str] = {}
    unused: tuple[Choice, ...] = ()


NOTHING = Taken()


def choice(said: str, stock: Stock) -> Choice:
    """Find a tool as somebody names it: "W2", or "W7+A1"; for stage 5 alone "5=W7". Raises ValueError with
    a sentence."""
    before, alone, rest = said.partition("=")
    if alone:
        if not re.fullmatch("[0-9]{1,4}", before.strip()):
            raise ValueError(f"“{before}” is not the number of a stage. Write a tool for stage 5 alone as 5={rest}.")
        return replace(choice(rest, stock), stage=int(before))
    name, _, on_it = said.partition("+")
    tool = next((each for each in stock.tools if name.casefold() in (each.id, each.name.casefold())), None)
    if tool is None:
        raise ValueError(f"No tool “{name}” in this book. It has {_names(stock.tools)}.")
    if not on_it:
        return Choice(tool)
    adapter = next((each for each in stock.adapters if on_it.casefold() in (each.id, each.name.casefold())), None)
    if adapter is None:
        raise ValueError(f"No adapter “{on_it}” in this book. It has {_names(stock.adapters)}.")
    return Choice(tool, adapter)


def _names(things: Sequence[Tool | Adapter]) -> str:
    return ", ".join(each.name for each in things) or "none yet"


def taken(plan: Plan, choices: Sequence[Choice], stock: Stock, today: date | None) -> Taken:
    """Give for each stage the first of these that suits it, else the first that can do it with a reason; one that was
    chosen for it alone goes before the others. Raises ValueError with a sentence where there is no such stage."""
    told = {plan.numbered[each.number] for each in plan.stages if each.number in plan.first_of_stage}
    if lost := next((one for one in choices if one.stage is not None and one.stage not in told), None):
        raise ValueError(f"No stage {lost.stage} here for {lost.name}. The stages are {min(told)} to {max(told)}.")
    used: list[Choice] = []
    lines: dict[int, list[str]] = {}
    boxes: dict[int, dict[str, str | None]] = {}
    circumstances = {tool.id: at for tool, at in looked_at(stock, today)}
    for each in demands(plan):
        stage = _stage(plan, each)
        if each.what == "prevailing torque" and not reads_prevailing(stage, plan):
            continue
        meant = [one for one in choices if one.tool.id in circumstances and _meant(one.tool, each.demand)]
        alone = [one for one in meant if one.stage == plan.numbered[stage.number]]
        meant = alone or [one for one in meant if one.stage is None]
        ways = [_way(one, each.demand, circumstances) for one in meant]
        if not ways:
            continue
        at = _best(ways)
        used += [] if at is None else [meant[at]]
        said, written = ([_cannot(each, ways)], {}) if at is None else _told(plan, each, ways[at])
        known = lines.setdefault(stage.number, [])
        known.extend(line for line in said if line not in known)
        boxes.setdefault(stage.number, {}).update(written)
    in_words = {number: tuple(said) for number, said in lines.items()}
    against = {tool: _against(at) for tool, at in circumstances.items()}
    return Taken(tuple(choices), in_words, boxes, against, tuple(one for one in choices if one not in used))


def _best(ways: Sequence[Ranked]) -> int | None:
    """The place of the first that suits, else of the first that can do it; None where none can."""
    suits = (at for at, way in enumerate(ways) if way.suitable)
    can = (at for at, way in enumerate(ways) if way.fit.cannot is None)
    return next(suits, next(can, None))


def _against(at: Circumstances) -> str:
    """One word or two beside its calibration day; nothing of a tool that is ready."""
    if at.state is None or at.state.fit:
        return ""
    return "overdue" if at.state.word == "calibration past" else STATE_WORDS[at.state.word]


def _stage(plan: Plan, each: StageDemand) -> Stage:
    """The stage of a demand in the plan, which is not the number that it is told by: of several joints that of the
    first."""
    return plan.stage_of(plan.steps[each.first])


def _meant(tool: Tool, demand: Demand) -> bool:
    """True where somebody might have chosen it for this."""
    match demand.need:
        case "measure":
            return tool.kind in MEASURING
        case "angle":
            return tool.kind == "angle gauge" or tool.reads_angle
        case _:
            return tool.kind in WORKING


def _way(one: Choice, demand: Demand, at: dict[str, Circumstances]) -> Ranked:
    here = at[one.tool.id]
    if one.adapter is None:
        return ranked(one.tool, demand, here)
    return through(one.tool, demand, here, one.adapter)


def _cannot(each: StageDemand, ways: Sequence[Ranked]) -> str:
    """Say that none of them can, and why not, as the walk says it."""
    beside = "" if each.what in ("tighten", "recheck") else f" ({each.what})"
    why = (f"{named(way.tool, way.adapter)} cannot: {_behind_its_name(way)}" for way in ways)
    return " ".join((f"No chosen tool can do this{beside}.", *map(as_sentence, why)))


def _behind_its_name(way: Ranked) -> str:
    return (way.fit.cannot or "").removeprefix(f"{way.tool.name}: ")


def _told(plan: Plan, each: StageDemand, way: Ranked) -> tuple[list[str], dict[str, str | None]]:
    """Say what is done with it, and what stands in the boxes."""
    name = named(way.tool, way.adapter)
    boxes: dict[str, str | None] = {_FIELDS[each.what]: name}
    said: list[str] = []
    if each.what in ("tighten", "recheck"):
        said.append(_pulled(plan, each, way, name))
        if way.aim is not None and way.aim.set_to is not None and not _adds(plan, each):
            boxes["Set to"] = at_mark(way.aim)
        elif way.aim is not None and way.aim.reading:
            boxes["Set to"] = None  # what shows its reading is not set
    elif each.what == "prevailing torque" and way.aim is not None and (times := _on_it(plan, way.aim)) != _ONE:
        said.append(f"Prevailing torque on {name}: {way.tool.unit} ÷ {plain(_SHORT.plus(times))} is {plan.unit}.")
    if way.fit.against:
        said.append(as_sentence(f"{name} needs a reason: {'. '.join(map(clause, way.fit.against))}"))
        boxes["Reason"] = ""
    return said, boxes


def _adds(plan: Plan, each: StageDemand) -> bool:
    stage = _stage(plan, each)
    return adds_prevailing(stage, plan.group_named.get(stage.group or ""))


def _pulled(plan: Plan, each: StageDemand, way: Ranked, name: str) -> str:
    aim = way.aim
    if aim is None:
        return f"Tool: {name}. Measure its adapter first."
    around = f" {aim.direction}"
    if _adds(plan, each):
        return f"{_to_its_own(plan, aim)} Pull slowly{around}{'' if aim.reading else f' {until_it_gives(aim)}'}."
    if aim.mark is None:
        return f"Pull {aim.hand} slowly{around}. Write its reading."
    if aim.reading:
        judged = "" if aim.window == OPEN else f", {windows(aim)}"
        return f"Pull {aim.hand} slowly{around} to {at_mark(aim)}{judged}. Write its reading."
    return f"Set {aim.hand} to {at_mark(aim)}. Pull it slowly{around} {until_it_gives(aim)}."


def _to_its_own(plan: Plan, aim: Aim) -> str:
    """Say how what each fastener is pulled to comes to what stands on the tool."""
    times = _on_it(plan, aim)
    does = f"Stop {aim.hand} at" if aim.reading else f"Set {aim.hand} to"
    if times == _ONE:
        return f"{does} what stands under {PULL_TO}."
    return f"{does} {plain(_SHORT.plus(times))} × what stands under {PULL_TO}, in {aim.tool.unit}."


def _on_it(plan: Plan, aim: Aim) -> Decimal:
    """Give what the tool shows for one of the procedure's unit at the fastener."""
    return on_tool(_ONE, plan.unit, aim.tool, aim.through)
