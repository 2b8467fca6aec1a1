"""Questions on the screen that are answered by choosing or by a word: tools, looking, deciding, waiting, ends."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec.structs import replace

from clampbook.run.asked import details, keys, sentence, where_of
from clampbook.run.in_question import told
from clampbook.run.prompts import (
    Apply,
    BackOff,
    Choice,
    Confirm,
    Decide,
    Ended,
    Finished,
    Inspect,
    Loosen,
    Measure,
    Prompt,
    Recheck,
    SetTool,
    SignOff,
    StartSheet,
    Tighten,
    Turn,
    Wait,
)
from clampbook.run.session import Session
from clampbook.screens.hinting import ACTIONS, CHOOSE_THEN_ENTER, HELP, KEEP, PERSON_THEN_ENTER
from clampbook.screens.pulling import pull, without_step
from clampbook.screens.shown import Shown, Waiting, hints
from clampbook.screens.widgets.bottom_line import KeyHint

_ANYWHERE = (KeyHint("/", "note"), KeyHint("*", "something else"))
_TYPED_ANYWHERE = (KeyHint("* then Enter", "for all else"),)
NUMBER_AND_UNIT = "number and unit"


def of_prompt(prompt: Prompt, session: Session) -> Shown:
    """A prompt with everything on the screen but what was answered before."""
    match prompt:
        case Tighten() | Turn() | Loosen() | BackOff() | Measure() | SetTool() | Recheck():
            shown = pull(prompt)
        case Confirm(pull=first) if first is not None:
            shown = pull(prompt)
        case Decide() | SignOff() | Finished():
            shown = _deliberate(prompt, session)
        case _:
            shown = _asked(prompt)
    if in_doubt := told(session):
        shown = replace(shown, lines=(*shown.lines, *in_doubt))
    if session.doubt is not None and shown.field is not None:
        shown = _openly(shown)
    return _with_common_keys(shown, prompt, session)


def _openly(shown: Shown) -> Shown:
    """Number and unit are wanted, and nothing is offered that would fit."""
    return replace(shown, field=NUMBER_AND_UNIT, unit="")


def _with_common_keys(shown: Shown, prompt: Prompt, session: Session) -> Shown:
    if isinstance(prompt, Ended):
        return shown.with_keys(KeyHint("Enter", "leave"), HELP)
    typed = isinstance(prompt, SignOff | StartSheet | Apply) and shown.field is not None
    back = (KeyHint("Backspace", "correct"),) if session.progress.last_answer else ()
    return shown.with_keys(*(_TYPED_ANYWHERE if typed else _ANYWHERE), *back, HELP, ACTIONS)


def _deliberate(prompt: Decide | SignOff | Finished, session: Session) -> Shown:
    """A choice, or a name, and then Enter."""
    from clampbook.run.parts import choices_at

    where = where_of(prompt)
    lines = details(prompt) if where is None else without_step(details(prompt), where)
    own = choices_at(prompt, session)
    field = "number or name" if isinstance(prompt, SignOff) else "number"
    return Shown(
        sentence(prompt),
        lines=lines,
        choices=own,
        field=field,
        keys=(PERSON_THEN_ENTER if isinstance(prompt, SignOff) else CHOOSE_THEN_ENTER, *hints(own)),
        picture=isinstance(prompt, Decide),
    )


def _asked(prompt: Prompt) -> Shown:
    where = where_of(prompt)
    lines = details(prompt) if where is None else without_step(details(prompt), where)
    own = keys(prompt).choices
    listed = tuple(choice for choice in own if choice.key.isdecimal())
    field = _field(prompt, listed)
    return Shown(
        sentence(prompt),
        lines=lines,
        choices=listed,
        field=field,
        keys=_keys(field, listed, own),
        picture=isinstance(prompt, Inspect | Wait | Apply) or (where is not None and where.position is not None),
        waiting=_waiting(prompt),
    )


def _keys(field: str | None, listed: tuple[Choice, ...], own: tuple[Choice, ...]) -> tuple[KeyHint, ...]:
    typed = CHOOSE_THEN_ENTER if listed else KEEP
    return (*((typed,) if field is not None else ()), *hints(own))


def _field(prompt: Prompt, listed: tuple[Choice, ...]) -> str | None:
    match prompt:
        case StartSheet() if not listed and can_type(prompt):
            return "answer"
        case Apply(lot=True):
            return "lot"
        case _:
            return "number" if listed else None


def can_type(prompt: StartSheet) -> bool:
    """Whether something is typed at this item, other than a key."""
    return prompt.ask is not None or prompt.part is not None


def _waiting(prompt: Prompt) -> Waiting | None:
    match prompt:
        case Wait(since=since, lasts=lasts) if since is not None:
            return Waiting(datetime.fromisoformat(since), timedelta(seconds=float(lasts)))
        case _:
            return None
