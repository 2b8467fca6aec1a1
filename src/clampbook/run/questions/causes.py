"""The causes of a decision, things that are not to the procedure: each with what is said of it, and the
ways to go on from there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal, assert_never

from msgspec import Struct
from msgspec.structs import replace

from clampbook.procedure.model import Align, Group, Loosen, Recheck, Scope, Tighten, Turn, Unmoved
from clampbook.run.fold.adjusting import ADJUST, adjustable, gone_back
from clampbook.run.fold.again import starting_over, starts_at
from clampbook.run.fold.counts import item_at, one_use
from clampbook.run.fold.fastener import NOT_SNUG, known_loose, let_down, seated
from clampbook.run.fold.passes import FOUND_UNDER, LOOSE, MOVED
from clampbook.run.fold.pulls import ANOTHER_WASHER, NOT_ALIGNED, OUT_OF_TURN, PREVAILING_CAUSES, THIRD_UNDER, harmless
from clampbook.run.fold.renewal import needs_renewal, spent
from clampbook.run.fold.verdict import judge
from clampbook.run.plan import Plan
from clampbook.run.progress import (
    COUNT_DIFFERS,
    LOOKING_BACK,
    MEASURED_BEFORE,
    NOT_NEW,
    SCOPES,
    SPREAD,
    TOO_FEW,
    TOO_MANY,
    Progress,
    Question,
    Why,
    standing,
)
from clampbook.run.prompts import Decide, DecideChoice
from clampbook.run.questions import on_paper
from clampbook.run.questions.costs import of_adjusting, of_starting_over
from clampbook.run.questions.decided import members
from clampbook.run.told.places import bolt, named, place, within_a_sentence
from clampbook.text import started
from clampbook.units import Kind, kind_of, show

CONCESSION = DecideChoice("concession", "Have a second person accept it as is (concession)", ("reason", "person"))
TURN_ACCEPTED = replace(CONCESSION, text="Have a second person accept it, and its next turn as done (concession)")
HOLD = DecideChoice("hold", "Put the run on hold", ("reason",))
ABANDON = DecideChoice("abandon", "Abandon the run (give a reason)", ("reason",))
CORRECT = DecideChoice("correct", "Correct the reading (mistyped)", ("value", "known"))
LOOK_AGAIN = DecideChoice("look again", "Look again")
MEASURE_AGAIN = DecideChoice("measure again", "Measure again")
_PUMP_UP = "Pump up and read again"
ALL_POINTS = DecideChoice("measure all points again", "Measure all points again")
WHOLE_JOINT = DecideChoice("the whole joint again", "Redo the joint: close this as not accepted", ("reason",))

_ANOTHER_NUT, _ANOTHER_WASHER = "Start over with another nut", "Start over with another washer"
_TOOL_THAT_READS = "Use another tool, one that shows torque"
_ANOTHER_TOOL = DecideChoice("another tool", "Use another tool")
_GO_ON = DecideChoice("go on", "Go on (give a reason)", ("reason",))
_RECOUNT = replace(CORRECT, text="Correct the count (mistyped)")
COUNT_AGAIN = DecideChoice("ask again", "Count again (more are here now)")
PULL_AGAIN = DecideChoice("pull again", "Pull again")
NEVER_REACHES: Literal["never reaches the torque"] = "never reaches the torque"

_TYPED = ("over", "final torque outside", "stretch beyond its window", LOOSE)  # a value that may be mistyped


def _pulled_again(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """A bad pull is pulled again where that does no harm, but never a fastener that is not used again."""
    stage = plan.stage_of(plan.steps[question.step])
    unharmed = all(harmless(stage, standing(progress, each).fastener) for each in question.positions)
    never = any(needs_renewal(plan, progress, each) for each in question.positions)
    return (PULL_AGAIN,) if unharmed and not never else ()


def _in_prologue(progress: Progress, question: Question) -> bool:
    top = progress.frames[-1]
    inserted = bool(top.prologue) and top.reason != LOOKING_BACK
    return question.cause == "not as expected" and inserted and question.positions == (top.prologue[0].position,)


def _before_starting_over(plan: Plan, progress: Progress) -> tuple[DecideChoice, ...]:
    work, position = progress.frames[-1].prologue[0].work, progress.frames[-1].prologue[0].position
    if work == "stub out":
        return (LOOK_AGAIN, HOLD, ABANDON)
    if work == "inspect":
        return (
            LOOK_AGAIN,
            DecideChoice("new fastener", f"Fit a new {one_of(plan, position)}"),
            CONCESSION,
            HOLD,
        )
    return (LOOK_AGAIN, HOLD)


def counts_as_its_turn(plan: Plan, progress: Progress, question: Question) -> bool:
    """True where a turn was made out of its turn, which would be too much if the next one were made as well."""
    turn = isinstance(plan.stage_of(plan.steps[question.step]), Turn)
    ahead = any(question.step > standing(progress, each).through for each in question.positions)
    return turn and ahead and question.cause in OUT_OF_TURN


def _mistyped(progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (CORRECT,) if any(_typed(progress, question, each) for each in question.positions) else ()


def _typed(progress: Progress, question: Question, position: str) -> bool:
    """True where what is asked about was typed, and so may have been mistyped: no click and no lost mark was."""
    state = standing(progress, position)
    if question.cause in _TYPED:
        return state.latest_what not in ("release", None)
    return state.latest == question.about and state.latest_what == "bad pull"


def _again(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """From the beginning, with the same fastener where that may be used again, and with a new one."""
    named = [each for each in question.positions if each in plan.group_of]
    if not named:
        return ()
    group = plan.group_of[named[0]]
    scopes = _scopes(plan, group)
    choices: list[DecideChoice] = []
    if not any(spent(plan, progress, each) for each in named):
        loose = "let down" if any(standing(progress, each).fastener.tensioned for each in named) else "loosen fully"
        text = f"Start over: {loose}, inspect, repeat every stage" + _budget(group, progress, named)
        least = of_starting_over(plan, progress, named, question.step, scopes[0], renew=False).told
        choices.append(DecideChoice("from the beginning", text, ("scope",), scopes, costs=least))
    new = f"Start over with a new {one_of(plan, named[0])}"
    least = of_starting_over(plan, progress, named, question.step, scopes[0], renew=True).told
    choices.append(DecideChoice("new fastener", new, ("scope",), scopes, costs=least))
    return tuple(choices)


def _scopes(plan: Plan, group: Group) -> tuple[Scope, ...]:
    """From the least that its group says on. What stands alone in its joint has no neighbours; the whole joint is more
    than that alone only where there are others, or consumables."""
    scopes = SCOPES[SCOPES.index(group.start_over) :]
    if len(group.positions) > 1 or scopes == ("joint",):
        return scopes
    others = len(members(plan, group.positions[0], "joint")) > 1
    return (scopes[0], "joint") if others or plan.parts else scopes[:1]


def _renewed(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """From the beginning, but with a new fastener only."""
    return tuple(each for each in _again(plan, progress, question) if each.choice == "new fastener")


def seated_by_the_sheet(plan: Plan, index: int) -> bool:
    """True where the sheet itself seats a fastener before this step, so that starting over would bring it here snug."""
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
            case Align() | Loosen():  # at its slot already, nothing seats it
                continue
            case _ as never:
                assert_never(never)
    return False


def _budget(group: Group, progress: Progress, named: list[str]) -> str:
    if group.tightenings_at_most is None:
        return ""
    most = max(standing(progress, each).tightenings for each in named)
    return f" (tightening {most + 1} of {group.tightenings_at_most})"


def _go_back(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Earlier stages that were part of this plan, by number, what they do, and what starts over for them."""
    here = plan.steps[question.step].stage
    earlier = [stage for stage in sorted(plan.first_of_stage) if plan.first_of_stage[stage] < question.step]
    if (joint := plan.joint_of_stage.get(here)) is not None:  # another joint has no part in it
        earlier = [stage for stage in earlier if plan.joint_of_stage.get(stage, joint) == joint]
    listed = tuple(
        (stage, _stage_again(plan, progress, stage, question.step) + _too_often(plan, progress, question, stage))
        for stage in _apart_from_each_other(plan, progress, [each for each in earlier if each != here], question.step)
    )
    if not listed:
        return ()
    return (DecideChoice("go back", "Go back to an earlier stage", ("back to", "reason"), (), listed),)


