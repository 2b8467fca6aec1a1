"""The outcome of a recheck: what moved, what was backed off, and passes until all stands still."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Recheck as Stage
from clampbook.run import events as e
from clampbook.run.fold.acts import (
    BACKED_OFF,
    DEGREES,
    MOVED,
    NO_MOVEMENT,
    NO_MOVEMENT_YET,
    NOT_JUDGED,
    STILL,
    Act,
)
from clampbook.run.fold.fastener import loosened, over_all_the_same, told_over
from clampbook.run.fold.fastener import pulled as pull
from clampbook.run.fold.frames import advance
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.line import over_all_the_same as conceded
from clampbook.run.fold.passes import (
    FIRST_MOVEMENT,
    FOUND_UNDER,
    LOOSE,
    OFF_ITS_MARK,
    PULL_ON,
    UNMOVED,
    end_pass,
    pass_at,
    pass_open,
)
from clampbook.run.fold.passes import MOVED as MOVED_SINCE
from clampbook.run.fold.pulls import handled, pulled, question, settle, under_again, unders_now, worked
from clampbook.run.fold.tools import showing
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome as Came
from clampbook.run.progress import Progress, Standing, standing
from clampbook.run.told.marks import MARKS, marked
from clampbook.run.told.places import bolt_named, within_a_sentence
from clampbook.run.told.torques import degrees, with_bolt
from clampbook.text import started
from clampbook.units import show


def fold(plan: Plan, progress: Progress, event: e.Rechecked | e.BackedOff) -> Progress:
    """It was backed off; or rechecked, and what follows from that."""
    if isinstance(event, e.BackedOff):
        return _backed_off(plan, progress, event)
    return _rechecked(plan, progress, event)


def _backed_off(plan: Plan, progress: Progress, event: e.BackedOff) -> Progress:
    """It was marked and backed off: the pull comes next, and with it a tightening."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    state = replace(
        before,
        fastener=loosened(before.fastener, Decimal(event.by_degrees)),
        awaiting="tighten again",
        latest=event.seq,
        latest_step=index,
        latest_what=None,
    )
    found = progress.found  # "finished" before a break holds for the pull as well
    return settle(plan, replace(handled(progress), found=found), index, state, "loosened", finished=False)


def _rechecked(plan: Plan, progress: Progress, event: e.Rechecked) -> Progress:
    """A recheck: where it is under it is pulled on, over is asked; what moved brings another round, or a question."""
    index = plan.index_of[event.step]
    stage = plan.stage_of(plan.steps[index])
    state = _after(plan, progress, event, index)
    position = plan.steps[index].position or ""
    progress = worked(progress, event, event.step) if event.mark is None else handled(progress)
    if event.tool is not None and event.value is not None:
        progress = replace(progress, last_reading=(event.tool, event.value))
    if not isinstance(stage, Stage):  # pulled again where the stage allows it: kept, and nothing else changes
        return replace(progress, positions=progress.positions.insert(position, state))
    # to read a first movement it must move: there it is the torque that tells how it was left
    restless = bool(event.moved) and event.method != FIRST_MOVEMENT
    current = pass_at(plan, progress, index)
    current = replace(current, moved=current.moved + restless)
    progress = replace(progress, passes=progress.passes.insert(plan.run_of[index][0], current))
    return _followed(plan, progress, event, index, state, restless=restless)


def _after(plan: Plan, progress: Progress, event: e.Rechecked, index: int) -> Standing:
    """Give the state of the position after the line; a look at a mark pulls nothing."""
    before = standing(progress, plan.steps[index].position or "")
    if event.mark is not None:
        return replace(before, latest=event.seq, latest_step=index, latest_what=None)
    torque = Decimal(event.at_fastener) if event.at_fastener is not None else None
    fastener = pull(before.fastener, torque, "recheck", event.seq)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.value} {event.unit}")
    return replace(
        pulled(before, index, event.seq, "recheck", fastener),
        unders=unders_now(before, index, event.verdict),
        last_value=event.value,
        **showing(progress, event.tool),
        judged_by=event.window,
        unmoved=_unmoved(event),
    )


def _unmoved(event: e.Rechecked) -> bool:
    """True where the torque at first movement was to be read, and nothing moved: what was read is not that torque."""
    return UNMOVED in event.noted


def _followed(
    plan: Plan, progress: Progress, event: e.Rechecked, index: int, state: Standing, *, restless: bool
) -> Progress:
    """Do what follows from a recheck."""
    step = plan.steps[index]
    stage, position = plan.stage_of(step), step.position or ""
    assert isinstance(stage, Stage)
    found = None if event.value is None else f"{event.value} {event.unit}"
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        return question(progress, event, "over", index, position, found)
    if event.verdict == "under":
        progress = settle(plan, progress, index, state, "under", finished=False)
        loose = event.method == FIRST_MOVEMENT and event.moved  # else it is pulled on
        if loose:
            return question(progress, event, LOOSE, index, position, found)
        return under_again(progress, event, index, position, state)
    if PULL_ON in event.noted:
        return settle(plan, progress, index, state, None, finished=False)
    before = standing(progress, position)
    if progress.follows_up and event.mark is None and before.unders and before.latest_step == index:
        progress = settle(plan, progress, index, state, "moved" if restless else event.verdict, finished=False)
        under = f"{before.last_value} {before.shown_in}"  # what it is pulled to now does not say how it was found
        return question(progress, event, FOUND_UNDER, index, position, under)
    if restless and not stage.until_still:
        if progress.follows_up or event.mark is not None:  # off its mark it is not as it was left, in any run
            progress = settle(plan, progress, index, state, "moved", finished=False)
            return question(
                progress, event, MOVED_SINCE, index, position, OFF_ITS_MARK.get(event.mark or "back", found)
            )
        progress = replace(progress, deviations=progress.deviations + 1)
    progress = _finished(progress, index, position, state, _outcome(event, state, restless))
    return advance(plan, progress) if pass_open(plan, progress, index) else end_pass(plan, progress, event.seq, index)


