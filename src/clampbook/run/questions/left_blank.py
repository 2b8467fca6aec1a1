"""Lines that say that nothing stands on the paper form: the next row comes, and what was done here is not known."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from clampbook.procedure.model import Align, Recheck, Stage, Tighten, sample_of
from clampbook.run import events as e
from clampbook.run.fold.acts import LEFT_BLANK, NOT_DRAWN, UNKNOWN, Act
from clampbook.run.fold.fastener import pulled
from clampbook.run.fold.frames import advance, finish_work, pass_gate
from clampbook.run.fold.line import Line
from clampbook.run.fold.passes import end_pass, pass_at, pass_open
from clampbook.run.fold.pulls import ends_in_a_torque, settle
from clampbook.run.fold.tools import hold
from clampbook.run.in_hand.aim import target_at
from clampbook.run.in_hand.on_paper import NOT_ON_FORM
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Progress, Standing, standing
from clampbook.run.questions.items import item_told
from clampbook.run.told.places import position_of

_NAMED: dict[e.Blank, str] = {
    "step": "nothing on the form",
    "further reading": "no other reading on the form",
    "prevailing torque": "no prevailing torque on the form",
    "final torque": "no last torque on the form",
    "stretch": "no stretch on the form",
    "mark": "nothing about its mark on the form",
    "setting": "no setting on the form",
    "item": "nothing on the form",
    "work": "nothing on the form",
}


def fold(plan: Plan, progress: Progress, event: e.LeftBlank) -> Progress:
    """The step is behind; what nobody knows of it stays unknown."""
    if event.item is not None:
        return replace(progress, items=progress.items.insert(event.item, event.seq))
    if event.what == "setting":
        held = progress.hand[event.tool or ""]
        aimed_at = target_at(plan, progress, event.step or "")
        return hold(progress, held.tool.id, replace(held, set_to=None, set_blank=True, set_for=aimed_at))
    if event.what == "work":
        return finish_work(plan, _started_over(plan, progress, event.position))
    assert event.step is not None
    index = plan.index_of[event.step]
    step = plan.steps[index]
    if step.position is None:
        return pass_gate(plan, progress)
    return _at(plan, progress, event, index, standing(progress, step.position))


def _started_over(plan: Plan, progress: Progress, position: str | None) -> Progress:
    """That it was loosened may stand nowhere; that it was started over does, so its turn counts from nothing."""
    if position not in plan.group_of:
        return progress
    state = standing(progress, position)
    anew = replace(state, fastener=replace(state.fastener, turning=None))
    return replace(progress, positions=progress.positions.insert(position, anew))


def _at(plan: Plan, progress: Progress, event: e.LeftBlank, index: int, state: Standing) -> Progress:
    stage = plan.stage_of(plan.steps[index])
    if event.what == "prevailing torque":
        return settle(
            plan, progress, index, replace(state, blank=(state.attempt, index)), state.outcome, finished=False
        )
    if event.what == "final torque" and isinstance(stage, Align):
        return settle(plan, progress, index, replace(state, awaiting="lock"), state.outcome, finished=False)
    if isinstance(stage, Recheck) and stage.back_off is not None and event.what == "step" and state.awaiting is None:
        waiting = replace(state, awaiting="tighten again")
        return settle(plan, progress, index, waiting, state.outcome, finished=False)
    if isinstance(stage, Recheck) and stage.back_off is not None and state.awaiting == "tighten again":
        return settle(plan, progress, index, replace(state, awaiting="mark"), state.outcome, finished=False)
    if event.ticked:
        state = replace(state, fastener=pulled(state.fastener, None, "reading", event.seq))
    outcome = _outcome(event, index, state)
    beside = _beside(plan, stage, index) if event.what == "step" else None
    if beside is not None:
        return settle(plan, progress, index, replace(state, awaiting=beside), outcome, finished=False)
    if isinstance(stage, Recheck):
        return _pass(plan, progress, event, index, replace(state, outcome=outcome))
    return settle(plan, progress, index, state, outcome)


def _beside(plan: Plan, stage: Stage, index: int) -> Literal["final torque", "stretch"] | None:
    """Name what may stand beside a pull or a turn that is blank."""
    if ends_in_a_torque(plan, index):
        return "final torque"
    return "stretch" if isinstance(stage, Tighten) and stage.stretch is not None else None


def _outcome(event: e.LeftBlank, index: int, state: Standing) -> Outcome:
    """The reading before at this step stands: a reading that was under, a turn whose last torque is missing."""
    known = event.what not in ("step", "stretch") or (state.latest_step == index and state.outcome == "under")
    return state.outcome or "unknown" if known else "unknown"


def _pass(plan: Plan, progress: Progress, event: e.LeftBlank, index: int, state: Standing) -> Progress:
    """The position is done in this pass of a recheck."""
    position = plan.steps[index].position or ""
    current = pass_at(plan, progress, index)
    progress = replace(progress, passes=progress.passes.insert(plan.run_of[index][0], current))
    done = replace(state, through=max(state.through, index), awaiting=None)
    progress = replace(progress, positions=progress.positions.insert(position, done))
    return advance(plan, progress) if pass_open(plan, progress, index) else end_pass(plan, progress, event.seq, index)


def acts(line: Line, event: e.LeftBlank) -> tuple[Act, ...]:
    """Its step is as little known as it stands on the form."""
    if event.step is None or event.what in ("setting", "item"):
        return ()
    work = event.what == "work"
    if _rang(line, event):
        return (line.act("click", event.step, UNKNOWN, tool=event.tool),)
    drawn = sample_of(line.plan.stage_of(line.step(event.step))) is not None and event.what == "step"
    outcome = NOT_DRAWN if drawn else UNKNOWN  # a form with a sample has no row for most of them
    return (line.act(LEFT_BLANK, event.step, outcome, position=event.position, work=work),)


def _rang(line: Line, event: e.LeftBlank) -> bool:
    """True of a ring at a pull with a tool that shows no number: it let go, at what is not known."""
    held = line.before.hand.get(event.tool or "")
    pulled = event.step is not None and line.step(event.step).kind == "tighten" and event.what == "step"
    rings = held is not None and (held.tool.kind == "setting" or held.tool.id == NOT_ON_FORM.id)
    return event.ticked and pulled and rings


def tell(event: e.LeftBlank, plan: Plan, tools: Tools) -> str:
    """Tell what is missing, and where."""
    del tools
    if event.item is not None:
        return f"Not known ?: {item_told(event.item)}, {_NAMED[event.what]}."
    if event.what == "further reading":
        return f"No other reading on the form: {position_of(event.step, plan)}."
    told = "a tick and no number on the form" if event.ticked else _NAMED[event.what]
    return f"Not known ?: {position_of(event.step, plan)}, {told}."
