"""Questions that several answers have in common: for a reason, a person, a position, a tool, one of a few texts."""

from __future__ import annotations

from collections.abc import Collection

from clampbook.people import Person
from clampbook.run.answers import TakeUp
from clampbook.run.draft import NONE, Draft, Part
from clampbook.run.prompts import Choice, ToolOffer
from clampbook.run.session import Session
from clampbook.run.tool_offers import ToolWay
from clampbook.tools.label import adapter_words

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


def person(name: str, text: str, session: Session, *, nobody: str | None = None, worked: Collection[str] = ()) -> Part:
    """A question for a person: by number from the book's people, or by a name; `nobody` allows naming none. Of those
    who `worked` that is told, where another person is wanted."""
    listed = people_listed(session.people, worked)
    return Part(name, text, "person", (*listed, *((Choice(NONE, nobody),) if nobody else ())), session.people)


def people_listed(people: tuple[Person, ...], worked: Collection[str] = ()) -> tuple[Choice, ...]:
    """People by number; of those whose ids are in `worked` it is told that they did work."""
    return tuple(
        Choice(str(n), f"{one.name}, did work in this run" if one.id in worked else one.name)
        for n, one in enumerate(people, 1)
    )


def labels(positions: tuple[str, ...]) -> tuple[Choice, ...]:
    """Positions as choices: the label is the key."""
    return tuple(Choice(position, position) for position in positions)


def numbered(texts: tuple[str, ...]) -> tuple[Choice, ...]:
    """Texts as choices by number."""
    return tuple(Choice(str(n), text) for n, text in enumerate(texts, 1))


def taken_up(offer: ToolOffer, draft: Draft) -> TakeUp | Part:
    """A tool that was chosen: with which adapter, where the book has any, and a reason where it does not suit."""
    if offer.ways and not draft.has("adapter"):
        text = f"What stands between {offer.tool.name} and the fastener?"
        return Part("adapter", text, "choice", numbered(tuple(_way(each, offer.ways) for each in offer.ways)))
    chosen = offer.ways[int(draft.text("adapter")) - 1] if offer.ways else offer.way(None)
    adapter = chosen.adapter.id if chosen is not None and chosen.adapter is not None else None
    if chosen is None or not chosen.refused or chosen.cannot is not None:
        return TakeUp(offer.tool.id, adapter=adapter)
    if not draft.has("reason"):
        return reason("unsuitable", f"{chosen.against} Why is it taken all the same?")
    return TakeUp(offer.tool.id, draft.text("reason"), adapter)


def _way(way: ToolWay, ways: tuple[ToolWay, ...]) -> str:
    """A way of taking a tool in one line, with what speaks against it and not against every other way as well."""
    named = "nothing, or what lies on its axis" if way.adapter is None else adapter_words(way.adapter)
    if way.cannot is not None:
        return f"{named}; cannot be used, as {way.cannot}"
    possible = [set(each.refused) for each in ways if each.cannot is None]
    return "; ".join((named, *(told for told in way.refused if not all(told in each for each in possible))))
