"""Answers to a recheck: what was read, whether it moved; backing off, and whether it came back to its mark."""

from __future__ import annotations

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.deciding.pulls import outside, set_there, torque, unusual
from clampbook.run.fold.rechecks import FIRST_MOVEMENT
from clampbook.run.kinds.stamping import common, too_soon
from clampbook.run.kinds.values import Typed, Wrong, ends, rounded
from clampbook.run.session import Session

Outcome = Accepted | Unsure | Refused


def recheck(session: Session, prompt: ask.Recheck, answer: a.Answer, stamp: Stamp) -> Outcome:
    """A recheck, judged like a pull: what the tool shows, where it shows something, and whether anything moved."""
    match answer:
        case a.Value(text=text) if prompt.reading:
            moved = None
        case a.Still(moved=moved, text=str() as text) if prompt.reading:
            pass
        case a.Still(moved=moved, text=None) if not prompt.reading:
            return _clicked(session, prompt, stamp, moved=moved)
        case _:
            return Refused(_wanted(prompt))
    doubted = session.doubted(prompt.where.id)
    read = torque(prompt, text, with_unit=session.unit_wanted(prompt.where.id))
    if isinstance(read, Wrong):
        return Refused(read.sentence)
    if (unsure := unusual(session, prompt, read)) is not None:
        return unsure
    if moved is None and movement_is_asked(prompt, read):
        return Refused("Type the reading, then say whether it moved.")
    judged = prompt.window != (None, None)
    return Accepted(
        _line(
            session,
            prompt,
            stamp,
            moved=moved if movement_is_asked(prompt, read) else None,
            typed=read.text,
            value=units.plain(read.value),
            unit=read.unit,
            at_fastener=rounded(read.exact, prompt.window),
            verdict=read.verdict if judged else None,
            doubt=doubted,
        )
    )


def _wanted(prompt: ask.Recheck) -> str:
    if prompt.reading:
        return f"Type what {prompt.tool.name} shows, in {prompt.tool.unit}, then say whether it moved."
    return f"{prompt.tool.name} gives no reading. Press 1 when no movement was seen, 2 when it moved."


def movement_is_asked(prompt: ask.Recheck, read: Typed) -> bool:
    """Whether there is something to say of movement: what is still under is pulled on first."""
    return read.verdict != "under" or prompt.method == FIRST_MOVEMENT


def movement_comes_next(session: Session, prompt: ask.Recheck, text: str) -> bool:
    """Whether this reading is taken as it is and movement is asked next; else it is judged by itself first."""
    read = torque(prompt, text, with_unit=session.unit_wanted(prompt.where.id))
    if isinstance(read, Wrong) or unusual(session, prompt, read) is not None:
        return False
    return movement_is_asked(prompt, read)


def _clicked(session: Session, prompt: ask.Recheck, stamp: Stamp, *, moved: bool) -> Outcome:
    """A setting tool gave: no number, but what it was set to."""
    hurried = too_soon(session, stamp, prompt.least_pull)
    if hurried and not prompt.finished_before:
        return Refused(hurried)
    setting, there, verdict = prompt.set_to, set_there(prompt), outside(prompt)
    assert setting is not None
    shown = units.plain(setting.value)
    return Accepted(
        _line(session, prompt, stamp, moved=moved, set_to=shown, unit=setting.unit, at_fastener=there, verdict=verdict)
    )


def _line(session: Session, prompt: ask.Recheck, stamp: Stamp, **more: object) -> e.Rechecked:
    return e.Rechecked(
        **common(session, stamp, prompt),
        step=prompt.where.id,
        attempt=prompt.where.attempt,
        pass_no=prompt.pass_no,
        method=prompt.method,
        tool=prompt.tool.id,
        adapter=prompt.aim.adapter_id,
        window=ends(prompt.window) if prompt.window != (None, None) else None,
        **more,  # type: ignore[arg-type]
    )


def back_off(session: Session, prompt: ask.BackOff, answer: a.Answer, stamp: Stamp) -> Outcome:
    """It was marked and backed off."""
    if not isinstance(answer, a.Plus):
        return Refused("Mark it, back it off without a torque tool, then press +.")
    return Accepted(
        e.BackedOff(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            pass_no=prompt.pass_no,
            by_degrees=units.plain(prompt.by),
        )
    )


def back_at_mark(session: Session, prompt: ask.BackAtMark, answer: a.Answer, stamp: Stamp) -> Outcome:
    """How it came back to its mark: short of it or past it, it is not as it had been left."""
    if not isinstance(answer, a.AtMark):
        return Refused("Say whether it is back at its mark: 1 yes, 2 short, 3 past it.")
    return Accepted(
        e.Rechecked(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            pass_no=prompt.pass_no,
            method="back off and tighten again",
            moved=answer.mark != "back",
            mark=answer.mark,
        )
    )
