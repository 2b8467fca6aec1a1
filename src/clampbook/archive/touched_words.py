"""What a tool touched, in sentences, as one JSON object, and as the blocks of a printed list."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from msgspec import Struct

from clampbook.archive.touched import TouchedReading, TouchedRun
from clampbook.archive.touching import Found
from clampbook.check.profile import Profile
from clampbook.check.wording import percent
from clampbook.record.pages.blocks import Block, Facts, Heading, Sentences, Table, Title
from clampbook.record.pages.telling import counted
from clampbook.run.marks import MARKS
from clampbook.tools.model import Tool
from clampbook.units import show, show_window

_DIGITS = 4
REST = (
    "A deviation is applied to the number that the tool showed or was set to, as its check found it on average and "
    "between the points of the check on the straight line. What the tool did on the day nobody measured."
)


class Doubt(Struct, frozen=True, kw_only=True):
    """Why the runs were looked through: the tool, since and until when (UTC), and how far it was off."""

    tool: Tool
    why: str
    after: str | None
    until: str | None
    off: Profile | None


def span_words(doubt: Doubt) -> str:
    """From when to when, in words."""
    since = f"since its last passed check on {_day(doubt.after)}" if doubt.after else "since the first run of the book"
    return f"{since}, until it passed again on {_day(doubt.until)}" if doubt.until else since


def off_words(doubt: Doubt) -> str:
    """How far off, in words."""
    if doubt.off is None:
        return "how far it was off is not known"
    if doubt.off.even:
        return f"off by {percent(doubt.off.points[0][1])}"
    unit = doubt.off.unit
    return "off by " + ", ".join(f"{percent(off)} at {show(at, unit)}" for at, off in doubt.off.points)


def told(doubt: Doubt, found: Found) -> Iterator[str]:
    """Line by line, for a terminal."""
    yield f"{doubt.tool.name}: {doubt.why}; {off_words(doubt)}."
    yield f"What it touched {span_words(doubt)}: {summary(found)}."
    for run in found.runs:
        yield ""
        yield f"{run.run}: {heading(run)}"
        for group, positions in run.positions.items():
            yield f"  {group or 'the joint'}: {' '.join(positions)}"
        for each in run.readings:
            if each.outside:
                yield f"  line {each.line}, {_place(each)}: {_changed(each)}"
    yield from found.unread


def summary(found: Found) -> str:
    """How much it is, in a few words."""
    pulls = counted(sum(len(run.readings) for run in found.runs), "kept pull")
    return f"{counted(len(found.runs), 'run')}, {pulls}, of which {found.outside} would have been outside"


def heading(run: TouchedRun) -> str:
    """What a run was about."""
    named = [each for each in (run.worked_on, run.joint) if each]
    about = f"{run.title}, revision {run.revision}" + (f" ({', '.join(named)})" if named else "")
    return f"{about}, {run.outcome}; {len(run.outside)} of {len(run.readings)} would have been outside"


def _place(each: TouchedReading) -> str:
    where = f"position {each.position}" if each.position is not None else "the joint"
    return f"{where}, round {each.round} of {each.group}" if each.group else where


def _changed(each: TouchedReading) -> str:
    true = "?" if each.true is None else show(_short(each.true), each.unit)
    window = "" if each.window is None else f" ({_window(each)})"
    return f"{show(_short(each.shown), each.unit)} would have been {true}: {_marked(each.now)}{window}"


def _window(each: TouchedReading) -> str:
    low, high = each.window or (None, None)
    return show_window(None if low is None else Decimal(low), None if high is None else Decimal(high), each.unit)


def _marked(verdict: str | None) -> str:
    return "not judged" if verdict is None else f"{MARKS[verdict]} {verdict}"  # type: ignore[index]


def _short(value: Decimal) -> Decimal:
    """Four digits: more than any of this is worth."""
    place = min(value.adjusted() - _DIGITS + 1, 0) if value else 0
    return round(value, -place)


def _day(at: str) -> str:
    return at[:10]


def as_data(doubt: Doubt, found: Found) -> dict[str, Any]:
    """One object; quantities as value and unit, deviations in percent."""
    return {
        "tool": doubt.tool.id,
        "why": doubt.why,
        "after": doubt.after,
        "until": doubt.until,
        "deviation": None if doubt.off is None else [_off(doubt.off, at, off) for at, off in doubt.off.points],
        "readings": sum(len(run.readings) for run in found.runs),
        "outside": found.outside,
        "runs": [_run(run) for run in found.runs],
        "unread": list(found.unread),
    }


def _off(profile: Profile, at: Decimal, off: Decimal) -> dict[str, Any]:
    where = None if profile.even else {"value": float(at), "unit": profile.unit}
    return {"at": where, "deviation": {"value": float(off), "unit": "%"}}


def _run(run: TouchedRun) -> dict[str, Any]:
    return {
        "run": run.run,
        "title": run.title,
        "revision": run.revision,
        "unit": run.worked_on,
        "joint": run.joint,
        "outcome": run.outcome,
        "positions": {group: list(positions) for group, positions in run.positions.items()},
        "outside": len(run.outside),
        "readings": [_reading(each) for each in run.readings],
    }


def _reading(each: TouchedReading) -> dict[str, Any]:
    def quantity(value: Decimal | None, unit: str = each.unit) -> dict[str, Any] | None:
        return None if value is None else {"value": float(value), "unit": unit}

    ends = None if each.window is None else [None if end is None else quantity(Decimal(end)) for end in each.window]
    return {
        "line": each.line,
        "at": each.at,
        "step": each.step,
        "group": each.group,
        "position": each.position,
        "outcome": each.outcome,
        "shown": quantity(each.shown),
        "window": ends,
        "deviation": quantity(each.off, "%"),
        "true": quantity(each.true),
        "verdict": each.then,
        "would_have_been": each.now,
    }


def blocks(doubt: Doubt, found: Found) -> Iterator[Block]:
    """The printed list: what is to be looked at first, then every run."""
    notices = [f"{found.outside} kept pulls would have been outside."] if found.outside else []
    yield Title(
        kind="What a tool touched",
        title=doubt.tool.name,
        unit=f"serial number {doubt.tool.serial}" if doubt.tool.serial else "",
        outcome=f"{doubt.why[:1].upper()}{doubt.why[1:]}",
        ended=f"{off_words(doubt)[:1].upper()}{off_words(doubt)[1:]}.",
        notices=(*notices, *found.unread),
    )
    span = span_words(doubt)
    yield Facts((("Looked at", f"{span[:1].upper()}{span[1:]}"), ("Found", summary(found))))
    yield Sentences((REST,), quiet=True)
    for run in found.runs:
        yield Heading(run.run, aside=heading(run))
        yield Table(
            head=("Line", "Group", "Pos.", "Outcome", "At the fastener", "Off by", "Would have been", "Then"),
            widths=(0, 1, 0, 0, 0, 0, 0, 0),
            rows=tuple(_row(each) for each in run.readings),
        )


def _row(each: TouchedReading) -> tuple[str, ...]:
    return (
        str(each.line),
        f"{each.group or 'the joint'}, {each.step}",
        each.position or "–",
        each.outcome,
        show(_short(each.shown), each.unit),
        "" if each.off is None else percent(each.off),
        "" if each.true is None else show(_short(each.true), each.unit),
        _marked(each.now),
    )
