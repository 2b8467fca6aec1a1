"""How often each tool was pulled in a run, day by day: what counts towards its interval by cycles."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from msgspec import UNSET, Raw, Struct, UnsetType
from msgspec.json import Decoder

from clampbook.ledger.lines import UNREADABLE
from clampbook.run.plan import Plan

Pulls = dict[str, dict[str, int]]
"""Tool, then day (ISO 8601), then how many pulls."""

# A bad pull that was never stored as a reading was pulled all the same, but nobody says with which tool.
_PULLS = frozenset({"reading_taken", "released", "rechecked", "ran_down", "measured", "turned"})


class _Line(Struct):
    """What of a daybook's line matters here; `tool` is a whole table where a tool is taken up."""

    event: str
    at: str = ""
    tool: Raw | UnsetType = UNSET
    first: str = ""
    last: str = ""


_line = Decoder(_Line)
_name = Decoder(str | None)


def pulls(lines: Iterable[bytes], plan: Callable[[], Plan]) -> Pulls:
    """The pulls in a daybook's lines; `plan` is asked for only where several were confirmed in one line.

    A line that cannot be read counts nothing: what is wrong with it is told elsewhere.
    """
    found: Pulls = {}
    for line in lines:
        if b'"tool"' not in line:
            continue
        try:
            read = _line.decode(line)
        except UNREADABLE:
            continue
        many = 1 if read.event in _PULLS else _between(plan(), read) if read.event == "confirmed" else 0
        if many and not isinstance(read.tool, UnsetType) and (tool := _name.decode(read.tool)) is not None:
            days = found.setdefault(tool, {})
            days[read.at[:10]] = days.get(read.at[:10], 0) + many
    return found


def _between(plan: Plan, line: _Line) -> int:
    """How many steps one confirmation covers."""
    first, last = plan.index_of.get(line.first), plan.index_of.get(line.last)
    return 0 if first is None or last is None else last - first + 1


def since(pulls_by_day: Mapping[str, int], day: str | None) -> int:
    """How many of them were made from a day on; all of them where there is none."""
    return sum(count for on, count in pulls_by_day.items() if day is None or on >= day)


def summed(*parts: Pulls) -> Pulls:
    """All of them together."""
    total: Pulls = {}
    for part in parts:
        for tool, days in part.items():
            known = total.setdefault(tool, {})
            for day, count in days.items():
                known[day] = known.get(day, 0) + count
    return total
