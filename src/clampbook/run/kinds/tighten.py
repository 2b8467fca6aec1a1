"""Tightening: a pull to a torque, with a tool that shows it or one that lets go; or pulls until a stretch is there."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Context, Decimal

from clampbook import units
from clampbook.figures import beside as shown_beside
from clampbook.figures import show_exactly, show_judging
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Tighten as Stage
from clampbook.procedure.model import Window
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, Refused, Value
from clampbook.run.fold.fastener import holds
from clampbook.run.fold.frames import frame_at_hand, pending
from clampbook.run.fold.renewal import budget_used_up
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.aim import NotAdded, beside_due, not_added, stretched
from clampbook.run.in_hand.ask_for import ready_tool
from clampbook.run.in_hand.care import before_a_pull
from clampbook.run.kinds import beside, pulls
from clampbook.run.kinds.kind import Outcome, Planned
from clampbook.run.kinds.pulls_on_paper import tightening
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Typed, ends, rounded, taken_with_unit
from clampbook.run.plan import Plan
from clampbook.run.progress import FINISHED, Progress, Standing, standing
from clampbook.run.prompts import Choice, Confirm, Prompt, Tighten
from clampbook.run.session import Session
from clampbook.run.told.places import pulled_at, tightened, where
from clampbook.run.told.torques import at_mark, lever_line, mark_line, target_line, windows
from clampbook.run.told.words import Field, Words, band_of
from clampbook.tools.aim import Aim
from clampbook.units import Kind, show, show_window

_UPWARDS = Context(prec=3, rounding=ROUND_CEILING)
_FOUR = 4
_NOT_ADDED: Mapping[NotAdded, str] = {
    "below a third": "not added: below a third of the target",
    "included": "included in the target",
}


def plan(stage: Stage, unit: str) -> Planned:
    """At each position, in the sheet's unit."""
    return Planned("each", stage.target, stage.window, unit)