def _apart_from_each_other(plan: Plan, progress: Progress, stages: list[int], gate: int) -> list[int]:
    """The stages that it makes a difference to go back to: all from which the same bolts start over are the one at
    which those begin."""
    found: dict[object, int] = {}
    for stage in stages:
        again = starting_over(plan, progress, stage, gate)
        begins = starts_at(plan, again) if again else stage
        found.setdefault((again, begins) if stage >= begins else stage, stage)
    return list(found.values())


def _too_often(plan: Plan, progress: Progress, question: Question, stage: int) -> str:
    """Tell that going back so far would be adjusting more often than the procedure allows."""
    loop = gone_back(plan, progress, question.step, None, stage)
    return "" if loop is None or loop.time <= loop.at_most else f": adjusting, time {loop.time} of {loop.at_most}"


def _stage_again(plan: Plan, progress: Progress, number: int, gate: int) -> str:
    """A stage to go back to, and what that does to the fasteners that were pulled since: nothing loosens in silence."""
    again = starting_over(plan, progress, number, gate)
    if not again:
        return stage_name(plan, number)
    held = {each: standing(progress, each).fastener for each in plan.group_of if each in again}
    tensioned = [each for each, fastener in held.items() if fastener.tensioned]
    tight = [each for each, one in held.items() if not known_loose(let_down(one) if one.tensioned else one)]
    loose = f"let the pressure of {named(tensioned)} down fully, " if tensioned else ""
    loose += f"loosen {named(tight)} fully, " if tight else ""
    new = "fit new fasteners, " if any(spent(plan, progress, each) for each in again) else ""
    begins = starts_at(plan, again)
    at = "" if begins == number else f"start over at stage {plan.numbered[begins]}"
    does = f"{loose}{new}{at}".removesuffix(", ")
    return stage_name(plan, number) + (f" ({does})" if does else "")


