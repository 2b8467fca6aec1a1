"""Questions that several answers have in common: for a reason, a person, a position, one of a few texts."""

from __future__ import annotations

from clampbook.run.draft import NONE, Part
from clampbook.run.prompts import Choice
from clampbook.run.session import Session

# Reasons that come up again and again, so that a numeric pad is enough for them.
REASONS: dict[str, tuple[str, ...]] = {
    "set aside": ("no room for the tool", "waiting for a part", "must be looked at first"),
    "hold": ("waiting for a part", "waiting for another person", "the day is over"),
    "abandon": ("begun by mistake", "the parts cannot be used", "to be done again from the start"),
    "void": ("jerk or chatter", "the socket slipped", "stopped within the pull"),
    "doubt tool": ("readings drift", "it was overloaded", "it was used to loosen"),
    "dropped": ("no other tool in the house", "it fell from low down onto cloth"),
    "unsuitable": ("no other tool in the house", "agreed with the person in charge"),
    "concession": ("agreed with the person in charge", "no other fastener to be had"),
    "same person": ("nobody else in the house", "agreed with the person in charge"),
    "early": ("agreed with the person in charge", "the time was over on another clock"),
    "not accepted": ("a position is not as the sheet wants it", "to be done again from the start"),
    "decision": ("agreed with the person in charge", "looked at and found sound"),
}


def reason(why: str, text: str) -> Part:
    """A question for a reason, with the usual ones to choose from; any other is typed."""
    offered = tuple(Choice(str(n), words) for n, words in enumerate(REASONS[why], 1))
    return Part("reason", text, "line", offered)


def person(name: str, text: str, session: Session, *, nobody: str | None = None) -> Part:
    """A question for a person: by number from the book's people, or by a name; `nobody` allows naming none."""
    people = session.people
    listed = tuple(Choice(str(n), one.name) for n, one in enumerate(people, 1))
    return Part(name, text, "person", (*listed, *((Choice(NONE, nobody),) if nobody else ())), people)


def labels(positions: tuple[str, ...]) -> tuple[Choice, ...]:
    """Positions as choices: the label is the key."""
    return tuple(Choice(position, position) for position in positions)


def numbered(texts: tuple[str, ...]) -> tuple[Choice, ...]:
    """Texts as choices by number."""
    return tuple(Choice(str(n), text) for n, text in enumerate(texts, 1))
