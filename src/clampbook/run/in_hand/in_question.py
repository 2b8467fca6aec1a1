"""The things in question in a run: a tool in hand, or pulls that stay so to the end; for whoever goes on with it."""

from __future__ import annotations

from typing import assert_never

from clampbook.ledger.stamp import clock_there
from clampbook.run.fold.tools import kind_named
from clampbook.run.progress import InQuestion, Progress
from clampbook.run.session import Session
from clampbook.tools.model import one_use


def in_question(progress: Progress) -> tuple[InQuestion, ...]:
    """One for each tool, what counts now before what is over, in the order in which it came to light."""
    found: dict[str, InQuestion] = {}
    for each in progress.in_question:
        in_hand = each.until is None and each.tool in progress.hand
        if not each.pulled and not in_hand:
            continue
        before = found.get(each.tool)
        if before is None or each.until is None or before.until is not None:
            found[each.tool] = each
    return tuple(found.values())


def told(session: Session) -> tuple[str, ...]:
    """The same as sentences: "W5 suspect: its pulls since 10:42 are in question."."""
    progress = session.progress
    return tuple(_told(each, session) for each in in_question(progress))


def _told(each: InQuestion, session: Session) -> str:
    what = _what(each, session.progress.offset, _uses(each, session))
    return f"{name_of(each, session)} {_why(each)}: {what}."


def name_of(asked: InQuestion, session: Session) -> str:
    """Give the name that stands on the tool."""
    held = session.progress.hand.get(asked.tool)
    if held is not None:
        return held.tool.name
    return next((tool.name for tool in session.tools if tool.id == asked.tool), asked.tool)


def _why(asked: InQuestion) -> str:
    match asked.why:
        case "dropped":
            return "dropped"
        case "suspect":
            return "suspect"
        case "zero wrong":
            return "does not read zero"
        case "zero unknown":
            return "zero not known"
        case "failed":
            return "failed its check"
        case _:
            assert_never(asked.why)


def _uses(asked: InQuestion, session: Session) -> str:
    held = session.progress.hand.get(asked.tool)
    return f"{one_use(held.tool.kind if held is not None else kind_named(asked.tool, session.tools))}s"


def _what(asked: InQuestion, offset: str, uses: str) -> str:
    if not asked.pulled:
        return f"its next {uses} will be in question"
    if asked.until is not None:
        return f"some of its {uses} are in question"
    if asked.why == "failed":
        return f"its {uses} since it was last good are in question"
    if asked.why in ("zero wrong", "zero unknown"):
        return f"its {uses} since its last good zero are in question"
    since = clock_there(asked.at, offset) or f"line {asked.line}"  # of a damaged line nobody can read the time
    return f"its {uses} since {since} are in question"
