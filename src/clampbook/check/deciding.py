"""An answer in a check becomes an event, an unusual value or a sentence. Nothing is written, no clock is read."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal, TypedDict, assert_never

from clampbook import units
from clampbook.check import answers as a
from clampbook.check import events as e
from clampbook.check import prompts as ask
from clampbook.check.answers import Accepted, Outcome, Refused, Unsure
from clampbook.check.deviation import deviation
from clampbook.check.plan import CheckPlan
from clampbook.check.planning import held_at
from clampbook.check.progress import Progress
from clampbook.ledger.stamp import Stamp
from clampbook.text import TextFault, as_sentence, clean
from clampbook.units import Kind, UnitFault

# Common practice, no source: a torque tool that is farther off than this is broken, or the number was mistyped.
WELL_OFF = Decimal("0.25")
UNUSUAL = "well off"
OPEN_AGAIN = "Type it again, with its unit."
_COLDEST, _HOTTEST = Decimal(-30), Decimal(60)  # °C in which anybody checks a tool
_PLACES = Decimal("0.0001")  # of a percent


@dataclass(frozen=True, slots=True)
class Session:
    """A moment of a check: plan, progress, and whether what was typed last is unusual and asked again."""

    plan: CheckPlan
    progress: Progress
    unusual: bool = False


class _Common(TypedDict):
    at: str
    offset: str
    by: str


def decide(session: Session, answer: a.Answer, stamp: Stamp) -> Outcome:
    """Decide what an answer comes to at this moment; never raises for anything a person can type."""
    prompt = ask.prompt(session.plan, session.progress)
    if isinstance(prompt, ask.Ended):
        return Refused("This check is over. Nothing more can be added.")
    try:
        return _anywhere(session, prompt, answer, stamp)
    except TextFault as fault:
        return Refused(as_sentence(fault.sentence))


def _anywhere(session: Session, prompt: ask.Prompt, answer: a.Answer, stamp: Stamp) -> Outcome:
    common = _common(stamp)
    match answer:
        case a.Note(text=text):
            said = clean(text, what="the note")
            return Accepted(e.Noted(**common, text=said)) if said else Refused("Type the note.")
        case a.Pause(cause=cause):
            return Accepted(e.Paused(**common, cause=cause))
        case a.GiveUp(reason=reason):
            kept = clean(reason, what="the reason")
            return Accepted(e.Abandoned(**common, reason=kept)) if kept else Refused("Type why you abandon the check.")
        case a.BadPull():
            return _bad_pull(prompt, answer, common)
        case a.VoidStored():
            return _void(session, answer, common)
        case a.Correct():
            return _correct(session, answer, common)
        case _:
            return _at_hand(session, prompt, answer, common)


def _at_hand(session: Session, prompt: ask.Prompt, answer: a.Answer, common: _Common) -> Outcome:
    match prompt:
        case ask.Temperature():
            return _temperature(answer, common)
        case ask.Zero():
            if not isinstance(answer, a.ZeroIs):
                return Refused(f"With no load, does {prompt.what.name} read zero? Choose yes, no or not sure.")
            what: Literal["reference", "tool"] = "reference" if prompt.is_reference else "tool"
            return Accepted(e.Zeroed(**common, phase=prompt.phase, what=what, state=answer.state))
        case ask.Exercise():
            if not isinstance(answer, a.Plus):
                return Refused(f"Exercise {prompt.tool.name} once, then press +. No number is needed.")
            return Accepted(e.Exercised(**common, phase=prompt.phase, series=prompt.series))
        case ask.SetTool():
            return _scale(prompt, answer, common)
        case ask.Pull():
            return _pull(session, prompt, answer, common)
        case ask.Adjust():
            return _adjust(prompt, answer, common)
        case ask.Finished():
            if not isinstance(answer, a.Finish):
                return Refused("All pulls done. Close the check.")
            found, left = (None if each is None else each.verdict for each in (prompt.as_found, prompt.as_left))
            return Accepted(e.Closed(**common, as_found=found, as_left=left))
        case ask.Ended():
            return Refused("This check is over.")
        case _:
            assert_never(prompt)


def _temperature(answer: a.Answer, common: _Common) -> Outcome:
    if isinstance(answer, a.NotMeasured):
        return Accepted(e.TemperatureRead(**common, typed=None, value=None))
    if not isinstance(answer, a.Value):
        return Refused("Type the temperature in °C, or - for not measured.")
    try:
        read = units.parse(answer.text, Kind.TEMPERATURE, unit="°C")
    except UnitFault as fault:
        return Refused(as_sentence(fault.sentence))
    celsius = units.convert(read.value, read.unit, "°C")
    if not _COLDEST <= celsius <= _HOTTEST:
        return Refused(f"No check is done at {units.show(celsius, '°C')}. Type the temperature of tool and reference.")
    return Accepted(e.TemperatureRead(**common, typed=answer.text.strip(), value=units.plain(celsius)))


def _scale(prompt: ask.SetTool, answer: a.Answer, common: _Common) -> Outcome:
    tool = prompt.tool
    if not isinstance(answer, a.ScaleShows):
        return Refused(f"Set {tool.name}. Type what its scale shows, with its unit.")
    try:
        value, unit = units.number(answer.number), units.unit_named(answer.unit)
    except UnitFault as fault:
        return Refused(as_sentence(fault.sentence))
    if value != prompt.to or unit != tool.unit:
        shown, wanted = f"{units.plain(value)} {unit}", f"{units.plain(prompt.to)} {tool.unit}"
        return Refused(f"{tool.name} shows {shown}. Set it to {wanted}, then type its scale.")
    where = prompt.where
    return Accepted(
        e.ToolSet(
            **common,
            phase=where.phase,
            series=where.series,
            point=where.point,
            typed=answer.number.strip(),
            value=units.plain(value),
            unit=unit,
        )
    )


@dataclass(frozen=True, slots=True)
class _Reading:
    """Both sides of a pull in the tool's unit, and what was typed."""

    typed: str
    unit: str
    indicated: Decimal
    reference: Decimal


