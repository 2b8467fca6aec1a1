"""The ways to go on when something is not as the sheet wants it, by its cause."""

from __future__ import annotations

from typing import Literal, assert_never

from msgspec.structs import replace

from clampbook.procedure.model import Group, Loosen, Recheck, Tighten, Turn, Unmoved
from clampbook.run.fastener import NOT_SNUG, known_loose, seated
from clampbook.run.fold.again import starting_over, starts_at
from clampbook.run.fold.passes import LOOSE
from clampbook.run.fold.pulls import OUT_OF_TURN, RUN_DOWN_CAUSES, THIRD_UNDER, harmless
from clampbook.run.fold.renewal import needs_renewal, spent, used_up
from clampbook.run.places import named
from clampbook.run.plan import Plan
from clampbook.run.progress import COUNT_DIFFERS, SCOPES, SPREAD, Progress, Question, standing
from clampbook.run.prompts import DecideChoice

CONCESSION = DecideChoice("concession", "accept it as it is, by concession of a second person", ("reason", "person"))
TURN_ACCEPTED = replace(CONCESSION, text=f"{CONCESSION.text}: its next turn counts as done")
HOLD = DecideChoice("hold", "let the run stand, and go on another time", ("reason",))
ABANDON = DecideChoice("abandon", "give this run up", ("reason",))
CORRECT = DecideChoice("correct", "it was mistyped: correct it", ("value", "known"))
LOOK_AGAIN = DecideChoice("look again", "look again")
MEASURE_AGAIN = DecideChoice("measure again", "measure again")
ALL_POINTS = DecideChoice("measure all points again", "measure all points again")
WHOLE_JOINT = DecideChoice("the whole joint again", "the joint needs doing again: close as not accepted", ("reason",))

PULL_AGAIN = DecideChoice("pull again", "pull it again")
NEVER_REACHES: Literal["never reaches the torque"] = "never reaches the torque"

LOST = ("broken", "stripped", NEVER_REACHES, "wrong or missing part")
TYPED = ("over", "final torque outside", "stretch beyond its window", LOOSE)  # a value that may be mistyped
TOOL_CAUSES = ("zero came back wrong", "zero unknown")


