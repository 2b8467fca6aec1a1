"""The top line of the walk: what is done and by which revision, where in the work, and who is there."""

from __future__ import annotations

from rich.cells import cell_len

from clampbook.people import NOT_NAMED
from clampbook.run.asked import inserted, step_of, where_of
from clampbook.run.in_hand.in_question import in_question, name_of
from clampbook.run.progress import LOOKING_BACK
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.text import printable

BETWEEN = " · "
_WIDE = 60  # columns


def heading(prompt: Prompt, session: Session, width: int) -> str:
    """One line of this many columns. Step and person always stand, and a tool that is in question; before the title is
    shortened, whole parts give way: first the revision, then the thing worked on, then which of several joints it is.
    """
    right = printable(f"{_in_question(session, width)}{_step(prompt, session, width)} · {_person(session)}")
    plan = session.plan
    revision = f"revision {plan.revision}, {plan.status}"
    named = fitting((plan.title, plan.joint, session.progress.worked_on, revision), width - cell_len(right) - 2)
    return f"{named}{' ' * max(width - cell_len(named) - cell_len(right), 0)}{right}"


def _in_question(session: Session, width: int) -> str:
    """ "W5 in question · ", in a narrow line "? W5 · "; the short lines below say why, where there is room."""
    names = ", ".join(name_of(each, session) for each in in_question(session.progress))
    if not names:
        return ""
    return f"{names} in question{BETWEEN}" if width >= _WIDE else f"? {names}{BETWEEN}"


def fitting(parts: tuple[str | None, ...], columns: int) -> str:
    """The parts that fit, without the last ones where they do not; of the first one at least whole words."""
    named = [printable(part) for part in parts if part]
    while len(named) > 1 and cell_len(BETWEEN.join(named)) > columns:
        named.pop()
    whole = BETWEEN.join(named)
    return whole if cell_len(whole) <= columns else shortened(whole, columns)


def shortened(text: str, columns: int) -> str:
    """The first words of a text that is too long, and "…"; nothing where not even one fits."""
    words = text.split()
    while words:
        words.pop()
        told = f"{' '.join(words).rstrip(',;:·- ')}…"
        if words and cell_len(told) <= columns:
            return told
    return ""


def _step(prompt: Prompt, session: Session, width: int) -> str:
    """The step at hand; in a wide line with its round, where its stage has several."""
    where = where_of(prompt)
    if where is None:
        return f"{len(session.plan.steps)} steps"
    if where.again is not None and width < _WIDE:  # of how many steps gives way to of how many inserted ones
        back = where.reason == LOOKING_BACK  # at no step, but before one
        return inserted(where, where.again) if back else f"step {where.number}, {inserted(where, where.again)}"
    rounds = f"round {where.round} of {where.rounds}{BETWEEN}" if where.rounds > 1 and width >= _WIDE else ""
    return f"{rounds}{step_of(where)}"


def _person(session: Session) -> str:
    """Name the person at the keyboard, and whose hands do the work where those are another's."""
    names = {person.id: person.name for person in (NOT_NAMED, *session.people)}
    by, hands = session.progress.by, session.progress.hands
    return f"{names.get(hands, hands)}, entered by {names.get(by, by)}" if hands else names.get(by, by)
