"""The effect of bad pulls and corrections: a line is named, its value corrected or voided, never erased."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, assert_never

from msgspec.structs import replace

from clampbook.figures import show_exactly
from clampbook.procedure.model import Recheck, Tighten
from clampbook.run import events as e
from clampbook.run.acts import earlier_value
from clampbook.run.acts.measured_anew import (
    asked_of_all_points,
    gate_corrected,
    measured_anew,
    question_about,
    told_now,
    value_judged,
)
from clampbook.run.acts.voided import without
from clampbook.run.fold.acts import DEGREES, NOT_JUDGED, TOO_FAR_APART, Act, Kind
from clampbook.run.fold.again import revisit
from clampbook.run.fold.counts import NEW, all_new, answered
from clampbook.run.fold.differences import Difference, differences
from clampbook.run.fold.fastener import not_over, over_all_the_same, put_right, told_over
from clampbook.run.fold.fastener import turned as turn
from clampbook.run.fold.frames import advance, ask
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.line import over_all_the_same as conceded
from clampbook.run.fold.measured import (
    as_shown,
    has_window,
    judged_together,
    only_apart,
)
from clampbook.run.fold.passes import FIRST_MOVEMENT, FOUND_UNDER, LOOSE, MOVED, close_pass
from clampbook.run.fold.pulls import (
    PREVAILING_CAUSES,
    outside_at_the_end,
    settle,
    still_turning,
    turn_settled,
)
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Outcome, Progress, Question, Standing, Why, standing
from clampbook.run.questions.items import worked_on
from clampbook.run.told.marks import marked
from clampbook.run.told.places import position_of, within_a_sentence
from clampbook.run.told.torques import stroke, with_bolt
from clampbook.text import started
from clampbook.units import behind, convert

OF_THE_METAL = ("reading", "recheck", "turn", "final torque", "stretch", "bad pull")


def _put_right(progress: Progress, event: e.Corrected) -> tuple[Question, ...]:
    """Open questions after a value was put right: those about it are judged anew, but what moved has moved."""
    moved = (replace(each, about=event.seq) for each in progress.questions if _about_a_move(each, event.of))
    return (*without(progress, event.of), *moved)


def _about_a_move(question: Question, line: int) -> bool:
    return question.about == line and question.cause in (MOVED, FOUND_UNDER)


def fold(plan: Plan, progress: Progress, event: e.Corrected) -> Progress:
    """A mistyped value was put right: judged anew, and what follows from it follows."""
    about = next((each for each in progress.questions if each.about == event.of), None)
    asked: Why = "bad pull" if about is None else about.cause
    together = asked_of_all_points(plan, progress, event)
    less = _less_it(plan, progress, event)
    progress = replace(progress, questions=_put_right(progress, event), last_answer=event.seq)
    if event.step is None:
        return _item_corrected(plan, progress, event)
    index = plan.index_of[event.step]
    step = plan.steps[index]
    if event.what == "measure":
        left = tuple(each for each in progress.questions if each != together)
        progress = replace(progress, questions=left, last_answer_step=event.step)
    if step.position is None:
        return gate_corrected(plan, progress, event, index, index if together is None else together.step)
    if less:
        return earlier_value.put_right(plan, progress, event, index, less)
    before = standing(progress, step.position)
    if before.outcome == "under" and event.verdict == "within":
        progress = replace(progress, deviations=progress.deviations + 1)
    if not event.counts:
        return _stays_over(plan, progress, event, index, about)
    if event.what == "measure":
        at = index if together is None else together.step
        return measured_anew(plan, progress, event, index, at, _as_corrected(plan, event, at, before))
    return _followed(plan, progress, event, index, _as_corrected(plan, event, index, before), asked)


def _less_it(plan: Plan, progress: Progress, event: e.Corrected) -> tuple[Difference, ...]:
    """Give what was judged already less the value that is put right."""
    if event.what != "measure" or event.step is None:
        return ()
    return tuple(differences(plan, progress, plan.steps[plan.index_of[event.step]], Decimal(event.value)))


def _item_corrected(plan: Plan, progress: Progress, event: e.Corrected) -> Progress:
    """Put an item of the sheet right: the thing worked on may have another name, a count another number."""
    item = event.item or ""
    named = worked_on(plan, progress, item, event.typed)
    told = replace(progress, items=progress.items.insert(item, event.seq), worked_on=named)
    return answered(plan, told, item, event.value, event.seq, event.needed)


def _as_corrected(plan: Plan, event: e.Corrected, index: int, before: Standing) -> Standing:
    """Give the standing of a position by the value that was put right, before anything follows from it."""
    if event.what in OF_THE_METAL and event.verdict != "over":
        before = replace(before, fastener=not_over(before.fastener, event.of))
    state = replace(before, latest=event.seq, latest_step=index, latest_what=event.what, last_value=event.value)
    if event.what == "stretch" and event.result is not None:
        state = replace(state, stretched=(state.attempt, Decimal(event.result)))
    if event.what in ("reading", "recheck", "final torque", "bad pull") and event.at_fastener is not None:
        state = replace(state, fastener=put_right(state.fastener, Decimal(event.at_fastener), event.seq, event.of))
    if event.verdict == "over" and event.what in OF_THE_METAL:
        state = replace(state, fastener=told_over(state.fastener, event.seq, index, told_now(plan, event, index)))
    return state


def _followed(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing, asked: Why) -> Progress:
    """Judge the value anew, by what it is; `asked` is what a bad pull was asked about."""
    step = plan.steps[index]
    position = step.position or ""
    match event.what:
        case "prevailing torque":
            return _run_down_judged(plan, progress, event, index, state)
        case "turn":
            fastener = turn(state.fastener, index, Decimal(event.sum or "0"), Decimal(event.value))
            state = replace(state, fastener=fastener, awaiting=None)
            return _pull_judged(plan, progress, event, index, state)
        case "final torque":
            return value_judged(plan, progress, event, index, state, outside_at_the_end(plan, index))
        case "stretch":
            if event.verdict == "under":
                return _open_again(plan, progress, index, replace(state, awaiting=None), "under")
            return value_judged(plan, progress, event, index, state, "stretch beyond its window")
        case "recheck" if not isinstance(plan.stage_of(step), Recheck):  # pulled again: nothing else changes
            kept = replace(progress, positions=progress.positions.insert(position, state))
            over = event.verdict == "over"
            return ask(kept, question_about(plan, event, "pulled again", index, position)) if over else kept
        case "bad pull":
            kept = replace(progress, positions=progress.positions.insert(position, state))
            return ask(kept, question_about(plan, event, asked, index, position))
        case "reading" | "recheck" | "item" | "measure":
            return _pull_judged(plan, progress, event, index, state)
        case _:
            assert_never(event.what)


def _run_down_judged(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing) -> Progress:
    """Take the prevailing torque as it is now, in the sheet's unit; outside its window it is decided about."""
    position = plan.steps[index].position or ""
    exact = state.reach.at_fastener(convert(Decimal(event.value), event.unit or plan.unit, plan.unit))
    state = replace(state, fastener=replace(state.fastener, prevailing=exact.normalize()))
    kept = replace(progress, positions=progress.positions.insert(position, state))
    if event.verdict in PREVAILING_CAUSES:
        return ask(kept, question_about(plan, event, PREVAILING_CAUSES[event.verdict], index, position))
    return advance(plan, kept)


