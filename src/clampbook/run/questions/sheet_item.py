"""The items of the start checklist and of the end: cautions, questions, parts, and what is prepared."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Ask
from clampbook.procedure.model import Part as Wanted
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, LeaveOut, Plus, Refused, Unsure, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.counts import FAR_MORE, NEW, all_new, answered, far_more, too_few
from clampbook.run.fold.departing import NOT_ALL_TICKED
from clampbook.run.fold.line import Line
from clampbook.run.gather.draft import NONE, Draft, Part, bare
from clampbook.run.gather.keys import Keys, Types, can_be_typed
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, StartSheet
from clampbook.run.questions.items import worked_on
from clampbook.run.session import Session
from clampbook.run.told.places import within_a_sentence
from clampbook.run.told.words import Facts, Field, Words
from clampbook.run.use import gone_by
from clampbook.unit_names import is_known
from clampbook.units import UnitFault, show_window

Written = e.Asked | e.CautionsRead | e.Prepared | e.PartRecorded
LOWER = "lower than before"  # the code of a meter that shows less than it did
_MOST = 200  # characters
_ONE_USE = "They are one-use."
_YES_OR_NO = (
    Choice("1", "yes", "yes", Value("yes"), ("y", "yes")),
    Choice("2", "no", "no", Value("no"), ("n", "no")),
)


def keys(prompt: StartSheet) -> Keys:
    """Yes or no, one of a few, a text, a number, or that it is done; nobody pulls yet, so no number strays in."""
    own = _choices(prompt)
    numbered = any(choice.key.isdecimal() for choice in own)
    return Keys(own, _types(prompt, numbered=numbered), None if numbered else _wanted(prompt), strays=False)


def _choices(prompt: StartSheet) -> tuple[Choice, ...]:
    ask, part = prompt.ask, prompt.part
    leave = () if prompt.required else (Choice(NONE, "leave it out", "leave_out", LeaveOut()),)
    if ask is not None and ask.answer == "choice":
        named = (Choice(str(n), text, text, Value(text), (text.casefold(),)) for n, text in enumerate(ask.choices, 1))
        return (*named, *leave)
    if (ask is not None and ask.answer == "yes") or (part is not None and part.record == "yes"):
        return (*_YES_OR_NO, *leave)
    if _asks_new(prompt):
        return _YES_OR_NO
    if ask is None and part is None:
        word = "done" if prompt.group else "read"
        return (Choice("+", word, word, Plus()), *leave)
    last = (Choice("+", "same", "same", Value(prompt.last)),) if prompt.last is not None else ()
    return (*last, *leave)


def _asks_new(prompt: StartSheet) -> bool:
    """True where it asks whether all fasteners of a group are new, and not how many."""
    return prompt.one_use and prompt.part is None


def _types(prompt: StartSheet, *, numbered: bool) -> Types:
    ask, part = prompt.ask, prompt.part
    if (ask is not None and ask.answer == "text") or (part is not None and part.record in ("lot", "serial number")):
        return "text"
    return "keys" if numbered or (ask is None and part is None) else "number"


def _wanted(prompt: StartSheet) -> str | None:
    if prompt.ask is not None:
        return f"the number in {prompt.ask.unit}" if prompt.ask.unit else "the answer"
    return f"the {'count' if prompt.when == 'end' else prompt.part.record}" if prompt.part is not None else None


def words(prompt: StartSheet) -> Words:
    """The question itself with what was answered last, and its limits."""
    ask = prompt.ask
    typed = (ask is not None or prompt.part is not None) and not any(each.key.isdecimal() for each in _choices(prompt))
    return Words(
        _sentence(prompt),
        (*_before(prompt), *prompt.notices),
        field=Field("answer", (ask.unit if ask is not None else None) or "") if typed else None,
        terms=("one-use",) if prompt.one_use else (),
        facts=Facts(group=prompt.group, unit=ask.unit if ask is not None else None),
    )


def _before(prompt: StartSheet) -> tuple[str, ...]:
    """Show the limits of a number, how many are needed, or what the procedure says of it."""
    ask = prompt.ask
    if ask is not None and prompt.before is not None:
        due = (f"due at {_shown(prompt.due_at, ask)}",) if prompt.due_at is not None else ()
        return (f"at the first run: {_shown(prompt.before, ask)}", *due)
    if ask is not None and ask.answer == "number" and (ask.low is not None or ask.high is not None):
        return (f"limits: {_limits(ask)}",)
    if prompt.needed:
        return (f"{prompt.needed} needed",)
    return prompt.lines


def _limits(ask: Ask) -> str:
    return show_window(ask.low, ask.high, ask.unit or "").rstrip()


def _shown(value: Decimal, ask: Ask) -> str:
    return f"{units.plain(value)} {ask.unit or ''}".rstrip()


def _sentence(prompt: StartSheet) -> str:
    last = f" Last time: {prompt.last}." if prompt.last is not None else ""
    return f"{_question(prompt)}{last}"


def _question(prompt: StartSheet) -> str:
    if prompt.ask is not None:
        return prompt.ask.name if prompt.ask.name.endswith("?") else f"{prompt.ask.name}?"
    part = prompt.part
    if part is not None:
        if prompt.when == "end":
            return f"{part.name}: how many are left over?"
        if part.record == "count":
            return f"{part.name}: how many new ones? {_ONE_USE}" if prompt.one_use else f"{part.name}: how many?"
        return f"{part.name}: do you have it?" if part.record == "yes" else f"{part.name}: which {part.record}?"
    if _asks_new(prompt):
        return f"{prompt.group}: all new? {_ONE_USE}"
    if prompt.group is not None:
        return f"{prompt.group}: do all of this first."
    return "Read the cautions."


def complete(prompt: StartSheet, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked; what cannot be left out is answered."""
    del session, draft
    if begun == Value(NONE):
        return Refused(f"This one needs an answer. {can_be_typed(keys(prompt))}")
    return begun


