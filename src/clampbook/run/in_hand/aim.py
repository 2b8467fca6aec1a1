"""The aim of the pull at hand: the step's torque and window with prevailing torque added, through the tool in hand.

`wanted` says what a step wants of a tool, `tools/aim` makes the one value of it with the tool in hand; all that is
asked, said, judged, decided and written down takes that.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, assert_never

from msgspec.structs import replace

from clampbook.procedure.model import Align, Loosen, Pulled, Recheck, Tighten, Turn, Unmoved
from clampbook.run.fold.fastener import Fastener, seated
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import UNTOUCHED, Progress, Standing, standing
from clampbook.tools.aim import OPEN, Aim
from clampbook.tools.demand import Demand, Unread
from clampbook.tools.guard import accepted
from clampbook.tools.setting import Ends
from clampbook.units import convert

NotAdded = Literal["below a third", "included"]  # why prevailing torque that was read is not added
Beside = Literal["prevailing torque", "final torque"]  # a torque that is read beside a pull, under its step
# Least prevailing torques of locking nuts are 3 to 7 % of the torque they are tightened with (FAA AC 43.13-1B,
# table 7-2, from memory): a tool that shows a twentieth shows them all but for the smallest.
LEAST_PREVAILING = Decimal("0.05")


def wanted(plan: Plan, step: Step, state: Standing = UNTOUCHED, beside: Beside | None = None) -> Demand | None:
    """Give what a step wants of a tool at a position that stands like this, in the procedure's unit; None
    where no tool of the book is used. Before anything is known of the position nothing is added.
    """
    group = plan.group_named.get(step.group or "")
    back = group is not None and group.left_hand
    stage = plan.stage_of(step)
    if isinstance(stage, Loosen | Unmoved):
        return None
    match stage:
        case Tighten() if beside == "prevailing torque":
            window = prevailing_window(plan, step)
            return Demand(
                need="reading",
                window=window,
                unit=plan.unit,
                anticlockwise=back,
                adapter=stage.through,
                least=window[0] if window[0] is not None else _least_to_read(plan, step, window[1]),
            )
        case Tighten(stretch=None):
            return _torque(plan, step, state, "torque", back)
        case Tighten():
            demand = _torque(plan, step, state, "reading", back)
            return demand if stretched(state) is None else replace(demand, target=None)
        case Recheck(method=method):
            if method != "first movement":
                return _torque(plan, step, state, "torque", back)
            return replace(_torque(plan, step, state, "reading", back), stops=False)
        case Align(at_most=most):
            reads = Demand(need="reading", window=(None, most), unit=plan.unit, anticlockwise=back)
            return replace(reads, adapter=stage.through)
        case Turn(final_torque=final) if beside == "final torque":
            ends = (None, None) if final is None else (final.low, final.high)
            reads = Demand(need="reading", window=ends, unit=plan.unit, anticlockwise=back)
            return replace(reads, adapter=stage.through)
        case Turn(final_torque=final):
            high = None if final is None else final.high
            return Demand(need="angle", unit=plan.unit, up_to=high, anticlockwise=back)
        case _:
            assert_never(stage)


def before_prevailing(plan: Plan, step: Step) -> Demand | None:
    """Give what a step wants of a tool while its prevailing torque is still to be read: with the least that
    is asked for added, and how much more may come.
    """
    group = plan.group_named.get(step.group or "")
    if group is None or group.prevailing is None:
        return wanted(plan, step)
    least, most = prevailing_window(plan, step)
    plainly = wanted(plan, step)
    demand = wanted(plan, step, Standing(fastener=Fastener(prevailing=least)))
    if demand is None or plainly is None or demand.target is None or plainly.target is None or most is None:
        return demand
    if group.prevailing.rule == "included":
        return demand
    free = plainly.target / 3 if group.prevailing.rule == "from a third" else Decimal(0)
    return replace(demand, unread=Unread(included=demand.target - plainly.target, most=most, free=free))


def stretched(state: Standing) -> Decimal | None:
    """The stretch that was measured last since the fastener was begun; from then on no torque says where to stop."""
    return state.stretched[1] if state.stretched is not None and state.stretched[0] == state.attempt else None


def _torque(plan: Plan, step: Step, state: Standing, need: Literal["torque", "reading"], back: bool) -> Demand:
    target, window = figures(plan, state, step)
    stage = plan.stage_of(step)
    return Demand(
        need=need,
        target=target,
        window=window,
        unit=plan.unit,
        anticlockwise=back,
        accept=plan.accept,
        adapter=stage.through if isinstance(stage, Pulled) else None,
    )


def judging(plan: Plan, step: Step, state: Standing, hand: Aim) -> Ends:
    """The window that judges a pull at a step, made with what the hand holds, whether it was asked for there or not:
    prevailing torque added, narrowed by the guard. A guard that leaves nothing of it is left out."""
    demand = wanted(plan, step, state)
    if demand is None:
        return OPEN
    narrowed = accepted(demand.accept, hand.tool, demand.target, demand.window, plan.unit, hand.through)
    return demand.window if narrowed is None else narrowed


def beside_due(plan: Plan, step: Step, state: Standing) -> Beside | None:
    """Name the torque that is to be read beside the pull of this step now: before it, or after its turn; None
    where none is.
    """
    group, stage = plan.group_named.get(step.group or ""), plan.stage_of(step)
    if isinstance(stage, Turn) and state.awaiting == "final torque" and stage.final_torque is not None:
        return "final torque"
    locking = isinstance(stage, Tighten) and group is not None and group.prevailing is not None
    if state.blank is not None and state.blank == (state.attempt, plan.index_of[step.id]):
        return None
    return "prevailing torque" if locking and state.fastener.prevailing is None and not seated(state.fastener) else None


def not_added(plan: Plan, state: Standing, step: Step) -> NotAdded | None:
    """Tell why prevailing torque that was read is not added: it is always (AC 43.13-1B par. 7-40), from a third of the
    target on (TB 43-0218), or never. None where it is added, or none was read."""
    group = plan.group_named.get(step.group or "")
    prevailing = state.fastener.prevailing
    if group is None or group.prevailing is None or prevailing is None:
        return None
    rule = group.prevailing.rule
    if rule == "from a third" and step.target is not None and prevailing * 3 < step.target:
        return "below a third"
    return "included" if rule == "included" else None


def _added(plan: Plan, state: Standing, step: Step) -> Decimal:
    group = plan.group_named.get(step.group or "")
    prevailing = state.fastener.prevailing
    if group is None or group.prevailing is None or prevailing is None:
        return Decimal(0)
    return prevailing if not_added(plan, state, step) is None else Decimal(0)


def figures(plan: Plan, state: Standing, step: Step) -> tuple[Decimal | None, Ends]:
    """Target and window of a pull in the procedure's unit, with prevailing torque added."""
    more = _added(plan, state, step)
    low, high = step.window or (None, None)
    target = None if step.target is None else step.target + more
    return target, (None if low is None else low + more, None if high is None else high + more)


