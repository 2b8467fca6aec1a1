"""The command that matches the tools of a book to the stages of a procedure, with the reasons."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.completing import procedures
from clampbook.commands.exit_status import LOOK_AT_IT
from clampbook.commands.folding import folded
from clampbook.commands.options import book_option, example, json_option, open_book, today
from clampbook.streams import json_text

if TYPE_CHECKING:
    from decimal import Decimal

    from clampbook.run.in_hand.outlook import Outlook
    from clampbook.tools.demand import Demand
    from clampbook.tools.ranking import Ranked

_FURTHER = 9  # columns, to where the reasons begin


@click.command("match", epilog=example("match whinchat-pattern-c-head"))
@click.argument("procedure", shell_complete=procedures)
@click.option("--trial", is_flag=True, help="Leave out what a trial assembly leaves out")
@book_option
@json_option
def match_tools(procedure: str, trial: bool, folder: Path | None, as_json: bool) -> int:
    """Match tools to a procedure's stages.

    Best first, with the reasons. PROCEDURE is the name of a procedure of the book, or the path of its file.
    """
    from clampbook.book import toolbox
    from clampbook.book.starting.terms import work_named
    from clampbook.run.in_hand.outlook import notices, outlook
    from clampbook.run.planning import plan as plan_of
    from clampbook.tools.label import names_across

    book = open_book(folder)
    work = work_named(book, procedure)
    plan = plan_of(work.procedure, work.slug, trial=trial)
    stock, day = toolbox.stock(book), today()
    found = outlook(plan, stock, day)
    told = notices(plan, stock, day)
    if as_json:
        stages = [_data(each) for each in found]
        sys.stdout.write(json_text({"stages": stages, "notices": list(told)}, indent=1))
    else:
        for each in found:
            click.echo("\n".join(_lines(each, names_across(stock.tools))))
        click.echo("\n".join(told))
    return 0 if all(each.suitable for each in found) else LOOK_AT_IT


def _lines(each: Outlook, names: int) -> list[str]:
    from clampbook.run.in_hand.outlook import stage_words, window_words
    from clampbook.units import show

    wanted, demand = each.wanted, each.wanted.demand
    at_each = f" at each of {wanted.joints} joints" if wanted.joints > 1 else ""
    of = f", {wanted.group}" if wanted.group else ""
    target = f", {show(demand.target, demand.unit)}" if demand.target is not None and demand.unit else ""
    window = f" ({window_words(demand)})" if demand.window != (None, None) or demand.width is not None else ""
    lines = [f"{stage_words(wanted)}{at_each}: {wanted.what}{of}{target}{window}{_moved(demand)}{_carrying(demand)}"]
    for ranked in each.ranking:
        lines.append(f"  {ranked.tool.name:<{names}} {_word(ranked, each)}")
        lines += folded((f"{'':{_FURTHER}}{reason}" for reason in _reasons(ranked, each)), 0)
    return lines


def _moved(demand: Demand) -> str:
    """Say what was added to the sheet's figures, and what is still taken off them for each tool."""
    from clampbook.units import show

    unread, guarded = demand.unread, demand.accept == "guarded" and demand.window != (None, None)
    least = unread is not None and unread.included and demand.unit
    added = (
        f", with {show(unread.included, demand.unit)} of prevailing torque" if unread and least and demand.unit else ""
    )
    return f"{added}{', less the uncertainty of each tool that shows a reading' if guarded else ''}"


def _carrying(demand: Demand) -> str:
    return "" if demand.adapter is None else f", with {demand.adapter}"


def _word(ranked: Ranked, each: Outlook) -> str:
    from clampbook.tools.against import before_taking
    from clampbook.units import show

    if ranked.suitable:
        start, unit = ranked.fit.reads_from, each.wanted.demand.unit
        return "suits" if start is None or unit is None else f"suits from {show(start, unit)}"
    if ranked.fit.cannot is not None:
        return "cannot"
    return before_taking(ranked.fit.against, open=ranked.open) or ""


def _reasons(ranked: Ranked, each: Outlook) -> tuple[str, ...]:
    from clampbook.tools.ranking import reasons

    through = () if ranked.adapter is None else (f"with {ranked.adapter.name}",)
    return *through, *reasons(ranked, each.wanted.demand)


def _data(each: Outlook) -> dict[str, Any]:
    wanted, demand = each.wanted, each.wanted.demand

    def quantity(value: Decimal | None) -> dict[str, Any] | None:
        return None if value is None or demand.unit is None else {"value": float(value), "unit": demand.unit}

    return {
        "stage": wanted.stage,
        "what": wanted.what,
        **({"joints": wanted.joints} if wanted.joints else {}),
        "group": wanted.group,
        "positions": list(wanted.positions),
        "need": demand.need,
        **({} if demand.adapter is None else {"needs_adapter": demand.adapter}),
        "target": quantity(demand.target),
        "window": None if demand.window == (None, None) else [quantity(end) for end in demand.window],
        "ranking": [
            {
                "tool": ranked.tool.id,
                "name": ranked.tool.name,
                "suitable": ranked.suitable,
                "possible": ranked.fit.cannot is None,
                "adapter": None if ranked.adapter is None else ranked.adapter.id,
                "reason": "; ".join(_reasons(ranked, each)),
                "probability": ranked.probability,
                "window": None if ranked.aim is None else [quantity(end) for end in ranked.aim.window],
            }
            for ranked in each.ranking
        ],
    }
