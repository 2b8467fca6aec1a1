"""What bad pulls and corrections do: a line is named, its value put right or voided, never erased."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from msgspec.structs import replace

from clampbook.procedure.model import Recheck, Tighten, Turn
from clampbook.run import events as e
from clampbook.run.fastener import not_over, over_all_the_same, put_right, told_over, turned_badly
from clampbook.run.fastener import pulled as pull
from clampbook.run.fastener import turned as turn
from clampbook.run.fold.again import revisit, start_over
from clampbook.run.fold.counts import counted
from clampbook.run.fold.frames import advance, ask, pass_gate
from clampbook.run.fold.measured import keep_measured, measured_name, told_beside
from clampbook.run.fold.passes import FIRST_MOVEMENT, FOUND_UNDER, LOOSE, MOVED, close_pass
from clampbook.run.fold.pulls import (
    OUT_OF_TURN,
    RUN_DOWN_CAUSES,
    answered,
    handled,
    harmless,
    pulled,
    settle,
    turn_settled,
)
from clampbook.run.fold.renewal import needs_renewal, spent
from clampbook.run.fold.tools import through, unit_of
from clampbook.run.plan import Plan
from clampbook.run.progress import Gate, Outcome, Progress, Question, Standing, standing
from clampbook.run.questions.decided import members
from clampbook.run.questions.items import worked_on
from clampbook.units import convert

OF_THE_METAL = ("reading", "recheck", "turn", "final torque", "stretch", "bad pull")


def voided(plan: Plan, progress: Progress, event: e.Voided) -> Progress:
    """A bad pull: how the position goes on is the group's `after_bad_pull`; a turn has lost its place."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    position = step.position or ""
    before = standing(progress, position)
    progress = replace(progress, deviations=progress.deviations + 1, found=None, questions=_without(progress, event.of))
    if event.of is None:
        progress = replace(handled(progress), last_pull=event.at)
    progress = replace(answered(progress, event, event.step), last_void=event.seq)
    if event.cause in OUT_OF_TURN:
        state = _void(progress, event, index, before)
        state = replace(state, outcome="unknown" if state.fastener.over is None else "over")
        return _asked(progress, event, event.cause, index, position, state)
    state = replace(_void(progress, event, index, before), outcome="void")
    if event.of is not None:
        unders = max(0, state.unders - (before.outcome == "under"))
        state = replace(state, through=min(state.through, index - 1), awaiting=None, unders=unders)
    if state.awaiting == "tighten again":  # chatter or a jerk: it is backed off once more (AC 43.13-1B)
        state = replace(state, awaiting=None)
    stage = plan.stage_of(step)
    if isinstance(stage, Turn):
        before_it = None if event.sum is None else Decimal(event.sum) - Decimal(event.value or "0")
        state = replace(state, outcome="unknown", fastener=turned_badly(state.fastener, index, before_it))
        return _asked(progress, event, "bad pull", index, position, state)
    group = plan.group_of[position]
    elsewhere = progress.follows_up and group.after_bad_pull == "from the beginning"  # its stages are not in this plan
    again = group.after_bad_pull == "pull again" and harmless(stage, state.fastener)
    if not (again or group.after_bad_pull == "from the beginning") or elsewhere:
        return _asked(progress, event, "bad pull", index, position, state)
    if needs_renewal(plan, progress, position) or (not again and spent(plan, progress, position)):
        return _asked(progress, event, "bad pull", index, position, state)
    kept = replace(progress, positions=progress.positions.insert(position, state))
    if again:
        return revisit(plan, kept, position, index, "pulled again after a bad pull")
    chosen = members(plan, position, group.start_over)
    return start_over(plan, kept, chosen, index, joint=group.start_over == "joint")


def _void(progress: Progress, event: e.Voided, index: int, before: Standing) -> Standing:
    """A pull that does not count was made all the same: it holds what its tool told of it."""
    torque = Decimal(event.at_fastener) if event.at_fastener is not None else None
    fastener = pull(
        before.fastener, torque, "bad pull" if event.cause not in OUT_OF_TURN else "another position", event.seq
    )
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, told_of(event) or "over its window")
    if _told_nothing(event):
        fastener = replace(fastener, unread=True)
    if not _corrigible(event):
        state = pulled(before, index, event.seq, None, fastener)
        return replace(state, last_click=_click(progress, event))
    state = pulled(before, index, event.seq, "bad pull", fastener)
    shown_in, reach = unit_of(progress, event.tool), through(progress, event.tool)
    return replace(state, last_value=event.value, judged_by=event.window, shown_in=shown_in, reach=reach)


