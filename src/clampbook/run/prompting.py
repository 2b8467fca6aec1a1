"""What is asked next: `prompt(session)` derives it from plan and progress alone."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.procedure.model import (
    Apply,
    Inspect,
    Loosen,
    Measure,
    Recheck,
    Tighten,
    Turn,
    Wait,
)
from clampbook.run import prompts as ask
from clampbook.run.fold.frames import at_hand, pending
from clampbook.run.places import where
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Need, Progress, Question, Standing, standing
from clampbook.run.session import Session, seconds_between
from clampbook.run.sheet_items import next_item
from clampbook.run.taking import MARKS, at_work, ready_tool
from clampbook.run.ways import used_up, ways
from clampbook.tools.model import Tool
from clampbook.tools.setting import Setting, what_to_set
from clampbook.units import convert, inwards

FOUR = 4
FINISHED = "finished, not typed"


def prompt(session: Session) -> ask.Prompt:
    """The one thing that is asked now."""
    plan, progress = session.plan, session.progress
    if progress.ended is not None:
        return ask.Ended(progress.ended, progress.ended_reason)
    if progress.stopped is not None:
        return ask.Ended(progress.stopped, progress.stop_reason)
    if progress.questions:
        return _decide(plan, progress, progress.questions[-1])
    item = next_item(plan, progress, at_end=False)
    if item is not None:
        return item
    if progress.ask_state:
        return _step_state(plan, progress)
    if progress.found == FINISHED:
        return _step(session, at_hand(progress))
    top = progress.frames[-1]
    if top.prologue:
        return _inserted(plan, progress)
    if top.next < len(plan.steps):
        return _step(session, top.next)
    return _at_the_end(plan, progress)


def _decide(plan: Plan, progress: Progress, question: Question) -> ask.Decide:
    position = question.positions[0] if question.positions else None
    step = plan.steps[question.step]
    return ask.Decide(
        where=where(plan, progress, question.step, position if position in plan.group_of else None),
        cause=question.cause,
        about=question.about,
        position=position if position in plan.group_of else None,
        found=question.found,
        choices=ways(plan, progress, question),
        window=step.window,
        unit=step.unit,
    )


def _step_state(plan: Plan, progress: Progress) -> ask.StepState:
    index = at_hand(progress)
    step = plan.steps[index]
    stage = plan.stage_of(step)
    if isinstance(stage, Turn):
        begun = (
            ask.Choice("2", "begun, and its starting mark is still there"),
            ask.Choice("3", "begun, and its starting mark is lost"),
        )
        choices: tuple[ask.Choice, ...] = (
            ask.Choice("1", "not begun"),
            *begun,
            ask.Choice("4", "finished, but not typed"),
        )
    else:
        choices = (
            ask.Choice("1", "not begun"),
            ask.Choice("2", "begun, and not finished"),
            ask.Choice("3", "finished, but not typed"),
        )
    return ask.StepState(where(plan, progress, index), choices)


def _inserted(plan: Plan, progress: Progress) -> ask.Prompt:
    """Work that is no step of the plan: loosening, looking, renewing before a position is taken from the beginning."""
    work = progress.frames[-1].prologue[0]
    index = min(at_hand(progress), len(plan.steps) - 1)
    place = where(plan, progress, index, work.position)
    match work.work:
        case "loosen":
            return ask.Loosen(place, work.position, work=True)
        case "inspect":
            group = plan.group_of[work.position]
            question = "thread, seat and hole clean and undamaged, fastener fit to be used again?"
            if group.fastener == "use again if measured":
                question = "fastener measured and within its limit, thread, seat and hole clean and undamaged?"
        case "new fastener":
            question = "new fastener of the right length and class fitted by hand?"
        case "settle":
            question = "new consumables fitted, faces clean, parts seated?"
        case "look back":
            question = "is it as you left it?"
        case _:
            assert_never(work.work)
    return ask.Inspect(place, question, "yes", work=work.work, position=work.position)


def _at_the_end(plan: Plan, progress: Progress) -> ask.Prompt:
    item = next_item(plan, progress, at_end=True) if not progress.not_accepted else None
    if item is not None:
        return item
    for held in progress.hand.values():
        return ask.ReturnTool(held.tool, held.tool.wound_down)
    if not progress.not_accepted:
        for role in plan.sign_off:
            if f"signed:{role.role}" not in progress.items:
                not_by = tuple(sorted(progress.workers)) if role.another_person else ()
                meaning = "independently inspected" if role.another_person else "performed"
                return ask.SignOff(role.role, role.required, role.another_person, not_by, meaning)
    outcome = "trial" if plan.trial else ("accepted" if progress.conceded else "done")
    if progress.not_accepted:
        return ask.Finished("not accepted", progress.deviations)
    return ask.Finished(outcome, progress.deviations)  # type: ignore[arg-type]


def _step(session: Session, index: int) -> ask.Prompt:
    """A plan step: what stands before it first, then the step itself."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    before = _before(session, index)
    if before is not None:
        return before
    stage = plan.stage_of(step)
    match stage:
        case Tighten():
            return _tighten(session, index, stage)
        case Turn():
            return _turn(session, index, stage)
        case Recheck():
            return _recheck(session, index, stage)
        case Loosen():
            return ask.Loosen(where(plan, progress, index), step.position or "", stage.by)
        case Measure():
            return ask.Measure(
                where(plan, progress, index), stage.what, stage.unit, step.window, minus=taken_off(session, step)
            )
        case Inspect():
            return _inspect(plan, progress, index, stage)
        case Wait():
            return _wait(plan, progress, index, stage)
        case Apply():
            group = plan.group_named.get(step.group or "")
            limit = group.finish_within if group else None
            seconds = None if limit is None else convert(limit.value, limit.unit, "s")
            lot = progress.lots.get(step.stage)
            return ask.Apply(where(plan, progress, index), stage.what, stage.lot, lot, seconds)
        case _:
            assert_never(stage)


