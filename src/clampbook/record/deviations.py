"""Everything that departs from the procedure, line by line, with what was decided about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from clampbook.procedure.model import Measure
from clampbook.record.decisions import decided
from clampbook.record.departures import Departure, of_event
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.paper_times import WHEREVER_TOLD, beside_its_row, times_on_form, where_it_differs
from clampbook.record.pull_departures import at_the_end, of_pull
from clampbook.record.tables import Row
from clampbook.record.wording import at_stage, at_step, written
from clampbook.run.events import (
    Asked,
    Closed,
    Corrected,
    Decided,
    Event,
    Held,
    OfTheWork,
    PaperTime,
    PartRecorded,
    SampleDrawn,
    ToolTaken,
)
from clampbook.run.fold.adjusting import ADJUST
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, NEW, missing, used
from clampbook.run.progress import COUNT_DIFFERS, NOT_NEW, OF_PARTS, TOO_FEW

CUT_SHORT = "wait cut short"
TOO_OFTEN = "adjusted too often"


@dataclass(slots=True)
class _Entry:
    """One line of the daybook with all that is not as it should be about it."""

    departures: list[Departure] = field(default_factory=list)
    decided: list[Row] = field(default_factory=list)
    step: str | None = None
    position: str | None = None


def deviations(run: Frozen, history: History) -> list[Row]:
    """One table a line, in the order of the daybook."""
    entries: dict[int, _Entry] = {}
    on_form = _times(run, history)
    for about, cause in _still_asked(run, history):
        _note(run, entries, about, (Departure(cause, _of_parts(run, history, cause, about)),))
    adjusted = {event.about for event in run.events if isinstance(event, Decided) and event.choice == ADJUST}
    for event in run.events:
        _note(run, entries, event, of_event(run, event))
        if isinstance(event, Decided | Held) and not _to_the_procedure(event):
            _settled(run, history, entries, event, on_form.get(event.seq, {}))
        for row in history.at_line.get(event.seq, ()):
            if event.seq in adjusted and row.kind == "measurement":
                continue  # the procedure itself says what follows on it
            _note(run, entries, event, of_pull(run, row), row.step.id, row.position)
    for event, departure, step, position in at_the_end(run, history):
        _note(run, entries, event, (departure,), step, position)
    return [_row(run, line, entries[line], on_form.get(line, {})) for line in sorted(entries)]


def _times(run: Frozen, history: History) -> Mapping[int, Row]:
    """The times of a paper form beside each line; those of a pull's round stand with the readings."""
    pulled = {row.line for row in history.pulls}
    if not run.tells(WHEREVER_TOLD):
        return {line: row for line, row in times_on_form(run).items() if line not in pulled}
    found = dict(times_on_form(run))
    for line, row in found.items():
        event = run.events[line - 1]
        found[line] = where_it_differs(event, row) if line in pulled else row
    beside = (event for event in run.events if run.plan.late and isinstance(event, PaperTime))
    return found | {event.seq: row for event in beside if (row := beside_its_row(event))}


def _to_the_procedure(event: Decided | Held) -> bool:
    """True where the procedure itself has this way to go on."""
    return isinstance(event, Decided) and event.choice == ADJUST


def _note(
    run: Frozen,
    entries: dict[int, _Entry],
    event: Event,
    departures: Iterable[Departure],
    step: str | None = None,
    position: str | None = None,
) -> None:
    for departure in departures:
        entry = entries.setdefault(event.seq, _Entry())
        if departure not in entry.departures:  # a block that was confirmed in one answer says it once
            entry.departures.append(departure)
        entry.step = entry.step or step or getattr(event, "step", None)
        entry.position = entry.position or position or getattr(event, "position", None) or _of_step(run, event)


def _of_step(run: Frozen, event: Event) -> str | None:
    step = getattr(event, "step", None)
    return None if step is None else run.step(event, step).position