def _stays_over(plan: Plan, progress: Progress, event: e.Corrected, index: int, asked: Question | None) -> Progress:
    """Leave a fastener over that was told over: what one person remembers does not make it safe. It is
    decided all the same, by what was told.
    """
    before = standing(progress, plan.steps[index].position or "")
    over = before.fastener.over
    assert over is not None
    fastener = replace(before.fastener, over=replace(over, line=event.seq))
    state = replace(before, latest=event.seq, latest_step=index, fastener=fastener)
    position = plan.steps[index].position or ""
    kept = replace(progress, positions=progress.positions.insert(position, state))
    judged = None if asked is None else asked.judged
    return ask(
        kept,
        Question(cause="over", about=event.seq, step=index, positions=(position,), found=over.found, judged=judged),
    )


def _open_again(plan: Plan, progress: Progress, index: int, state: Standing, outcome: Outcome) -> Progress:
    """The step is open again with this outcome, and done at once."""
    position = plan.steps[index].position or ""
    opened = replace(state, outcome=outcome)
    kept = replace(progress, positions=progress.positions.insert(position, opened))
    return revisit(plan, kept, position, index, "a corrected value is not within")


def _pull_judged(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing) -> Progress:
    """A corrected reading or stroke: within goes on, under is pulled again, over is asked."""
    position = plan.steps[index].position or ""
    stage = plan.stage_of(plan.steps[index])
    if event.verdict == "over":
        return ask(
            _open_again(plan, progress, index, state, "over"), question_about(plan, event, "over", index, position)
        )
    if event.verdict == "under":
        return _corrected_under(plan, progress, event, index, state)
    if event.what == "reading" and isinstance(stage, Recheck):  # backed off and tightened again: its mark comes next
        return settle(plan, progress, index, replace(state, awaiting="mark"), "within", finished=False)
    if event.what == "turn":
        return turn_settled(plan, progress, index, state, "within", by_marks=False)
    if isinstance(stage, Tighten) and stage.stretch is not None:
        return settle(plan, progress, index, replace(state, awaiting="stretch"), "under", finished=False)
    if event.what == "recheck" and state.unmoved:
        return _unmoved(plan, progress, event, index, state)
    outcome: Outcome = "moved" if state.outcome == "moved" else event.verdict or "confirmed"
    if outcome == "within" and event.what == "recheck" and over_all_the_same(state.fastener, event.window):
        outcome = "concession"
    return close_pass(plan, settle(plan, progress, index, state, outcome), event.seq, index)


