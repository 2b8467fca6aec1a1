"""A setting tool is set, and what its scale shows is typed back."""

from __future__ import annotations

import re
from dataclasses import replace as with_
from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.figures import show_exactly
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, ScaleShows, Value
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import hold, name_of
from clampbook.run.gather.asking import named
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys, can_be_typed
from clampbook.run.in_hand.aim import target_at
from clampbook.run.in_hand.care import at_take_up
from clampbook.run.kinds import pulls
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import rounded
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import SetTool
from clampbook.run.session import Session
from clampbook.run.told.places import bolt
from clampbook.run.told.torques import at_mark, lever_line, target_line, window_line
from clampbook.run.told.words import Field, Words
from clampbook.text import quoted
from clampbook.tools.setting import scale
from clampbook.unit_names import UnitFault, unit_named

_NUMBER_THEN_UNIT = re.compile(r"([-−+]?[\d.,]+)\s*(.*)")


def keys(prompt: SetTool) -> Keys:
    """The number on the scale; its unit may stand behind it."""
    return Keys(types="number", wanted=f"the number on {prompt.tool.name}'s scale")


def words(prompt: SetTool) -> Words:
    """Show what to set, and what that is at the bolt."""
    aim = prompt.aim
    if prompt.finished_before:
        return _shown(prompt, f"{bolt(prompt.where)}: leave {aim.hand} as set. {_typed_back(prompt)}", ())
    care = at_take_up(aim.tool) if prompt.first else ()
    window = window_line(aim.window, aim.unit)
    lines = (*target_line(aim), window, *lever_line(aim), *aim.despite, *care)
    return _shown(prompt, f"Set {aim.hand} to {at_mark(aim)}. {_typed_back(prompt)}", lines)


def _typed_back(prompt: SetTool) -> str:
    """Ask for the scale, and for its unit where it can have several."""
    return f"Type what its scale shows{', with its unit' if len(prompt.units) > 1 else ''}."


def _shown(prompt: SetTool, sentence: str, lines: tuple[str, ...]) -> Words:
    aim, units = prompt.aim, prompt.units
    return Words(
        sentence,
        lines,
        hand=None if prompt.finished_before else pulls.mark(aim),
        field=Field(f"{prompt.tool.name}'s scale", units[0] if len(units) == 1 else ""),
        picture=True,
        terms=("setting tool", "window", "target"),
        facts=with_(pulls.aimed(aim), unit=None),
    )


def complete(prompt: SetTool, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """The unit that stands on the scale, where it can have several."""
    del session
    if not isinstance(begun, Value):
        return begun
    found = _NUMBER_THEN_UNIT.fullmatch(begun.text)
    if found is None:
        return Refused(f"{quoted(begun.text)} is not a number. {can_be_typed(keys(prompt))}")
    number, typed = found[1], found[2]
    if typed:
        try:
            unit = unit_named(typed)
        except UnitFault:
            unit = ""
        if unit not in prompt.units:
            return Refused(f"{quoted(typed)} is not a unit of this scale. Use {', '.join(prompt.units)}.")
        return ScaleShows(number, unit)
    if draft.has("unit"):
        return ScaleShows(number, draft.text("unit"))
    if len(prompt.units) == 1:
        return ScaleShows(number, prompt.units[0])
    asked = "in which unit, on the form?" if prompt.where.on_form else f"in which unit? Read it off {prompt.tool.name}."
    return Part("unit", f"{number} {asked}", "choice", named(prompt.units))


def decide(session: Session, prompt: SetTool, answer: Answer, stamp: Stamp) -> Outcome:
    """Check what the scale shows, typed back: another number or unit than what was to be set is refused."""
    if not isinstance(answer, ScaleShows):
        return Refused(f"Set {prompt.tool.name}, then type its scale: number and unit.")
    try:
        value = units.number(answer.number)
        unit = units.unit_named(answer.unit)
    except UnitFault as fault:
        return Refused(fault.sentence)
    if prompt.finished_before:
        wrong = _not_on_its_scale(prompt, value, unit)
        if wrong is not None:
            return Refused(wrong)
    elif value != prompt.aim.mark or unit != prompt.tool.unit:
        shown = f"{units.plain(value)} {unit}"
        return Refused(f"{prompt.tool.name} shows {shown}. Set it to {at_mark(prompt.aim)}, then type its scale.")
    return Accepted(
        e.ToolSet(
            **common(session, stamp, prompt),
            tool=prompt.tool.id,
            step=prompt.where.id,
            typed=answer.number.strip(),
            value=units.plain(value),
            unit=unit,
            at_fastener=rounded(prompt.aim.there(value), prompt.window),
        )
    )


def _not_on_its_scale(prompt: SetTool, value: Decimal, unit: str) -> str | None:
    """A sentence where the scale of the tool cannot show this, set or not."""
    tool = prompt.tool
    below = value <= 0 or (tool.minimum is not None and value < tool.minimum)
    if unit == tool.unit and not below and (tool.maximum is None or value <= tool.maximum):
        return None
    what = "stands on the form" if prompt.where.on_form else "it shows"
    return f"{tool.name} cannot show {units.plain(value)} {unit}, its scale is {scale(tool)}. Type what {what}."


def fold(plan: Plan, progress: Progress, event: e.ToolSet) -> Progress:
    """It is set to this, and its scale was read."""
    read = replace(progress, scales=progress.scales | {event.tool})
    aimed_at = target_at(plan, progress, event.step) if plan.late else None
    return hold(read, event.tool, replace(progress.hand[event.tool], set_to=event.value, set_for=aimed_at))


def acts(line: Line, event: e.ToolSet) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolSet, plan: Plan, tools: Tools) -> str:
    """To what it is set."""
    del plan
    return f"{name_of(event.tool, tools)} set to {show_exactly(Decimal(event.value), event.unit)}."