def target_at(plan: Plan, progress: Progress, step: str) -> Decimal | None:
    """The target of the pull of a step as things stand, by its name."""
    found = plan.steps[plan.index_of[step]]
    demand = wanted(plan, found, standing(progress, found.position or ""))
    return None if demand is None else demand.target


def prevailing_window(plan: Plan, step: Step) -> Ends:
    """Between what a prevailing torque is taken as it is: the least that the procedure asks for, below which a nut is
    worn (AC 43.13-1B, table 7-2), and the most; where it says none, the greatest target of its position, above which a
    nut binds (common practice, no source)."""
    prevailing = plan.group_named[step.group or ""].prevailing
    least, most = (None, None) if prevailing is None else (prevailing.least, prevailing.most)
    floor, ceiling = (None if end is None else convert(end.value, end.unit, plan.unit) for end in (least, most))
    return floor, _greatest_target(plan, step) if ceiling is None else ceiling


def _greatest_target(plan: Plan, step: Step) -> Decimal | None:
    """Its torques alone: a target in degrees is none."""
    steps = [plan.steps[index] for index in plan.steps_of.get(step.position or "", ())]
    return max((each.target for each in steps if each.target is not None and each.unit == plan.unit), default=None)


def _least_to_read(plan: Plan, step: Step, most: Decimal | None) -> Decimal:
    """A twentieth of the target, and never more than may be read at all."""
    target = _greatest_target(plan, step)
    least = Decimal(0) if target is None else target * LEAST_PREVAILING
    return least if most is None else min(least, most)
