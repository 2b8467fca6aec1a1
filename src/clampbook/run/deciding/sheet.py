"""Answers to the items of the start sheet and of the end."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Ask, Part
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.kinds.stamping import common
from clampbook.run.session import Session
from clampbook.units import UnitFault

MOST = 200


def sheet_item(session: Session, prompt: ask.StartSheet, answer: a.Answer, stamp: Stamp) -> Accepted | Refused:
    """One item: cautions read, a group prepared, a part's lot or count, or a question answered."""
    if prompt.ask is not None:
        return _asked(session, prompt, prompt.ask, answer, stamp)
    if prompt.part is not None:
        return _part(session, prompt, prompt.part, answer, stamp)
    if not isinstance(answer, a.Plus):
        return Refused("Press + when that is so.")
    fields = common(session, stamp, prompt)
    if prompt.group is not None:
        return Accepted(e.Prepared(**fields, item=prompt.item, group=prompt.group, prepared=prompt.lines))
    return Accepted(e.CautionsRead(**fields, item=prompt.item, cautions=prompt.lines))


def _asked(
    session: Session, prompt: ask.StartSheet, question: Ask, answer: a.Answer, stamp: Stamp
) -> Accepted | Refused:
    fields = common(session, stamp, prompt)
    match answer:
        case a.LeaveOut() if not prompt.required:
            return Accepted(e.Asked(**fields, item=prompt.item, typed=None))
        case a.LeaveOut():
            return Refused(f"{question.name} is needed for the record.")
        case a.Plus() if question.answer == "yes":
            return Accepted(e.Asked(**fields, item=prompt.item, typed="yes", value="yes"))
        case a.Value(text=typed):
            checked = checked_answer(question, typed)
            if isinstance(checked, str):
                return Refused(checked)
            return Accepted(e.Asked(**fields, item=prompt.item, typed=checked[0], value=checked[1], unit=checked[2]))
        case _:
            return Refused("Press + for yes." if question.answer == "yes" else f"Type the answer to: {question.name}.")


def checked_answer(question: Ask, typed: str) -> tuple[str, str, str | None] | str:
    """What was typed, its value and unit; or a sentence that says what is allowed."""
    clean = foreign.clean(typed, what=question.name, most=MOST)
    if not clean:
        return f"{question.name}: nothing was typed."
    match question.answer:
        case "text":
            return clean, clean, None
        case "yes":
            return ("yes", "yes", None) if clean.lower() in ("yes", "y") else "Only yes goes on from here; else hold."
        case "choice":
            for number, choice in enumerate(question.choices, 1):
                if clean.lower() == choice.lower() or clean == str(number):
                    return clean, choice, None
            return f"Choose one of: {', '.join(question.choices)}."
        case "number":
            return _number(question, clean)


def _number(question: Ask, clean: str) -> tuple[str, str, str | None] | str:
    try:
        if question.unit is None:
            value, unit = units.number(clean), None
        else:
            quantity = units.parse(clean, units.kind_of(question.unit), unit=question.unit)
            value, unit = units.convert(quantity.value, quantity.unit, question.unit), question.unit
    except UnitFault as fault:
        return fault.sentence
    low, high = question.low, question.high
    if (low is not None and value < low) or (high is not None and value > high):
        return f"{clean} lies outside {units.show_window(low, high, unit or '')}".rstrip() + ", which the sheet allows."
    return clean, units.plain(value), unit


def _part(session: Session, prompt: ask.StartSheet, part: Part, answer: a.Answer, stamp: Stamp) -> Accepted | Refused:
    fields = common(session, stamp, prompt)
    counted = part.record == "count" or prompt.when == "end"
    match answer:
        case a.Plus() if part.record == "yes" and not counted:
            return Accepted(e.PartRecorded(**fields, item=prompt.item, part=part.name, typed="yes"))
        case a.Value(text=typed):
            clean = foreign.clean(typed, what=part.name, most=MOST)
            if not clean:
                return Refused(f"{part.name}: nothing was typed.")
            if counted and not (clean.isascii() and clean.isdigit() and len(clean) < 7):
                return Refused(f"{part.name} is counted: type a whole number.")
            value = str(int(clean)) if counted else clean
            return Accepted(e.PartRecorded(**fields, item=prompt.item, part=part.name, typed=clean, value=value))
        case _:
            wanted = "number" if counted else part.record
            return Refused(f"Type the {wanted} of {part.name}.")
