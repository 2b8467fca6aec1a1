"""The words and keys that the tables of a record share: where, when, by whom, and between which ends."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from clampbook.people import Person
from clampbook.record.moments import local, typed
from clampbook.record.tables import Row
from clampbook.run.events import Ends, Event
from clampbook.run.plan import Plan, Step
from clampbook.units import COUNT

TYPED_NAME, ON_FORM = "typed name", "on the form"


_LONGEST = 12  # signs of an end of a window that stands as it is
_DIGITS = 6


def at_step(plan: Plan, step: Step, position: str | None = None) -> Row:
    """Give the place in the plan; `position` where it is another one than the step's own."""
    where = position if position is not None else step.position
    joint = plan.joint_at(where, step.stage)
    return {
        "step": step.id,
        "stage": step.stage,
        "round": step.round,
        "joint": None if joint is None else joint.name,
        "position": where,
        "set": step.set,
        "point": step.point,
    }


def at_stage(plan: Plan, number: int) -> Row:
    """Give the place of what belongs to a stage and to none of its positions."""
    joint = plan.joint_of_stage.get(number)
    return {"stage": number, "joint": None if joint is None else joint.name, "group": plan.stages[number - 1].group}


def written(event: Event) -> Row:
    """Tell when and by whom a line was written, and who did the work where that was somebody else."""
    told = {"at": local(event), "by": event.by, "done_by": event.done_by}
    return told if event.typed_at is None else {**told, "typed_at": typed(event)}


def ends(window: Ends | tuple[Decimal | None, Decimal | None] | None) -> Row:
    """A window as two keys; an open end has none."""
    low, high = (_in_short(end, up=up) for end, up in zip(window or (None, None), (True, False), strict=True))
    return {"window_from": _end(low), "window_to": _end(high)}


def _end(end: str | Decimal | None) -> str | None:
    return format(end, "f") if isinstance(end, Decimal) else end


def between(window: Ends | None, unit: str | None) -> str:
    """A window in words: "28.0 to 32.0 N·m", "at least 6 N·m"."""
    low, high = window if window is not None else (None, None)
    of_unit = f" {unit}" if unit and unit != COUNT else ""
    if low is None and high is None:
        return "no window"
    if low is None:
        return f"at most {high}{of_unit}"
    return f"at least {low}{of_unit}" if high is None else f"{low} to {high}{of_unit}"


def _in_short(end: str | Decimal | None, *, up: bool) -> str | None:
    """An end of a window as it was written; one that a conversion made endless, rounded inwards."""
    if end is None or len(str(end)) <= _LONGEST:
        return None if end is None else str(end)
    value = Decimal(end)
    step = Decimal(1).scaleb(value.adjusted() - _DIGITS + 1)
    return f"{value.quantize(step, ROUND_CEILING if up else ROUND_FLOOR):f}"


def named(person: Person | None, key: str = "person") -> Row:
    """A person as id and name: two people of one name stay two."""
    return {} if person is None else {key: person.id, f"{key}_name": person.name}


def vouched(person: Person | None, key: str | None, *, on_form: bool = False) -> Row:
    """Tell how a person vouched for something: with the key whose fingerprint this is, by typing a name, or with the
    name that stands on a paper form."""
    if key is not None:
        return {"key": key}
    return {} if person is None else {"name_given_as": ON_FORM if on_form else TYPED_NAME}
