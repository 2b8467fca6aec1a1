"""The departures of a pull from the sheet, and what was left so when the run ended."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import Measure, Recheck
from clampbook.record.agreement import not_done
from clampbook.record.departures import Departure
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.left_out import in_words, left_out
from clampbook.record.pull import COUNTS, Pull, exact
from clampbook.record.wording import between
from clampbook.run.acts.voided import told_of
from clampbook.run.events import Closed, Corrected, Event, Measured, Rechecked, ToolTaken, Voided
from clampbook.run.fold.acts import CLICKS, MOVED
from clampbook.run.fold.line import MARKS
from clampbook.run.fold.passes import FIRST_MOVEMENT, OFF_ITS_MARK


def of_pull(run: Frozen, row: Pull) -> Iterator[Departure]:
    """Find what a pull departs in: beyond or below where that asks for a decision, void, or put right into its
    window."""
    event = row.event
    if isinstance(event, Voided):
        yield from _voided(run, row, event)
        return
    if isinstance(event, Corrected):
        yield from _corrected(run, row, event)
    if isinstance(event, Measured) and (spread := _spread(run, row, event)) is not None:
        yield spread
        return
    if (off := _decided_off_its_mark(run, row)) is not None:
        yield Departure(off, off)
    if _moved_since(run, event):
        yield Departure("moved", "moved since the run before")
    if row.verdict == "over" or (row.verdict == "under" and _under_asks(row)):
        yield Departure(row.verdict, _outside(run, row, row.kind))


def _voided(run: Frozen, row: Pull, event: Voided) -> Iterator[Departure]:
    """A pull that does not count: with which tool it was made, and what that showed or was set to."""
    of = f" (line {event.of})" if event.of is not None else ""
    hand = f" with {_hand(run, row)}" if row.tool is not None and row.tool != MARKS else ""
    kind = event.cause if row.kind == "wrong position" else "bad pull"
    yield Departure(kind, f"void{of}: {event.cause}{hand}{_seen(row, event)}")
    if event.verdict == "over":
        yield Departure("over", _outside(run, row, kind))


def _hand(run: Frozen, row: Pull) -> str:
    """The tool of a pull by its name, and what was on it: "W7+A1"."""
    before = reversed(run.events[: row.line - 1])
    taken = next((each for each in before if isinstance(each, ToolTaken) and each.tool.id == row.tool), None)
    if taken is None:
        return row.tool or ""
    return taken.tool.name if taken.adapter is None else f"{taken.tool.name}+{taken.adapter.name}"


def _seen(row: Pull, event: Voided) -> str:
    told, setting = told_of(event), row.act.set_to
    if event.value is not None:
        return f", showed {told}"
    if told is not None:
        return f", clicked at {told}"
    if setting is None:
        return ""
    unsure = "click not known" if event.clicked is None else "no click"
    return f", set to {setting} {row.act.unit or ''}, {unsure}"


def _outside(run: Frozen, row: Pull, kind: str) -> str:
    """Tell what lies outside its window, as it was told and at the fastener: "pull over: 24.5 lbf·ft (33.218 N·m),
    ..."."""
    act, unit = row.act, row.shown_unit or run.plan.unit
    there, shown_in = (row.shown, unit) if row.shown is not None else (act.at_fastener, run.plan.unit)
    found = "judged by its mark" if there is None else f"{there} {shown_in}"
    told = act.value or act.set_to
    if told is not None and there is not None and act.adapter is not None:
        found = f"{told} {act.unit} on {_hand(run, row)} ({found} at the fastener)"
    elif told is not None and there is not None and act.unit not in (None, shown_in):
        found = f"{told} {act.unit} ({found})"
    if act.set_to is not None:
        as_set = act.unit == shown_in and act.adapter is None
        found = f"clicked at {f'{act.set_to} {act.unit}' if as_set else found}"
    return f"{kind} {row.verdict}: {found}, window {between(row.window, unit if row.shown is not None else shown_in)}"


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


def _who_saw(event: Corrected) -> str:
    return "" if event.person is None else f" ({event.person.name})"


def _corrected(run: Frozen, row: Pull, event: Corrected) -> Iterator[Departure]:
    first = run.events[event.of - 1]
    while isinstance(first, Corrected) and not first.counts:  # what it was about stood all the same
        first = run.events[first.of - 1]
    before: str | None = getattr(first, "verdict", None)
    if not event.counts:
        typed = getattr(first, "typed", None) or getattr(first, "value", None)
        told = f"corrected from {typed} ({before}) to {event.typed} from memory alone, does not count"
        yield Departure("corrected from memory", f"{told}: line {first.seq} stands, {before}")
        return
    typed = getattr(first, "typed", None)
    if row.verdict == "within" and before in ("over", "under"):
        yield Departure(
            "corrected into its window",
            f"corrected into its window: {typed} ({before}) to {event.typed}, {event.known}{_who_saw(event)}",
        )
    elif row.standing == "void":
        told = f"corrected from {typed} to {event.typed}, {event.known}{_who_saw(event)}"
        yield Departure("corrected", told)


def _spread(run: Frozen, row: Pull, event: Measured) -> Departure | None:
    """Judge a measurement that is over for the spread of its points, and not for its own value."""
    stage = run.plan.stage_of(row.step)
    if event.verdict != "over" or event.spread is None or not isinstance(stage, Measure) or stage.spread is None:
        return None
    high = event.window[1] if event.window is not None else None
    if high is not None and exact(event.result, event.seq) > exact(high, event.seq):
        return None
    most = f"{stage.spread.value:f} {stage.spread.unit}"
    return Departure("spread", f"readings are {event.spread} {event.unit} apart, {most} allowed")


_OFF_ITS_MARK = {mark: f"{off} after it was tightened again" for mark, off in OFF_ITS_MARK.items()}


def _decided_off_its_mark(run: Frozen, row: Pull) -> str | None:
    """Tell how it did not come back to its mark, where that was asked at once: no further round looks at it again."""
    stage = run.plan.stage_of(row.step)
    if not isinstance(stage, Recheck) or stage.until_still:
        return None
    return _OFF_ITS_MARK.get(row.act.mark or "back")


def at_the_end(run: Frozen, history: History) -> Iterator[tuple[Event, Departure, str | None, str | None]]:
    """Find what was left so when the run ended: pulls that stayed under, what still moved, and steps never done."""
    for each in left_out(run, history):
        told = f"accepted without its {in_words(each)}"
        yield run.events[each.line - 1], Departure("left out", told), each.step.id, each.position
    if run.ended is None:
        return
    for row in history.pulls:
        short = row.outcome == "under" and (row.act.kind in CLICKS or not _under_asks(row))
        asked = _moved_since(run, row.event) or _decided_off_its_mark(run, row) is not None
        moved = row.outcome == MOVED and not asked
        if row.standing == COUNTS and row.position is not None and (short or moved):
            off = _OFF_ITS_MARK.get(row.act.mark or "back", "still moved at the last recheck")
            words = "left under" if row.outcome == "under" else off
            yield row.event, Departure(words, words), row.step.id, row.position
    undone = not_done(run, history)
    if undone:
        named = ", ".join(dict.fromkeys(f"gate {step}" if position is None else position for position, step in undone))
        ended = "closed" if isinstance(run.ended, Closed) else "abandoned"
        steps = "1 step" if len(undone) == 1 else f"{len(undone)} steps"
        told = f"{ended} with {steps} not done: {named}"
        yield run.ended, Departure("not done", told), None, None