def ways(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """What can be chosen, in a fixed order; every list ends with a way that is always open."""
    cause = question.cause
    if cause in TOOL_CAUSES:
        return (
            DecideChoice("zero again", "zero it and look again"),
            DecideChoice("another tool", "take another tool"),
            DecideChoice("go on", "go on with it, with a reason", ("reason",)),
            HOLD,
        )
    if cause == THIRD_UNDER:
        never = DecideChoice(NEVER_REACHES, "it does not reach the torque")
        return (PULL_AGAIN, never, DecideChoice("another tool", "take another tool"), HOLD)
    if cause == COUNT_DIFFERS:
        return (DecideChoice("explain", "explain the difference", ("reason",)), CORRECT, HOLD)
    if cause == "set aside":
        return (DecideChoice("do it now", "do it now"), CONCESSION, HOLD)
    if cause == "again at a gate":
        leave = DecideChoice("leave", "leave it as it was, with a reason", ("reason",))
        return (DecideChoice("do again", "do it again"), leave, HOLD)
    if cause == "still moving":
        whole = (WHOLE_JOINT,) if progress.follows_up else ()
        return (DecideChoice("one more pass", "one more pass over all of them"), CONCESSION, *whole, HOLD)
    if _in_prologue(progress, question):
        return _before_starting_over(progress)
    if progress.follows_up:
        accept = () if question.cause in LOST else (CONCESSION,)  # nothing can be pulled on what is no longer there
        return (*_in_a_follow_up(plan, progress, question), *accept, WHOLE_JOINT, HOLD)
    return _about_positions(plan, progress, question)


def _in_a_follow_up(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """What can be done about it without the stages of the first run, which are not in this plan."""
    cause = question.cause
    if cause == "outside":
        return (MEASURE_AGAIN, CORRECT)
    if cause == SPREAD:
        return (ALL_POINTS,)
    again = _pulled_again(plan, progress, question) if cause == "bad pull" else ()
    return (*again, *_mistyped(progress, question))


def _pulled_again(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """A bad pull is pulled again where that does no harm, but never a fastener that is not used again."""
    stage = plan.stage_of(plan.steps[question.step])
    unharmed = all(harmless(stage, standing(progress, each).fastener) for each in question.positions)
    never = any(needs_renewal(plan, progress, each) for each in question.positions)
    return (PULL_AGAIN,) if unharmed and not never else ()


def _in_prologue(progress: Progress, question: Question) -> bool:
    top = progress.frames[-1]
    inserted = bool(top.prologue) and top.reason != "looking back"
    return question.cause == "not as expected" and inserted and question.positions == (top.prologue[0].position,)


def _before_starting_over(progress: Progress) -> tuple[DecideChoice, ...]:
    work = progress.frames[-1].prologue[0].work
    if work == "stub out":
        return (LOOK_AGAIN, HOLD, ABANDON)
    if work == "inspect":
        return (LOOK_AGAIN, DecideChoice("new fastener", "fit a new fastener"), CONCESSION, HOLD)
    return (LOOK_AGAIN, HOLD)


def _about_positions(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    cause = question.cause
    again = _again(plan, progress, question)
    if cause in LOST:
        return (*(each for each in again if each.choice == "new fastener"), HOLD, ABANDON)
    if cause == "budget used up":
        return (*(each for each in again if each.choice == "new fastener"), CONCESSION, HOLD)
    if cause == NOT_SNUG:
        snug = DecideChoice("go on", "go on with a reason", ("reason",))
        return (*(again if seated_by_the_sheet(plan, question.step) else (snug,)), CONCESSION, HOLD)
    if cause == "limit run out":
        go_on = DecideChoice("go on", "go on with a reason", ("reason",))
        return (*again, go_on, HOLD)
    if cause in RUN_DOWN_CAUSES.values():
        renew = tuple(each for each in again if each.choice == "new fastener")
        return (*renew, CORRECT, CONCESSION, HOLD)
    if cause == "outside":
        return (MEASURE_AGAIN, *_go_back(plan, progress, question), CORRECT, CONCESSION, HOLD)
    if cause == SPREAD:
        return (ALL_POINTS, *_go_back(plan, progress, question), CORRECT, CONCESSION, HOLD)
    if cause == "not as expected":
        if not question.positions:
            return (LOOK_AGAIN, *_go_back(plan, progress, question), CONCESSION, HOLD)
        return (LOOK_AGAIN, *again, CONCESSION, HOLD)
    first = _pulled_again(plan, progress, question) if cause == "bad pull" else ()
    accept = TURN_ACCEPTED if counts_as_its_turn(plan, progress, question) else CONCESSION
    return (*first, *again, *_mistyped(progress, question), accept, HOLD)


def counts_as_its_turn(plan: Plan, progress: Progress, question: Question) -> bool:
    """Whether a turn was made out of its turn, which would be too much if the next one were made as well."""
    turn = isinstance(plan.stage_of(plan.steps[question.step]), Turn)
    ahead = any(question.step > standing(progress, each).through for each in question.positions)
    return turn and ahead and question.cause in OUT_OF_TURN


def _mistyped(progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (CORRECT,) if any(_typed(progress, question, each) for each in question.positions) else ()


def _typed(progress: Progress, question: Question, position: str) -> bool:
    """Whether what is asked about was typed, and so may have been mistyped: no click and no lost mark was."""
    state = standing(progress, position)
    if question.cause in TYPED:
        return state.latest_what not in ("release", None)
    return state.latest == question.about and state.latest_what == "bad pull"


def _again(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """From the beginning, with the same fastener where that may be used again, and with a new one."""
    named = [each for each in question.positions if each in plan.group_of]
    if not named:
        return ()
    group = plan.group_of[named[0]]
    scopes = SCOPES[SCOPES.index(group.start_over) :]
    choices: list[DecideChoice] = []
    if not any(spent(plan, progress, each) for each in named):
        text = "from the beginning: loosen fully, inspect, and every stage again" + _budget(group, progress, named)
        choices.append(DecideChoice("from the beginning", text, ("scope",), scopes))
    new = "from the beginning with a new fastener"
    choices.append(DecideChoice("new fastener", new, ("scope",), scopes))
    return tuple(choices)


def seated_by_the_sheet(plan: Plan, index: int) -> bool:
    """Whether the sheet itself seats a fastener before this step, so that starting over would bring it here snug."""
    step = plan.steps[index]
    for before in reversed([each for each in plan.steps_of[step.position or ""] if each < index]):
        stage = plan.stage_of(plan.steps[before])
        if isinstance(stage, Unmoved):
            continue
        match stage:
            case Tighten() | Turn() | Recheck():
                return True
            case Loosen(by=None):
                return False
            case Loosen():
                continue
            case _ as never:
                assert_never(never)
    return False


def budget_used_up(plan: Plan, progress: Progress, position: str, *, backed_off: bool = False) -> bool:
    """Whether the next pull would be a tightening beyond the budget that nobody has agreed to yet."""
    state = standing(progress, position)
    tightens = backed_off or not seated(state.fastener)
    return tightens and not state.budget_waived and used_up(plan, progress, position)


def _budget(group: Group, progress: Progress, named: list[str]) -> str:
    if group.cycles is None:
        return ""
    most = max(standing(progress, each).tightenings for each in named)
    return f" (tightening {most + 1} of {group.cycles})"


def _go_back(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Earlier stages that were part of this plan, by number, what they do, and what starts over for them."""
    here = plan.steps[question.step].stage
    earlier = [stage for stage in sorted(plan.first_of_stage) if plan.first_of_stage[stage] < question.step]
    listed = tuple((stage, _stage_again(plan, progress, stage, question.step)) for stage in earlier if stage != here)
    if not listed:
        return ()
    return (DecideChoice("go back", "go back to an earlier stage", ("back to", "reason"), (), listed),)


def _stage_again(plan: Plan, progress: Progress, number: int, gate: int) -> str:
    """A stage to go back to, and what that does to the fasteners that were pulled since: nothing loosens in silence."""
    again = starting_over(plan, progress, number, gate)
    if not again:
        return stage_name(plan, number)
    tight = [each for each in plan.group_of if each in again and not known_loose(standing(progress, each).fastener)]
    loose = f"loosen {named(tight)} fully, " if tight else ""
    new = "new fasteners, " if any(spent(plan, progress, each) for each in again) else ""
    return f"{stage_name(plan, number)} ({loose}{new}start over at stage {starts_at(plan, again)})"


def stage_name(plan: Plan, number: int) -> str:
    """A stage in few words: its number, what is done, and to which group."""
    step = plan.steps[plan.first_of_stage[number]]
    stage = plan.stage_of(step)
    name = f"stage {number}: {step.kind}"
    if stage.id:
        name += f" ({stage.id})"
    return name + (f", {stage.group}" if stage.group else "")
