"""The map of a run: the mark of each position in the present round, and which positions are the ones now."""

from __future__ import annotations

from collections.abc import Mapping

from clampbook.figures import plain
from clampbook.procedure import model
from clampbook.run.asked import where_of, words
from clampbook.run.fold.fastener import turned_so_far
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.screens.widgets.marks import Mark
from clampbook.screens.widgets.readings_line import Read

# These outlast the round they came up in: they are told until something is done about them.
_OUTLAST = frozenset({"set aside", "broken", "unknown", "to do again", "void"})
# A concession outlasts these, too: whoever looks at the joint sees it, whatever was pulled after it.
_UNDER_A_CONCESSION = frozenset({"within", "released", "confirmed", "loosened", "applied", "to do"})
_WITH_A_NUMBER = frozenset({"within", "under", "over", "concession"})


def marks(plan: Plan, progress: Progress, prompt: Prompt) -> Mapping[str, Mark]:
    """Mark what became of each position in the round at hand; a position that is not in it keeps its last outcome.

    One that was accepted by concession shows that until it is taken from the beginning.
    """
    of_round = _steps_of_the_round(plan, prompt)
    found = {position: _of_the_round(progress, position, of_round.get(position)) for position in plan.group_of}
    return {
        position: "concession" if mark in _UNDER_A_CONCESSION and standing(progress, position).conceded else mark
        for position, mark in found.items()
    }


def _of_the_round(progress: Progress, position: str, step: int | None) -> Mark:
    state = standing(progress, position)
    if state.outcome is None:
        return "to do"
    if step is None or state.outcome in _OUTLAST or state.through >= step or state.latest_step >= step:
        return state.outcome
    return "to do"


def _steps_of_the_round(plan: Plan, prompt: Prompt) -> dict[str, int]:
    """The step of each position in the stage and round at hand, by its place in the plan from 0."""
    where = where_of(prompt)
    if where is None or not plan.steps:
        return {}
    index = min(where.number - 1, len(plan.steps) - 1)
    at_hand = plan.steps[index]
    first, last = plan.run_of[index]
    return {
        step.position: place
        for place, step in enumerate(plan.steps[first : last + 1], start=first)
        if step.position is not None and step.round == at_hand.round
    }


def now(prompt: Prompt) -> tuple[str, ...]:
    """The positions that are to be done, looked at or decided about now."""
    about, where = words(prompt).about, where_of(prompt)
    if about or where is None or where.position is None:
        return about
    return (where.position,)


def reads(session: Session, prompt: Prompt) -> tuple[Read, ...]:
    """The positions that were finished last in the stage and round at hand, oldest first; a release is never shown as
    a number, and a turn by its whole angle."""
    plan, progress = session.plan, session.progress
    of_round = frozenset(_steps_of_the_round(plan, prompt).values())
    found = []
    for position in progress.recent:
        state = standing(progress, position)
        if state.outcome is not None and state.latest_step in of_round:
            turned = isinstance(plan.stage_of(plan.steps[state.latest_step]), model.Turn)
            degrees = turned_so_far(state.fastener, state.latest_step) if turned else None
            shown, unit = (f"{plain(degrees)}°", "") if degrees is not None else (state.last_value, state.shown_in)
            if shown is None:
                shown, unit = state.last_click, ""
            numbered = state.outcome in _WITH_A_NUMBER and shown is not None
            found.append(Read(position, state.outcome, *((shown, unit or "") if numbered else ())))
    return tuple(found)


def in_words(plan: Plan, progress: Progress, prompt: Prompt) -> str:
    """Tell how many positions of the round are done, for where there is no room for the map."""
    of_round = _steps_of_the_round(plan, prompt)
    if not of_round:
        return ""
    done = sum(standing(progress, position).through >= step for position, step in of_round.items())
    return f"{done} of {len(of_round)} done"