def decide(session: Session, prompt: StartSheet, answer: Answer, stamp: Stamp) -> Outcome:
    """One item: cautions read, a group prepared, a part's lot or count, or a question answered."""
    if prompt.ask is not None:
        return _asked(session, prompt, prompt.ask, answer, stamp)
    if prompt.part is not None:
        return _part(session, prompt, prompt.part, answer, stamp)
    if _asks_new(prompt):
        return _new_or_not(session, prompt, answer, stamp)
    if not isinstance(answer, Plus):
        return Refused(f"Press + when {'done' if prompt.group else 'read'}.")
    fields = common(session, stamp, prompt)
    if prompt.group is not None:
        return Accepted(e.Prepared(**fields, item=prompt.item, group=prompt.group, prepared=prompt.lines))
    return Accepted(e.CautionsRead(**fields, item=prompt.item, cautions=prompt.lines))


def _new_or_not(session: Session, prompt: StartSheet, answer: Answer, stamp: Stamp) -> Outcome:
    told = yes_or_no(answer.text) if isinstance(answer, Value) else None
    if told is None:
        return Refused("Choose 1 or 2.")
    return Accepted(e.Asked(**common(session, stamp, prompt), item=prompt.item, typed=told, value=told))


def yes_or_no(typed: str) -> str | None:
    """Read a yes or a no, as it was typed or chosen; None where it is neither."""
    said = typed.strip().casefold()
    return next((choice.value for choice in _YES_OR_NO if said in (choice.key, *choice.words)), None)


def _asked(session: Session, prompt: StartSheet, question: Ask, answer: Answer, stamp: Stamp) -> Outcome:
    fields = common(session, stamp, prompt)
    match answer:
        case LeaveOut() if not prompt.required:
            return Accepted(e.Asked(**fields, item=prompt.item, typed=None))
        case LeaveOut():
            return Refused(f"{question.name}: the record needs an answer.")
        case Plus() if question.answer == "yes":
            return Accepted(e.Asked(**fields, item=prompt.item, typed="yes", value="yes"))
        case Value(text=typed):
            checked = checked_answer(question, typed)
            if isinstance(checked, str):
                return Refused(checked)
            clean, value, unit = checked
            if prompt.before is not None and session.unusual_at(prompt.item) is None:
                gone = gone_by(value, prompt.before)
                if gone is not None and gone < 0:
                    told = f"{clean} is lower than at the first run, {_shown(prompt.before, question)}. Type it again."
                    return Unsure(told, LOWER, prompt.item)
            before = None if prompt.before is None else units.plain(prompt.before)
            return Accepted(e.Asked(**fields, item=prompt.item, typed=clean, value=value, unit=unit, before=before))
        case _:
            return Refused("Choose 1 or 2." if question.answer == "yes" else f"{question.name}: type the answer.")


def checked_answer(question: Ask, typed: str) -> tuple[str, str, str | None] | str:
    """Read what was typed into the text, its value and unit; or give a sentence that says what is allowed."""
    clean = foreign.clean(typed, what=question.name, most=_MOST)
    if not clean:
        return f"{question.name}: nothing typed."
    match question.answer:
        case "text":
            return clean, clean, None
        case "yes":
            return (
                ("yes", "yes", None) if clean.lower() in ("yes", "y") else "Choose 1 for yes, or put the run on hold."
            )
        case "choice":
            for number, choice in enumerate(question.choices, 1):
                if clean.lower() == choice.lower() or clean == str(number):
                    return clean, choice, None
            return f"Choose {', '.join(question.choices)}."
        case "number":
            return _number(question, clean)


