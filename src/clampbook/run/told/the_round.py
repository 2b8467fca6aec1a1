"""The round at hand: what became of each position, which are the ones now and next, and what was read last."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from clampbook.figures import plain
from clampbook.procedure import model
from clampbook.procedure.naming import own
from clampbook.procedure.unfolding import JointPlanned
from clampbook.run.asked import about_a_line, where_of, words
from clampbook.run.fold.fastener import turned_so_far
from clampbook.run.fold.frames import frame_at_hand, pending
from clampbook.run.fold.pulls import still_turning
from clampbook.run.plan import Plan
from clampbook.run.progress import Standing, in_sample, standing
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.joints import at_hand
from clampbook.run.told.marks import Mark
from clampbook.run.told.words import Band, Read, Words
from clampbook.units import convert, kind_of

# These outlast the round they came up in: they are told until something is done about them.
_OUTLAST = frozenset({"skipped", "broken", "unknown", "to do again", "void"})
# A concession outlasts these, too: whoever looks at the joint sees it, whatever was pulled after it.
_UNDER_A_CONCESSION = frozenset({"within", "clicked", "confirmed", "loosened", "applied", "to do"})
_WITH_A_NUMBER = frozenset({"within", "under", "over", "concession"})
_LOOKED_AHEAD = 12  # steps, without those of no sample; whatever comes later is no help to the eye
_NEXT = 2  # positions that are hinted at
_READ = 24  # readings, more than any screen has room for


class Round(Struct, frozen=True):
    """Marks by position, the positions now, those that come next, and the latest readings, oldest first. Positions are
    named as they are drawn; of several joints they are those of the one at hand."""

    marks: Mapping[str, Mark]
    now: tuple[str, ...]
    ahead: tuple[str, ...]
    reads: tuple[Read, ...]


def of(session: Session, prompt: Prompt) -> Round:
    """Give all of it, each step of the round looked up once."""
    of_round, told = _steps_of_the_round(session.plan, prompt), words(prompt)
    band, here = told.band, _now(told, prompt)
    reads = () if band is None else band.found if band.found is not None else _reads(session, of_round, band)
    found = Round(_marks(session, of_round), here, _ahead(session, prompt, here), reads)
    joint = at_hand(session.plan, prompt)
    return found if joint is None else _at_its_joint(session.plan, joint, found)


def _at_its_joint(plan: Plan, joint: JointPlanned, found: Round) -> Round:
    """The same of one joint alone, its positions named as they are drawn."""
    there = {position for name in joint.groups for position in plan.group_named[name].positions}
    return Round(
        {own(position): mark for position, mark in found.marks.items() if position in there},
        tuple(own(position) for position in found.now if position in there),
        tuple(own(position) for position in found.ahead if position in there),
        tuple(replace(each, position=own(each.position)) for each in found.reads),
    )


def marks(session: Session, prompt: Prompt) -> Mapping[str, Mark]:
    """Tell what became of each position in the round at hand; a position that is not in it keeps its last outcome.

    One that was accepted by concession shows that until it is taken from the beginning.
    """
    return _marks(session, _steps_of_the_round(session.plan, prompt))


def _marks(session: Session, of_round: Mapping[str, int]) -> Mapping[str, Mark]:
    progress, found = session.progress, {}
    for position in session.plan.group_of:
        state = standing(progress, position)
        mark = _of_the_round(session.plan, state, of_round.get(position))
        found[position] = "concession" if state.conceded_at is not None and mark in _UNDER_A_CONCESSION else mark
    return found


def _of_the_round(plan: Plan, state: Standing, step: int | None) -> Mark:
    if state.outcome is None or still_turning(plan, state.latest_step, state.outcome):
        return "to do"
    if step is None or state.outcome in _OUTLAST or state.through >= step or state.latest_step >= step:
        return state.outcome
    return "to do"


def _steps_of_the_round(plan: Plan, prompt: Prompt) -> Mapping[str, int]:
    """The step of each position in the stage and round at hand, by its place in the plan from 0."""
    where = where_of(prompt)
    if where is None or not plan.steps:
        return {}
    index = min(where.number - 1, len(plan.steps) - 1)
    return plan.round_of.get((plan.run_of[index][0], plan.steps[index].round), {})


def now(prompt: Prompt) -> tuple[str, ...]:
    """Give the positions that are to be done, looked at or decided about now."""
    return _now(words(prompt), prompt)


def _now(words: Words, prompt: Prompt) -> tuple[str, ...]:
    about, where = words.about, where_of(prompt)
    if about or where is None or where.position is None:
        return about
    return (where.position,)


def _ahead(session: Session, prompt: Prompt, now: tuple[str, ...]) -> tuple[str, ...]:
    """The next positions of the stage at hand that are still to be done, the nearest first."""
    plan, progress, where = session.plan, session.progress, where_of(prompt)
    if where is None or where.position is None or not plan.steps or about_a_line(prompt):
        return ()
    here, frame = min(where.number - 1, len(plan.steps) - 1), frame_at_hand(progress)
    found: list[str] = []
    steps = range(here + 1, min(plan.run_of[here][1], frame.last) + 1)
    coming = (index for index in steps if in_sample(progress, plan.steps[index]))
    for index in islice(coming, _LOOKED_AHEAD):
        position = plan.steps[index].position
        if position is None or len(found) == _NEXT:
            break
        if position not in (*now, *found) and pending(plan, progress, frame, index):
            found.append(position)
    return tuple(found)


def _reads(session: Session, of_round: Mapping[str, int], band: Band) -> tuple[Read, ...]:
    """The numbers that were read in the round, oldest first, each where it stands on the scale at hand: a click is
    never shown as one, and a turn by its whole angle."""
    progress = session.progress
    done = [(position, standing(progress, position)) for position in of_round]
    done = [(p, state) for p, state in done if state.outcome in _WITH_A_NUMBER and state.latest_step == of_round[p]]
    done = [(p, state) for p, state in done if not still_turning(session.plan, state.latest_step, state.outcome)]
    done.sort(key=lambda each: each[1].latest)
    found = (_read(session, position, state, band) for position, state in done[-_READ:])
    return tuple(each for each in found if each is not None)


def _read(session: Session, position: str, state: Standing, band: Band) -> Read | None:
    """None where another measure was read last: no angle stands on a scale of torque, no torque on one of length."""
    plan = session.plan
    assert state.outcome is not None
    stage = plan.stage_of(plan.steps[state.latest_step])
    shown_in = "°" if isinstance(stage, model.Turn) else state.shown_in
    if shown_in is None or kind_of(shown_in) is not kind_of(band.unit):
        return None
    if isinstance(stage, model.Turn):
        degrees = turned_so_far(state.fastener, state.latest_step)
        return None if degrees is None else Read(position, state.outcome, f"{plain(degrees)}°", "", degrees)
    if state.last_value is None or state.shown_in is None:
        return None
    shown = Decimal(state.last_value)
    if isinstance(stage, model.Measure):
        shown = convert(shown, state.shown_in, band.unit)
    elif (state.shown_in, state.reach) != (band.unit, band.through):
        there = state.reach.at_fastener(convert(shown, state.shown_in, plan.unit))
        shown = convert(band.through.on_tool(there), plan.unit, band.unit)
    return Read(position, state.outcome, state.last_value, state.shown_in, shown)
