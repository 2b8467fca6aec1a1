"""The traces of a pull that does not count: it was made all the same, and holds what its tool told of it."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Turn
from clampbook.run import events as e
from clampbook.run.fold.acts import DEGREES, UNKNOWN, Act, Kind
from clampbook.run.fold.again import revisit, start_over
from clampbook.run.fold.fastener import pulled as pull
from clampbook.run.fold.fastener import told_over, turned_badly
from clampbook.run.fold.frames import ask
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.pulls import OUT_OF_TURN, answered, handled, harmless, pulled
from clampbook.run.fold.renewal import needs_renewal, spent
from clampbook.run.fold.tools import showing
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, Standing, Why, standing
from clampbook.run.questions.decided import members
from clampbook.run.told.marks import marked
from clampbook.run.told.places import position_of
from clampbook.run.told.torques import with_bolt
from clampbook.text import started
from clampbook.units import behind


def fold(plan: Plan, progress: Progress, event: e.Voided) -> Progress:
    """A bad pull: how the position goes on is the group's `after_bad_pull`; a turn has lost its place."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    position = step.position or ""
    before = standing(progress, position)
    progress = replace(progress, deviations=progress.deviations + 1, found=None, questions=without(progress, event.of))
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
    return replace(state, last_value=event.value, judged_by=event.window, **showing(progress, event.tool))


def _told_nothing(event: e.Voided) -> bool:
    """True where nobody knows how far the pull went: nothing was read, and no click that failed to come says "less"."""
    return event.of is None and event.value is None and event.set_to is None and event.clicked is not False


def _click(progress: Progress, event: e.Voided) -> str | None:
    """Tell what is known of a pull with a setting tool: its setting, and whether it clicked there."""
    held = progress.hand.get(event.tool or "")
    if event.of is not None or held is None or held.set_to is None:
        return None
    clicked = {True: "clicked", False: "no click", None: "not sure if it clicked"}[event.clicked]
    return f"{clicked}, set to {held.set_to} {held.tool.unit}"


def _corrigible(event: e.Voided) -> bool:
    """True where a torque was typed with it, or an angle that was judged, which may have been mistyped."""
    return event.value is not None and (event.at_fastener is not None or event.sum is not None)


def told_of(event: e.Voided) -> str | None:
    """Give what its tool told of a pull that does not count, an angle in all; None where nothing was read."""
    told = event.sum or event.value or event.set_to
    return None if told is None else f"{told}{behind(event.unit)}"


def _asked(progress: Progress, event: e.Voided, cause: Why, index: int, position: str, state: Standing) -> Progress:
    kept = replace(progress, positions=progress.positions.insert(position, state))
    over = state.fastener.over
    told = told_of(event)
    clicked = told if event.set_to is None else f"clicked at {told}"
    if cause == "bad pull" and _told_nothing(event):
        clicked = "how far is not known"
    found = clicked if over is None else over.found
    return ask(kept, Question(cause=cause, about=event.seq, step=index, positions=(position,), found=found))


def without(progress: Progress, line: int | None) -> tuple[Question, ...]:
    """Open questions without those about a line that no longer stands."""
    return tuple(each for each in progress.questions if each.about != line)


def acts(line: Line, event: e.Voided) -> tuple[Act, ...]:
    """A bad pull that was never stored, a pull on another position than asked; or a word about a pull before it."""
    kind: Kind = "wrong position" if event.cause in OUT_OF_TURN else "bad pull"
    turned = event.unit == DEGREES  # a torque may have been pulled where an angle is next, and the other way round
    read = event.sum or (event.at_fastener if event.value is not None else None)  # a click shows nothing
    told = judged(event.verdict, event.window, read, DEGREES if turned else line.plan.unit)
    lost = line.step(event.step).kind == "turn" or kind == "wrong position"
    told["outcome"] = "over" if event.verdict == "over" and kind == "wrong position" else UNKNOWN if lost else "void"
    if event.of is not None:
        return (line.act(kind, event.step, about=event.of, why_not="void", **told),)
    tool = event.tool or line.in_use(line.step(event.step))
    set_to, unit = (event.set_to, event.unit) if event.unit is not None else line.setting(tool)  # clicked or not
    act = line.act(
        kind,
        event.step,
        tool=tool,
        value=None if turned else event.value,
        angle=event.value if turned else None,
        set_to=set_to,
        unit=unit,
        at_fastener=event.at_fastener,
        why_not="void",
        **told,
    )
    return (act,)


def tell(event: e.Voided, plan: Plan, tools: Tools) -> str:
    """Tell where, why, and what its tool told."""
    del tools
    over = f", {marked(event.verdict)}" if event.verdict == "over" else ""
    return f"{started(marked('void'))}: {position_of(event.step, plan)}, {event.cause}{_told(event, plan)}{over}."


def _told(event: e.Voided, plan: Plan) -> str:
    """Tell what its tool told of a pull that does not count: a click is none of its readings."""
    if event.unit is None:
        return ""
    there = event.at_fastener
    if event.set_to is not None:
        return f", clicked at {with_bolt(event.set_to, event.unit, there or event.set_to, None, plan)}"
    if event.value is None or there is None:
        return f", {event.value}{behind(event.unit)}"
    return f", {with_bolt(event.value, event.unit, there, event.window, plan)}"