def ask(session: Session, index: int, stage: Stage) -> Prompt:
    """A pull to a torque: what runs down first, the tool, then the pull itself, alone or as one of several."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    place = where(plan, progress, index)
    group = plan.group_named.get(step.group or "")
    if beside_due(plan, step, state) is not None:
        return beside.torque(session, index, "Prevailing torque", "prevailing torque")
    if state.awaiting == "stretch" and stage.stretch is not None:
        return beside.stretch(session, index, stage.stretch)
    aim = ready_tool(session, index, place)
    if not isinstance(aim, Aim):
        return aim
    pull = Tighten(
        where=place,
        aim=aim,
        together=pulls.together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        prevailing=state.fastener.prevailing,
        not_added=not_added(plan, state, step),
        last_value=pulls.last_under(state),
        finished_before=progress.found == FINISHED,
        missing=_missing(stage, state),
        due=pulls.due(session, state, step),
        holds=_holds_more(state, aim),
    )
    alone = group is None or group.prevailing is not None or group.finish_within is not None
    if pull.finished_before and aim.applied is not None and judge(aim.applied, aim.window) != "within":
        return pull
    if stage.confirm == "each" or pull.reading or alone or plan.late:
        return pull
    return Confirm(place, _block(plan, progress, index, stage), pull)


def _missing(stage: Stage, state: Standing) -> Window | None:
    """Give the stretch that is missing to both ends of its window, where it was last measured below it."""
    now, wanted = stretched(state), stage.stretch
    if now is None or wanted is None or wanted.window.low is None or now >= wanted.window.low:
        return None
    low, high = wanted.window.low, wanted.window.high
    return Window(low=low - now, high=None if high is None else high - now, unit=wanted.window.unit)


def _holds_more(state: Standing, aim: Aim) -> Decimal | None:
    """The torque that a fastener holds, where that is above all that this pull aims at."""
    held, most = holds(state.fastener), aim.window[1] if aim.window[1] is not None else aim.target
    return held if held is not None and most is not None and held > most else None


def _block(plan: Plan, progress: Progress, index: int, stage: Stage) -> tuple[str, ...]:
    """The positions that one confirmation covers: the next four, or all that are left of the round, but none before
    which its budget is to be asked about."""
    here, frame = plan.steps[index], frame_at_hand(progress)
    most = _FOUR if stage.confirm == "each four" else len(plan.steps)
    found: list[str] = []
    for ahead in range(index, min(frame.last + 1, len(plan.steps))):
        step = plan.steps[ahead]
        if (step.stage, step.round, step.section) != (here.stage, here.round, here.section) or len(found) == most:
            break
        if step.position is None or not pending(plan, progress, frame, ahead):
            continue
        if found and budget_used_up(plan, progress, step.position):
            break
        found.append(step.position)
    return tuple(found)


def keys(prompt: Tighten) -> Keys:
    """Give what the tool shows; or, where it only lets go, that it did."""
    if prompt.reading:
        return Keys((pulls.BAD,), types="number", wanted=f"{prompt.tool.name}'s reading in {prompt.tool.unit}")
    return Keys((Choice("+", pulls.giving(prompt.aim).did, "clicked", Plus()), pulls.BAD))


def words(prompt: Tighten) -> Words:
    """Show what to set or where to stop, and what it means at the bolt."""
    aim = prompt.aim
    return Words(
        sentence(prompt),
        matters(prompt),
        hand=pulls.mark(aim),
        position=pulls.position(prompt.where),
        about=prompt.together,
        field=Field("reading", prompt.tool.unit) if prompt.reading else None,
        until=pulls.until(prompt.due),
        band=band_of(aim),
        picture=True,
        terms=("indicating tool" if prompt.reading else "setting tool", "window", "target"),
        facts=pulls.aimed(aim),
    )


def sentence(prompt: Tighten) -> str:
    """ "Head bolt 6: pull W2 slowly to one click." """
    return f"{pulled_at(prompt.where)}: {_what(prompt)}"


def _what(prompt: Tighten) -> str:
    """Say the act with the tool, and what is typed of it."""
    aim, around = prompt.aim, tightened(prompt.where)
    if prompt.finished_before:
        return f"type what {aim.hand} showed." if prompt.reading else f"did {aim.hand} {pulls.giving(aim).act} once?"
    if not prompt.reading:
        return f"pull {aim.hand}{around or ' slowly'} {pulls.until_it_gives(aim)}."
    high = aim.on_tool[1]
    never = None if high is None else f"not above {show_exactly(high, aim.tool.unit)}"
    if prompt.missing is not None:
        more = show(_least(prompt.missing), prompt.missing.unit)
        only = f", {aim.hand} {never}" if never else ""
        return f"stretch {more} more{around}{only}. Type {aim.tool.name}'s reading."
    if aim.mark is None:
        way = f", {never}" if never else ""
        return f"pull {aim.hand}{around} a little further{way}. Type its reading."
    if prompt.last_value is not None:
        return f"under. Pull {aim.hand}{around} up to {at_mark(aim)}. Type its reading."
    return f"pull {aim.hand} slowly{around} to {at_mark(aim)}. Type its reading."


def _least(missing: Window) -> Decimal:
    """The least stretch that is missing, with three digits, never fewer than it takes."""
    assert missing.low is not None
    return _UPWARDS.plus(missing.low).normalize()


def matters(prompt: Tighten) -> tuple[str, ...]:
    """Tell what it means at the bolt, between what it must lie, and what was before."""
    aim = prompt.aim
    missing = () if prompt.missing is None else (_missing_line(prompt.missing),)
    lines = [*missing, *_at_the_bolt(aim, made=prompt.finished_before), windows(aim), *lever_line(aim), *aim.despite]
    if prompt.holds is not None:
        lines.insert(0, f"at {show(prompt.holds.normalize(), aim.unit)} already: this pull does nothing")
    if aim.guarded:
        allowed = show_window(*aim.allowed, aim.unit)
        lines.append(f"narrowed for {aim.tool.name}'s uncertainty, procedure {allowed}")
    lines += before_a_pull(aim.tool)
    if prompt.prevailing is not None:
        how = "added" if prompt.not_added is None else _NOT_ADDED[prompt.not_added]
        lines.append(f"prevailing torque {show(prompt.prevailing, aim.unit)}, {how}")
    if prompt.last_value is not None and prompt.missing is None:
        lines.append(f"last reading {prompt.last_value} {aim.tool.unit}, under")
    clamped = pulls.estimate(prompt.where) if prompt.holds is None else ()  # the load is that of what it holds
    return (*lines, *pulls.due_line(prompt.due), *clamped, *pulls.together_line(prompt.together, prompt.where))


def _missing_line(missing: Window) -> str:
    """ "missing 0.067 to 0.107 mm of stretch"."""
    return f"missing {show_judging(missing.low, missing.high, missing.unit)} of stretch"


def _at_the_bolt(aim: Aim, *, made: bool) -> tuple[str, ...]:
    """Tell what the fastener is to get, or, of a click that was made before, what it got."""
    if not made or aim.reading or aim.applied is None:
        return (*target_line(aim), *mark_line(aim))
    got, _ = shown_beside(aim.applied, aim.window, aim.unit)
    return (f"at the fastener {got}", f"{aim.hand} was set to {at_mark(aim)}")


def complete(prompt: Tighten, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """After an unusual value that it does not settle by itself, its unit is asked for."""
    return taken_with_unit(prompt, session, begun, draft, Kind.TORQUE, decide)


def decide(session: Session, prompt: Tighten, answer: Answer, stamp: Stamp) -> Outcome:
    """A pull to a torque."""
    match answer:
        case Plus():
            return _release(session, prompt, stamp)
        case Value(text=text):
            return _reading(session, prompt, text, stamp)
        case _:
            return Refused(_wanted(prompt))


def _wanted(prompt: Tighten) -> str:
    if prompt.reading:
        return f"Type {prompt.tool.name}'s reading in {prompt.tool.unit}."
    return f"Press + when {prompt.tool.name} has {pulls.giving(prompt.aim).done} once."


def _release(session: Session, prompt: Tighten, stamp: Stamp) -> Outcome:
    if prompt.reading or prompt.set_to is None:
        return Refused(f"{prompt.tool.name} shows a reading. Type it in {prompt.tool.unit}.")
    hurried = pulls.too_soon(session, stamp, prompt.least_pull, f"it has {pulls.giving(prompt.aim).done}")
    if hurried and not prompt.finished_before:
        return Refused(hurried)
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    return Accepted(
        e.Clicked(
            **common(session, stamp, prompt, *pulls.past_limit(session, stamp, step)),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            tool=prompt.tool.id,
            adapter=prompt.aim.adapter_id,
            set_to=units.plain(prompt.set_to.value),
            unit=prompt.set_to.unit,
            at_fastener=pulls.set_there(prompt),
            window=ends(prompt.window),
            verdict=pulls.outside(prompt),
        )
    )


def _reading(session: Session, prompt: Tighten, text: str, stamp: Stamp) -> Outcome:
    if not prompt.reading:
        return Refused(
            f"{prompt.tool.name} gives no reading. Press + when it has {pulls.giving(prompt.aim).done} once."
        )
    unusual = session.unusual_at(prompt.where.id)
    read = pulls.read(session, prompt, text)
    if not isinstance(read, Typed):
        return read
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    noted = (*pulls.past_limit(session, stamp, step), *_equal(session, prompt, read))
    return Accepted(
        e.ReadingTaken(
            **common(session, stamp, prompt, *noted),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            tool=prompt.tool.id,
            adapter=prompt.aim.adapter_id,
            typed=read.text,
            value=units.plain(read.value),
            unit=read.unit,
            at_fastener=rounded(read.exact, prompt.window),
            window=ends(prompt.window),
            verdict=read.verdict,
            unusual=unusual,
        )
    )


def _equal(session: Session, prompt: Tighten, read: Typed) -> tuple[str, ...]:
    """Equal readings one after another are noted only where the tool is fine enough to tell them apart."""
    low, high = prompt.window
    resolution = prompt.tool.resolution
    before = session.progress.last_reading
    if low is None or high is None or resolution is None or before is None:
        return ()
    fine = units.convert(resolution, prompt.tool.unit, prompt.unit) * 10 < high - low
    same = before[0] == prompt.tool.id and Decimal(before[1]) == read.value
    return ("the same as the reading before",) if fine and same else ()


paper = tightening
