"""The end of the form: deviations, the questions of the end, and the names."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.record.form.blocks import Box, Boxes, Ending, Section
from clampbook.record.form.front import at_the_end
from clampbook.record.form.places import packed
from clampbook.run.plan import DueLater, Plan
from clampbook.text import started
from clampbook.units import show_duration

_LEAST = 4  # rows for deviations


def closing(plan: Plan) -> Ending:
    """Give the last table, which takes what is left of the page, and what stands below it."""
    return Ending(
        text="Deviations and decisions",
        aside="interruptions too, and tools changed or dropped",
        head=("Stage, position", "Time", "What, and what was decided by whom", "Initials"),
        widths=(17, 13, 44, 14),
        least=_LEAST,
        after=tuple(_after(plan)),
    )


def _after(plan: Plan) -> Iterator[Section | Boxes]:
    rows = at_the_end(plan)
    if rows:
        yield Section("At the end")
        yield Boxes(packed(rows))
    yield Section("Sign-offs")
    for sign_off in plan.sign_off:
        role = f"{started(sign_off.role)}{', another person' if sign_off.another_person else ''}"
        yield Boxes(packed(_name(role)))
    if not plan.sign_off:
        yield Boxes(packed(_name("Done by")))
    if plan.due_later:
        yield Section("", lines=tuple(map(_due, plan.due_later)))


def _name(role: str) -> tuple[Box, ...]:
    return Box(role, wide=32), Box("Day, time", wide=22), Box("Signature", wide=34)


def _due(later: DueLater) -> str:
    when = [show_duration(later.after)] if later.after is not None else []
    when += [f"{later.or_use} of use"] if later.or_use else []
    return f"Follow-up: {later.title}, after {' or '.join(when)}."
