"""The facts that a signed text states: bolt, reading, window, question, answer, decision and who pulled what.

Read off the lines alone, so that whoever checks the text later makes the same of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from clampbook.procedure.model import Inspect
from clampbook.record.frozen import Frozen
from clampbook.record.wording import between
from clampbook.run import events as e
from clampbook.run.fold.independence import CONCESSION, LOOKED_BEFORE, by_hand
from clampbook.run.plan import Plan, Step
from clampbook.run.told.places import bolt_named, named, stage_at
from clampbook.units import behind

Fact = tuple[str, str]
_QUESTIONS = {
    "over": "It is over",
    "outside": "It is outside its window",
    "not as expected": "Not the expected answer",
    "skipped": "It was skipped and is still to do",
    "mark lost": "Mark lost, angle unknown",
    "bad pull": "Bad pull",
}


def stated(run: Frozen, line: int, *, at_the_end: bool) -> tuple[Fact, ...]:
    """The facts that the signature of a line is about, each with its label. `at_the_end`: it is one of those over the
    whole run."""
    event = run.events[line - 1]
    if isinstance(event, e.Inspected):
        return tuple(_looked(run, event))
    if isinstance(event, e.Decided):
        return tuple(_decided(run, event))
    return (*_added(run), *_left_out(run), *_pulled(run), *_conceded(run)) if at_the_end else ()


def _looked(run: Frozen, event: e.Inspected) -> Iterator[Fact]:
    step = run.step(event, event.step)
    stage = run.plan.stage_of(step)
    where = step.position if step.position is not None else event.position
    if where is not None:
        yield "Bolt", _bolt(run.plan, step, where)
    elif step.group is not None:
        positions = getattr(stage, "positions", ())
        yield "Bolts", f"{step.group} {named(positions)}".strip()
    if isinstance(stage, Inspect):
        yield "Question", stage.ask
    expected = "as expected" if event.as_expected else "not as expected"
    at = f" at {named(event.positions)}" if event.positions else ""
    yield "Answer", f"{event.answer}, {expected}{at}"
    yield "Worked so far", _people(run, event.seq)


def _decided(run: Frozen, event: e.Decided) -> Iterator[Fact]:
    step = None if event.step is None else run.step(event, event.step)
    if step is not None and event.position is not None:
        yield "Bolt", _bolt(run.plan, step, event.position)
    elif step is not None:
        yield "At", f"{stage_at(run.plan, step.stage)}{f', {step.point}' if step.point else ''}"
    about = run.events[event.about - 1] if 0 < event.about < event.seq else None
    if about is not None:
        yield from _value(run, about)
    yield "Question", f"{_QUESTIONS.get(event.cause, event.cause)}. What now?"
    yield "Decision", "accepted as it is, by concession" if event.choice == CONCESSION else event.choice
    yield "Worked so far", _people(run, event.seq)


def _value(run: Frozen, about: e.Event) -> Iterator[Fact]:
    """State what was read, or set, with the window that judged it."""
    unit = run.plan.unit
    window: e.Ends | None = getattr(about, "window", None)
    if isinstance(about, e.Turned):
        yield "Reading", f"{about.sum}° in all" if about.sum is not None else "by the mark, no angle read"
        yield "Window", between(window, "°")
        return
    value, set_to = getattr(about, "value", None), getattr(about, "set_to", None)
    own, there = getattr(about, "unit", None) or unit, getattr(about, "at_fastener", None)
    shown = value if value is not None else set_to
    as_shown = own == unit and shown is not None and there is not None and Decimal(shown) == Decimal(there)
    at_bolt = f" ({there} {unit} at the fastener)" if there is not None and not as_shown else ""
    if value is not None:
        yield "Reading", f"{value}{behind(own)}{at_bolt}"
    elif set_to is not None:
        yield "Set to", f"{set_to} {own}{at_bolt}, no reading"
    else:
        yield "Reading", "none"
    if window is not None:
        yield "Window", between(window, unit if there is not None else own)


def _bolt(plan: Plan, step: Step, position: str) -> str:
    group = plan.group_of.get(position)
    bolt = bolt_named(group.name if group else step.group, position, group.one if group else None)
    return f"{bolt}, stage {plan.numbered[step.stage]}"


def _added(run: Frozen) -> Iterator[Fact]:
    """State what an addendum adds; its plan has no step."""
    if run.plan.steps:
        return
    yield from (("Added", " ".join(event.text.split())) for event in run.events if isinstance(event, e.Noted))


def _left_out(run: Frozen) -> Iterator[Fact]:
    """State which joints of the procedure another run is to do."""
    if run.plan.joints_left_out:
        yield "Left out", ", ".join(run.plan.joints_left_out)


def _pulled(run: Frozen) -> Iterator[Fact]:
    """State who pulled which bolts, at whichever stage and attempt; and who typed it where that was somebody else."""
    bolts: dict[str, dict[str, dict[str, None]]] = {}
    typed: dict[str, None] = {}
    for event in run.events:
        if not by_hand(event):
            continue
        hands = event.done_by or event.by
        if hands != event.by:
            typed[event.by] = None
        for group, position in _positions(run, event):
            bolts.setdefault(hands, {}).setdefault(group, {})[position] = None
    for hands, groups in bolts.items():
        where = "; ".join(f"{group} {named(_in_order(run.plan, at))}".strip() for group, at in groups.items())
        yield "Pulled", f"{_name(run, hands)}: {where}"
    if typed:
        yield "Entered by", ", ".join(_name(run, each) for each in typed)
    worked = [event for event in run.events if LOOKED_BEFORE in event.noted]
    for event in worked:
        yield "Looked before", f"{_name(run, event.done_by or event.by)}, worked on it from line {event.seq} on"


def _positions(run: Frozen, event: e.Event) -> Iterator[tuple[str, str]]:
    if isinstance(event, e.Confirmed):
        found: Sequence[str] = event.positions
    else:
        name = getattr(event, "step", None)
        own = getattr(event, "position", None) or (run.step(event, name).position if name is not None else None)
        found = () if own is None else (own,)
    for position in found:
        group = run.plan.group_of.get(position)
        if group is not None:
            yield group.name, position


def _in_order(plan: Plan, positions: Iterable[str]) -> list[str]:
    """As the procedure has them, not as they were pulled."""
    places = {position: place for place, position in enumerate(plan.group_of)}
    return sorted(positions, key=places.__getitem__)


def _conceded(run: Frozen) -> Iterator[Fact]:
    for event in run.events:
        if isinstance(event, e.Decided) and event.choice == CONCESSION and event.person is not None:
            step = None if event.step is None else run.step(event, event.step)
            where = "the run" if step is None else stage_at(run.plan, step.stage)
            if step is not None and event.position is not None:
                where = _bolt(run.plan, step, event.position)
            yield "By concession", f"{where}, {event.cause}: {event.person.name}, {event.reason}"


def _people(run: Frozen, line: int) -> str:
    """Name those who laid hands on the work up to a line."""
    hands = dict.fromkeys(event.done_by or event.by for event in run.events[: line - 1] if by_hand(event))
    return ", ".join(_name(run, each) for each in hands) or "nobody"


def _name(run: Frozen, person: str) -> str:
    """A person by name, as the lines have it."""
    for event in run.events:
        for one in (
            getattr(event, field, None) for field in ("person", "done_by_person", "to", "inspector", "initials")
        ):
            if one is not None and one.id == person:
                return str(one.name)
    return person
