"""What is asked at a pull: tool, target and window, with what ran down added, and how much of a turn is left."""

from __future__ import annotations

from decimal import Decimal

from clampbook.procedure.model import Recheck, Tighten, Turn
from clampbook.run import prompts as ask
from clampbook.run.aim import beside_due, stretched
from clampbook.run.fastener import holds, turned_so_far
from clampbook.run.fold.frames import frame_at_hand, pending
from clampbook.run.kinds import beside
from clampbook.run.places import where
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import FINISHED, Progress, Standing, standing
from clampbook.run.session import Session, seconds_between
from clampbook.run.taking import MARKS, at_work, ready_gauge, ready_tool
from clampbook.run.verdict import judge
from clampbook.run.ways import budget_used_up
from clampbook.tools.aim import Aim
from clampbook.tools.model import Tool
from clampbook.units import Quantity, convert

FOUR = 4


def tighten(session: Session, index: int, stage: Tighten) -> ask.Prompt:
    """A pull to a torque: what runs down first, the tool, then the pull itself, alone or as one of several."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    place = where(plan, progress, index)
    group = plan.group_named.get(step.group or "")
    if beside_due(plan, step, state) is not None:
        return beside.torque(session, index, "Run-down torque", "run-down")
    if state.awaiting == "stretch" and stage.stretch is not None:
        return beside.stretch(session, index, stage.stretch)
    aim = ready_tool(session, index, place)
    if not isinstance(aim, Aim):
        return aim
    pull = ask.Tighten(
        where=place,
        aim=aim,
        together=_together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        ran_down=state.fastener.prevailing,
        last_value=state.last_value if state.outcome == "under" else None,
        finished_before=progress.found == FINISHED,
        missing=_missing(stage, state),
        due=due(session, state, step),
        holds=_holds_more(state, aim),
    )
    alone = group is None or group.prevailing is not None or group.finish_within is not None
    if pull.finished_before and aim.applied is not None and judge(aim.applied, aim.window) != "within":
        return pull
    if stage.confirm == "each" or pull.reading or alone:
        return pull
    return ask.Confirm(place, _block(plan, progress, index, stage), pull)


def _missing(stage: Tighten, state: Standing) -> Quantity | None:
    """How much stretch is missing to the low end of its window, since it was last measured."""
    now, wanted = stretched(state), stage.stretch
    if now is None or wanted is None or wanted.window.low is None or now >= wanted.window.low:
        return None
    return Quantity(wanted.window.low - now, wanted.window.unit)


def due(session: Session, state: Standing, step: Step) -> ask.Due | None:
    """Until when sealant or locker must be under its torque; None where there is none, or somebody went on with it."""
    group = session.plan.group_named.get(step.group or "")
    if group is None or group.finish_within is None or state.applied is None or state.limit_waived:
        return None
    lasts = convert(group.finish_within.value, group.finish_within.unit, "s")
    left = None if session.painted is None else lasts - seconds_between(state.applied, session.painted)
    return ask.Due(state.applied, lasts, left)


def _holds_more(state: Standing, aim: Aim) -> Decimal | None:
    """The torque that a fastener holds, where that is above all that this pull aims at."""
    held, most = holds(state.fastener), aim.window[1] if aim.window[1] is not None else aim.target
    return held if held is not None and most is not None and held > most else None


def _block(plan: Plan, progress: Progress, index: int, stage: Tighten) -> tuple[str, ...]:
    """The positions that one confirmation covers: the next four, or all that are left of the round, but none before
    which its budget is to be asked about."""
    here, frame = plan.steps[index], frame_at_hand(progress)
    most = FOUR if stage.confirm == "each four" else len(plan.steps)
    found: list[str] = []
    for place in range(index, min(frame.last + 1, len(plan.steps))):
        step = plan.steps[place]
        if (step.stage, step.round, step.section) != (here.stage, here.round, here.section) or len(found) == most:
            break
        if step.position is None or not pending(plan, progress, frame, place):
            continue
        if found and budget_used_up(plan, progress, step.position):
            break
        found.append(step.position)
    return tuple(found)


def _together(plan: Plan, progress: Progress, index: int, together: int) -> tuple[str, ...]:
    """The positions of a small set that are shown as one and still to be done."""
    if together == 1:
        return ()
    here, frame = plan.steps[index].section, frame_at_hand(progress)
    found: list[str] = []
    for place in range(index, min(index + together, len(plan.steps))):
        step = plan.steps[place]
        if step.section == here and step.position and pending(plan, progress, frame, place):
            found.append(step.position)
    return tuple(found)


def turn(session: Session, index: int, stage: Turn) -> ask.Prompt:
    """A turn: its remainder from the same mark, or the torque that is read at its end."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    if state.awaiting == "final torque" and stage.final_torque is not None:
        return beside.torque(session, index, "Torque at the end of the turn", "final torque")
    place = where(plan, progress, index)
    tool = MARKS
    if stage.judged_by != "mark":
        ready = ready_gauge(session, index, place)
        if not isinstance(ready, Tool):
            return ready
        tool = ready
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
        due=due(session, state, step),
        together=_together(plan, progress, index, stage.together),
        finished_before=progress.found == FINISHED,
    )


def recheck(session: Session, index: int, stage: Recheck) -> ask.Prompt:
    """A recheck: whether it moves, at the torque of the sheet; or backing off, the pull, and the mark."""
    plan, progress = session.plan, session.progress
    place = where(plan, progress, index)
    state = standing(progress, place.position or "")
    number = at_work(plan, progress, index).number
    if stage.back_off is not None and state.awaiting is None:
        left_hand = plan.group_of[place.position or ""].left_hand
        return ask.BackOff(place, stage.back_off, left_hand, number, progress.found == FINISHED)
    if state.awaiting == "mark":
        return ask.BackAtMark(place, number)
    aim = ready_tool(session, index, place)
    if not isinstance(aim, Aim):
        return aim
    last = state.last_value if state.outcome == "under" else None
    if state.awaiting == "tighten again":
        return ask.Tighten(
            where=place,
            aim=aim,
            together=(),
            least_pull=stage.least_pull,
            ran_down=state.fastener.prevailing,
            last_value=last,
            finished_before=progress.found == FINISHED,
        )
    return ask.Recheck(
        where=place,
        aim=aim,
        method=stage.method,
        still=stage.still,
        pass_no=number,
        at_most=stage.at_most,
        together=_together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        last_value=last,
        finished_before=progress.found == FINISHED,
    )
