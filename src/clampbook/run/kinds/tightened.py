"""The outcome of a pull to a torque: a reading, or a click, and what follows from it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from msgspec.structs import replace

from clampbook.procedure.model import Tighten
from clampbook.run import events as e
from clampbook.run.fold.acts import CLICKED, Act
from clampbook.run.fold.fastener import pulled as pull
from clampbook.run.fold.fastener import told_over
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.pulls import after_limit, pulled, question, settle, under_again, unders_now, worked
from clampbook.run.fold.tools import showing
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Progress, Standing, standing
from clampbook.run.told.marks import marked
from clampbook.run.told.places import position_of
from clampbook.run.told.torques import with_bolt
from clampbook.text import started


def fold(plan: Plan, progress: Progress, event: e.ReadingTaken | e.Clicked) -> Progress:
    """Within goes on, under is pulled again, over is asked about."""
    if isinstance(event, e.Clicked):
        return _clicked(plan, progress, event)
    return _read(plan, progress, event)


def _read(plan: Plan, progress: Progress, event: e.ReadingTaken) -> Progress:
    """A reading: within goes on, under is pulled again, over is asked."""
    index = plan.index_of[event.step]
    position = plan.steps[index].position or ""
    before = standing(progress, position)
    fastener = pull(before.fastener, Decimal(event.at_fastener), "reading", event.seq)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.value} {event.unit}")
    state = replace(
        pulled(before, index, event.seq, "reading", fastener),
        unders=unders_now(before, index, event.verdict),
        last_value=event.value,
        **showing(progress, event.tool),
        judged_by=event.window,
    )
    progress = replace(worked(progress, event, event.step), last_reading=(event.tool, event.value))
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        progress = question(progress, event, "over", index, position, f"{event.value} {event.unit}")
        return after_limit(plan, progress, event, index)
    stage = plan.stages[plan.steps[index].stage - 1]
    if event.verdict == "within" and isinstance(stage, Tighten) and stage.stretch is not None:
        progress = settle(plan, progress, index, replace(state, awaiting="stretch"), "under", finished=False)
    elif event.verdict == "within":
        progress = _where_it_should_be(plan, progress, index, state, "within")
    else:
        progress = settle(plan, progress, index, state, event.verdict, finished=False)
    return after_limit(plan, under_again(progress, event, index, position, state), event, index)


def _clicked(plan: Plan, progress: Progress, event: e.Clicked) -> Progress:
    """A setting tool let go once: done, without a number."""
    index = plan.index_of[event.step]
    before = standing(progress, plan.steps[index].position or "")
    fastener = pull(before.fastener, Decimal(event.at_fastener), "setting", event.seq)
    progress = worked(progress, event, event.step)
    if event.verdict == "over":
        found = f"{event.set_to} {event.unit}"
        state = pulled(before, index, event.seq, "release", told_over(fastener, event.seq, index, found))
        progress = settle(plan, progress, index, state, "over", finished=False)
        return after_limit(
            plan, question(progress, event, "over", index, plan.steps[index].position or "", found), event, index
        )
    state = pulled(before, index, event.seq, "release", fastener)
    if event.verdict == "under":  # a form has one ring, and no other pull beside it
        progress = settle(plan, progress, index, state, "under", finished=plan.late)
    else:
        progress = _where_it_should_be(plan, progress, index, state, "clicked")
    return after_limit(plan, progress, event, index)


def _where_it_should_be(plan: Plan, progress: Progress, index: int, state: Standing, outcome: Outcome) -> Progress:
    """The step is done; of a fastener that was backed off first, its mark is still to be looked at."""
    if state.awaiting != "tighten again":
        return settle(plan, progress, index, state, outcome)
    return settle(plan, progress, index, replace(state, awaiting="mark"), outcome, finished=False)


def acts(line: Line, event: e.ReadingTaken | e.Clicked) -> tuple[Act, ...]:
    """A reading with what judged it; a click shows none, and is judged only where its setting lies outside."""
    if isinstance(event, e.Clicked):
        judged_by: dict[str, Any] = {"window": event.window, "verdict": event.verdict}
        figures = {"set_to": event.set_to, "unit": event.unit, "at_fastener": event.at_fastener}
        return (line.act("click", event.step, event.verdict or CLICKED, tool=event.tool, **judged_by, **figures),)
    told = judged(event.verdict, event.window, event.at_fastener, line.plan.unit)
    told |= {"value": event.value, "unit": event.unit, "at_fastener": event.at_fastener}
    return (line.act("pull", event.step, tool=event.tool, **told),)


def tell(event: e.ReadingTaken | e.Clicked, plan: Plan, _: Tools) -> str:
    """Tell how it was judged, and what it was on the tool and at the bolt."""
    here = position_of(event.step, plan)
    if isinstance(event, e.Clicked):
        shown = with_bolt(event.set_to, event.unit, event.at_fastener, event.window, plan, set_to=True)
        return f"{started(marked(event.verdict or 'clicked'))}: {here}, set to {shown}. No reading."
    shown = with_bolt(event.value, event.unit, event.at_fastener, event.window, plan)
    return f"{started(marked(event.verdict))}: {here}, {shown}."
