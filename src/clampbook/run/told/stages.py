"""The stages of a run, in order: what each does, how far it is done, and which one begins."""

from __future__ import annotations

from msgspec import Struct

from clampbook.procedure.model import Apply
from clampbook.procedure.naming import of_file
from clampbook.run.asked import about_a_line, where_of
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Prompt, Where
from clampbook.run.session import Session
from clampbook.run.told.joints import at_hand
from clampbook.run.told.places import within_a_sentence


class StageAt(Struct, frozen=True):
    """A stage by number and in one word, with how many of its steps are behind; `now` where the work is."""

    number: int
    word: str
    done: int
    of: int
    now: bool


def stages(session: Session, prompt: Prompt) -> tuple[StageAt, ...]:
    """Give the stages of the plan as they stand at a prompt; none where it has no place in the work. Of several joints
    they are those of the one at hand, with what is done for all."""
    plan, where = session.plan, where_of(prompt)
    if where is None or not plan.steps:
        return ()
    here, joint = min(where.number - 1, len(plan.steps) - 1), at_hand(plan, prompt)
    found = []
    for number, first in plan.first_of_stage.items():
        if joint is not None and plan.joint_of_stage.get(number, joint) != joint:
            continue
        last = plan.last_of_stage[number]
        done = min(max(here - first, 0), last - first + 1)
        found.append(
            StageAt(
                plan.numbered[number], plan.steps[first].kind, done, last - first + 1, plan.steps[here].stage == number
            )
        )
    return tuple(sorted(found, key=lambda each: each.number))


def begins(before: Prompt, session: Session, prompt: Prompt) -> str | None:
    """Say which stage, or which of its rounds, a prompt begins: "Stage 5 of 9, round 2 of 2: turn head bolts." or,
    of several joints, "Stage 2 of 2, injector 3: tighten clamp bolts."

    None where the prompt `before` was of it already, once some of it is done, in work that was inserted, and where
    something is to be decided first.
    """
    if about_a_line(prompt):
        return None
    here, was = where_of(prompt), where_of(before)
    if here is None or here.again is not None or not session.plan.steps:
        return None
    if was is not None and was.again is None and (was.stage, was.round) == (here.stage, here.round):
        return None
    index = min(here.number - 1, len(session.plan.steps) - 1)
    return _told(session.plan, here, index) if _untouched(session.plan, session.progress, index) else None


def _untouched(plan: Plan, progress: Progress, index: int) -> bool:
    """True where nothing of the round around a step is done; of a stage that is no round of positions, its first."""
    of_round = plan.round_of.get((plan.run_of[index][0], plan.steps[index].round))
    if of_round is None:
        return index == plan.run_of[index][0]
    return all(standing(progress, position).through < step for position, step in of_round.items())


def _told(plan: Plan, here: Where, index: int) -> str:
    step = plan.steps[index]
    if plan.late:
        of_round = f", round {here.round} of {here.rounds}" if here.rounds > 1 else ""
        return f"Next on the form: stage {plan.numbered[step.stage]} of {max(plan.numbered.values())}{of_round}."
    stage, joint = plan.stage_of(step), plan.joint_of_stage.get(step.stage)
    named = "" if step.group is None else step.group if joint is None else of_file(step.group, joint.name)
    group = within_a_sentence(named)
    what = f"apply {stage.what}" if isinstance(stage, Apply) else f"{step.kind} {group}".rstrip()
    which = f", round {here.round} of {here.rounds}" if here.rounds > 1 else ""
    at = "" if joint is None else f", {within_a_sentence(joint.name)}"
    return f"Stage {plan.numbered[step.stage]} of {max(plan.numbered.values())}{which}{at}: {what}."
