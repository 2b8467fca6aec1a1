"""The stages of a run, in order: what each does, and how far it is done."""

from __future__ import annotations

from msgspec import Struct

from clampbook.run.asked import where_of
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session


class StageAt(Struct, frozen=True):
    """A stage by number and in one word, with how many of its steps are behind; `now` where the work is."""

    number: int
    word: str
    done: int
    of: int
    now: bool


def stages(session: Session, prompt: Prompt) -> tuple[StageAt, ...]:
    """Give the stages of the plan as they stand at a prompt; none where it has no place in the work."""
    plan, where = session.plan, where_of(prompt)
    if where is None or not plan.steps:
        return ()
    here = min(where.number - 1, len(plan.steps) - 1)
    found = []
    for number, first in plan.first_of_stage.items():
        last = plan.last_of_stage[number]
        done = min(max(here - first, 0), last - first + 1)
        found.append(StageAt(number, plan.steps[first].kind, done, last - first + 1, plan.steps[here].stage == number))
    return tuple(sorted(found, key=lambda each: each.number))
