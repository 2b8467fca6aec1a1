"""A question on the screen: its sentence, its figures, its choices and its keys, as the core gives them."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec.structs import replace

from clampbook.run import asked
from clampbook.run.acts.at_hand import is_pull
from clampbook.run.gather.keys import PLUS
from clampbook.run.in_hand.in_question import told
from clampbook.run.kinds.pulls import FINISH_WITHIN
from clampbook.run.prompts import (
    Choice,
    Prompt,
    Where,
)
from clampbook.run.session import Session
from clampbook.run.told.words import Until, Words
from clampbook.screens.hinting import ACTIONS, ANYWHERE, CORRECT_HINT, HELP, KEEP, UP_DOWN, choose
from clampbook.screens.shown import Shown, Waiting, hints
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.units import COUNT

_TYPED_ANYWHERE = (KeyHint("* then Enter", "other"),)
_AT_A_LIST = ANYWHERE[1:]  # / is told by the help, so that the keys stand in one line
_IN_FIGURES = ("set ", "stop ", FINISH_WITHIN)  # lines about what stands there in large figures, or is counted
NUMBER_AND_UNIT = "number and unit"


def of_prompt(prompt: Prompt, session: Session, *, narrow: bool = False) -> Shown:
    """A prompt with everything on the screen but what was answered before; on a `narrow` one a bolt is one word."""
    shown = _asked(asked.in_short(prompt) if narrow else prompt, session)
    if in_question := told(session):
        shown = replace(shown, lines=(*shown.lines, *in_question))
    if session.unusual is not None and shown.field is not None:
        shown = _openly(shown, prompt)
    return _with_common_keys(shown, prompt, session)


def _asked(prompt: Prompt, session: Session) -> Shown:
    from clampbook.run.gather.parts import choices_at

    words, where = asked.words(prompt), asked.where_of(prompt)
    people = asked.keys(prompt).people
    own = choices_at(prompt, session)
    listed = tuple(choice for choice in own if (people and choice.key != PLUS) or choice.key.isdecimal())
    field = words.field.label if words.field is not None else "number" if listed else None
    return Shown(
        words.sentence,
        hand=words.hand,
        position=words.position,
        lines=_lines(words, where),
        choices=listed,
        field=field,
        unit=words.field.unit if words.field is not None else "",
        keys=(*_typed(field, listed, people=people), *hints(own)),
        picture=words.picture or (where is not None and where.position is not None),
        pulls=is_pull(prompt),
        joints=bool(session.plan.joints),
        band=words.band,
        estimate=None if where is None else where.estimate,
        waiting=None if words.until is None else _waiting(words.until),
    )


def _typed(field: str | None, listed: tuple[Choice, ...], *, people: bool) -> tuple[KeyHint, ...]:
    """Give the keys that hand on what is typed."""
    if field is None:
        return ()
    if not listed:
        return (KEEP,)
    return choose(tuple(choice.key for choice in listed), or_type="a name" if people else UP_DOWN)


def _lines(words: Words, where: Where | None) -> tuple[str, ...]:
    """The short lines, but for the step, which stands above, and for what stands there in large figures."""
    lines = tuple(line for line in asked.under(words, where) if where is None or line != asked.step_line(where))
    if words.hand is None and words.until is None:
        return lines
    return tuple(line for line in lines if not line.startswith(_IN_FIGURES))


def _waiting(until: Until) -> Waiting:
    return Waiting(datetime.fromisoformat(until.since), timedelta(seconds=float(until.lasts)), until.lead)


def _openly(shown: Shown, prompt: Prompt) -> Shown:
    """Number and unit are wanted, of a count the number alone, and nothing is offered that would fit. A meter is only
    read again."""
    if asked.on_the_sheet(prompt):
        return shown
    counted = asked.words(prompt).facts.unit == COUNT
    return replace(shown, field=shown.field if counted else NUMBER_AND_UNIT, unit="")


def _with_common_keys(shown: Shown, prompt: Prompt, session: Session) -> Shown:
    if asked.over(prompt):
        return shown.with_keys(KeyHint("Enter", "leave"), HELP)
    typed = asked.keys(prompt).types == "text" and shown.field is not None
    back = (CORRECT_HINT,) if session.progress.last_answer else ()
    anywhere = _TYPED_ANYWHERE if typed else _AT_A_LIST if shown.choices else ANYWHERE
    return shown.with_keys(*anywhere, *back, HELP, ACTIONS)