def _settled(run: Frozen, history: History, entries: dict[int, _Entry], event: Decided | Held, on_form: Row) -> None:
    """Set a decision beside the line it is about; what was decided about is a deviation, whatever it is."""
    row = {"line": event.seq, **decided(event, history), **where_it_differs(event, on_form)}
    if isinstance(event, Held):
        if event.about is not None and event.about in entries:
            entries[event.about].decided.append(row)
        return
    if event.choice == "go on early":
        _note(run, entries, event, (Departure(CUT_SHORT, {"reason": event.reason or event.cause}),))
        entries[event.seq].decided.append(row)
        return
    if event.choice == "ask again":  # nothing was gone on with
        return
    about = run.events[event.about - 1] if 0 < event.about < event.seq else event
    if about.seq not in entries:
        told = Departure(event.cause, _of_parts(run, history, event.cause, about))
        _note(run, entries, about, (told,), *_where(event))
    _note(run, entries, about, _too_often(run, event))
    entries[about.seq].decided.append(row)


def _too_often(run: Frozen, event: Decided) -> Iterator[Departure]:
    """Going back is adjusting once more, which the procedure has no time left for."""
    stage = None if event.step is None else run.plan.stage_of(run.step(event, event.step))
    if isinstance(stage, Measure) and stage.adjust and event.time is not None and event.time > stage.adjust.at_most:
        yield Departure(TOO_OFTEN, {"times": event.time, "at_most": stage.adjust.at_most})


def _still_asked(run: Frozen, history: History) -> Iterator[tuple[Event, str]]:
    """Find counts that nobody went on with, nor put right; a run that was walked to its end has none."""
    if isinstance(run.ended, Closed):
        return
    for question in history.progress.questions:
        if question.cause in OF_PARTS:
            yield run.events[question.about - 1], question.cause


def _of_parts(run: Frozen, history: History, cause: str, about: Event) -> Row:
    """Give the facts of a count that is not as it should be; nothing of any other cause."""
    if cause == COUNT_DIFFERS:
        return _count(run, history, about)
    if cause == NOT_NEW and isinstance(about, Asked | Corrected):
        return {"group": (about.item or "").removeprefix(NEW)}
    if cause != TOO_FEW or not isinstance(about, PartRecorded | Corrected):
        return {}
    part = (about.item or "").removeprefix(AT_HAND)
    return {"part": part, "at_hand": int(about.value or 0), "needed": about.needed}


def _count(run: Frozen, history: History, about: Event) -> Row:
    """Give the numbers of parts that do not add up; nothing where they were corrected since."""
    item = about.item or "" if isinstance(about, PartRecorded | Corrected) else ""
    part = next((each for each in run.plan.parts if LEFT_OVER + each.name == item), None)
    if part is None or not (off := missing(run.plan, history.progress, part)):
        return {}
    counts = history.progress.counts
    return {
        "part": part.name,
        "at_hand": counts.get(AT_HAND + part.name),
        "used": used(run.plan, history.progress, part),
        "left_over": counts.get(LEFT_OVER + part.name),
        "missing": off if off > 0 else None,
        "too_many": -off if off < 0 else None,
    }


def _where(event: Decided) -> tuple[str | None, str | None]:
    """The step and position of a decision; parts that are counted belong to neither."""
    return (None, None) if event.cause in OF_PARTS else (event.step, event.position)


def _of_its_stage(run: Frozen, event: ToolTaken, step: str) -> bool:
    """True of a tool that stands on a form for a stage: nothing was done in it before, so all its bolts had it."""
    if not run.plan.late:
        return False
    stage = run.step(event, step).stage
    before = (each for each in run.events[: event.seq - 1] if isinstance(each, OfTheWork))
    steps = (at for each in before if (at := getattr(each, "step", None)) is not None)
    return all(run.step(event, at).stage != stage for at in steps)


def _row(run: Frozen, line: int, entry: _Entry, on_form: Row) -> Row:
    event = run.events[line - 1]
    where: Row = {}
    if entry.step is not None:
        step = run.plan.at_position(run.step(event, entry.step), entry.position)
        where = at_step(run.plan, step, entry.position)
    if isinstance(event, SampleDrawn):
        where = at_stage(run.plan, event.stage)
    if isinstance(event, ToolTaken) and event.step is not None and _of_its_stage(run, event, event.step):
        where = at_stage(run.plan, run.step(event, event.step).stage)
    return {
        "line": line,
        **(where or {"position": entry.position}),
        **written(event),
        **on_form,
        "departed": [each.row for each in entry.departures],
        "decided": entry.decided or None,
    }
