"""Before anybody touches a bolt: which tools of the book can do which stage, and what there is to say about it."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from clampbook.run.in_hand.demands import StageDemand, demands
from clampbook.run.plan import Plan
from clampbook.run.told.places import within_a_sentence
from clampbook.tools.adapting import of_kind
from clampbook.tools.against import how_wide
from clampbook.tools.demand import Demand
from clampbook.tools.model import Stock
from clampbook.tools.prevailing import torque_words
from clampbook.tools.ranking import Ranked, looked_at, rank
from clampbook.units import show, show_window


class Outlook(Struct, frozen=True):
    """A stage's demand and the tools for it, best first. `lacking`: no adapter of the book is the one it asks for."""

    wanted: StageDemand
    ranking: tuple[Ranked, ...]
    lacking: bool = False

    @property
    def suitable(self) -> tuple[Ranked, ...]:
        """The tools that need no reason."""
        return tuple(each for each in self.ranking if each.suitable)


def outlook(plan: Plan, stock: Stock, today: date | None = None) -> tuple[Outlook, ...]:
    """Every demand of the plan with its ranking; equal demands of several stages are looked at once. What is measured
    is left out where the book has nothing that could: then nothing is asked for either."""
    wanted, tools = demands(plan), looked_at(stock, today)
    found = {each: rank(tools, each, stock.adapters) for each in dict.fromkeys(each.demand for each in wanted)}
    return tuple(
        Outlook(each, found[each.demand], _lacking(each.demand, stock))
        for each in wanted
        if found[each.demand] or each.demand.need != "measure"
    )


def _lacking(demand: Demand, stock: Stock) -> bool:
    return demand.adapter is not None and not of_kind(stock.adapters, demand.adapter)


def notices(plan: Plan, stock: Stock, today: date | None = None) -> tuple[str, ...]:
    """Stages that no tool suits, and those that have no spare, one sentence each; like ones are joined."""
    told: dict[tuple[str, str], list[str]] = {}
    for each in outlook(plan, stock, today):
        words = _lack(each)
        if words is not None:
            told.setdefault(words, []).append(stage_words(each.wanted))
    return tuple(f"{before} {within_a_sentence(_joined(stages))}{after}" for (before, after), stages in told.items())


def _lack(each: Outlook) -> tuple[str, str] | None:
    """Say what is missing: the words before the stages, and those behind them."""
    suitable, demand = each.suitable, each.wanted.demand
    if each.lacking:
        return f"No {demand.adapter} in tools.toml for", ". Add one first."
    if any(one.may_suit for one in each.ranking):
        return None if suitable else ("Which tool suits", " depends on its adapter.")
    starts = [one.fit.reads_from for one in suitable if one.fit.reads_from is not None]
    if starts and len(starts) == len(suitable):
        return "No tool for", f" shows less than {show(min(starts), demand.unit or '')}."
    ends = [one.fit.up_to for one in suitable if one.fit.up_to is not None]
    if ends and len(ends) == len(suitable):
        most = torque_words(max(ends), demand.unit)
        return "No tool suits", f" above {most} of prevailing torque."
    if len(suitable) > 1 or (suitable and each.wanted.demand.need in ("angle", "measure")):
        return None  # a turn can go by the mark where its gauge breaks, and any other instrument can measure
    if suitable:
        return f"Only {suitable[0].tool.name} suits", ". There is no spare."
    if all(one.fit.cannot is not None for one in each.ranking):
        return "No tool suits", f"{_window(each.wanted)}. Add one first."
    return "No tool suits", f"{_window(each.wanted)} without a reason."


def _window(wanted: StageDemand) -> str:
    told = wanted.what in ("tighten", "recheck") or (wanted.demand.need == "measure" and wanted.demand.width)
    return f" ({window_words(wanted.demand)})" if told else ""


def stage_words(wanted: StageDemand) -> str:
    """ "Stage 2", and what of it where that is not the pull itself: "Stage 3 (final torque)"."""
    beside = wanted.what in ("prevailing torque", "final torque", "stretch")
    return f"Stage {wanted.stage} ({wanted.what})" if beside else f"Stage {wanted.stage}"


def window_words(demand: Demand) -> str:
    """Say what is to be held, such as "28.0 – 32.0 N·m"; the target alone where the sheet gives no window, of what is
    measured its width where only that is known."""
    unit = demand.unit or ""
    if demand.window != (None, None):
        return show_window(*demand.window, unit)
    if demand.width is not None:
        return how_wide(show(demand.width, unit), demand.judges)
    return show(demand.target, unit) if demand.target is not None else "this torque"


def _joined(stages: list[str]) -> str:
    """ "Stage 2", "Stages 2 and 3", "Stages 1, 2 and 3"; the word in front only once."""
    if len(stages) == 1:
        return stages[0]
    names = [each.removeprefix("Stage ") for each in dict.fromkeys(stages)]
    return f"Stages {', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else f"Stage {names[0]}"
