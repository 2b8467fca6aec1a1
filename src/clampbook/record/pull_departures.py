"""The departures of a pull from the procedure, and what was left so when the run ended."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import Measure, Recheck
from clampbook.record.agreement import not_done
from clampbook.record.departures import Departure, was_typed_wrong
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.left_out import NAMED, left_out
from clampbook.record.pull import COUNTS, Pull
from clampbook.record.tables import Row
from clampbook.record.wording import ends, named
from clampbook.run.events import Corrected, Event, Measured, Rechecked, Voided
from clampbook.run.fold.acts import CLICKS, MOVED, NOT_JUDGED, TOO_FAR_APART
from clampbook.run.fold.again import same_measurement
from clampbook.run.fold.line import MARKS
from clampbook.run.fold.measured import only_apart
from clampbook.run.fold.passes import FIRST_MOVEMENT, OFF_ITS_MARK
from clampbook.run.gather.asking import ON_FORM

LEFT_UNDER, STILL_MOVED = "left under", "still moved at the last recheck"


def of_pull(run: Frozen, row: Pull) -> Iterator[Departure]:
    """Find what a pull departs in: beyond or below where that asks for a decision, void, or put right into its
    window."""
    event = row.event
    if _typed_wrong(run, row):
        return
    if isinstance(event, Voided):
        yield from _voided(run, row, event)
        return
    if isinstance(event, Corrected) and row.judged_anew:
        yield from _judged_anew(run, row, event)
    elif isinstance(event, Corrected) and event.known != ON_FORM:
        yield from _corrected(run, row, event)
    if _of_points(run, row):
        yield from _points(run, row, event)
        return
    if (
        isinstance(event, Measured | Corrected)
        and not row.judged_anew
        and (spread := _spread(run, row, event)) is not None
    ):
        yield spread
        return
    if (off := _decided_off_its_mark(run, row)) is not None:
        yield Departure(off)
    if _moved_since(run, event):
        yield Departure("moved")
    if row.verdict == "over" or (row.verdict == "under" and _under_asks(row)):
        yield Departure(row.verdict, _outside(run, row, row.kind))


def _typed_wrong(run: Frozen, row: Pull) -> bool:
    """True of a number that never stood on the paper form: it was typed wrong from there, and put right."""
    return row.standing == "corrected" and was_typed_wrong(run, row.line)


def _voided(run: Frozen, row: Pull, event: Voided) -> Iterator[Departure]:
    """A pull that does not count: with which tool it was made, and what that showed or was set to."""
    kind = event.cause if row.kind == "wrong position" else "bad pull"
    with_tool = row.tool is not None and row.tool != MARKS
    facts: Row = {
        "void": True,
        "of_line": event.of,
        "cause": event.cause,
        "tool": row.tool if with_tool else None,
        "adapter": row.act.adapter if with_tool else None,
        **_seen(row, event),
    }
    yield Departure(kind, facts)
    if event.verdict == "over":
        yield Departure("over", _outside(run, row, kind))


def _seen(row: Pull, event: Voided) -> Row:
    """Give what its tool told of it, an angle in all; of a setting tool what it was set to, and if it clicked."""
    if event.value is not None or event.sum is not None:
        return {"value": event.sum or event.value, "unit": event.unit}
    if event.set_to is not None:
        return {"set_to": event.set_to, "unit": event.unit, "clicked": "yes"}
    if row.act.set_to is None:
        return {}
    return {"set_to": row.act.set_to, "unit": row.act.unit, "clicked": "not known" if event.clicked is None else "no"}


def _outside(run: Frozen, row: Pull, of: str) -> Row:
    """Give what lies outside its window, as its tool told it and as it is judged; nothing read is by the mark."""
    act = row.act
    judged, unit = (row.shown, row.shown_unit) if row.shown is not None else (act.at_fastener, run.plan.unit)
    return {
        "of": of,
        "value": act.value,
        "set_to": act.set_to,
        "unit": act.unit,
        "tool": act.tool if act.tool != MARKS else None,
        "adapter": act.adapter,
        "judged": judged,
        "judged_unit": unit or run.plan.unit,
        **ends(row.window),
    }


# Elsewhere under is simply pulled or turned on; at a recheck it was to be there already.
_UNDER_ASKS = ("prevailing torque", "final torque", "measurement", "recheck")


def _under_asks(row: Pull) -> bool:
    """Tell whether a value below its window is decided about; what moved first below its window is loose."""
    clicked = row.act.kind in CLICKS  # at a setting that nobody asked for: pulling on does not make that right
    return clicked or row.kind in _UNDER_ASKS


def _moved_since(run: Frozen, event: Event) -> bool:
    """Tell whether a fastener was found moved since the run that this one follows up."""
    if run.opened.of_run is None or not isinstance(event, Rechecked):
        return False
    return bool(event.moved) and event.method != FIRST_MOVEMENT


def _corrected(run: Frozen, row: Pull, event: Corrected) -> Iterator[Departure]:
    first = run.events[event.of - 1]
    while isinstance(first, Corrected) and not first.counts:  # what it was about stood all the same
        first = run.events[first.of - 1]
    before = _judged_before(run, first, event)
    typed = getattr(first, "typed", None)
    if not event.counts:
        first_typed = typed or getattr(first, "value", None)
        facts: Row = {"typed": first_typed, "verdict": before, "to": event.typed, "stands_line": first.seq}
        yield Departure("corrected from memory", facts)
        return
    to: Row = {
        "typed": typed,
        "in_all_before": _in_all(first),
        "verdict": before,
        "to": event.typed,
        "in_all": _in_all(event),
        "unit": event.unit,
        "known": event.known,
        **named(event.person),
    }
    if row.verdict == "within" and before in ("over", "under"):
        yield Departure("corrected into its window", to)
    elif row.standing == "void" or (before == TOO_FAR_APART and row.outcome in ("within", NOT_JUDGED)):
        yield Departure("corrected", to)


def _judged_anew(run: Frozen, row: Pull, event: Corrected) -> Iterator[Departure]:
    """A difference that comes into its window, as the value taken off was put right: what it was, and what it is."""
    first = run.events[(row.corrects or event.of) - 1]
    before = _judged_before(run, first, event)
    if row.verdict == "within" and before in ("over", "under"):
        facts: Row = {
            "typed": getattr(first, "result", None),
            "verdict": before,
            "to": row.shown,
            "unit": row.shown_unit,
            "known": event.known,
            **named(event.person),
        }
        yield Departure("corrected into its window", facts)


def _judged_before(run: Frozen, first: Event, event: Corrected) -> str | None:
    """The verdict on what was put right; of a point inside its window that they lay too far apart, also where another
    one was the last of them."""
    if isinstance(first, Measured | Corrected) and only_apart(first):
        return TOO_FAR_APART
    verdict: str | None = getattr(first, "verdict", None)
    if event.spread is None or verdict in ("over", "under"):
        return verdict
    together = _judged_together(run, event)
    return verdict if together is None or not only_apart(together) else TOO_FAR_APART


def _judged_together(run: Frozen, event: Corrected) -> Measured | Corrected | None:
    """The line before this one that judged all points of its measurement together; None where none did."""
    here = run.step(event, event.step or "")
    lines = (each for each in reversed(run.events[: event.seq - 1]) if isinstance(each, Measured | Corrected))
    judged = (each for each in lines if each.spread is not None)
    return next((each for each in judged if same_measurement(run.step(each, each.step or ""), here)), None)


def _in_all(event: Event) -> str | None:
    """Give the degrees of a whole turn beside those of its last stroke, where that is not all of it: its window is that
    of the turn."""
    in_all: str | None = getattr(event, "sum", None)
    return None if in_all == getattr(event, "value", None) else in_all


def _of_points(run: Frozen, row: Pull) -> bool:
    """True where some of the points may be outside: one alone departs in nothing."""
    stage = run.plan.stage_of(row.step)
    return row.kind == "measurement" and isinstance(stage, Measure) and stage.all_but is not None


def _points(run: Frozen, row: Pull, event: Event) -> Iterator[Departure]:
    """Find more points outside their window than are allowed, once all are measured."""
    stage = run.plan.stage_of(row.step)
    outside = event.outside if isinstance(event, Measured | Corrected) else None
    if isinstance(stage, Measure) and stage.all_but is not None and outside is not None and outside > stage.all_but:
        yield Departure("points outside", {"outside": outside, "points": len(stage.points), "allowed": stage.all_but})


def _spread(run: Frozen, row: Pull, event: Measured | Corrected) -> Departure | None:
    """Judge a measurement that is over for the spread of its points, and not for its own value."""
    stage = run.plan.stage_of(row.step)
    if not only_apart(event) or not isinstance(stage, Measure) or stage.spread is None:
        return None
    if row.outcome in ("within", NOT_JUDGED):  # another point was put right
        return None
    facts: Row = {"spread": event.spread, "unit": event.unit}
    most: Row = {"allowed": f"{stage.spread.value:f}", "allowed_unit": stage.spread.unit}
    return Departure("spread", {**facts, **most})


_OFF_ITS_MARK = {mark: f"left {mark}" for mark in OFF_ITS_MARK}


def _decided_off_its_mark(run: Frozen, row: Pull) -> str | None:
    """Tell how it did not come back to its mark, where that was asked at once: no further round looks at it again."""
    stage = run.plan.stage_of(row.step)
    if not isinstance(stage, Recheck) or stage.until_still:
        return None
    return _OFF_ITS_MARK.get(row.act.mark or "back")


def at_the_end(run: Frozen, history: History) -> Iterator[tuple[Event, Departure, str | None, str | None]]:
    """Find what was left so when the run ended: pulls that stayed under, what still moved, and steps never done."""
    for each in left_out(run, history):
        missing: Row = {"without": [NAMED[kind] for kind in each.kinds]}
        yield run.events[each.line - 1], Departure("left out", missing), each.step.id, each.position
    if run.ended is None:
        return
    for row in history.pulls:
        short = row.outcome == "under" and (row.act.kind in CLICKS or not _under_asks(row))
        asked = _moved_since(run, row.event) or _decided_off_its_mark(run, row) is not None
        moved = row.outcome == MOVED and not asked
        if row.standing == COUNTS and row.position is not None and (short or moved):
            off = _OFF_ITS_MARK.get(row.act.mark or "back", STILL_MOVED)
            left = Departure(LEFT_UNDER if row.outcome == "under" else off)
            yield row.event, left, row.step.id, row.position
    undone = not_done(run, history)
    if undone:
        facts: Row = {
            "steps": len(undone),
            "positions": list(dict.fromkeys(position for position, _ in undone if position is not None)),
            "without_position": [step for position, step in undone if position is None],
        }
        yield run.ended, Departure("not done", facts), None, None
