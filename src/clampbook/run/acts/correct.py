"""Corrections: a mistyped value is corrected, with how it is known; the first one stays in the daybook."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Ask
from clampbook.run import events as e
from clampbook.run.acts.corrected import OF_THE_METAL
from clampbook.run.acts.held_against import NOTHING_YET, ON_A_TOOL, instrument, line_meant, sought_of, value_again
from clampbook.run.answers import Accepted, Correct, Refused, TakeBack, VoidStored
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, NEW, item_at, too_few
from clampbook.run.fold.differences import differences
from clampbook.run.fold.measured import beside_others, outside_of
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.asking import (
    KNOWN_WITHOUT_A_TOOL,
    named,
    numbered,
    put_right,
    reason,
    ways_known,
    you_entered,
)
from clampbook.run.gather.draft import Draft, Part, bare
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.kinds.stamping import aside
from clampbook.run.kinds.values import (
    Typed,
    Wrong,
    ends,
    kept,
    rounded,
    typed_value,
)
from clampbook.run.plan import Step
from clampbook.run.progress import line_to_take_back, standing
from clampbook.run.prompts import Prompt, Where
from clampbook.run.questions.sheet_item import checked_answer, yes_or_no
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, place, where
from clampbook.tools.aim import OPEN
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.model import Tool
from clampbook.units import Kind

_SECOND_PERSON = "From memory alone it stays over. Ask a second person who saw it."
_TOO_MANY = 7  # digits of a count


def decide(session: Session, prompt: Prompt, answer: Correct, stamp: Stamp) -> Outcome:
    """A mistyped value is corrected, with how it is known."""
    found, progress = line_meant(session, answer.of), session.progress
    if isinstance(found, Refused):
        return found
    if answer.person is not None and answer.person.id in (stamp.by, stamp.done_by, progress.by, progress.hands):
        return Refused(f"{answer.person.name} did this work. Name a second person who saw it, or choose from memory.")
    line, step, what = found
    if step is None:
        return _item(session, prompt, answer, line, stamp)
    if what not in (
        "reading",
        "prevailing torque",
        "turn",
        "final torque",
        "stretch",
        "measure",
        "recheck",
        "bad pull",
    ):
        return Refused("No number was typed there. Void the pull instead (*9).")
    return _value(session, prompt, answer, line, step, what, stamp)


def _item(session: Session, prompt: Prompt, answer: Correct, line: int, stamp: Stamp) -> Outcome:
    item = item_at(session.progress, line)
    checked = "Type the correct answer." if not item else _checked(session, item, answer.text)
    if isinstance(checked, str):
        return Refused(checked)
    clean, value, unit = checked
    return Accepted(
        e.Corrected(
            **aside(session, stamp, prompt),
            of=line,
            step=None,
            attempt=1,
            typed=clean,
            value=value,
            unit=unit,
            at_fastener=None,
            window=None,
            verdict=None,
            what="item",
            known=answer.known,
            person=answer.person,
            item=item,
            needed=too_few(session.plan, item, value) if _is_counted(session, item) else None,
        )
    )


def _checked(session: Session, item: str, text: str) -> tuple[str, str, str | None] | str:
    """Read a corrected answer into its text, value and unit; or give a sentence that says what is allowed."""
    clean = foreign.clean(text, what="the answer", most=200)
    if not clean:
        return "Type the correct answer."
    if _is_counted(session, item):
        counts = clean.isascii() and clean.isdigit() and len(clean) < _TOO_MANY
        return (clean, str(int(clean)), None) if counts else "Type a whole number."
    if item.startswith(NEW):
        told = yes_or_no(clean)
        return "Type yes or no." if told is None else (told, told, None)
    question = _question(session, item)
    return (clean, clean, None) if question is None else checked_answer(question, clean)


def _question(session: Session, item: str) -> Ask | None:
    return next((each for each in session.plan.asks if item == f"ask:{each.name}"), None)


def _is_counted(session: Session, item: str) -> bool:
    """True where the item is a number of parts, at hand or left over."""
    if item.startswith(LEFT_OVER):
        return True
    return any(item == AT_HAND + part.name and part.record == "count" for part in session.plan.parts)


def _value(
    session: Session, prompt: Prompt, answer: Correct, line: int, step: Step, what: str, stamp: Stamp
) -> Outcome:
    plan, progress = session.plan, session.progress
    sought = sought_of(session, step, what)
    state = standing(progress, step.position or "")
    on_a_tool = what in ON_A_TOOL and sought.kind is Kind.TORQUE
    in_degrees = what in ("turn", "bad pull") and sought.kind is Kind.ANGLE
    by = instrument(session, step, what) if what in ("measure", "stretch") else None
    shown_in = (None if by is None else by.unit) or (state.shown_in if on_a_tool else None) or sought.unit
    reach = state.reach if on_a_tool else STRAIGHT
    raw = typed_value(answer.text, sought.kind, shown_in, sought.unit, (None, None), with_unit=False, through=reach)
    if isinstance(raw, Wrong):
        return Refused(raw.sentence)
    result = raw.exact - sought.off
    in_sheet_unit = what == "measure" or in_degrees
    verdict = None if sought.window is None else judge(result, sought.window)
    spread: Decimal | None = None
    if what == "measure" and verdict is not None:
        spread, verdict = beside_others(plan, progress, step, raw.exact, verdict)
    less = tuple(differences(plan, progress, step, raw.exact)) if what == "measure" else ()
    alone = answer.known == "from memory" or (answer.known == "a second person saw it" and answer.person is None)
    if alone and state.fastener.over is not None and any(each.stretch and each.verdict != "over" for each in less):
        return Refused(f"{bolt(where(plan, progress, plan.index_of[step.id]))}: over. {_SECOND_PERSON}")
    remembered = alone and what in OF_THE_METAL and verdict != "over"
    return Accepted(
        e.Corrected(
            **aside(session, stamp, prompt),
            of=line,
            step=step.id,
            attempt=where(plan, progress, plan.index_of[step.id]).attempt,
            typed=_typed(raw, sought.unit) if in_sheet_unit else raw.text,
            value=kept(raw.exact if in_sheet_unit else raw.value),
            unit=sought.unit if in_sheet_unit else raw.unit,
            at_fastener=rounded(raw.exact, sought.window or OPEN) if sought.kind is Kind.TORQUE else None,
            window=None if sought.window is None else ends(sought.window),
            verdict=verdict,
            outside=outside_of(plan, progress, step, raw.exact) if what == "measure" else None,
            what=what,  # type: ignore[arg-type]
            known=answer.known,
            person=answer.person,
            sum=units.plain(result) if in_degrees else None,
            result=kept(result, sought.window or OPEN) if what in ("measure", "stretch", "final torque") else None,
            spread=None if spread is None else units.plain(spread),
            counts=not (remembered and state.fastener.over is not None),
        )
    )


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what it is now, and how that is known."""
    del prompt
    progress = session.progress
    if session.plan.late and line_to_take_back(progress) is not None:
        return TakeBack()
    if not progress.last_answer:
        return Refused(NOTHING_YET)
    if progress.last_answer == progress.last_void and not _told_with_a_number(session):
        return Refused(f"{_last_place(session)}: bad pull, no number to correct.")
    if progress.last_entered is None and progress.last_answer_item is None:
        return _void_a_click(session, draft)
    item = progress.last_answer_item
    if not draft.has("value"):
        if item is not None:
            return _asked_again(session, item)
        return Part("value", you_entered(_last_place(session), progress.last_entered), "number")
    wrong = _checked(session, item, draft.text("value")) if item is not None else None
    if isinstance(wrong, str):
        return Refused(wrong)
    text = draft.text("value") if item is not None else value_again(session, draft, None)
    if not isinstance(text, str):
        return text
    if not draft.has("known") and not session.plan.late:
        ways = ways_known(_measured_with(session)) if item is None else KNOWN_WITHOUT_A_TOOL
        return Part("known", "How do you know?", "choice", numbered(ways))
    return put_right(text, draft, session, None)


