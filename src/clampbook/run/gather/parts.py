"""Answers of several parts: asked one by one, complete with the last, and only then an answer.

The loop of every face is the same: `begin` with the line typed at the prompt, then `next_part`, `take` its line,
and again, until there are answers to hand to the walk.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from clampbook.run import asked
from clampbook.run.acts import form_time, menu
from clampbook.run.acts.at_hand import NONE_OF_THEM
from clampbook.run.answers import (
    Answer,
    DoneUpTo,
    Refused,
)
from clampbook.run.gather.asking import people_listed
from clampbook.run.gather.draft import (
    FORM_TIME,
    Draft,
    Named,
    Part,
    at_the_prompt,
    goes_back,
    looks_like_a_number,
    take,
)
from clampbook.run.gather.read_line import begin
from clampbook.run.prompts import (
    Choice,
    Prompt,
    SignOff,
)
from clampbook.run.questions.signing import not_independent
from clampbook.run.session import Session

__all__ = [
    "Draft",
    "Named",
    "Part",
    "Shows",
    "begin",
    "choices_at",
    "follow",
    "goes_back",
    "looks_like_a_number",
    "next_part",
    "shows",
    "take",
]

Shows = Literal["help", "last three"]


def next_part(prompt: Prompt, session: Session, draft: Draft) -> Part | Refused | tuple[Answer, ...]:
    """Give what is asked next, or the complete answers: one as a rule, two where 'done up to which?' came first.

    Refused where the act makes no sense as things stand; the draft is then over.
    """
    if draft.asks is not None:
        return draft.asks
    if draft.act == "menu":
        if not draft.has("item"):
            return Part("item", "Other actions", "choice", menu.choices(prompt))
        item = menu.of_value(draft.text("item"), prompt)
        if item is None:
            return Refused("Not possible here.")
        return next_part(prompt, session, Draft(item.act, draft.given[1:]))
    if draft.begun is not None:
        found = asked.question(prompt).complete(prompt, session, draft.begun, draft)
    else:
        found = menu.complete(prompt, session, draft)
    if isinstance(found, Refused):
        return found
    done, time = draft.text("done up to"), draft.text(FORM_TIME)
    at = form_time.before_a_row(prompt, session, draft, time) if time else None
    if isinstance(at, Part | Refused):
        return at
    if isinstance(found, Part):
        return found
    before = () if at is None else (at,)
    return (*before, DoneUpTo(done), found) if done and done != NONE_OF_THEM.value else (*before, found)


def follow(prompt: Prompt, draft: Draft, part: Part, line: str, named: Named) -> Draft | Refused | None:
    """Take a line into a draft that waits for `part`; None where the person went back and nothing changed.

    Pausing and another line of the menu are possible in the middle of an answer; the draft is then given up.
    """
    if goes_back(line):
        return None
    typed = line.strip()
    if typed.casefold() == "pause" or (typed.startswith("*") and typed[1:].strip().isdecimal()):
        return begin(prompt, typed)
    taken = take(replace(draft, ahead=None), part, line, named)
    return at_the_prompt(taken) if draft.ahead is not None and isinstance(taken, Refused) else taken


def shows(draft: Draft) -> Shows | None:
    """Give what is only to be shown, without any answer; None for all other drafts."""
    act = draft.act
    if act == "menu" and draft.has("item"):
        act = next((item.act for item in menu.ITEMS if item.value == draft.text("item")), act)
    match act:
        case "help" | "last three":
            return act
        case _:
            return None


def choices_at(prompt: Prompt, session: Session) -> tuple[Choice, ...]:
    """The keys that can be typed at the prompt itself, people included where a name is asked for."""
    if isinstance(prompt, SignOff):  # whoever pulled and has not signed, else everybody
        return (*people_listed(prompt.left or session.people, not_independent(prompt)), *asked.keys(prompt).choices)
    return asked.keys(prompt).choices