def _told_nothing(event: e.Voided) -> bool:
    """Whether nobody knows how far the pull went: nothing was read, and no click that failed to come says "less"."""
    return event.of is None and event.value is None and event.set_to is None and event.clicked is not False


def _click(progress: Progress, event: e.Voided) -> str | None:
    """What is known of a pull with a setting tool: its setting, and whether it clicked there."""
    held = progress.hand.get(event.tool or "")
    if event.of is not None or held is None or held.set_to is None:
        return None
    clicked = {True: "clicked", False: "no click", None: "clicked? not sure"}[event.clicked]
    return f"{clicked}, set to {held.set_to} {held.tool.unit}"


def _corrigible(event: e.Voided) -> bool:
    """Whether a torque was typed with it, or an angle that was judged, which may have been mistyped."""
    return event.value is not None and (event.at_fastener is not None or event.sum is not None)


def told_of(event: e.Voided) -> str | None:
    """What its tool told of a pull that does not count, an angle in all; None where nothing was read."""
    told = event.sum or event.value or event.set_to
    return None if told is None else f"{told} {event.unit or ''}".strip().replace(" °", "°")


def _asked(progress: Progress, event: e.Voided, cause: str, index: int, position: str, state: Standing) -> Progress:
    kept = replace(progress, positions=progress.positions.insert(position, state))
    over = state.fastener.over
    told = told_of(event)
    clicked = told if event.set_to is None else f"clicked at {told}"
    if cause == "bad pull" and _told_nothing(event):
        clicked = "nobody knows how far"
    found = clicked if over is None else over.found
    return ask(kept, Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found))


def _without(progress: Progress, line: int | None) -> tuple[Question, ...]:
    """Open questions without those about a line that no longer stands."""
    return tuple(each for each in progress.questions if each.about != line)


def _put_right(progress: Progress, event: e.Corrected) -> tuple[Question, ...]:
    """Open questions after a value was put right: those about it are judged anew, but what moved has moved."""
    moved = (replace(each, about=event.seq) for each in progress.questions if _about_a_move(each, event.of))
    return (*_without(progress, event.of), *moved)


def _about_a_move(question: Question, line: int) -> bool:
    return question.about == line and question.cause in (MOVED, FOUND_UNDER)


def corrected(plan: Plan, progress: Progress, event: e.Corrected) -> Progress:
    """A mistyped value was put right: judged anew, and what follows from it follows."""
    about = next((each for each in progress.questions if each.about == event.of), None)
    asked = "bad pull" if about is None else about.cause
    progress = replace(progress, questions=_put_right(progress, event), last_answer=event.seq)
    if event.step is None:
        item = event.item or ""
        named = worked_on(plan, progress, item, event.typed)
        told = replace(progress, items=progress.items.insert(item, event.seq), worked_on=named)
        return counted(plan, told, item, event.value, event.seq)
    index = plan.index_of[event.step]
    step = plan.steps[index]
    if step.position is None:
        return _gate_corrected(plan, progress, event, index)
    before = standing(progress, step.position)
    if not event.counts:
        return _stays_over(plan, progress, event, index, about)
    if event.what in OF_THE_METAL and event.verdict != "over":
        before = replace(before, fastener=not_over(before.fastener, event.of))
    state = replace(before, latest=event.seq, latest_step=index, latest_what=event.what, last_value=event.value)
    if event.what == "stretch" and event.result is not None:
        state = replace(state, stretched=(state.attempt, Decimal(event.result)))
    if event.what in ("reading", "recheck", "final torque", "bad pull") and event.at_fastener is not None:
        state = replace(state, fastener=put_right(state.fastener, Decimal(event.at_fastener), event.seq, event.of))
    if event.verdict == "over" and event.what in OF_THE_METAL:
        state = replace(state, fastener=told_over(state.fastener, event.seq, index, _told(plan, event, index)))
    match event.what:
        case "measure":
            state = keep_measured(state, measured_name(plan, step), Decimal(event.value))
            return _value_judged(plan, progress, event, index, state, "outside")
        case "run-down":
            exact = state.reach.at_fastener(convert(Decimal(event.value), event.unit or plan.unit, plan.unit))
            state = replace(state, fastener=replace(state.fastener, prevailing=exact.normalize()))
            kept = replace(progress, positions=progress.positions.insert(step.position, state))
            if event.verdict in RUN_DOWN_CAUSES:
                return ask(kept, _about(plan, event, RUN_DOWN_CAUSES[event.verdict], index, step.position))
            return advance(plan, kept)
        case "turn":
            fastener = turn(state.fastener, index, Decimal(event.sum or "0"), Decimal(event.value))
            state = replace(state, fastener=fastener, awaiting=None)
            return _pull_judged(plan, progress, event, index, state)
        case "final torque":
            return _value_judged(plan, progress, event, index, state, "final torque outside")
        case "stretch":
            if event.verdict == "under":
                return _open_again(plan, progress, index, replace(state, awaiting=None), "under")
            return _value_judged(plan, progress, event, index, state, "stretch beyond its window")
        case "recheck" if not isinstance(plan.stage_of(step), Recheck):  # pulled again: nothing else changes
            kept = replace(progress, positions=progress.positions.insert(step.position, state))
            over = event.verdict == "over"
            return ask(kept, _about(plan, event, "pulled again", index, step.position)) if over else kept
        case "bad pull":
            kept = replace(progress, positions=progress.positions.insert(step.position, state))
            return ask(kept, _about(plan, event, asked, index, step.position))
        case "reading" | "recheck" | "item":
            return _pull_judged(plan, progress, event, index, state)
        case _:
            assert_never(event.what)


