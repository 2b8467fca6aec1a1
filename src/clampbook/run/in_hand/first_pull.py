"""The first pull of a run, looked at before it is opened: what it needs, and why no tool of the book can do it."""

from __future__ import annotations

from datetime import date

from clampbook.run.in_hand.outlook import Outlook, outlook, stage_words, window_words
from clampbook.run.plan import Plan
from clampbook.tools.model import Stock
from clampbook.tools.ranking import Ranked, reasons

_BY_HAND = ("angle", "measure")  # a turn can go by the mark, and what is measured has an instrument of its own


def no_tool_for_it(plan: Plan, stock: Stock, today: date | None = None) -> tuple[str, ...]:
    """The need of the first stage with a pull, and each tool with what rules it out; empty where one can do it, if only
    with a reason, or through an adapter that nobody has measured yet."""
    pulls = (each for each in outlook(plan, stock, today) if each.wanted.demand.need not in _BY_HAND)
    first = min(pulls, key=lambda each: each.wanted.first, default=None)
    if first is None or any(_can(each) for each in first.ranking):
        return ()
    if not first.ranking:
        return (_need(first), "There are no torque tools in this book yet.")
    ruled_out = (f"{each.tool.name}: {'. '.join(reasons(each, first.wanted.demand))}." for each in first.ranking)
    return (_need(first), "None of these can do it:", *dict.fromkeys(ruled_out))


def _can(ranked: Ranked) -> bool:
    return any(each.fit.cannot is None for each in (ranked, *ranked.ways))


def _need(first: Outlook) -> str:
    demand = first.wanted.demand
    tool = "a tool that shows torque" if demand.need == "reading" else "a torque tool"
    through = f", with {demand.adapter}" if demand.adapter is not None else ""
    return f"{stage_words(first.wanted)} needs {tool} for {window_words(demand)}{through}."