def stage_name(plan: Plan, number: int) -> str:
    """A stage in few words: its number, what is done, and to which group."""
    step = plan.steps[plan.first_of_stage[number]]
    stage = plan.stage_of(step)
    name = f"Stage {plan.numbered[number]}: {step.kind}"
    if stage.id:
        name += f" ({stage.id})"
    return name + (f", {stage.group}" if stage.group else "")


Ways = Callable[[Plan, Progress, Question], tuple[DecideChoice, ...]]


def _of_a_zero(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    again = DecideChoice("zero again", "Zero it and look again")
    return (again, _ANOTHER_TOOL, _GO_ON, HOLD)


def _third_under(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    return (PULL_AGAIN, DecideChoice(NEVER_REACHES, "It does not reach the torque"), _ANOTHER_TOOL, HOLD)


def _not_new(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    return (replace(COUNT_AGAIN, text="Answer again (new ones are here now)"), HOLD, ABANDON)


def _too_few(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    if one_use(plan, item_at(progress, question.about)):
        return (_RECOUNT, COUNT_AGAIN, HOLD, ABANDON)
    fewer = replace(_GO_ON, text="Go on with fewer (give a reason)")
    return (_RECOUNT, COUNT_AGAIN, fewer, HOLD)


def _count_differs(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    return (DecideChoice("explain", "Explain the difference", ("reason",)), _RECOUNT, HOLD)


def _skipped(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    return (DecideChoice("do it now", "Do it now"), CONCESSION, HOLD)


def _again_at_a_gate(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, progress, question
    leave = DecideChoice("leave", "Leave it (give a reason)", ("reason",))
    return (DecideChoice("do again", "Do it again"), leave, HOLD)


def _still_moving(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    del plan, question
    whole = (WHOLE_JOINT,) if progress.follows_up else ()
    return (DecideChoice("one more pass", "Recheck all once more"), CONCESSION, *whole, HOLD)


def _lost(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (*_renewed(plan, progress, question), HOLD, ABANDON)


def _budget_used_up(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (*_renewed(plan, progress, question), CONCESSION, HOLD)


def _not_snug(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    seated_before = seated_by_the_sheet(plan, question.step)
    return (*(_again(plan, progress, question) if seated_before else (_GO_ON,)), CONCESSION, HOLD)


def _limit_run_out(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (*_again(plan, progress, question), _GO_ON, HOLD)


def _prevailing(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (*_renewed(plan, progress, question), CORRECT, CONCESSION, HOLD)


def unchecked(plan: Plan, question: Question) -> str | None:
    """The limit at a slot, where a nut does not align and no tool showed at which torque."""
    stage = plan.stage_of(plan.steps[question.step])
    if question.cause != NOT_ALIGNED or question.found is not None or not isinstance(stage, Align):
        return None
    return None if stage.at_most is None else show(stage.at_most, plan.unit)


def _does_not_align(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    again = _again(plan, progress, question)  # the same nut on another washer only where it may be used again
    nut = (replace(each, text=_ANOTHER_NUT) for each in again if each.choice == "new fastener")
    same = (each for each in again if each.choice == "from the beginning")
    washer = (replace(each, choice=ANOTHER_WASHER, text=_ANOTHER_WASHER) for each in same)
    read = () if unchecked(plan, question) is None else (replace(_ANOTHER_TOOL, text=_TOOL_THAT_READS),)
    return (*read, *nut, *washer, CONCESSION, HOLD)


def _adjust(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Back to the stage that the procedure names, as long as some of its times are left."""
    loop = adjustable(plan, progress, question)
    if loop is None:
        return ()
    back = f"back to stage {plan.numbered[loop.stage]}"
    text = f"Adjust, time {loop.time} of {loop.at_most}: {back}"  # short, so that its cost has room beside it
    return (DecideChoice(ADJUST, text, back_to=((loop.stage, back),), costs=of_adjusting(plan, loop).told),)


def _fitted_anew(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Start over where a value is the fastener's own, measured before any pull: with a new one. One that a tensioner
    holds can be let down and tensioned again as well."""
    fasteners = [standing(progress, each).fastener for each in question.positions]
    if any(each.tensioned for each in fasteners):
        return _again(plan, progress, question)
    return () if any(seated(each) for each in fasteners) else _renewed(plan, progress, question)


def _measured_again(progress: Progress, question: Question) -> DecideChoice:
    """A pressure that is under is pumped up further; whatever else is outside is only measured again."""
    judged, tensioned = question.judged, [standing(progress, each).fastener.tensioned for each in question.positions]
    if judged is None or not any(tensioned) or kind_of(judged.unit) is not Kind.PRESSURE:
        return MEASURE_AGAIN
    return replace(MEASURE_AGAIN, text=_PUMP_UP) if judge(judged.shown, judged.window) == "under" else MEASURE_AGAIN


def _outside(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (
        *_adjust(plan, progress, question),
        _measured_again(progress, question),
        *_fitted_anew(plan, progress, question),
        *_go_back(plan, progress, question),
        CORRECT,
        CONCESSION,
        HOLD,
    )


def _apart(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (
        *_adjust(plan, progress, question),
        ALL_POINTS,
        *_fitted_anew(plan, progress, question),
        *_go_back(plan, progress, question),
        CORRECT,
        CONCESSION,
        HOLD,
    )


def _not_as_expected(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    back = _again if question.positions else _go_back
    return (LOOK_AGAIN, *back(plan, progress, question), CONCESSION, HOLD)


def _pull(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Of all that is wrong with a pull: from the beginning, corrected where it was typed, or accepted."""
    again = _again(plan, progress, question)
    accept = TURN_ACCEPTED if counts_as_its_turn(plan, progress, question) else CONCESSION
    return (*again, *_mistyped(progress, question), accept, HOLD)


def _bad_pull(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    return (*_pulled_again(plan, progress, question), *_pull(plan, progress, question))


def _in_a_follow_up(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Give what can be done about it without the stages of the first run, which are not in this plan."""
    own = _mistyped(progress, question)
    if question.cause == "outside":
        own = (*_adjust(plan, progress, question), _measured_again(progress, question), CORRECT)
    elif question.cause in (SPREAD, TOO_MANY):
        own = (*_adjust(plan, progress, question), ALL_POINTS)
    elif question.cause == "bad pull":
        own = (*_pulled_again(plan, progress, question), *own)
    gone = CAUSES[question.cause].ways is _lost  # nothing can be pulled on what is no longer there
    return (*own, *(() if gone else (CONCESSION,)), WHOLE_JOINT, HOLD)


class Cause(Struct, frozen=True):
    """A cause: its fact, the ways to go on, and how what was found stands behind that fact, where anything was.

    `anywhere`: the ways are the same in a follow-up, which has not the stages of the first run. In a fact `{about}` is
    the bolt or the place, `{found}` what was found, `{group}` the group. `means`: what it says of the part.
    """

    fact: str
    ways: Ways
    anywhere: bool = False
    found: str = " ({})"
    means: str | None = None


CAUSES: Mapping[Why, Cause] = {
    "over": Cause("{about} is over", _pull, found=": {}"),
    "bad pull": Cause("{about}: bad pull", _bad_pull),
    "mark lost": Cause("{about}: mark lost, angle unknown", _pull),
    "not as I left it": Cause("{about} is not as {left}", _pull),
    "broken": Cause("{about} broke", _lost, found=" at {}"),
    "stripped": Cause("{about}: thread stripped", _lost, found=" at {}"),
    NEVER_REACHES: Cause("{about} does not reach the torque", _lost, found=", only {}"),
    "wrong or missing part": Cause("{about}: part wrong or missing", _lost),
    NOT_SNUG: Cause("{about} is not snug. A turn starts from snug", _not_snug),
    "limit run out": Cause("{about} was not finished within", _limit_run_out, found=" {}"),
    "budget used up": Cause("{about} has had all", _budget_used_up, found=" {}"),
    "skipped": Cause("{about} was skipped and is still to do", _skipped, anywhere=True),
    "outside": Cause("{about} is outside its window", _outside, found=": {}"),
    TOO_MANY: Cause("{about}: {found}", _apart, found=""),
    SPREAD: Cause("Points {found}", _apart, found=""),
    "not as expected": Cause("{about}: not the expected answer", _not_as_expected),
    "still moving": Cause("{group}: {found}", _still_moving, anywhere=True, found=""),
    MOVED: Cause("{about} moved", _pull),
    LOOSE: Cause("{about} moved under its window", _pull, found=": {}"),
    FOUND_UNDER: Cause("{about} was found under its window", _pull, found=": {}"),
    THIRD_UNDER: Cause("{about} is still under after {found} pulls", _third_under, anywhere=True, found=""),
    # FAA AC 43.13-1B, table 7-2: a nut below the least is not used again. Above the most: common practice, no source.
    PREVAILING_CAUSES["under"]: Cause(
        "{about}: prevailing torque too low", _prevailing, means="the locking nut is worn: replace it"
    ),
    PREVAILING_CAUSES["over"]: Cause(
        "{about}: prevailing torque too high", _prevailing, means="a thread may be damaged: inspect bolt and nut"
    ),
    "final torque outside": Cause("{about}: {found} after the turn, outside its window", _pull, found=""),
    "stretch beyond its window": Cause("{about}: stretched beyond its window", _pull),
    NOT_ALIGNED: Cause("{about} does not align", _does_not_align, found=" below {}"),
    COUNT_DIFFERS: Cause("{found}", _count_differs, anywhere=True, found=""),
    TOO_FEW: Cause("{found}", _too_few, anywhere=True, found=""),
    NOT_NEW: Cause("{found}", _not_new, anywhere=True, found=""),
    "again at a gate": Cause("{about} was done before", _again_at_a_gate, anywhere=True),
    MEASURED_BEFORE: Cause("{about} was measured before", _again_at_a_gate, anywhere=True),
    "pulled out of turn": Cause("{about} was pulled out of turn", _pull),
    "pulled again": Cause("{about} was pulled again after it was done", _pull),
    "zero wrong": Cause("{found} does not read zero", _of_a_zero, anywhere=True, found=""),
    "zero unknown": Cause("{found}: zero not known", _of_a_zero, anywhere=True, found=""),
}


def ways(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    """Give what can be chosen, in a fixed order; every list ends with a way that is always open."""
    return (
        on_paper.ways(_at_the_work(plan, progress, question)) if plan.late else _at_the_work(plan, progress, question)
    )


def _at_the_work(plan: Plan, progress: Progress, question: Question) -> tuple[DecideChoice, ...]:
    cause = CAUSES[question.cause]
    if not cause.anywhere and _in_prologue(progress, question):
        return _before_starting_over(plan, progress)
    if not cause.anywhere and progress.follows_up:
        return _in_a_follow_up(plan, progress, question)
    return cause.ways(plan, progress, question)


def sentence(prompt: Decide) -> str:
    """Say what is not to the procedure, at which bolt or place, and what was found."""
    if prompt.over is not None and prompt.cause in ("bad pull", *OUT_OF_TURN):
        return f"{bolt(prompt.where)} is at {prompt.over}. Loosen it fully first."
    return f"{fact(prompt)}."


def fact(prompt: Decide) -> str:
    """The same without its full stop, and without what is to be done about it."""
    cause = CAUSES[prompt.cause]
    told = cause.fact.format(
        about=_about(prompt),
        found=prompt.found,
        group=prompt.where.group or "All",
        left="you left it" if prompt.left_by_you else "the last person left it",
    )
    return f"{told}{cause.found.format(prompt.found) if prompt.found else ''}"


def means(cause: Why) -> tuple[str, ...]:
    """Tell what a cause says of the part, where it says anything."""
    told = CAUSES[cause].means
    return () if told is None else (told,)


def _about(prompt: Decide) -> str:
    """Name the bolt; at a gate what is done there, and where."""
    if prompt.position is not None:
        return bolt(prompt.where)
    if prompt.gate is None:
        return place(prompt.where)
    point = None if prompt.cause == MEASURED_BEFORE else prompt.where.point
    return " at ".join((started(prompt.gate), *(each for each in (prompt.where.set, point) if each)))


def one_of(plan: Plan, position: str) -> str:
    """Give the name of the fastener of a position, inside a sentence: "head bolt"; whichever joint it goes into."""
    group, joint = plan.group_of[position], plan.joint_of.get(position)
    if group.one is None and not group.name.endswith("s"):
        return "fastener"
    named = group.one or group.name.removesuffix("s")
    return within_a_sentence(named if joint is None else named.removeprefix(f"{joint.name} "))
