"""The shares of people in a run, and who is independent of it: one rule, each part of it read off the lines of
the daybook.

Whoever pulled, wrote down what other hands pulled, or signed for the work, is not independent of it; as long as nobody
has pulled, neither is whoever is at the work. Sign-off, hold point, concession, record and `verify` all ask here.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.people import NOT_NAMED, Person
from clampbook.run import events as e

INDEPENDENT = "independently inspected"
SAME_PERSON = "inspected again by the same person"
PERFORMED = "performed"
FOR_OTHERS = "answers for the work of others"
MEANINGS = (INDEPENDENT, SAME_PERSON, PERFORMED, FOR_OTHERS)
CONCESSION = "concession"
LOOKED_BEFORE = "worked on it after looking at it"  # noted with the first work of whoever vouched as another person

Tie = Literal["pulled", "typed readings", "signed for the work", "is at the work"]

_FITTED = ("stub out", "new fastener", "settle")


class Shares(Struct, frozen=True):
    """Ids of people by what they did, in the order in which each did it first. `looked` are those who vouched as
    another person: at a hold point, in a sign-off, or for a concession."""

    pulled: tuple[str, ...] = ()
    typed: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()
    looked: tuple[str, ...] = ()


def by_hand(event: e.Event) -> bool:
    """True where a line tells of hands laid on the work: a pull, good or bad, a turn, loosening, applying, fitting."""
    if isinstance(event, e.Measured):
        return event.part == "final torque"
    if isinstance(event, e.Voided):
        return event.of is None  # else its pull stands in a line of its own
    if isinstance(event, e.Inspected):
        return event.work in _FITTED
    if isinstance(event, e.LeftBlank):
        return event.ticked
    return event.handles


def shared(shares: Shares, event: e.Event) -> Shares:
    """Add one more line to who did what."""
    if by_hand(event):
        hands = event.done_by or event.by
        pulled = _with(shares.pulled, hands)
        beside = hands != event.by and event.typed_at is None  # who types in a form was not there
        typed = _with(shares.typed, event.by) if beside else shares.typed
        if pulled is shares.pulled and typed is shares.typed:
            return shares
        return replace(shares, pulled=pulled, typed=typed)
    if isinstance(event, e.SignedOff) and event.meaning in (PERFORMED, FOR_OTHERS):
        return replace(shares, signed=_with(shares.signed, event.person.id))
    vouched = vouches(event)
    return shares if vouched is None else replace(shares, looked=_with(shares.looked, vouched))


def vouches(event: e.Event) -> str | None:
    """Name the person who vouches in this line as another one than those who did the work."""
    if isinstance(event, e.Inspected) and event.inspector is not None:
        return event.inspector.id if event.meaning == INDEPENDENT else None
    if isinstance(event, e.SignedOff):
        return event.person.id if event.meaning == INDEPENDENT else None
    if isinstance(event, e.Decided) and event.person is not None:
        return event.person.id if event.meaning == CONCESSION else None
    return None


def vouched_before(shares: Shares, people: Iterable[Person | None]) -> tuple[Person, ...]:
    """Those of these people who vouched as another person and did no work so far."""
    worked = (*shares.pulled, *shares.typed)
    return tuple(each for each in people if each is not None and each.id in shares.looked and each.id not in worked)


def looked_before(shares: Shares, event: e.Event) -> bool:
    """True where this line is the first work of somebody who vouched before as another person."""
    if not by_hand(event):
        return False
    hands = event.done_by or event.by
    worked = (hands,) if event.typed_at is not None else (hands, event.by)
    return any(each in shares.looked and each not in (*shares.pulled, *shares.typed) for each in worked)


def tie(shares: Shares, at_it: tuple[str | None, ...], person: str) -> Tie | None:
    """Name what keeps a person from being independent; None where nothing does. `at_it` are those who are at
    the work now, at the keyboard and with their hands.
    """
    if person in shares.pulled:
        return "pulled"
    if person in shares.typed:
        return "typed readings"
    if person in shares.signed:
        return "signed for the work"
    return "is at the work" if not shares.pulled and person in at_it else None


def second_person(shares: Shares, at_it: tuple[str | None, ...], person: str) -> Tie | None:
    """The same for a concession, which nobody grants for work that they are at themselves, whoever pulled before."""
    return tie(shares, at_it, person) or ("is at the work" if person in at_it else None)


def still_apart(last: Person | None, shares: Shares, at_it: tuple[str | None, ...]) -> Person | None:
    """Whoever inspected the time before; None once that person has a share in the work, or where nobody has yet."""
    return None if last is None or tie(shares, at_it, last.id) is not None else last


def tied(shares: Shares, at_it: tuple[str | None, ...]) -> tuple[str, ...]:
    """Everybody who is not independent, by id."""
    found = {*shares.pulled, *shares.typed, *shares.signed}
    if not shares.pulled:
        found |= {each for each in at_it if each is not None}
    return tuple(sorted(found))


def meaning_of_look(shares: Shares, at_it: tuple[str | None, ...], person: str) -> str:
    """Tell what it means that this person looked, at a hold point or as a role that wants another person."""
    return INDEPENDENT if tie(shares, at_it, person) is None else SAME_PERSON


def did_it(shares: Shares, at_it: tuple[str | None, ...]) -> tuple[str, ...]:
    """Those who can sign that they did the work: who pulled; where nobody did, who is at it."""
    return shares.pulled or tuple(each for each in at_it if each is not None)


def did_not_sign(shares: Shares) -> tuple[str, ...]:
    """Those who pulled and have not signed that they did."""
    return tuple(each for each in shares.pulled if each not in (*shares.signed, NOT_NAMED.id))


def _with(people: tuple[str, ...], one: str) -> tuple[str, ...]:
    return people if one in people else (*people, one)


def given(key: str | None) -> str:
    """A name was typed; a signature with a key is still to be given."""
    return "typed name" if key is None else "still to be signed"