def _stays_over(plan: Plan, progress: Progress, event: e.Corrected, index: int, asked: Question | None) -> Progress:
    """What one person remembers does not make a fastener safe that was told over: it is decided all the same, by what
    was told."""
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


def _about(plan: Plan, event: e.Corrected, cause: str, index: int, position: str) -> Question:
    return Question(cause=cause, about=event.seq, step=index, positions=(position,), found=_told(plan, event, index))


def _told(plan: Plan, event: e.Corrected, index: int) -> str:
    """What stands now, with the unit that it is in."""
    if event.what in ("final torque", "stretch"):
        return told_beside(plan, index, event.what, event.value, event.unit, event.result)
    return f"{event.result or event.sum or event.value} {event.unit or ''}".strip().replace(" °", "°")


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
        return ask(_open_again(plan, progress, index, state, "over"), _about(plan, event, "over", index, position))
    if event.verdict == "under":
        return _corrected_under(plan, progress, event, index, state)
    if event.what == "reading" and isinstance(stage, Recheck):  # backed off and tightened again: its mark comes next
        return settle(plan, progress, index, replace(state, awaiting="mark"), "within", finished=False)
    if event.what == "turn":
        return turn_settled(plan, progress, index, state, "within", by_marks=False)
    if isinstance(stage, Tighten) and stage.stretch is not None:
        return settle(plan, progress, index, replace(state, awaiting="stretch"), "under", finished=False)
    outcome: Outcome = "moved" if state.outcome == "moved" else event.verdict or "confirmed"
    if outcome == "within" and event.what == "recheck" and over_all_the_same(state.fastener, event.window):
        outcome = "concession"
    return close_pass(plan, settle(plan, progress, index, state, outcome), event.seq, index)


def _corrected_under(plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing) -> Progress:
    """It is pulled on, once more; but where a first movement was read, it is loose, which is decided."""
    stage = plan.stage_of(plan.steps[index])
    if event.what == "reading" and isinstance(stage, Recheck):
        state = replace(state, awaiting="tighten again")
    opened = _open_again(plan, progress, index, replace(state, unders=max(1, state.unders)), "under")
    if not isinstance(stage, Recheck) or stage.method != FIRST_MOVEMENT:
        return opened
    return ask(opened, _about(plan, event, LOOSE, index, plan.steps[index].position or ""))


def _value_judged(
    plan: Plan, progress: Progress, event: e.Corrected, index: int, state: Standing, cause: str
) -> Progress:
    """A corrected measured value: within goes on, outside is asked."""
    position = plan.steps[index].position or ""
    if event.verdict in (None, "within"):
        return settle(plan, progress, index, state, "within")
    kept = replace(progress, positions=progress.positions.insert(position, state))
    return ask(
        revisit(plan, kept, position, index, "a corrected value is outside"),
        _about(plan, event, cause, index, position),
    )


def _gate_corrected(plan: Plan, progress: Progress, event: e.Corrected, index: int) -> Progress:
    step = plan.steps[index]
    kept = replace(progress, gates=progress.gates.insert(step.id, Gate(latest=event.seq, value=Decimal(event.value))))
    top = kept.frames[-1]
    if event.verdict in (None, "within"):
        return pass_gate(plan, kept) if top.next == index and not top.prologue else advance(plan, kept)
    return ask(kept, Question(cause="outside", about=event.seq, step=index, found=_told(plan, event, index)))
