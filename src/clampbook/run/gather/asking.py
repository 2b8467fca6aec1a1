"""Questions that several answers have in common: for a reason, a person, a position, a tool, one of a few texts."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from clampbook.people import Person
from clampbook.procedure.model import Procedure
from clampbook.run.answers import Correct, Known, Refused, TakeUp
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.in_hand.offers import ToolWay, another_serial
from clampbook.run.prompts import Choice, ToolOffer
from clampbook.run.session import Session
from clampbook.tools.label import adapter_words

# Reasons that come up again and again, so that a numeric pad is enough for them; each with the word of its choice.
REASONS: dict[str, dict[str, str]] = {
    "skip": {
        "no_room": "no room for the tool",
        "part": "waiting for a part",
        "look_first": "must be looked at first",
    },
    "hold": {"part": "waiting for a part", "person": "waiting for another person", "end_of_day": "the day is over"},
    "abandon": {
        "by_mistake": "begun by mistake",
        "unusable_parts": "the parts cannot be used",
        "start_again": "to be done again from the start",
    },
    "void": {
        "jerk": "jerk or chatter",
        "socket_slipped": "the socket slipped",
        "stopped_midway": "stopped within the pull",
    },
    "suspect tool": {
        "drift": "readings drift",
        "overloaded": "it was overloaded",
        "used_to_loosen": "it was used to loosen",
    },
    "dropped": {"no_other_tool": "no other tool in the house", "soft_fall": "it fell from low down onto cloth"},
    "unsuitable": {"no_other_tool": "no other tool in the house", "agreed": "agreed with the person in charge"},
    "concession": {"agreed": "agreed with the person in charge", "no_other_fastener": "no other fastener to be had"},
    "withdrawn": {
        "agreed": "agreed with the person in charge",
        "begun_before": "the same work was begun by this revision",
    },
    "same person": {"nobody_else": "nobody else in the house", "agreed": "agreed with the person in charge"},
    "early": {"agreed": "agreed with the person in charge", "another_clock": "the time was over on another clock"},
    "not accepted": {
        "not_to_procedure": "a position is not as the sheet wants it",
        "start_again": "to be done again from the start",
    },
    "decision": {"agreed": "agreed with the person in charge", "undamaged": "looked at and found sound"},
}
FINAL_OR_TRIAL = {
    "final": "final",
    "trial": "trial: some stages are left out, and it cannot be signed as final",
}
CLICKED = {"yes": "yes", "no": "no", "not_sure": "not sure"}
KNOWN: dict[str, Known] = {
    "tool_shows_it": "the tool still shows it",
    "second_person": "a second person saw it",
    "from_memory": "from memory",
}
NOBODY = "nobody"
WHICH_RUN = "Which run do you want to resume?"
SAME_TOOL = "same_tool"
SAME_OR_ANOTHER = {"another": "another tool", "same": "the same tool (the number was mistyped)"}
PLAIN_SOCKET = "plain_socket"  # no adapter


def who(people: tuple[Person, ...]) -> Part:
    """Ask who is at the keyboard."""
    text = "Who are you? Choose your name, or type a new one." if people else "Who are you? Type your name."
    return Part("who", text, "person", people_listed(people), people)


def reason(why: str, text: str) -> Part:
    """A question for a reason, with the usual ones to choose from; any other is typed."""
    return Part("reason", text, "line", numbered(REASONS[why]))


def despite(procedure: Procedure) -> Part:
    """Ask why a withdrawn procedure is begun all the same."""
    said = procedure.withdrawal
    why = f" {said.by} withdrew it on {said.on}: {said.because}." if said is not None else ""
    text = f"Revision {procedure.revision} is withdrawn.{why} Why is it begun all the same?"
    return Part("despite", text, "line", numbered(REASONS["withdrawn"]))


def person(
    name: str,
    text: str,
    session: Session,
    *,
    nobody: str | None = None,
    worked: Collection[str] = (),
    of: tuple[Person, ...] = (),
) -> Part:
    """A question for a person: by number from the book's people (only `of` these, if any), or by a name; `nobody`
    allows naming none. Of those who `worked` that is told, where another person is wanted."""
    listed = people_listed(of or session.people, worked)
    return Part(name, text, "person", (*listed, *((Choice(NONE, nobody, NOBODY),) if nobody else ())), session.people)


def people_listed(people: tuple[Person, ...], worked: Collection[str] = ()) -> tuple[Choice, ...]:
    """People by number; of those whose ids are in `worked` it is told that they did work."""
    return tuple(
        Choice(str(n), f"{one.name}, did work in this run" if one.id in worked else one.name, one.id)
        for n, one in enumerate(people, 1)
    )


def you_entered(named: str, entered: str | None, *, what: str = "value") -> str:
    """The question for a correction, which names what is corrected."""
    said = f"you entered {entered}" if entered else "you entered nothing"
    return f"{named}: {said}. Correct {what}?"


def labels(positions: tuple[str, ...]) -> tuple[Choice, ...]:
    """Positions as choices: the label is the key."""
    return tuple(Choice(position, position, position) for position in positions)


def numbered(texts: Mapping[str, str]) -> tuple[Choice, ...]:
    """Texts as choices by number; each text stands under its value."""
    return tuple(Choice(str(n), text, value) for n, (value, text) in enumerate(texts.items(), 1))


def named(texts: Collection[str]) -> tuple[Choice, ...]:
    """Words that are their own value, such as units, as choices by number."""
    return numbered({text: text for text in texts})


def taken_up(offer: ToolOffer, draft: Draft) -> TakeUp | Part:
    """A tool that was chosen: whether it is the same one, where its serial number was changed; with which adapter,
    where the book has any; and a reason where it does not suit."""
    if offer.serial_was is not None and not draft.has(SAME_TOOL):
        asked = another_serial(offer.tool, offer.serial_was)
        return Part(SAME_TOOL, asked, "choice", numbered(SAME_OR_ANOTHER))
    same = draft.text(SAME_TOOL) == "same" if draft.has(SAME_TOOL) else None
    if offer.ways and not draft.has("adapter"):
        text = f"What stands between {offer.tool.name} and the fastener?"
        return Part("adapter", text, "choice", numbered({_code(each): _way(each, offer.ways) for each in offer.ways}))
    chosen = next((way for way in offer.ways if _code(way) == draft.text("adapter")), offer.way(None))
    adapter = chosen.adapter.id if chosen is not None and chosen.adapter is not None else None
    if chosen is None or not chosen.refused or chosen.cannot is not None:
        return TakeUp(offer.tool.id, adapter=adapter, same=same)
    if not draft.has("reason"):
        return reason("unsuitable", f"{chosen.against} Why is it taken all the same?")
    return TakeUp(offer.tool.id, draft.text("reason"), adapter, same)


def _code(way: ToolWay) -> str:
    return PLAIN_SOCKET if way.adapter is None else way.adapter.id


def _way(way: ToolWay, ways: tuple[ToolWay, ...]) -> str:
    """A way of taking a tool in one line, with what speaks against it and not against every other way as well."""
    named = "nothing, or what lies on its axis" if way.adapter is None else adapter_words(way.adapter)
    if way.cannot is not None:
        return f"{named}; cannot: {way.cannot.partition(': ')[2]}"
    possible = [set(each.refused) for each in ways if each.cannot is None]
    return "; ".join((named, *(told for told in way.refused if not all(told in each for each in possible))))


def put_right(draft: Draft, session: Session, of: int | None) -> Part | Refused | Correct:
    """A correction, once it is known how its value is known; who else saw it is named."""
    known: Known = KNOWN[draft.text("known")]
    if known == "a second person saw it" and not draft.has("person"):
        return person("person", "Which other person saw it?", session, nobody="nobody else")
    saw = draft.person("person")
    if draft.has("person") and saw is None:
        return Refused("Nobody else saw it, so nothing was changed. Correct it again, from memory.")
    return Correct(draft.text("value"), known, of, saw)