def prompt_at(session: Session, index: int) -> ask.Prompt:
    """The prompt as it would be if this plan step (from 0) were at hand; for a pull that was made out of turn."""
    return _step(session, index)


def _before(session: Session, index: int) -> ask.Prompt | None:
    """What must be settled before a step: a gate met again, a caution, a used-up budget, a time limit."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    top = progress.frames[-1]
    if step.position is None and len(progress.frames) > 1 and index < top.gates_from and top.cleared != index:
        return _decide(plan, progress, Question(cause="again at a gate", about=progress.seq, step=index))
    stage = plan.stage_of(step)
    item = f"caution:{step.stage}"
    if stage.caution and item not in progress.items:
        return ask.Confirm(where(plan, progress, index), cautions=(stage.caution,), item=item)
    if step.position is None or progress.found == FINISHED:
        return None
    state = standing(progress, step.position)
    about = (step.position,)
    pull = isinstance(stage, Tighten | Turn)
    spent = pull and not state.tight and not state.budget_waived and used_up(plan, progress, step.position)
    if spent:
        found = f"{state.tightenings} tightenings"
        budget = Question(cause="budget used up", about=progress.seq, step=index, positions=about, found=found)
        return _decide(plan, progress, budget)
    if pull and limit_run_out(session, state, step):
        return _decide(plan, progress, Question(cause="limit run out", about=progress.seq, step=index, positions=about))
    return None


def limit_run_out(session: Session, state: Standing, step: Step) -> bool:
    """Whether the time from applying sealant or locker to the last pull is over, when the prompt is painted."""
    group = session.plan.group_named.get(step.group or "")
    if group is None or group.finish_within is None or state.applied is None or state.limit_waived:
        return False
    if session.painted is None:
        return False
    limit = convert(group.finish_within.value, group.finish_within.unit, "s")
    return seconds_between(state.applied, session.painted) > limit


def added(plan: Plan, state: Standing, target: Decimal | None, group_name: str | None) -> Decimal:
    """What ran down is added: always (AC 43.13-1B par. 7-40), from a third of the target on (TB 43-0218), or never."""
    group = plan.group_named.get(group_name or "")
    if group is None or group.prevailing is None or state.ran_down is None:
        return Decimal(0)
    rule = group.prevailing.rule
    if rule == "included" or (rule == "from a third" and target is not None and state.ran_down * 3 < target):
        return Decimal(0)
    return state.ran_down


Figures = tuple[Decimal | None, ask.Ends]


def figures(plan: Plan, state: Standing, step: Step) -> Figures:
    """Target and window of a pull in the sheet's unit, with what ran down added."""
    more = added(plan, state, step.target, step.group)
    low, high = step.window or (None, None)
    target = None if step.target is None else step.target + more
    return target, (None if low is None else low + more, None if high is None else high + more)