def _read(session: Session, text: str, point: int, *, with_unit: bool) -> _Reading | Refused:
    """Read a typed number as what it is on both sides; a number alone is in the unit of the side that is typed."""
    plan = session.plan
    there = plan.reference.unit if plan.reference is not None and plan.held == "indicated" else plan.tool.unit
    try:
        read = units.parse(text, Kind.TORQUE, unit=None if with_unit else there)
    except UnitFault as fault:
        return Refused(OPEN_AGAIN if with_unit else as_sentence(fault.sentence))
    if read.value <= 0:
        return Refused(f"A torque is above zero. “{text.strip()}” is not: type the number shown.")
    value = units.convert(read.value, read.unit, plan.tool.unit)
    held = units.convert(*held_at(plan, plan.points[point]), plan.tool.unit)
    sides = (held, value) if plan.held == "indicated" else (value, held)
    return _Reading(text.strip(), read.unit, *sides)


def _pull(session: Session, prompt: ask.Pull, answer: a.Answer, common: _Common) -> Outcome:
    if not isinstance(answer, a.Value):
        return Refused(f"Pull {prompt.tool.name}, then type {ask.whose(prompt)}'s reading.")
    read = _read(session, answer.text, prompt.where.point, with_unit=session.unusual)
    if isinstance(read, Refused):
        return read
    off = deviation(read.indicated, read.reference)
    far = abs(off) > WELL_OFF * 100
    if far and not session.unusual:
        return Unsure(_unusual(prompt, read), UNUSUAL)
    where = prompt.where
    return Accepted(
        e.Pulled(
            **common,
            phase=where.phase,
            series=where.series,
            point=where.point,
            typed=read.typed,
            unit=read.unit,
            indicated=units.plain(read.indicated),
            reference=units.plain(read.reference),
            deviation=rounded(off),
            unusual=UNUSUAL if far else None,
        )
    )


def _unusual(prompt: ask.Pull, read: _Reading) -> str:
    """Say that a reading is far from what is to be expected: near what the other side is brought to."""
    near = units.show(units.convert(prompt.bring_to, prompt.bring_unit, prompt.unit), prompt.unit)
    return f"Unusual: {read.typed} is far from {near}. Wrong decimal point? Wrong unit? {OPEN_AGAIN}"


def _adjust(prompt: ask.Adjust, answer: a.Answer, common: _Common) -> Outcome:
    match answer:
        case a.NotAdjusted():
            return Accepted(e.LeftAlone(**common))
        case a.WasAdjusted(what=what):
            kept = clean(what, what="what was done")
            return (
                Accepted(e.Adjusted(**common, what=kept)) if kept else Refused("Type what was adjusted, and how far.")
            )
        case _:
            return Refused(f"Type what was adjusted on {prompt.tool.name}, or - for nothing.")


def _bad_pull(prompt: ask.Prompt, answer: a.BadPull, common: _Common) -> Outcome:
    if not isinstance(prompt, ask.Pull):
        return Refused("No pull is asked for here.")
    value = clean(answer.value, what="the value", most=80) if answer.value else None
    return Accepted(e.Voided(**common, of=None, cause=clean(answer.cause, what="the cause") or "bad pull", value=value))


def _void(session: Session, answer: a.VoidStored, common: _Common) -> Outcome:
    last = _last(session)
    if isinstance(last, Refused):
        return last
    return Accepted(e.Voided(**common, of=last, cause=clean(answer.cause, what="the cause") or "bad pull"))


def _correct(session: Session, answer: a.Correct, common: _Common) -> Outcome:
    last = _last(session)
    if isinstance(last, Refused):
        return last
    pull = session.progress.pulls[-1]
    read = _read(session, answer.text, pull.point, with_unit=False)
    if isinstance(read, Refused):
        return read
    return Accepted(
        e.Corrected(
            **common,
            of=last,
            typed=read.typed,
            unit=read.unit,
            indicated=units.plain(read.indicated),
            reference=units.plain(read.reference),
            deviation=rounded(deviation(read.indicated, read.reference)),
            known=answer.known,
        )
    )


def _last(session: Session) -> int | Refused:
    """The line of the last reading, as long as it is of the phase at hand and no verdict was drawn from it."""
    progress = session.progress
    if session.plan.source == "file":
        return Refused("These readings come from a file. Correct the file, then check again.")
    last = progress.pulls[-1] if progress.pulls else None
    if last is None or last.phase != progress.phase or (progress.settled and progress.adjusted is None):
        return Refused("There is no reading to correct or void.")
    return last.line


def rounded(percent: Decimal) -> str:
    """A deviation as the daybook holds it beside both sides of the pull, to four places of a percent."""
    return units.plain(percent.quantize(_PLACES, ROUND_HALF_EVEN))


def _common(stamp: Stamp) -> _Common:
    return _Common(at=stamp.text, offset=stamp.offset, by=stamp.by)
