"""The sentence of each question about a paper form. None of them tells anybody to work."""

from __future__ import annotations

from dataclasses import replace
from typing import assert_never

from clampbook import units
from clampbook.procedure.naming import within_a_sentence
from clampbook.run import prompts as ask
from clampbook.run.answers import Refused
from clampbook.run.kinds import beside
from clampbook.run.kinds.values import SHOWN
from clampbook.run.prompts import Prompt, Where
from clampbook.run.questions.causes import fact
from clampbook.run.questions.typed_in import TYPED_IN, WHO_TYPED
from clampbook.run.told.places import bolt, place
from clampbook.run.told.torques import windows
from clampbook.run.told.words import Field, Words
from clampbook.text import started

_STANDS = "what stands on the form?"
_SECTION = "“Deviations and decisions” too? Type each row: /4 @9:15 and its words"
_TICKED = "is it ticked on the form?"


def words(prompt: Prompt, own: Words) -> Words:
    """The words of a question about a form, from those of the same question at the work."""
    named = isinstance(prompt, ask.TakeTool) and prompt.need == "measure" and not prompt.offers
    field = Field("measuring tool") if named else own.field
    return replace(own, sentence=sentence(prompt, own), matters=_matters(prompt, own), until=None, field=field)


def refused(told: Refused) -> Refused:
    """The same refusal of a form: what is to be typed stands on the form, nothing shows it now."""
    return Refused(told.sentence.replace(SHOWN, "Type what stands on the form"))


def _matters(prompt: Prompt, own: Words) -> tuple[str, ...]:
    """The window that judges it; nothing that is minded while somebody works."""
    if isinstance(prompt, ask.Tighten | ask.Recheck):
        return (windows(prompt.aim),)
    if isinstance(prompt, ask.SignOff) and prompt.role == WHO_TYPED:
        return (_SECTION,)
    kept = ask.Turn | ask.Decide | ask.StartSheet | ask.Confirm | ask.TakeTool
    return own.matters if isinstance(prompt, kept) else ()


def sentence(prompt: Prompt, own: Words) -> str:
    """One sentence or two, that fit a line; a kind that is not named here has the plain question."""
    if isinstance(prompt, ask.StartSheet):
        return _item(prompt, own)
    if isinstance(prompt, ask.TakeTool | ask.SetTool | ask.ZeroTool):
        return _tool(prompt)
    if isinstance(prompt, ask.Decide):
        return f"{fact(prompt)}. What does the form say was done?"
    if isinstance(prompt, ask.SignOff):
        return _name(prompt)
    if isinstance(prompt, ask.Tighten | ask.Turn | ask.Recheck):
        return _pull(prompt)
    if isinstance(prompt, ask.Inspect):
        named = own.sentence.removeprefix("Hold point. Another person looks and answers: ")
        return f"{'Hold point. ' if prompt.hold_point else ''}{started(named)} {started(_STANDS)}"
    if isinstance(prompt, ask.Wait):
        until = "From" if prompt.since is None else "Until"
        return f"Wait {prompt.as_written}. {until} when, on the form? Type the time."
    return _of_the_step(prompt)


def _of_the_step(prompt: Prompt) -> str:
    """Ask for the rest, which has no number or one that is no torque."""
    if isinstance(prompt, ask.Measure):
        return f"{_measured(prompt)}: {_STANDS}"
    if isinstance(prompt, ask.Loosen):
        by = "fully" if prompt.by is None else units.show(prompt.by, "°")
        return f"{bolt(prompt.where)}, loosened {by}: {_TICKED}"
    if isinstance(prompt, ask.BackOff):
        return f"{bolt(prompt.where)}, backed off {units.show(prompt.by, '°')}: {_TICKED}"
    if isinstance(prompt, ask.BackAtMark):
        return f"{bolt(prompt.where)}: back at its mark, on the form?"
    if isinstance(prompt, ask.Mark):
        return f"{place(prompt.where)}, marked: {_TICKED}"
    if isinstance(prompt, ask.Apply):
        what = within_a_sentence(prompt.what)
        return f"{place(prompt.where)}, {what}: {'which lot stands on the form?' if prompt.lot else _TICKED}"
    if isinstance(prompt, ask.Confirm):
        return f"Caution before stage {prompt.where.stage_told}: {_TICKED}"
    if isinstance(
        prompt, ask.Ended | ask.Finished | ask.ReturnTool | ask.SignOff | ask.StartSheet
    ):  # asked above, or never of a form
        return ""
    return f"{place(prompt.where)}: {_STANDS}"


def _item(prompt: ask.StartSheet, own: Words) -> str:
    """An item of the checklist."""
    if prompt.ask is None and prompt.part is None and not prompt.one_use:
        return f"{'Cautions' if prompt.group is None else f'{prompt.group} prepared'}: {_TICKED}"
    return f"{own.sentence} {started(_STANDS)}"


def _tool(prompt: ask.TakeTool | ask.SetTool | ask.ZeroTool) -> str:
    match prompt:
        case ask.TakeTool(need="angle"):
            return f"Stage {prompt.where.stage_told}: which angle gauge stands on the form?"
        case ask.TakeTool(need="measure"):
            what = within_a_sentence(prompt.what or "")
            return f"Stage {prompt.where.stage_told}, {what}: which measuring tool stands on the form?"
        case ask.TakeTool():
            return f"Stage {prompt.where.stage_told}{_round(prompt.where)}: which tool stands on the form?"
        case ask.SetTool():
            return f"{prompt.tool.name}: what is it set to, on the form? Type number and unit."
        case ask.ZeroTool():
            when = "after the work, " if prompt.after else ""
            return f"{prompt.tool.name}: {when}did it read zero with no load, on the form?"
        case _ as never:
            assert_never(never)


def _pull(prompt: ask.Tighten | ask.Turn | ask.Recheck) -> str:
    here = bolt(prompt.where) + _round(prompt.where)
    match prompt:
        case ask.Tighten() if prompt.last_value is not None:
            return f"{here}: {prompt.last_value} {prompt.tool.unit} is under. Another reading beside it?"
        case ask.Tighten():
            return f"{here}: {_STANDS}{' Type the reading.' if prompt.reading else ''}"
        case ask.Turn():
            more = " Type the next stroke." if prompt.done else " Type the angle."
            return f"{here}: {_STANDS}{'' if prompt.by_marks else more}"
        case ask.Recheck():
            return f"{here}, recheck: {_STANDS}{' Type the reading.' if prompt.reading else ''}"
        case _ as never:
            assert_never(never)


def _measured(prompt: ask.Measure) -> str:
    """Name what is measured, and where, in the unit in which it is typed."""
    unit = f" in {units.spelled(beside.typed_in(prompt))}" if prompt.unit != units.COUNT else ""
    what = "Stretch" if prompt.part == "stretch" and prompt.minus is None else prompt.what
    if prompt.part == "stretch" and prompt.minus is not None:
        what = "Length"
    at = prompt.where.position or prompt.where.point
    return f"{place(prompt.where)}, {within_a_sentence(what)}{unit}" if at else f"{started(what)}{unit}"


def _name(prompt: ask.SignOff) -> str:
    if prompt.role == WHO_TYPED:
        return f"Sign that you typed it in: “{TYPED_IN}” Type your name."
    return f"{started(prompt.role)}: whose name stands on the form?"


def _round(where: Where) -> str:
    return f", round {where.round}" if where.rounds > 1 else ""
