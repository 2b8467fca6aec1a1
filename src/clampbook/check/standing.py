"""What the lines of a book's log say of its tools: which passed when, which failed, and by which check."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.ledger.lines import decode
from clampbook.ledger.refusals import LedgerFault
from clampbook.tools.model import CheckVerdict, LastCheck, Use

CHECK_OPENED, TOOL_CHECKED, TOOL_WITHDRAWN = "check_opened", "tool_checked", "tool_withdrawn"
_ABOUT_CHECKS = tuple(f'"event":"{event}"'.encode() for event in (CHECK_OPENED, TOOL_CHECKED, TOOL_WITHDRAWN))


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


class Standing(Struct, frozen=True):
    """Of one book: the latest check of each tool, when each last passed, and all failures in the order of the log."""

    last: dict[str, LastCheck]
    passed: dict[str, str]
    failures: tuple[Failure, ...]

    def failure(self, tool: str) -> Failure | None:
        """The latest failure of a tool."""
        return next((each for each in reversed(self.failures) if each.tool == tool), None)


def about_checks(log: Sequence[bytes]) -> list[dict[str, Any]]:
    """The lines of a book's log that are about checks; one that cannot be read is none of them."""
    found = []
    for line in log:
        if any(event in line for event in _ABOUT_CHECKS):
            with contextlib.suppress(LedgerFault):
                found.append(decode(line))
    return found


def uses(log: Sequence[bytes]) -> dict[str, Use]:
    """What a book's log says of the use of its tools: the latest check of each."""
    return {tool: Use(last_check=check) for tool, check in standing(about_checks(log)).last.items()}


def past_checks(log: Sequence[bytes], tool: str) -> tuple[LastCheck, ...]:
    """All ended checks of a tool in which anything was pulled, in the order of the log, each as it came out at last."""
    lines = [line for line in about_checks(log) if line.get("event") == TOOL_CHECKED and line.get("tool") == tool]
    return tuple(check for line in lines if (check := standing([line]).last.get(tool)) is not None)


def standing(lines: Iterable[Mapping[str, Any]]) -> Standing:
    """What the log says; lines that are about no check, or one in which nothing was pulled, are passed over."""
    last: dict[str, LastCheck] = {}
    passed: dict[str, str] = {}
    failures: dict[str, Failure] = {}  # by check
    for line in _in_time(lines):
        tool, check, at = (str(line.get(key, "")) for key in ("tool", "check", "at"))
        if line.get("event") == TOOL_WITHDRAWN:
            worst = _number(line.get("worst"))
            failures[check] = Failure(tool=tool, check=check, at=at, good_until=passed.get(tool), worst=worst)
            last[tool] = LastCheck(check=check, on=at[:10], verdict="outside", worst=worst)
        elif line.get("event") == TOOL_CHECKED and (line.get("as_found"), line.get("as_left")) != (None, None):
            series: Literal["as found", "as left"] = "as left" if line.get("as_left") is not None else "as found"
            verdict = _verdict(line.get("as_left" if series == "as left" else "as_found"))
            worst = _number(line.get("worst"))
            before = last.get(tool)
            # What was found off stays so until a check finds it within; one that decides nothing changes nothing.
            if verdict != "cannot be decided" or before is None or before.verdict != "outside":
                last[tool] = LastCheck(check=check, on=at[:10], verdict=verdict, series=series, worst=worst)
            if line.get("as_found") == "within":
                passed[tool] = at
            if verdict == "outside":
                off = Failure(tool=tool, check=check, at=at, good_until=passed.get(tool), worst=worst)
                failures.setdefault(check, off)
            if verdict == "within":
                passed[tool] = at
                for name, failure in failures.items():
                    if failure.tool == tool and failure.good_again is None:
                        failures[name] = replace(failure, good_again=at)
    return Standing(last, passed, tuple(failures.values()))


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
        case "within" | "outside":
            return found
        case _:
            return "cannot be decided"


def _number(found: object) -> Decimal | None:
    try:
        return Decimal(str(found)) if found is not None else None
    except InvalidOperation:
        return None
