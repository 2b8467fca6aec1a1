"""The standing of a book's tools by the lines of its log: which passed when, which failed, what happened to which
since.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.ledger.lines import decode, telling
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import day_there
from clampbook.tools.identity import Identities
from clampbook.tools.model import CheckVerdict, LastCheck, Tool, Trouble, Use

CHECK_OPENED, TOOL_CHECKED, TOOL_WITHDRAWN = "check_opened", "tool_checked", "tool_withdrawn"
# Why a line stands later in the log than what it tells.
LATER_START, MERGED, FROM_PAPER = "later_start", "merged", "from_paper"
TOOL_DROPPED, TOOL_SUSPECTED = "tool_dropped", "tool_suspected"
TOLD_APART = "tool_told_apart"  # what a person says of a changed serial number
_KINDS = (CHECK_OPENED, TOOL_CHECKED, TOOL_WITHDRAWN, TOOL_DROPPED, TOOL_SUSPECTED, TOLD_APART)
_TEXTS = ("event", "check", "tool", "run", "at", "serial")  # of such a line, where they are there
_ONE_TOOL_EACH = Identities()
_ABOUT = telling(*_KINDS)


class Failure(Struct, frozen=True, kw_only=True):
    """A check that found a tool off: `at` when (UTC), `good_until` when it last passed one, None where it never did.

    `good_again` is when it passed next, None where it has not yet.
    """

    tool: str
    check: str
    at: str
    good_until: str | None
    worst: Decimal | None = None
    good_again: str | None = None


class Happened(Struct, frozen=True, kw_only=True):
    """A tool was dropped, or a person suspects it; `good_again` is when it passed a check that was begun after that,
    None if not yet."""

    tool: str
    trouble: Trouble
    good_again: str | None = None


class Standing(Struct, frozen=True):
    """Of one book: the latest check of each tool, when each last passed, and in the order of the log all failures and
    all else that happened to tools. A tool goes by what tells it from the others of its id (`Identities.key`)."""

    last: dict[str, LastCheck]
    passed: dict[str, str]
    failures: tuple[Failure, ...]
    happened: tuple[Happened, ...] = ()
    which: Identities = _ONE_TOOL_EACH

    def key(self, tool: Tool, at: str | None = None) -> str:
        """Give the name that a tool goes by here: the one of its id and serial number, at a moment (UTC;
        None is now).
        """
        return self.which.key(tool.id, tool.serial, at)

    def failure(self, tool: str) -> Failure | None:
        """The latest failure of a tool."""
        return next((each for each in reversed(self.failures) if each.tool == tool), None)

    def troubles(self, tool: str) -> tuple[Trouble, ...]:
        """Give what happened to a tool since it last passed a check."""
        return tuple(each.trouble for each in self.happened if each.tool == tool and each.good_again is None)


def about_tools(log: Sequence[bytes]) -> list[dict[str, Any]]:
    """Of lines of a book's log those that say how its tools stand; one that cannot be read is none of them.

    Raises LedgerFault where one can be read and says something of the wrong kind: it may be that a tool failed.
    """
    found = []
    for line in log:
        if _ABOUT.search(line):
            with contextlib.suppress(LedgerFault):
                found.append(decode(line))
    for said in found:
        odd = next((key for key in _TEXTS if not isinstance(said.get(key), str | None)), None)
        if odd is not None or "event" not in said:
            told = f"the book's log, line {said.get('seq')}, tells of a tool, and its '{odd or 'event'}' is no text"
            raise LedgerFault(f"{told}: put the log back as it was before that line was written")
    return found


def uses(log: Sequence[bytes], which: Identities = _ONE_TOOL_EACH, *, until: str | None = None) -> dict[str, Use]:
    """Read from a book's log the use of its tools: the latest check of each, and what happened to it since; as it was
    at a moment (UTC; None is now)."""
    lines = about_tools(log)
    known = standing(lines if until is None else [each for each in lines if each.get("at", "") <= until], which)
    names = dict.fromkeys((*known.last, *(each.tool for each in known.happened)))
    return {tool: Use(last_check=known.last.get(tool), troubles=known.troubles(tool)) for tool in names}


def standing(lines: Iterable[Mapping[str, Any]], which: Identities = _ONE_TOOL_EACH) -> Standing:
    """Read from the log the tools as they are told apart; lines about anything else, or a check in which
    nothing was pulled, are passed over.
    """
    last: dict[str, LastCheck] = {}
    passed: dict[str, str] = {}
    failures: dict[str, Failure] = {}  # by check
    happened: dict[tuple[str, int], Happened] = {}  # by the line of a daybook
    begun: dict[str, str] = {}  # check: when it was begun
    for line in _in_time(lines):
        check, at = (str(line.get(key, "")) for key in ("check", "at"))
        tool = which.key(str(line.get("tool", "")), line.get("serial"), at)
        if (trouble := _trouble(line)) is not None:
            happened.setdefault((trouble.run, trouble.line), Happened(tool=tool, trouble=trouble))
        elif line.get("event") == CHECK_OPENED:
            begun[check] = at
        elif line.get("event") == TOOL_WITHDRAWN:
            worst = _number(line.get("worst"))
            failures[check] = Failure(tool=tool, check=check, at=at, good_until=passed.get(tool), worst=worst)
            last[tool] = LastCheck(check=check, on=at[:10], verdict="failed", worst=worst)
        elif line.get("event") == TOOL_CHECKED and (line.get("as_found"), line.get("as_left")) != (None, None):
            series: Literal["as found", "as left"] = "as left" if line.get("as_left") is not None else "as found"
            verdict = _verdict(line.get("as_left" if series == "as left" else "as_found"))
            worst = _number(line.get("worst"))
            before = last.get(tool)
            # What was found off stays so until it passes a check; one that decides nothing changes nothing.
            if verdict != "undecided" or before is None or before.verdict != "failed":
                last[tool] = LastCheck(check=check, on=at[:10], verdict=verdict, series=series, worst=worst)
            if line.get("as_found") == "passed":
                passed[tool] = at
            if verdict == "failed":
                off = Failure(tool=tool, check=check, at=at, good_until=passed.get(tool), worst=worst)
                failures.setdefault(check, off)
            if verdict == "passed":
                passed[tool] = at
                _good_again(failures, happened, tool, at, begun.get(check, at))
    return Standing(last, passed, tuple(failures.values()), tuple(happened.values()), which)


def _good_again(
    failures: dict[str, Failure], happened: dict[tuple[str, int], Happened], tool: str, at: str, begun: str
) -> None:
    """Note in both that a check found the tool within, at a time; of a fall while it went on a check says nothing."""
    for name, failure in failures.items():
        if failure.tool == tool and failure.good_again is None:
            failures[name] = replace(failure, good_again=at)
    for key, each in happened.items():
        if each.tool == tool and each.good_again is None and each.trouble.at <= begun:
            happened[key] = replace(each, good_again=at)


def _trouble(line: Mapping[str, Any]) -> Trouble | None:
    """Read from a line what happened to a tool; None where it says nothing of that kind."""
    kinds: dict[object, Literal["dropped", "suspect"]] = {TOOL_DROPPED: "dropped", TOOL_SUSPECTED: "suspect"}
    kind, number, why = kinds.get(line.get("event")), line.get("line"), line.get("why")
    if kind is None or not isinstance(number, int):
        return None
    at, run = str(line.get("at", "")), str(line.get("run", ""))
    on = day_there(at, str(line.get("offset", "")))
    return Trouble(kind=kind, at=at, on=on, run=run, line=number, why=why if isinstance(why, str) else None)


def _in_time(lines: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The lines as they stand, but those that were written late at the place of their own time: a check of another
    book that came in by a merge says nothing of what was found after it."""
    found: list[Mapping[str, Any]] = []
    for line in lines:
        at, place = str(line.get("at", "")), len(found)
        if line.get("late"):
            place = next((n for n, other in enumerate(found) if str(other.get("at", "")) > at), place)
        found.insert(place, line)
    return found


def _verdict(found: object) -> CheckVerdict:
    match found:
        case "passed" | "failed":
            return found
        case _:
            return "undecided"


def _number(found: object) -> Decimal | None:
    try:
        return Decimal(str(found)) if found is not None else None
    except InvalidOperation:
        return None
