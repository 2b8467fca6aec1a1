"""Corrections: a mistyped value is corrected, with how it is known; the first one stays in the daybook."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Align, Ask, Measure, Tighten, Turn
from clampbook.run import events as e
from clampbook.run.acts.corrected import OF_THE_METAL
from clampbook.run.answers import Accepted, Correct, Refused, Unsure, VoidStored
from clampbook.run.fold.counts import AT_HAND, LEFT_OVER, NEW, item_at, too_few
from clampbook.run.fold.fastener import turned_so_far
from clampbook.run.fold.measured import beside_others, outside_of, taken_off
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.asking import (
    AGAIN,
    KNOWN,
    KNOWN_WITHOUT_A_TOOL,
    named,
    numbered,
    put_right,
    reason,
    you_entered,
)
from clampbook.run.gather.draft import Draft, Part, bare
from clampbook.run.in_hand.aim import prevailing_window
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.kinds.stamping import aside
from clampbook.run.kinds.values import (
    Typed,
    Wrong,
    asked_again,
    ends,
    kept,
    rounded,
    typed_value,
    unusual_in,
)
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.prompts import Ends, Prompt, Where
from clampbook.run.questions.sheet_item import checked_answer, yes_or_no
from clampbook.run.session import BETWEEN_LINES, Session
from clampbook.run.told.places import bolt, place, where
from clampbook.tools.aim import OPEN
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.model import Tool
from clampbook.units import Kind

NOTHING_YET = "Nothing to correct yet."
_TOO_MANY = 7  # digits of a count
ON_A_TOOL = ("reading", "prevailing torque", "final torque", "recheck", "bad pull")


def line_meant(session: Session, of: int | None) -> tuple[int, Step | None, str | None] | Refused:
    """The line that is meant, its step, and what it holds; only the latest of a position, gate or question can be."""
    plan, progress = session.plan, session.progress
    line = of if of is not None else progress.last_answer
    if line == 0:
        return Refused(NOTHING_YET)
    if line == progress.last_answer and progress.last_answer_item is not None:
        return line, None, "item"
    if line == progress.last_answer and progress.last_answer_step is not None:
        step = plan.steps[plan.index_of[progress.last_answer_step]]
        if step.position is None:
            return line, step, "measure"
        state = standing(progress, step.position)
        if state.latest == line:
            return line, plan.steps[state.latest_step], state.latest_what
    for state in progress.positions.values():
        if state.latest == line and state.latest_step >= 0:
            return line, plan.steps[state.latest_step], state.latest_what
    for name, gate in progress.gates.items():
        if gate.latest == line:
            return line, plan.steps[plan.index_of[name]], "measure"
    for item, seq in progress.items.items():
        if seq == line and item.startswith(("ask:", AT_HAND, LEFT_OVER, NEW)):
            return line, None, "item"
    return Refused(f"Only the latest answer for a bolt can be changed. Write a note about line {line}.")


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


class _Sought(Struct, frozen=True):
    """The measure of a corrected value: the procedure's unit and kind, the window it is judged by, and what is
    taken off it.
    """

    unit: str
    kind: Kind
    window: Ends | None
    off: Decimal = Decimal(0)


def _sought(session: Session, step: Step, what: str) -> _Sought:
    plan = session.plan
    state = standing(session.progress, step.position or "")
    stage = plan.stage_of(step)
    if what == "bad pull" and isinstance(stage, Turn):
        lost = state.fastener.turning
        so_far = (lost.before if lost is not None else None) or Decimal(0)
        return _Sought("°", Kind.ANGLE, step.window or (None, None), -so_far)
    if what == "turn":
        turning = state.fastener.turning
        stroke = turning.stroke if turning is not None else None
        before = (turned_so_far(state.fastener, state.latest_step) or Decimal(0)) - (stroke or Decimal(0))
        return _Sought("°", Kind.ANGLE, step.window or (None, None), -before)
    if what == "measure" and isinstance(stage, Measure):
        off = taken_off(plan, session.progress, step) or Decimal(0)
        return _Sought(stage.unit, units.kind_of(stage.unit), step.window or (None, None), off)
    if what == "stretch" and isinstance(stage, Tighten) and stage.stretch is not None:
        window, off = stage.stretch.window, taken_off(plan, session.progress, step) or Decimal(0)
        return _Sought(window.unit, units.kind_of(window.unit), (window.low, window.high), off)
    return _Sought(plan.unit, Kind.TORQUE, _torque_window(session, step, what))


def _torque_window(session: Session, step: Step, what: str) -> Ends | None:
    """Give the window that judges a torque, in the plan's unit; None where it is only stored."""
    plan = session.plan
    stage, state = plan.stage_of(step), standing(session.progress, step.position or "")
    if what == "prevailing torque":
        return prevailing_window(plan, step)
    if what == "final torque" and isinstance(stage, Align):
        return None, stage.at_most
    if what == "final torque" and isinstance(stage, Turn) and stage.final_torque is not None:
        return stage.final_torque.low, stage.final_torque.high
    # by what judged it, with the tool that it was read from; it may have been told for another step
    return None if state.judged_by is None else (_end(state.judged_by[0]), _end(state.judged_by[1]))


