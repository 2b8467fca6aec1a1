"""The common ground of the four pulls: what is asked beside the tool, how it is said, how a torque is judged."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import ceil

from msgspec import Struct

from clampbook import units
from clampbook.figures import plain
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.naming import own
from clampbook.run.answers import Refused, Unsure
from clampbook.run.fold.frames import frame_at_hand, pending
from clampbook.run.fold.pulls import AFTER_LIMIT
from clampbook.run.fold.verdict import Verdict, judge
from clampbook.run.gather.draft import NONE
from clampbook.run.gather.keys import BAD_PULL
from clampbook.run.kinds.values import Typed, Wrong, asked_again, rounded, typed_value, unusual_in
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import NO_ONE_POSITION, Progress, Standing, standing
from clampbook.run.prompts import Choice, Due, Recheck, Tighten, Where
from clampbook.run.session import Session, seconds_between
from clampbook.run.told.places import bolts_named, within_a_sentence
from clampbook.run.told.words import Facts, Figure, Until, held, window_in
from clampbook.tools.aim import Aim
from clampbook.tools.model import Gives
from clampbook.units import Kind, Quantity


class Giving(Struct, frozen=True):
    """The words for how a setting tool gives: pulled `until`; asked whether it did `act`; it `did`, it has `done`."""

    until: str
    act: str
    did: str
    done: str


_GIVING: dict[Gives, Giving] = {
    "click": Giving("to one click", "click", "clicked", "clicked"),
    "slip": Giving("until it slips", "slip", "slipped", "slipped"),
    "break": Giving("until it gives", "give", "gave", "given"),
}
BAD = Choice(NONE, "bad pull", BAD_PULL)
FINISH_WITHIN = "finish within"  # how the line begins that says how long sealant or locker allows


def due(session: Session, state: Standing, step: Step) -> Due | None:
    """Until when sealant or locker must be under its torque; None where there is none, or somebody went on with it."""
    group = session.plan.group_named.get(step.group or "")
    if group is None or group.finish_within is None or state.applied is None or state.limit_waived:
        return None
    lasts = units.convert(group.finish_within.value, group.finish_within.unit, "s")
    left = None if session.painted is None else lasts - seconds_between(state.applied, session.painted)
    return Due(state.applied, lasts, left)


def past_limit(session: Session, stamp: Stamp, step: Step) -> tuple[str, ...]:
    """A note where a pull comes after the time from applying sealant or locker has run out."""
    limit = due(session, standing(session.progress, step.position), step) if step.position is not None else None
    return (AFTER_LIMIT,) if limit is not None and seconds_between(limit.since, stamp.at) > limit.lasts else ()


def too_soon(session: Session, stamp: Stamp, least: Decimal, done: str, *, pulls: int = 1) -> str | None:
    """A sentence where a deliberate key comes sooner after the prompt than so many slow pulls take."""
    if session.exempt or session.painted is None or session.plan.late:
        return None
    passed = Decimal(str((stamp.at - session.painted).total_seconds()))
    if passed >= least * pulls:
        return None
    left = max(1, ceil(least * pulls - passed))
    slow = "a slow pull" if pulls == 1 else f"{pulls} slow pulls"
    return f"Too soon for {slow}. If {done}, do not pull again: press + in {left} s."


def together(plan: Plan, progress: Progress, index: int, together: int) -> tuple[str, ...]:
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


def last_under(state: Standing) -> str | None:
    """A reading of this position that stayed under, as its tool showed it."""
    return state.last_value if state.outcome == "under" else None


def mark(aim: Aim) -> Figure | None:
    """Show what to set or where to stop, large, in the unit of what the hand holds; None where nothing is aimed at."""
    if aim.mark is None:
        return None
    return Figure(plain(aim.mark), f"on {aim.hand}", unit=aim.tool.unit)


def large(text: str, where: Where, caption: str = "position") -> Figure:
    """A place in large figures, with the kind of its fastener, and whether its thread is left-hand."""
    kind = ", ".join(each for each in (where.kind, "left-hand" if where.left_hand else "") if each)
    return Figure(text, "", caption, framed=True, kind=kind)


def position(where: Where) -> Figure | None:
    """Show the position, large; or the measuring point."""
    if where.position == NO_ONE_POSITION:
        return None
    if where.position:
        return large(own(where.position), where)
    return Figure(where.point, "", "measuring point") if where.point else None


def until(due: Due | None) -> Until | None:
    """The time that sealant or locker allows, counted down while it is pulled."""
    return None if due is None else Until(due.since, due.lasts, f"{FINISH_WITHIN} ")


def aimed(aim: Aim) -> Facts:
    """Give what a pull aims at, with what, and in which unit its reading is typed."""
    return replace(
        held(aim),
        target=None if aim.target is None else Quantity(aim.target, aim.unit),
        window=window_in(aim.window, aim.unit),
        set_tool_to=None if aim.set_to is None else Quantity(aim.set_to.value, aim.set_to.unit),
        unit=aim.tool.unit if aim.reading else None,
    )


def estimate(where: Where) -> tuple[str, ...]:
    """Tell what the step does to the clamp load, as it was planned."""
    return () if where.estimate is None else (where.estimate.whole,)


def due_line(due: Due | None) -> tuple[str, ...]:
    """Tell how many minutes are left for sealant or locker, rounded down."""
    if due is None:
        return ()
    left = due.lasts if due.left is None else due.left
    minutes = left // 60 * 60
    return (f"{FINISH_WITHIN} {units.show_duration(minutes) if minutes > 0 else 'this minute'}",)


def together_line(positions: tuple[str, ...], where: Where) -> tuple[str, ...]:
    """The others of a small set."""
    others = [position for position in positions if position != where.position]
    return (f"with {within_a_sentence(bolts_named(where.group, others, where.one))}",) if others else ()


def giving(aim: Aim) -> Giving:
    """The words for the tool in hand."""
    return _GIVING[aim.tool.gives]


def until_it_gives(aim: Aim) -> str:
    """Say how far a setting tool is pulled: "to one click"; one that goes on slipping or folding is to be stopped."""
    until = giving(aim).until
    return until if aim.tool.gives == "click" else f"{until}, then stop"


def set_there(pull: Tighten | Recheck) -> str:
    """Say what the fastener gets from a tool at the mark it is set to."""
    assert pull.aim.applied is not None
    return rounded(pull.aim.applied, pull.window)


def outside(pull: Tighten | Recheck) -> Verdict | None:
    """Judge a click at its setting where that lies outside the window; else it is a click, and no more."""
    found = None if pull.aim.applied is None else judge(pull.aim.applied, pull.window)
    return None if found == "within" else found


def torque(prompt: Tighten | Recheck, text: str, *, with_unit: bool) -> Typed | Wrong:
    """A torque in the tool's own unit; another unit is taken only where number and unit were asked for openly."""
    tool_unit, reach = prompt.tool.unit, prompt.aim.through
    read = typed_value(text, Kind.TORQUE, tool_unit, prompt.unit, prompt.window, with_unit=with_unit, through=reach)
    if isinstance(read, Typed) and read.unit != tool_unit and not with_unit:
        return Wrong(f"{prompt.tool.name} reads in {tool_unit}, not {read.unit}. Type the number it shows.")
    return read


def read(session: Session, prompt: Tighten | Recheck, text: str) -> Typed | Unsure | Refused:
    """A torque as it is taken: what cannot be one is refused, what looks like a slip is asked again."""
    found = torque(prompt, text, with_unit=session.unit_wanted(prompt.where.id))
    if isinstance(found, Wrong):
        return Refused(found.sentence)
    return unusual(session, prompt, found) or found


def unusual(session: Session, prompt: Tighten | Recheck, read: Typed) -> Unsure | None:
    """Give pause at a torque that looks like a slip, cannot stand on the tool's scale, or contradicts the window as
    it is shown: it is asked again openly, once.
    """
    unusual = unusual_in(read, prompt.target, prompt.window, Kind.TORQUE)
    return asked_again(session, prompt.where.id, read, unusual, prompt.aim)