def _measured_with(session: Session) -> Tool | None:
    """The instrument of the last value that was measured, where the last answer is one."""
    step = session.plan.steps[session.plan.index_of[session.progress.last_answer_step or ""]]
    return instrument(session, step, "measure") if step.kind == "measure" else None


def _typed(raw: Typed, unit: str) -> str:
    """A corrected number as typed, with the unit of its scale where the procedure has another one."""
    return f"{raw.text}{units.behind(raw.unit)}" if raw.unit != unit and bare(raw.text) else raw.text


def _asked_again(session: Session, item: str) -> Part:
    """Ask for an answer of the start checklist, or of the end, as it was asked before: by number, text or choice."""
    name, entered = item.partition(":")[2] or item, session.progress.last_entered
    question = _question(session, item)
    if item.startswith(NEW) or (question is not None and question.answer in ("choice", "yes")):
        few = question is not None and question.answer == "choice"
        choices = named(question.choices if question is not None and few else ("yes", "no"))
        return Part("value", you_entered(name, entered, do="Choose"), "choice", choices)
    number = _is_counted(session, item) or (question is not None and question.answer == "number")
    return Part("value", you_entered(name, entered), "number" if number else "line")


def _told_with_a_number(session: Session) -> bool:
    """True where the last answer, a bad pull, was told with a number that may have been mistyped."""
    plan, progress = session.plan, session.progress
    step = plan.steps[plan.index_of[progress.last_answer_step or ""]]
    state = standing(progress, step.position or "")
    return state.latest == progress.last_answer and state.latest_what == "bad pull"


def _last_place(session: Session) -> str:
    """The bolt, or the place, of the last answer that can be corrected."""
    plan, progress = session.plan, session.progress
    index = plan.index_of[progress.last_answer_step or ""]
    step = plan.steps[index]
    found = Where(index + 1, len(plan.steps), step.id, step.stage)
    found = replace(found, group=step.group, position=step.position, set=step.set, point=step.point)
    return bolt(found) if found.position is not None and found.point is None else place(found)


def _void_a_click(session: Session, draft: Draft) -> Next:
    """A click and a mark hold no number to be corrected: what can be done is to void it."""
    if not draft.has("void"):
        ways = {"void": "Void it (bad pull)", "leave": "Leave it"}
        text = f"{_last_place(session)}: no number was entered. Void it?"
        return Part("void", text, "choice", numbered(ways))
    if draft.text("void") == "leave":
        return Refused("Nothing changed.")
    if not draft.has("reason"):
        return reason("void", "What was wrong with the last pull?")
    return VoidStored(draft.text("reason"), session.progress.last_answer)
