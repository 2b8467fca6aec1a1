"""What is asked at a pull: tool, target and window, with what ran down added, and how much of a turn is left."""

from __future__ import annotations

from decimal import Decimal

from clampbook.procedure.model import Recheck, Tighten, Turn
from clampbook.run import prompts as ask
from clampbook.run.acceptance import accepted
from clampbook.run.fastener import seated, turned_so_far
from clampbook.run.fold.frames import pending
from clampbook.run.look_prompts import taken_at
from clampbook.run.places import where
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import InHand, Need, Progress, Standing, standing
from clampbook.run.session import Session
from clampbook.run.taking import FINISHED, MARKS, at_work, ready_tool
from clampbook.run.ways import budget_used_up
from clampbook.tools.setting import Setting, what_to_set, window_on_tool
from clampbook.units import convert

FOUR = 4


def added(plan: Plan, state: Standing, target: Decimal | None, group_name: str | None) -> Decimal:
    """What ran down is added: always (AC 43.13-1B par. 7-40), from a third of the target on (TB 43-0218), or never."""
    group = plan.group_named.get(group_name or "")
    prevailing = state.fastener.prevailing
    if group is None or group.prevailing is None or prevailing is None:
        return Decimal(0)
    rule = group.prevailing.rule
    if rule == "included" or (rule == "from a third" and target is not None and prevailing * 3 < target):
        return Decimal(0)
    return prevailing


Figures = tuple[Decimal | None, ask.Ends]


def figures(plan: Plan, state: Standing, step: Step) -> Figures:
    """Target and window of a pull in the sheet's unit, with what ran down added."""
    more = added(plan, state, step.target, step.group)
    low, high = step.window or (None, None)
    target = None if step.target is None else step.target + more
    return target, (None if low is None else low + more, None if high is None else high + more)


def run_down_window(plan: Plan, step: Step) -> ask.Ends:
    """Between what a run-down torque is taken as it is: the least that the sheet asks for, and the greatest target of
    its position, above which a nut binds (common practice, no source)."""
    group = plan.group_named[step.group or ""]
    least = group.prevailing.least if group.prevailing is not None else None
    targets = [plan.steps[index].target for index in plan.steps_of.get(step.position or "", ())]
    floor = None if least is None else convert(least.value, least.unit, plan.unit)
    return floor, max((each for each in targets if each is not None), default=None)


def tighten(session: Session, index: int, stage: Tighten) -> ask.Prompt:
    """A pull to a torque: what runs down first, the tool, then the pull itself, alone or as one of several."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    place = where(plan, progress, index)
    group = plan.group_named.get(step.group or "")
    fastener = state.fastener
    if group is not None and group.prevailing is not None and fastener.prevailing is None and not seated(fastener):
        return _read_torque(session, index, "Run-down torque", run_down_window(plan, step), "run-down")
    if state.awaiting == "stretch" and stage.stretch is not None:
        ends = (stage.stretch.window.low, stage.stretch.window.high)
        minus = taken_at(session, step, stage.stretch.minus)
        return ask.Measure(place, "Stretch", stage.stretch.window.unit, ends, "stretch", None, minus)
    need: Need = "reading" if stage.stretch is not None else "torque"
    target, window = figures(plan, state, step)
    ready = ready_tool(session, need, target, window, place)
    if not isinstance(ready, InHand):
        return ready
    pull = _pull(session, index, stage, ready, (target, window))
    alone = group is None or group.prevailing is not None or group.finish_within is not None
    if stage.confirm == "each" or pull.reading or alone:
        return pull
    return ask.Confirm(place, _block(plan, progress, index, stage), pull)


def _pull(session: Session, index: int, stage: Tighten, held: InHand, values: Figures) -> ask.Tighten:
    plan, progress, tool = session.plan, session.progress, held.tool
    target, window = values
    state = standing(progress, plan.steps[index].position or "")
    setting = what_to_set(target, window, plan.unit, tool, held.adapter) if target is not None else None
    mark = setting if isinstance(setting, Setting) else None
    reading = tool.kind == "indicating"
    judged = accepted(plan.accept, tool, target, window, plan.unit, held.through) or window
    return ask.Tighten(
        where=where(plan, progress, index),
        tool=tool,
        reading=reading,
        target=target,
        window=judged,
        unit=plan.unit,
        stop_at=mark.value if mark is not None and reading else None,
        tool_window=window_on_tool(judged, plan.unit, tool, held.through),
        set_to=None if reading else mark,
        together=_together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        ran_down=state.fastener.prevailing,
        last_value=state.last_value if state.outcome == "under" else None,
        finished_before=progress.found == FINISHED,
        adapter=held.adapter,
        sheet_window=window if judged != window else None,
    )


def _block(plan: Plan, progress: Progress, index: int, stage: Tighten) -> tuple[str, ...]:
    """The positions that one confirmation covers: the next four, or all that are left of the round, but none before
    which its budget is to be asked about."""
    here = plan.steps[index]
    most = FOUR if stage.confirm == "each four" else len(plan.steps)
    found: list[str] = []
    for place in range(index, min(progress.frames[-1].last + 1, len(plan.steps))):
        step = plan.steps[place]
        if (step.stage, step.round, step.section) != (here.stage, here.round, here.section) or len(found) == most:
            break
        if step.position is None or not pending(plan, progress, progress.frames[-1], place):
            continue
        if found and budget_used_up(plan, progress, step.position):
            break
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
    ready = ready_tool(session, "reading", None, (None, None), place)
    if not isinstance(ready, InHand):
        return ready
    return ask.Measure(place, what, plan.unit, window, part, ready.tool, None, ready.adapter)  # type: ignore[arg-type]


def turn(session: Session, index: int, stage: Turn) -> ask.Prompt:
    """A turn: its remainder from the same mark, or the torque that is read at its end."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    if state.awaiting == "final torque" and stage.final_torque is not None:
        final = (stage.final_torque.low, stage.final_torque.high)
        return _read_torque(session, index, "Torque at the end of the turn", final, "final torque")
    place = where(plan, progress, index)
    tool = MARKS
    if stage.judged_by != "mark":
        ready = ready_tool(session, "angle", None, (None, None), place)
        if not isinstance(ready, InHand):
            return ready
        tool = ready.tool
    window = step.window or (None, None)
    done = turned_so_far(state.fastener, index) or Decimal(0)
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


def recheck(session: Session, index: int, stage: Recheck) -> ask.Prompt:
    """A recheck: whether it moves, at the torque of the sheet with what ran down added."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    need: Need = "reading" if stage.method == "first movement" else "torque"
    more = added(plan, state, stage.target, step.group)
    target = stage.target + more
    low, high = step.window or (None, None)
    window = (None if low is None else low + more, None if high is None else high + more)
    place = where(plan, progress, index)
    ready = ready_tool(session, need, target, window, place)
    if not isinstance(ready, InHand):
        return ready
    tool = ready.tool
    setting = what_to_set(target, window, plan.unit, tool, ready.adapter)
    mark = setting if isinstance(setting, Setting) else None
    reading = tool.kind == "indicating"
    return ask.Recheck(
        where=place,
        tool=tool,
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
        finished_before=progress.found == FINISHED,
        adapter=ready.adapter,
    )