def _tighten(session: Session, index: int, stage: Tighten) -> ask.Prompt:
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    place = where(plan, progress, index)
    group = plan.group_named.get(step.group or "")
    if group is not None and group.prevailing is not None and state.ran_down is None and not state.tight:
        least = group.prevailing.least
        floor = None if least is None else convert(least.value, least.unit, plan.unit)
        return _read_torque(session, index, "Run-down torque", (floor, None), "run-down")
    if state.awaiting == "stretch" and stage.stretch is not None:
        ends = (stage.stretch.window.low, stage.stretch.window.high)
        minus = _minus(session, step, stage.stretch.minus)
        return ask.Measure(place, "Stretch", stage.stretch.window.unit, ends, "stretch", None, minus)
    need: Need = "reading" if stage.stretch is not None else "torque"
    target, window = figures(plan, state, step)
    ready = ready_tool(session, need, target, window, plan.unit, place)
    if not isinstance(ready, Tool):
        return ready
    pull = _pull(session, index, stage, ready, (target, window))
    if stage.confirm == "each" or pull.reading or group is None or group.prevailing is not None:
        return pull
    return ask.Confirm(place, _block(plan, progress, index, stage), pull)


def _pull(session: Session, index: int, stage: Tighten, tool: Tool, values: Figures) -> ask.Tighten:
    plan, progress = session.plan, session.progress
    target, window = values
    state = standing(progress, plan.steps[index].position or "")
    setting = what_to_set(target, window, plan.unit, tool) if target is not None else None
    mark = setting if isinstance(setting, Setting) else None
    reading = tool.kind == "indicating"
    return ask.Tighten(
        where=where(plan, progress, index),
        tool=tool,
        reading=reading,
        target=target,
        window=window,
        unit=plan.unit,
        stop_at=mark.value if mark is not None and reading else None,
        tool_window=inwards(*window, plan.unit, tool.unit),
        set_to=None if reading else mark,
        together=_together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        ran_down=state.ran_down,
        last_value=state.last_value if state.outcome == "under" else None,
        finished_before=progress.found == FINISHED,
    )


def _block(plan: Plan, progress: Progress, index: int, stage: Tighten) -> tuple[str, ...]:
    """The positions that one confirmation covers: the next four, or all that are left of the round."""
    here = plan.steps[index]
    most = FOUR if stage.confirm == "each four" else len(plan.steps)
    found: list[str] = []
    for place in range(index, min(progress.frames[-1].last + 1, len(plan.steps))):
        step = plan.steps[place]
        if (step.stage, step.round, step.section) != (here.stage, here.round, here.section) or len(found) == most:
            break
        if step.position is not None and pending(plan, progress, progress.frames[-1], place):
            found.append(step.position)
    return tuple(found)


def _together(plan: Plan, progress: Progress, index: int, together: int) -> tuple[str, ...]:
    """The positions of a small set that are shown as one and still to be done."""
    if together == 1:
        return ()
    here = plan.steps[index].section
    found: list[str] = []
    for place in range(index, min(index + together, len(plan.steps))):
        step = plan.steps[place]
        if step.section == here and step.position and pending(plan, progress, progress.frames[-1], place):
            found.append(step.position)
    return tuple(found)


def _read_torque(session: Session, index: int, what: str, window: ask.Ends, part: str) -> ask.Prompt:
    """A torque that an indicating tool must show beside a pull."""
    plan = session.plan
    place = where(plan, session.progress, index)
    ready = ready_tool(session, "reading", None, (None, None), plan.unit, place)
    if not isinstance(ready, Tool):
        return ready
    return ask.Measure(place, what, plan.unit, window, part, ready)  # type: ignore[arg-type]