def _unmoved(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing) -> Progress:
    """Nothing moved up to another number: it is pulled on where it was to be, and else is done."""
    if state.outcome is None:
        return settle(plan, progress, index, state, None, finished=False)
    return close_pass(plan, settle(plan, progress, index, state, "confirmed"), event.seq, index)


def _corrected_under(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing) -> Progress:
    """It is pulled on, once more; but where a first movement was read, it is loose, which is decided."""
    stage = plan.stage_of(plan.steps[index])
    if event.what == "reading" and isinstance(stage, Recheck):
        state = replace(state, awaiting="tighten again")
    opened = _open_again(plan, progress, index, replace(state, unders=max(1, state.unders)), "under")
    if not isinstance(stage, Recheck) or stage.method != FIRST_MOVEMENT or state.unmoved:
        return opened
    return ask(opened, question_about(plan, event, LOOSE, index, plan.steps[index].position or ""))


def acts(line: Line, event: e.Corrected) -> tuple[Act, ...]:
    """A value put right, and what is judged less it; an answer of the sheet is no act."""
    return () if event.step is None else (_act(line, event), *earlier_value.acts(line, event))


_PUT_RIGHT: dict[e.What, Kind] = {
    "reading": "pull",
    "prevailing torque": "prevailing torque",
    "turn": "turn",
    "final torque": "final torque",
    "stretch": "stretch",
    "measure": "measurement",
    "recheck": "recheck",
}
_AT_FASTENER: tuple[Kind, ...] = ("pull", "prevailing torque", "recheck", "bad pull")


def _act(line: Line, event: e.Corrected) -> Act:
    """A value put right; whose tool, setting and method it has is known once the act that it names is."""
    kind = _PUT_RIGHT.get(event.what, "bad pull")
    turned = event.sum is not None
    is_torque = kind in _AT_FASTENER or kind == "final torque"
    shown = event.sum if turned else event.at_fastener if kind in _AT_FASTENER else event.result
    unit = DEGREES if turned else line.plan.unit if is_torque else event.unit
    told = judged(event.verdict, event.window, shown or event.value, unit)
    told |= {"verdict": event.verdict, "outcome": event.verdict or NOT_JUDGED}  # by the window of what it corrects
    value = {"angle": event.value} if turned else {"value": event.value}
    there = event.at_fastener if is_torque else None
    about: dict[str, Any] = {"about": event.of, "corrects": True}
    if not event.counts:
        told |= {"verdict": None, "outcome": NOT_JUDGED}
        about |= {"why_not": "from memory alone"}
    if event.spread is not None:
        told |= judged_together(event)
    if event.counts and event.what == "recheck":
        told |= conceded(line, event)
    return line.act(kind, event.step or "", unit=event.unit, at_fastener=there, **value, **told, **about)


def tell(event: e.Corrected, plan: Plan, tools: Tools) -> str:
    """Bolt or question, what it is now, and how that is judged."""
    del tools
    if not event.counts:
        shown = show_exactly(Decimal(event.value), event.unit) if event.unit is not None else event.value
        here = f"{started(marked('over'))}: {position_of(event.step, plan)} stays over"
        return f"{here}. {shown} from memory does not count. Ask a second person who saw it."
    if event.step is None:
        kind, _, name = (event.item or "").partition(":")
        item = within_a_sentence(name or kind) or "the answer"
        now = all_new(event.typed) if f"{kind}:" == NEW else f"now {event.value}{behind(event.unit)}"
        return f"Corrected: {item}, {now}."
    shown = as_shown(event) if event.sum is None else stroke(event.value, event.sum)
    if event.at_fastener is not None and event.unit is not None:
        shown = with_bolt(event.value, event.unit, event.at_fastener, event.window, plan)
    word = None if event.verdict is None else marked(event.verdict)
    if still_turning(plan, plan.index_of[event.step], event.verdict):
        word = "not finished"
    judged = f", {word}" if word is not None else ""
    if only_apart(event):
        apart = f"the points are {event.spread}{behind(event.unit)} apart"
        judged = f"{', within' if has_window(event) else ''}. {started(marked(TOO_FAR_APART))}: {apart}"
    return f"Corrected: {position_of(event.step, plan)} read {shown}{judged}."
