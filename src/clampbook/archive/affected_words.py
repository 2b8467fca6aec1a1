"""Affected work, in sentences, as one JSON object, and as the blocks of a printed list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, Literal, assert_never

from msgspec import Struct

from clampbook.archive.affected import AffectedReading, AffectedRun, Open
from clampbook.archive.affected_runs import Found
from clampbook.check.percents import percent
from clampbook.check.profile import OffAt, Profile
from clampbook.procedure.naming import own
from clampbook.record.pages.blocks import Block, Facts, Heading, Sentences, Table, Title
from clampbook.run.fold.verdict import Verdict
from clampbook.run.told.marks import MARKS
from clampbook.text import counted, started
from clampbook.tools.model import Adapter, Tool, one_use
from clampbook.units import show, show_day, show_span

_DIGITS = 4
NOTHING_KNOWN = "nothing is known against it"
REST = (
    "Each number that the tool showed or was set to is corrected by the mean that its check found, on a straight line "
    "between its points. Undecided: nearer to an end of the window than the scatter of the pulls and the uncertainty "
    "of the check (k = 2). Nobody measured the tool on that day."
)


Begins = Literal["passed", "asked", "happened"]
"""The meaning of `after`: the last passed check, a day somebody asked for, or when something happened to the tool."""


class Suspicion(Struct, frozen=True, kw_only=True):
    """The reason for looking through the runs: the tool, since and until when (UTC), and how far it was off."""

    tool: Tool | Adapter
    why: str
    after: str | None
    until: str | None
    off: Profile | None
    found_off: bool = False  # by a check; else somebody just wants to know
    begins: Begins = "passed"


def span_words(suspicion: Suspicion) -> str:
    """From when to when, in words."""
    since = (
        "since the first run of the book"
        if suspicion.after is None
        else _since(suspicion.begins, show_day(suspicion.after))
    )
    return f"{since}, until it passed again on {show_day(suspicion.until)}" if suspicion.until else since


def _since(begins: Begins, day: str) -> str:
    match begins:
        case "passed":
            return f"since its last passed check on {day}"
        case "asked":
            return f"from {day} on"
        case "happened":
            return f"since that, on {day}"
        case _:
            assert_never(begins)


def off_words(suspicion: Suspicion) -> str:
    """Tell in words how far off it was."""
    if suspicion.off is None:
        return "off by an unknown amount"
    unit, points = suspicion.off.unit, suspicion.off.points
    if suspicion.off.said:
        return f"off by {percent(points[0].mean)}"
    return "off on average by " + ", ".join(f"{_off_at(point)} at {show(point.torque, unit)}" for point in points)


def _off_at(point: OffAt) -> str:
    return percent(point.mean) + ("" if point.worst is None else f" (worst {percent(point.worst)})")


def begun(suspicion: Suspicion, found: Found) -> tuple[str, str]:
    """The two sentences that every account of it begins with: why it is looked at, and how much there is."""
    known = (
        why(suspicion, found)
        if suspicion.off is None and not suspicion.found_off
        else f"{suspicion.why}; {off_words(suspicion)}"
    )
    return f"{suspicion.tool.name}: {known}.", f"Affected work {span_words(suspicion)}: {summary(found, suspicion)}."


def why(suspicion: Suspicion, found: Found) -> str:
    """Tell why it is looked at; where nobody said anything, what the runs themselves found of the tool."""
    if suspicion.why != NOTHING_KNOWN:
        return suspicion.why
    said: dict[str, int] = {}
    for run in found.runs:
        for because in {each.because for each in run.in_question}:
            said[because] = said.get(because, 0) + 1
    told = "; ".join(f"{because} ({counted(many, 'run')})" for because, many in said.items())
    return told or NOTHING_KNOWN


def told(suspicion: Suspicion, found: Found) -> Iterator[str]:
    """Line by line, for a terminal."""
    yield from begun(suspicion, found)
    for run in found.runs:
        yield ""
        yield f"{run.run}: {heading(run, suspicion)}"
        for group, positions in run.positions.items():
            yield f"  {group or 'the joint'}: {' '.join(map(own, positions))}"
        yield f"  {', '.join(f'{kind} {many}' for kind, many in Counter(each.kind for each in run.readings).items())}"
        for asked in run.in_question:
            pulls = counted(asked.readings, _one_use(suspicion))
            yield f"  in question there: {pulls}, as {asked.because}; line {asked.line} of its daybook"
        for each in run.readings:
            if each.outside or each.now == "undecided":
                yield f"  {_place(each)}: {_changed(each)}; line {each.line} of its daybook"
    yield from found.unread


def summary(found: Found, suspicion: Suspicion) -> str:
    """Tell in a few words how much it is."""
    if not found.runs:
        return "not known" if found.unread else "nothing"
    pulls = _pulls(found.kept, found.pulls, _one_use(suspicion))
    more = ", and more that is not known" if found.unread else ""
    judged = _judged(found.outside, found.undecided, found.kept, suspicion)
    return f"{counted(len(found.runs), 'run')}, {pulls}{judged}{more}"


def _one_use(suspicion: Suspicion) -> str:
    return one_use(suspicion.tool.kind if isinstance(suspicion.tool, Tool) else None)


def _pulls(kept: int, every: int, one: str) -> str:
    """Tell how many pulls or readings there are, and how many more that do not count."""
    more = every - kept
    return counted(kept, one) + (f" and {more} that {'does' if more == 1 else 'do'} not count" if more else "")


def heading(run: AffectedRun, suspicion: Suspicion) -> str:
    """Tell what a run was about."""
    named = [each for each in (run.worked_on, run.joint) if each]
    about = f"{run.title}, revision {run.revision}" + (f" ({', '.join(named)})" if named else "")
    judged = _judged(len(run.outside), run.undecided, len(run.kept), suspicion)
    return f"{about}, {run.outcome}; {_pulls(len(run.kept), len(run.readings), _one_use(suspicion))}{judged}"


def _judged(outside: int, undecided: int, pulls: int, suspicion: Suspicion) -> str:
    """Tell what became of the pulls, to follow their number."""
    if suspicion.off is None or not pulls:
        return ""
    open_ones = f", and {undecided} undecided" if undecided else ""
    return f", of which {outside or 'none'} would have been outside{open_ones}"


def _place(each: AffectedReading) -> str:
    where = f"position {own(each.position)}" if each.position is not None else each.joint or "the joint"
    return f"{where}{f' of {each.group}' if each.group else ''}, {_when(each)}"


def _when(each: AffectedReading) -> str:
    return f"stage {each.stage}, round {each.round}"


def _changed(each: AffectedReading) -> str:
    shown = _shown(each)
    true = "?" if each.true is None else show(_short(each.true), each.unit)
    window = "" if each.window is None else f" ({_window(each)})"
    if each.now == "undecided":
        return f"{shown} would have been about {true}, too near to an end of its window{window} to tell"
    return f"{shown} would have been {true}: {_marked(each.now)}{window}"


def _shown(each: AffectedReading) -> str:
    return "–" if each.shown is None else show(_short(each.shown), each.unit)


def _window(each: AffectedReading) -> str:
    low, high = each.window or (None, None)
    return show_span(None if low is None else Decimal(low), None if high is None else Decimal(high), each.unit)


def _marked(verdict: Verdict | Open | None) -> str:
    match verdict:
        case None:
            return "not judged"
        case "undecided":
            return "? undecided"
        case _:
            return f"{MARKS[verdict]} {verdict}"


def _short(value: Decimal) -> Decimal:
    """Four digits: more than any of this is worth."""
    place = min(value.adjusted() - _DIGITS + 1, 0) if value else 0
    return round(value, -place)


def _day(at: str) -> str:
    return at[:10]


def as_data(suspicion: Suspicion, found: Found) -> dict[str, Any]:
    """One object; quantities as value and unit, deviations in percent."""
    return {
        "tool": suspicion.tool.id,
        "why": why(suspicion, found),
        "after": suspicion.after,
        "until": suspicion.until,
        "deviation": None if suspicion.off is None else [_off(suspicion.off, point) for point in suspicion.off.points],
        "readings": found.pulls,
        "kept": found.kept,
        "outside": found.outside,
        "undecided": found.undecided,
        "runs": [_run(run) for run in found.runs],
        "unread": list(found.unread),
    }


def _off(profile: Profile, point: OffAt) -> dict[str, Any]:
    def share(value: Decimal | None) -> dict[str, Any] | None:
        return None if value is None else {"value": float(value), "unit": "%"}

    where = None if profile.said else {"value": float(point.torque), "unit": profile.unit}
    return {"at": where, "deviation": share(point.mean), "worst": share(point.worst), "unsure": share(point.unsure)}


def _run(run: AffectedRun) -> dict[str, Any]:
    return {
        "run": run.run,
        "title": run.title,
        "revision": run.revision,
        "equipment": run.worked_on,
        "joint": run.joint,
        "outcome": run.outcome,
        "positions": {group: list(positions) for group, positions in run.positions.items()},
        "outside": len(run.outside),
        "in_question": [
            {"because": one.because, "line": one.line, "readings": one.readings} for one in run.in_question
        ],
        "readings": [_reading(each) for each in run.readings],
    }


def _reading(each: AffectedReading) -> dict[str, Any]:
    def quantity(value: Decimal | None, unit: str = each.unit) -> dict[str, Any] | None:
        return None if value is None else {"value": float(value), "unit": unit}

    ends = None if each.window is None else [None if end is None else quantity(Decimal(end)) for end in each.window]
    return {
        "line": each.line,
        "at": each.at,
        "step": each.step,
        "group": each.group,
        "position": each.position,
        "kind": each.kind,
        "outcome": each.outcome,
        "counts": each.kept,
        "why_not": each.why_not,
        "set_to": each.set_to,
        "adapter": each.adapter,
        "shown": quantity(each.shown),
        "window": ends,
        "deviation": quantity(each.off, "%"),
        "true": quantity(each.true),
        "verdict": each.then,
        "would_have_been": each.now,
    }


def blocks(suspicion: Suspicion, found: Found) -> Iterator[Block]:
    """The printed list: what is to be looked at first, then every run."""
    notices = [f"{counted(found.outside, 'pull')} would have been outside."] if found.outside else []
    how_far = "" if suspicion.off is None and not suspicion.found_off else f"{started(off_words(suspicion))}."
    yield Title(
        kind="Affected work",
        title=suspicion.tool.name,
        unit=f"serial number {serial}" if (serial := getattr(suspicion.tool, "serial", None)) else "",
        outcome=started(why(suspicion, found)),
        ended=how_far,
        notices=(*notices, *found.unread),
    )
    yield Facts((("Looked at", started(span_words(suspicion))), ("Found", summary(found, suspicion))))
    if suspicion.off is not None:
        yield Sentences((REST,), quiet=True)
    for run in found.runs:
        yield Heading(run.run, aside=heading(run, suspicion))
        yield Table(
            head=("Group", "Pos.", "What", "At the fastener", "Off by", "Would have been", "Then", "Line"),
            widths=(1, 0, 0, 0, 0, 0, 0, 0),
            points=(3, 4, 5, 7),
            quiet=(7,),
            rows=tuple(_row(each) for each in run.readings),
        )


def _row(each: AffectedReading) -> tuple[str, ...]:
    return (
        f"{each.group or each.joint or 'the joint'}, {_when(each)}",
        own(each.position or "–"),
        f"{each.kind}, {each.outcome}" + ("" if each.why_not in (None, each.outcome) else f", {each.why_not}"),
        _shown(each),
        "" if each.off is None else percent(each.off),
        "" if each.true is None else show(_short(each.true), each.unit),
        _marked(each.now),
        str(each.line),
    )
