"""The things in a run vouched for by a typed name, or by nobody, where the procedure or the daybook asks for it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from clampbook.people import Person
from clampbook.procedure.model import Inspect
from clampbook.record.frozen import Frozen
from clampbook.run.events import Closed, Decided, Event, Inspected, SignedOff
from clampbook.run.questions.typed_in import WHO_TYPED


class Typed(Struct, frozen=True):
    """Something that no key vouches for: the line (the last one where nobody said anything), who by typed name (None:
    nobody), what is meant, and when."""

    line: int
    person: Person | None
    meaning: str
    at: str
    on_form: bool = False  # it stands on a paper form, and somebody else typed it


def typed(run: Frozen) -> tuple[Typed, ...]:
    """All of them in the order of the lines; those that only the procedure asks for at the end."""
    found = [one for event in run.events if (one := _typed(run, event)) is not None]
    return (*found, *_never(run))


def _typed(run: Frozen, event: Event) -> Typed | None:
    if isinstance(event, SignedOff) and event.key is None:
        return Typed(event.seq, event.person, event.meaning, event.at, run.plan.late and event.role != WHO_TYPED)
    if isinstance(event, Inspected) and event.key is None and (event.inspector is not None or _holds(run, event)):
        return Typed(event.seq, event.inspector, event.meaning or "hold point", event.at, run.plan.late)
    if isinstance(event, Decided) and event.key is None and event.person is not None:
        return Typed(event.seq, event.person, event.meaning or event.choice, event.at, event.typed_at is not None)
    return None


def _holds(run: Frozen, event: Inspected) -> bool:
    """Tell whether the procedure has a hold point there, and not only work that was put in between."""
    index = run.plan.index_of.get(event.step)
    if index is None or event.work is not None:
        return False
    stage = run.plan.stages[run.plan.steps[index].stage - 1]
    return isinstance(stage, Inspect) and stage.hold_point


def _never(run: Frozen) -> Iterator[Typed]:
    """Roles that must sign at the end, and did not."""
    if not isinstance(run.ended, Closed) or run.plan.trial:
        return
    signed = {event.role for event in run.events if isinstance(event, SignedOff)}
    for each in run.plan.sign_off:
        if each.required and each.role not in signed:
            yield Typed(run.ended.seq, None, each.role, run.ended.at)
