"""Answers to a pull: a reading, a release, a stroke of a turn, a recheck, a confirmation of several."""

from __future__ import annotations

from decimal import Decimal

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.kinds.stamping import common, past_limit, too_soon
from clampbook.run.kinds.values import (
    Typed,
    Wrong,
    asked_again,
    doubt_about,
    ends,
    rounded,
    typed_value,
)
from clampbook.run.session import Session
from clampbook.run.verdict import Verdict, judge
from clampbook.units import Kind

Outcome = Accepted | Unsure | Refused
OPEN_AGAIN = "Type what the tool shows, number and unit."
LEAST_BY_MARKS = Decimal(2)


def tighten(session: Session, prompt: ask.Tighten, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A pull to a torque."""
    match answer:
        case a.Plus():
            return _release(session, prompt, stamp)
        case a.Value(text=text):
            return _reading(session, prompt, text, stamp)
        case _:
            return Refused(_wanted(prompt))


def _wanted(prompt: ask.Tighten) -> str:
    if prompt.reading:
        return f"Type what {prompt.tool.name} shows, in {prompt.tool.unit}, or + for all else see the menu with *."
    return f"Press + when {prompt.tool.name} has let go once; * lists all else."


def _release(session: Session, prompt: ask.Tighten, stamp: Stamp) -> Outcome:
    if prompt.reading or prompt.set_to is None:
        return Refused(f"{prompt.tool.name} shows a reading: type it, in {prompt.tool.unit}.")
    hurried = too_soon(session, stamp, prompt.least_pull)
    if hurried and not prompt.finished_before:
        return Refused(hurried)
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    return Accepted(
        e.Released(
            **common(session, stamp, prompt, *past_limit(session, stamp, step)),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            tool=prompt.tool.id,
            adapter=prompt.aim.adapter_id,
            set_to=units.plain(prompt.set_to.value),
            unit=prompt.set_to.unit,
            at_fastener=set_there(prompt),
            window=ends(prompt.window),
            verdict=outside(prompt),
        )
    )


def _reading(session: Session, prompt: ask.Tighten, text: str, stamp: Stamp) -> Outcome:
    if not prompt.reading:
        return Refused(f"{prompt.tool.name} gives no reading: press + when it has let go once.")
    doubted = session.doubted(prompt.where.id)
    read = torque(prompt, text, with_unit=session.unit_wanted(prompt.where.id))
    if isinstance(read, Wrong):
        return Refused(read.sentence)
    if (unsure := unusual(session, prompt, read)) is not None:
        return unsure
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    noted = (*past_limit(session, stamp, step), *_equal(session, prompt, read))
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
            doubt=doubted,
        )
    )


def set_there(pull: ask.Tighten | ask.Recheck) -> str:
    """What the fastener gets from a tool at the mark it is set to."""
    assert pull.aim.applied is not None
    return rounded(pull.aim.applied, pull.window)


def outside(pull: ask.Tighten | ask.Recheck) -> Verdict | None:
    """How a click at its setting is judged where that lies outside the window; else it is a click, and no more."""
    found = None if pull.aim.applied is None else judge(pull.aim.applied, pull.window)
    return None if found == "within" else found


def torque(prompt: ask.Tighten | ask.Recheck, text: str, *, with_unit: bool) -> Typed | Wrong:
    """A torque in the tool's own unit; another unit is taken only where number and unit were asked for openly."""
    tool_unit, reach = prompt.tool.unit, prompt.aim.through
    read = typed_value(text, Kind.TORQUE, tool_unit, prompt.unit, prompt.window, with_unit=with_unit, through=reach)
    if isinstance(read, Typed) and read.unit != tool_unit and not with_unit:
        return Wrong(
            f"This tool shows {tool_unit}, not {read.unit}. Type the number that it shows; the unit may be left out."
        )
    return read


def unusual(session: Session, prompt: ask.Tighten | ask.Recheck, read: Typed) -> Unsure | None:
    """Whether a torque looks like a slip, cannot stand on the tool's scale, or contradicts the window as it is shown:
    it is asked again openly, once."""
    doubt = doubt_about(read, prompt.target, prompt.window, Kind.TORQUE)
    return asked_again(session, prompt.where.id, read, doubt, prompt.aim)


def _equal(session: Session, prompt: ask.Tighten, read: Typed) -> tuple[str, ...]:
    """Equal readings one after another are noted only where the tool is fine enough to tell them apart."""
    low, high = prompt.window
    resolution = prompt.tool.resolution
    before = session.progress.last_reading
    if low is None or high is None or resolution is None or before is None:
        return ()
    fine = units.convert(resolution, prompt.tool.unit, prompt.unit) * 10 < high - low
    same = before[0] == prompt.tool.id and Decimal(before[1]) == read.value
    return ("the same as the reading before",) if fine and same else ()


def confirm(session: Session, prompt: ask.Confirm, answer: a.Answer, stamp: Stamp) -> Outcome:
    """Several pulls in one answer, or cautions read before a stage."""
    if prompt.pull is None:
        if not isinstance(answer, a.Plus):
            return Refused("Press + when you have read it.")
        read = e.CautionsRead(
            **common(session, stamp, prompt),
            item=prompt.item or "cautions",
            cautions=prompt.cautions,
            stage=prompt.where.stage,
        )
        return Accepted(read)
    match answer:
        case a.Plus():
            last = prompt.positions[-1]
        case a.DoneUpTo(position=position) if position in prompt.positions:
            last = position
        case a.DoneUpTo():
            return Refused(f"Choose one of {', '.join(prompt.positions)}.")
        case _:
            return Refused("Press + when all of them have let go once; * lists all else.")
    return _confirmed(session, prompt, prompt.pull, last, stamp)


def _confirmed(session: Session, prompt: ask.Confirm, pull: ask.Tighten, last: str, stamp: Stamp) -> Outcome:
    if pull.set_to is None:
        return Refused("Only pulls with a setting tool can be confirmed several at a time.")
    count = prompt.positions.index(last) + 1
    hurried = too_soon(session, stamp, pull.least_pull * count)
    if hurried and not pull.finished_before:
        return Refused(hurried)
    stage, round_no = prompt.where.stage, prompt.where.round
    return Accepted(
        e.Confirmed(
            **common(session, stamp, pull),
            first=prompt.where.id,
            last=f"{stage}.{round_no}/{last}",
            tool=pull.tool.id,
            adapter=pull.aim.adapter_id,
            set_to=units.plain(pull.set_to.value),
            unit=pull.set_to.unit,
            at_fastener=set_there(pull),
            window=ends(pull.window),
            positions=prompt.positions[:count],
        )
    )


def turn(session: Session, prompt: ask.Turn, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A stroke of a turn: typed from a gauge, or one key where the marks meet."""
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    noted = past_limit(session, stamp, step)
    match answer:
        case a.Plus() if prompt.by_marks:
            hurried = too_soon(session, stamp, LEAST_BY_MARKS)
            if hurried and not prompt.finished_before:
                return Refused(hurried)
            return Accepted(_turned(session, prompt, stamp, noted, None))
        case a.Value() if prompt.by_marks:
            return Refused("From mark to mark there is no number: press + when the marks say so.")
        case a.Value(text=text):
            read = typed_value(
                text, Kind.ANGLE, "°", "°", prompt.left, with_unit=session.doubted(prompt.where.id) is not None
            )
            if isinstance(read, Wrong):
                return Refused(read.sentence)
            doubt = doubt_about(read, prompt.target, prompt.window, Kind.ANGLE)
            whole = prompt.done == 0 and not prompt.in_strokes
            unsure = asked_again(session, prompt.where.id, read, doubt if whole else None, None)
            if unsure is not None:
                return unsure
            return Accepted(_turned(session, prompt, stamp, noted, read))
        case _:
            return Refused("Type the angle that the gauge shows, in degrees; * lists all else.")


def _turned(session: Session, prompt: ask.Turn, stamp: Stamp, noted: tuple[str, ...], read: Typed | None) -> e.Turned:
    total = None if read is None else prompt.done + read.exact
    return e.Turned(
        **common(session, stamp, prompt, *noted),
        step=prompt.where.id,
        attempt=prompt.where.attempt,
        tool=prompt.tool.id,
        typed=None if read is None else read.text,
        value=None if read is None else units.plain(read.exact),
        sum=None if total is None else units.plain(total),
        window=ends(prompt.window),
        verdict="within" if total is None else judge(total, prompt.window),
        doubt=session.doubted(prompt.where.id),
    )