def _number(question: Ask, clean: str) -> tuple[str, str, str | None] | str:
    unit = question.unit
    try:
        if unit is None and question.searched_as == "usage" and not bare(clean):  # the meter says which unit
            quantity = units.parse(clean)
            value, unit = quantity.value, quantity.unit
        elif unit is None or not is_known(unit):  # the procedure's own, such as starts
            value = units.number(clean.removesuffix(unit or ""))
        else:
            quantity = units.parse(clean, units.kind_of(unit), unit=unit)
            value = units.convert(quantity.value, quantity.unit, unit)
    except UnitFault as fault:
        return fault.sentence
    low, high = question.low, question.high
    if (low is not None and value < low) or (high is not None and value > high):
        return f"{clean} is outside its limits, {_limits(question)}. Type it again."
    return clean, units.plain(value), unit


def _part(session: Session, prompt: StartSheet, part: Wanted, answer: Answer, stamp: Stamp) -> Outcome:
    fields = common(session, stamp, prompt)
    counted = part.record == "count" or prompt.when == "end"
    match answer:
        case Plus() if part.record == "yes" and not counted:
            return Accepted(e.PartRecorded(**fields, item=prompt.item, part=part.name, typed="yes"))
        case Value(text=typed):
            clean = foreign.clean(typed, what=part.name, most=_MOST)
            if not clean:
                return Refused(f"{part.name}: nothing typed.")
            if counted and not (clean.isascii() and clean.isdigit() and len(clean) < 7):
                return Refused(f"{part.name}: type a whole number.")
            value = str(int(clean)) if counted else clean
            if counted and far_more(prompt.needed, int(value)) and session.unusual_at(prompt.item) is None:
                again = f"{value} is unusual here, {prompt.needed} needed. Type it again."
                return Unsure(again, FAR_MORE, prompt.item)
            needed = too_few(session.plan, prompt.item, value) if counted else None
            told = e.PartRecorded(**fields, item=prompt.item, part=part.name, typed=clean, value=value, needed=needed)
            return Accepted(told)
        case _:
            wanted = "number" if counted else part.record
            return Refused(f"{part.name}: type the {wanted}.")


def _since(value: str, before: str, unit: str | None) -> str:
    """Tell how much use went by since the first run; nothing where what was answered is no number."""
    gone = gone_by(value, Decimal(before))
    if gone is None:
        return ""
    if gone < 0:
        return f" Lower than at the first run, {before} {unit or ''}".rstrip() + "."
    return f" {units.plain(gone)} {unit or ''}".rstrip() + " since the first run."


def fold(plan: Plan, progress: Progress, event: Written) -> Progress:
    """The item is answered; what names the equipment is known as such, and counts are compared."""
    items = progress.items.insert(event.item, event.seq)
    if isinstance(event, e.CautionsRead | e.Prepared):
        return replace(progress, items=items)
    told = replace(
        progress,
        items=items,
        last_answer=event.seq,
        last_answer_step=None,
        last_answer_item=event.item,
        worked_on=worked_on(plan, progress, event.item, event.typed),
    )
    needed = event.needed if isinstance(event, e.PartRecorded) else None
    return answered(plan, told, event.item, event.value, event.seq, needed)


def _some_ticked(event: e.CautionsRead | e.Prepared) -> str:
    """Tell how many lines of a block are ticked on a form."""
    if isinstance(event, e.Prepared):
        named, ticked = f"{within_a_sentence(event.group)} prepared", event.prepared
    else:
        named, ticked = "cautions", event.cautions
    return f"Not known ?: {named}, only {len(ticked)} ticked on the form."


def acts(line: Line, event: Written) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: Written, plan: Plan, tools: Tools) -> str:
    """Tell what was answered to what."""
    del plan, tools
    if isinstance(event, e.CautionsRead | e.Prepared) and NOT_ALL_TICKED in event.noted:
        return _some_ticked(event)
    match event:
        case e.Asked(item=item, typed=typed) if item.startswith(NEW):
            return f"{item.removeprefix(NEW)}: {all_new(typed)}."
        case e.Asked(item=item, typed=str() as typed, value=str() as value, before=str() as before):
            return f"{item.partition(':')[2]}: {typed}.{_since(value, before, event.unit)}"
        case e.Asked(item=item, typed=typed):
            name = item.partition(":")[2] or item
            name = name if name.endswith("?") else f"{name}:"
            return f"{name} {typed if typed is not None else 'left out'}."
        case e.CautionsRead():
            return "Cautions read."
        case e.Prepared(group=group):
            return f"Prepared: {within_a_sentence(group)}."
        case e.PartRecorded(part=part, typed=typed):
            return f"{part}: {typed}."
        case _ as never:
            assert_never(never)