def _finished(progress: Progress, index: int, position: str, state: Standing, outcome: Came) -> Progress:
    """The position is done in this pass; what comes next is told by the pass."""
    done = replace(state, outcome=outcome, through=max(state.through, index), awaiting=None)
    recent = (*(each for each in progress.recent if each != position), position)[-3:]
    return replace(progress, positions=progress.positions.insert(position, done), recent=recent)


def _outcome(event: e.Rechecked, state: Standing, restless: bool) -> Came:
    """The word for a position whose recheck is done; a fastener back at its mark stands as its pull left it."""
    if restless:
        return "moved"
    if event.mark is not None:
        return state.outcome or "confirmed"
    if not event.moved and over_all_the_same(state.fastener, event.window) is not None:  # the pull did nothing
        return "concession"
    return event.verdict if event.verdict is not None and not _unmoved(event) else "confirmed"


def acts(line: Line, event: e.Rechecked | e.BackedOff) -> tuple[Act, ...]:
    """A recheck, or a backing off."""
    if isinstance(event, e.Rechecked):
        return (_act(line, event),)
    backed_off = {"angle": event.by_degrees, "unit": DEGREES}
    return (line.act("backing off", event.step, BACKED_OFF, pass_no=event.pass_no, **backed_off),)


def _act(line: Line, event: e.Rechecked) -> Act:
    """A recheck: with a reading, or with the setting of the tool and whether it moved."""
    read = event.value is not None
    unmoved = _unmoved(event)
    told = judged(event.verdict, event.window, event.at_fastener if read and not unmoved else None, line.plan.unit)
    told["outcome"] = _outcome_told(event, told["verdict"])
    if unmoved and told["verdict"] == "within":  # nobody knows whether the torque at first movement is
        told["verdict"] = None
    told |= conceded(line, event)
    set_to, unit = (event.set_to, event.unit) if event.set_to is not None or read else line.setting(event.tool)
    return line.act(
        "recheck",
        event.step,
        tool=event.tool,
        method=event.method,
        pass_no=event.pass_no,
        mark=event.mark,
        unmoved=unmoved,
        value=event.value,
        set_to=None if read else set_to,
        unit=event.unit if read else unit,
        at_fastener=event.at_fastener,
        **told,
    )


def _outcome_told(event: e.Rechecked, verdict: e.Verdict | None) -> str:
    """Over before moved, and moved before what was read; at first movement it must move, and the torque tells."""
    if event.moved and event.method != FIRST_MOVEMENT and verdict != "over":
        return MOVED
    if _unmoved(event) and verdict in (None, "within"):
        return NO_MOVEMENT_YET if PULL_ON in event.noted else NO_MOVEMENT
    return verdict or (NOT_JUDGED if event.moved else STILL)


def tell(event: e.Rechecked | e.BackedOff, plan: Plan, _: Tools) -> str:
    """Tell what was read, as a reading; what moved, above all; of a click whether movement was seen."""
    if isinstance(event, e.BackedOff):
        return f"Backed off {degrees(event.by_degrees)}: {_bolt(event.step, plan)}."
    return _told(event, plan)


def _told(event: e.Rechecked, plan: Plan) -> str:
    """Tell of a recheck what was read, as a reading; what moved, above all; of a click whether movement was seen."""
    here = _bolt(event.step, plan)
    if event.mark is not None:
        off = OFF_ITS_MARK.get(event.mark)
        return f"Back at its mark: {here}." if off is None else f"Moved !: {here}, {off}."
    if event.value is None or event.unit is None:
        return f"Moved !: {here}." if event.moved else f"{started(_stayed(event, plan))}: {here}."
    shown = with_bolt(event.value, event.unit, event.at_fastener or event.value, event.window, plan)
    first = event.method == FIRST_MOVEMENT
    if event.moved and not first and event.verdict != "over":
        return f"Moved !: {here}, {shown}."
    if _unmoved(event) and event.verdict in (None, "within"):
        mark, on = ("", ", to be pulled on") if PULL_ON in event.noted else (f" {MARKS['confirmed']}", "")
        return f"{started(_stayed(event, plan))}{mark}: {here}, up to {shown}{on}."
    word = "stored" if event.verdict is None else marked(event.verdict)
    still = f", {_stayed(event, plan)}" if event.moved is False else ""
    return f"{started(word)}: {here}, {shown}{still}."


def _stayed(event: e.Rechecked, plan: Plan) -> str:
    """Tell what was answered to whether it moved: no more than was asked for."""
    stage = plan.stage_of(plan.steps[plan.index_of[event.step]])
    still = stage.still if isinstance(stage, Stage) else None
    return "no movement seen" if still is None else f"moved no more than {show(still, '°')}"


def _bolt(step: str, plan: Plan) -> str:
    found = plan.steps[plan.index_of[step]]
    group = plan.group_named.get(found.group or "")
    return within_a_sentence(bolt_named(found.group, found.position or "", group.one if group else None))
