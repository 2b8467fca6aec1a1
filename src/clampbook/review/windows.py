"""A query about tools: whether any tool of a book can hold what a stage wants, whatever day it is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, assert_never

from clampbook.procedure.labels import listed
from clampbook.procedure.model import Align, Group, Loosen, Pulled, Recheck, Stage, Tighten, Turn, Unmoved
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.text import quoted
from clampbook.tools.adapting import of_kind
from clampbook.tools.demand import Demand, Need
from clampbook.tools.measured import demanded
from clampbook.tools.model import WORKING, Adapter, Stock
from clampbook.tools.ranking import Looked, Ranked, looked_at, rank, reasons, through
from clampbook.units import show, show_window

_NAMED = 3
_VERBS: dict[Need, str] = {"reading": "show", "measure": "measure"}

_A_NAME = re.compile(r"[A-Za-z]{1,2}[- ]?\d{1,3}")  # as on a tool, and no words that say what it is


def windows(look: Look, stock: Stock) -> Iterator[Raised]:
    """Each demand that no tool holds, with or without an adapter of the book, once, at the first stage that has it.

    Nothing where the book has no tools. Calibration dates are of no matter: a procedure is written for years. Withdrawn
    tools are left out.
    """
    tools = looked_at(Stock(tuple(tool for tool in stock.tools if tool.withdrawn is None), stock.adapters))
    if not tools:
        return
    groups = {group.name: group for _, group in look.groups}
    missing = tuple(_no_adapters(look, stock.adapters))
    yield from missing
    seen: set[Demand] = set()
    queried: set[Decimal | None] = set()
    for each in look.stages:
        for key, demand in _wants(look, each, groups.get(each.stage.group or "")):
            if demand in seen or (isinstance(each.stage, Recheck) and demand.target in queried):
                continue  # what cannot be pulled cannot be rechecked either, which needs no word of its own
            seen.add(demand)
            if any(each.found == demand.adapter for each in missing):
                continue
            for question in _held((*each.at, key), demand, tools, stock.adapters):
                queried.add(demand.target)
                yield question


def _no_adapters(look: Look, adapters: tuple[Adapter, ...]) -> Iterator[Raised]:
    """Adapters that are asked for and not there, where they are named first: another one makes another lever, and
    another setting (FAA AC 43.13-1B, par. 7-40)."""
    asked = [(at, group.adapter) for at, group in look.groups]
    asked += [(each.at, each.stage.adapter) for each in look.stages if isinstance(each.stage, Pulled)]
    places: dict[str, KeyPath] = {}
    for at, wanted in asked:
        if wanted and not of_kind(adapters, wanted):
            places.setdefault(wanted, at)
    named = dict.fromkeys(kind for adapter in adapters for kind in adapter.kinds or ())
    for wanted, at in places.items():
        yield Raised(
            (*at, "adapter"),
            Code.NO_ADAPTER,
            f"no adapter in tools.toml is {quoted(wanted)}",
            found=wanted,
            allowed=listed(named) if named else "an [[adapter]] that says what it is",
            hint=_described(wanted, adapters),
        )


def _described(wanted: str, adapters: tuple[Adapter, ...]) -> str:
    """The hint about an adapter that is not there. A procedure says what it must be: the name on one of a book's is
    another one's in the next book."""
    meant = next((each for each in adapters if wanted.casefold() in (each.id, each.name.casefold())), None)
    if meant is not None and meant.kinds:
        return f'write what {meant.name} is, adapter = "{meant.kinds[0]}"'
    if meant is not None or _A_NAME.fullmatch(wanted):
        described = '"open end, 19 mm"'
        return f"describe it, such as adapter = {described}, with is = {described} in its [[adapter]]"
    return f'add is = "{wanted}" to its [[adapter]] in tools.toml, or correct adapter'


def _wants(look: Look, each: Placed, group: Group | None) -> Iterator[tuple[str, Demand]]:
    unit, stage = look.procedure.unit, each.stage
    back = group is not None and group.left_hand
    yield from _measured(look, stage)
    if isinstance(stage, Loosen | Unmoved):
        return
    as_judged: dict[str, Any] = {"unit": unit, "anticlockwise": back, "accept": look.procedure.accept}
    as_judged["adapter"] = stage.through
    match stage:
        case Tighten():
            need: Need = "torque" if stage.stretch is None else "reading"
            ends = (stage.window.low, stage.window.high)
            yield "to", Demand(target=stage.target, window=ends, need=need, **as_judged)
        case Recheck():
            need = "reading" if stage.method == "first movement" else "torque"
            ends = (None, None) if stage.window is None else (stage.window.low, stage.window.high)
            yield "at", Demand(target=stage.target, window=ends, need=need, **as_judged)
        case Turn():
            if stage.judged_by == "gauge":
                yield "judged_by", Demand(need="angle")
            if stage.final_torque is not None:
                ends = (stage.final_torque.low, stage.final_torque.high)
                reads: dict[str, Any] = {"unit": unit, "anticlockwise": back, "adapter": stage.through}
                yield "final_torque", Demand(need="reading", window=ends, **reads)
        case Align():  # a reading is left out where no tool shows one
            pass
        case _ as never:
            assert_never(never)


def _measured(look: Look, stage: Stage) -> Iterator[tuple[str, Demand]]:
    """Yield what is measured in a stage, and the key that says it."""
    wanted = demanded(look.procedure.stages, stage)
    if wanted is not None:
        yield ("stretch_between" if isinstance(stage, Tighten) else "what"), wanted


def _held(at: KeyPath, demand: Demand, tools: Looked, adapters: tuple[Adapter, ...]) -> Iterator[Raised]:
    ranking = rank(tools, demand)
    if demand.need == "measure" and all(each.fit.cannot is not None for each in ranking):
        return  # what measures this is not listed, and another one can always be taken
    if any(each.suitable for each in ranking) or _held_with_one(demand, tools, adapters):
        return
    wanted = _wanted(demand)
    of_its_kind = [each for each in ranking if demand.need == "angle" or each.tool.kind in WORKING] or ranking
    why = ". ".join(_because(each, demand) for each in of_its_kind[:_NAMED])
    yield Raised(
        at,
        Code.NO_TOOL,
        f"no tool of the book can {wanted} without a reason. {why}",
        found=wanted,
        allowed="what a tool of the book can do",
        hint="compare the window with the manual, or add a tool that suits to tools.toml",
    )


def _held_with_one(demand: Demand, tools: Looked, adapters: tuple[Adapter, ...]) -> bool:
    """True where a tool suits with an adapter, which shifts both its scale and its steps."""
    if demand.need in ("angle", "measure"):
        return False
    return any(through(tool, demand, at, adapter).suitable for adapter in adapters for tool, at in tools)


def _wanted(demand: Demand) -> str:
    if demand.need == "angle":
        return "show an angle"
    unit = demand.unit or ""
    if demand.need == "measure" and demand.width is not None and demand.window == (None, None):
        return f"measure in a window {show(demand.width, unit)} wide"
    if demand.window != (None, None):
        what = show_window(*demand.window, unit)
    else:
        what = "this torque" if demand.target is None else show(demand.target, unit)
    return f"{_VERBS.get(demand.need, 'hold')} {what}"


def _because(each: Ranked, demand: Demand) -> str:
    told = reasons(each, demand)[0]
    return told if each.tool.name in told else f"{each.tool.name}: {told}"