def _turn(session: Session, index: int, stage: Turn) -> ask.Prompt:
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    if state.awaiting == "final torque" and stage.final_torque is not None:
        final = (stage.final_torque.low, stage.final_torque.high)
        return _read_torque(session, index, "Torque at the end of the turn", final, "final torque")
    place = where(plan, progress, index)
    tool = MARKS if stage.judged_by == "mark" else ready_tool(session, "angle", None, (None, None), "°", place)
    if not isinstance(tool, Tool):
        return tool
    window = step.window or (None, None)
    done = state.turned if state.turned is not None and state.latest_step == index else Decimal(0)
    low, high = window
    return ask.Turn(
        where=place,
        tool=tool,
        by_marks=tool.kind == "marks",
        target=stage.target,
        window=window,
        done=done,
        left=(None if low is None else low - done, None if high is None else high - done),
        in_strokes=stage.in_strokes,
        together=_together(plan, progress, index, stage.together),
        finished_before=progress.found == FINISHED,
    )


def _recheck(session: Session, index: int, stage: Recheck) -> ask.Prompt:
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    need: Need = "reading" if stage.method == "first movement" else "torque"
    more = added(plan, state, stage.target, step.group)
    target = stage.target + more
    low, high = step.window or (None, None)
    window = (None if low is None else low + more, None if high is None else high + more)
    place = where(plan, progress, index)
    ready = ready_tool(session, need, target, window, plan.unit, place)
    if not isinstance(ready, Tool):
        return ready
    setting = what_to_set(target, window, plan.unit, ready)
    mark = setting if isinstance(setting, Setting) else None
    reading = ready.kind == "indicating"
    return ask.Recheck(
        where=place,
        tool=ready,
        reading=reading,
        method=stage.method,
        still=stage.still,
        target=target,
        window=window if stage.window is not None else None,
        unit=plan.unit,
        stop_at=mark.value if mark is not None else target,
        set_to=None if reading else mark,
        pass_no=at_work(plan, progress, index).number,
        at_most=stage.at_most,
        together=_together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
    )


def taken_off(session: Session, step: Step) -> Decimal | None:
    """What is taken off a measured value before it is judged: the value under the stage's `minus`."""
    match session.plan.stage_of(step):
        case Measure(minus=minus):
            return _minus(session, step, minus)
        case Tighten(stretch=stretch) if stretch is not None:
            return _minus(session, step, stretch.minus)
        case _:
            return None


def _minus(session: Session, step: Step, name: str | None) -> Decimal | None:
    """The value measured earlier under this name, at the same position or gate, and the same point."""
    if name is None:
        return None
    plan, progress = session.plan, session.progress
    if step.position is not None:
        kept = dict(standing(progress, step.position).measured)
        return kept.get(f"{name}@{step.point or ''}", kept.get(f"{name}@"))
    for stage in plan.stages:
        if stage.id == name:
            tail = step.id.split("/", 1)[1]
            gate = progress.gates.get(f"{stage.number}.1/{tail}")
            return gate.value if gate else None
    return None


def _inspect(plan: Plan, progress: Progress, index: int, stage: Inspect) -> ask.Inspect:
    step = plan.steps[index]
    candidates = stage.positions if step.position is None else ()
    return ask.Inspect(
        where(plan, progress, index), stage.ask, stage.expect, stage.hold_point, None, step.position, candidates
    )


def _wait(plan: Plan, progress: Progress, index: int, stage: Wait) -> ask.Wait:
    step = plan.steps[index]
    since: str | None
    match stage.since:
        case None:
            since, named = progress.begun.get(step.id), "its beginning"
        case "last pull":
            since, named = progress.last_pull or progress.at, "the last pull"
        case other:
            number = next((each.number for each in plan.stages if each.id == other), 0)
            since, named = progress.ended_at.get(number) or progress.at, f"the end of {other}"
    return ask.Wait(where(plan, progress, index), since, stage.lasts, stage.as_written, named)