def _end(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _value(
    session: Session, prompt: Prompt, answer: Correct, line: int, step: Step, what: str, stamp: Stamp
) -> Outcome:
    plan, progress = session.plan, session.progress
    sought = _sought(session, step, what)
    state = standing(progress, step.position or "")
    on_a_tool = what in ON_A_TOOL and sought.kind is Kind.TORQUE
    in_degrees = what in ("turn", "bad pull") and sought.kind is Kind.ANGLE
    by = _instrument(session, step) if what in ("measure", "stretch") else None
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
    alone = answer.known == "from memory" or (answer.known == "a second person saw it" and answer.person is None)
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


def _instrument(session: Session, step: Step) -> Tool | None:
    """The instrument of the value that is corrected, where that is known."""
    if step.position is not None:
        return standing(session.progress, step.position).instrument
    gate = session.progress.gates.get(step.id)
    return None if gate is None else gate.instrument


def value_again(session: Session, draft: Draft, of: int | None) -> str | Part | Refused:
    """Take the corrected number. One that a measuring instrument cannot show, or shows no finer, or that looks like a
    slip of the hand, is asked for once more, as it is when it is typed first."""
    found, text = line_meant(session, of), draft.text("value")
    if isinstance(found, Refused) or found[1] is None or found[2] not in ("measure", "stretch"):
        return text
    step, what = found[1], found[2]
    by, sought = _instrument(session, step), _sought(session, step, what)

    def doubted(typed: str) -> Unsure | None:
        default = sought.unit if by is None else by.unit
        read = typed_value(typed, sought.kind, default, sought.unit, (None, None), with_unit=False)
        if isinstance(read, Wrong):
            return None  # refused when it is decided, with what can be typed
        own = sought.window if sought.window is not None and not sought.off else None
        unusual = None if own is None else unusual_in(read, None, own, sought.kind)
        return asked_again(dataclasses.replace(session, unusual=None), step.id, read, unusual, by)

    doubt = doubted(text)
    if doubt is None:
        return text
    if not draft.has(AGAIN):
        return Part(AGAIN, doubt.unusual, "number")
    again = draft.text(AGAIN)
    doubt = doubted(again) if bare(again) else None
    if doubt is None or doubt.code == BETWEEN_LINES:
        return again
    return Refused(f"{doubt.unusual} Nothing changed.")


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what it is now, and how that is known."""
    del prompt
    progress = session.progress
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
    if not draft.has("known"):
        ways = KNOWN if item is None else KNOWN_WITHOUT_A_TOOL
        return Part("known", "How do you know?", "choice", numbered(ways))
    return put_right(text, draft, session, None)


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
