"""The further questions about a tool that was chosen: the same one or another, what is on it, and the reason for it."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from clampbook.run.answers import Refused, TakeUp
from clampbook.run.gather.asking import SAME_OR_ANOTHER, SAME_TOOL, numbered, reason
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.in_hand.offers import ToolWay, another_serial, sentences
from clampbook.run.prompts import Choice, ToolOffer
from clampbook.tools.adapting import measured
from clampbook.tools.against import told
from clampbook.tools.label import adapter_words
from clampbook.tools.model import Adapter, Tool

PLAIN_SOCKET = "plain_socket"  # no adapter
LENGTH, ANGLE = "adapter_length", "adapter_angle"


def taken_up(offer: ToolOffer, draft: Draft, through: Callable[[Adapter], ToolWay]) -> TakeUp | Part | Refused:
    """A tool that was chosen: whether it is the same one, where its serial number was changed; with which adapter,
    where the book has any, with its length and angle where its entry does not say them; and a reason where it does not
    suit. `through` tells how the tool suits with an adapter that was measured.
    """
    if offer.serial_was is not None and not draft.has(SAME_TOOL):
        asked = another_serial(offer.tool, offer.serial_was)
        return Part(SAME_TOOL, asked, "choice", numbered(SAME_OR_ANOTHER))
    same = draft.text(SAME_TOOL) == "same" if draft.has(SAME_TOOL) else None
    if offer.ways and not draft.has("adapter"):
        text = f"What is on {offer.tool.name}{', on the form' if offer.on_form else ''}?"
        ways = {_code(each): _way(offer.tool, each, offer.ways) for each in offer.ways}
        none = (Choice(NONE, "nothing stands there", NONE),) if offer.on_form else ()
        return Part("adapter", text, "choice", (*numbered(ways), *none))
    chosen = next((way for way in offer.ways if _code(way) == draft.text("adapter")), offer.way(None))
    adapter = None if chosen is None else chosen.adapter
    blank = NONE in (draft.text("adapter"), draft.text(LENGTH), draft.text(ANGLE))  # what a form does not say
    if adapter is not None and not adapter.known and not blank:
        measured = _measured(offer, adapter, draft)
        if not isinstance(measured, Adapter):
            return measured
        chosen = through(measured)
    taken = TakeUp(
        offer.tool.id,
        adapter=NONE if blank else None if adapter is None else adapter.id,
        same=same,
        length=None if blank else draft.text(LENGTH) or None,
        angle=None if blank else draft.text(ANGLE) or None,
    )
    if chosen is None or not chosen.against or chosen.cannot is not None:
        return taken
    if offer.on_form and offer.tool.kind == "marks":  # a form has no box for why no gauge was there
        return taken
    if not draft.has("reason"):
        against = sentences(offer.tool, chosen.against)
        return _reason_on_form(offer.tool, against) if offer.on_form else _why_anyway(offer.tool, against)
    return replace(taken, reason=None if draft.text("reason") == NONE else draft.text("reason"))


def _why_anyway(tool: Tool, against: str) -> Part:
    """Ask for the reason to use a tool that does not suit."""
    return reason("unsuitable", f"{against} Why use {tool.name} anyway?")


def _reason_on_form(tool: Tool, against: str) -> Part:
    """Ask for the reason that stands beside such a tool on a form, where it may be missing."""
    none = Choice(NONE, "nothing stands there", NONE)
    return Part("reason", f"{against} Which reason stands on the form for {tool.name}?", "line", (none,))


def _measured(offer: ToolOffer, adapter: Adapter, draft: Draft) -> Part | Refused | Adapter:
    """Ask for all that an entry does not say of an adapter, one after the other; a form may not say it either."""
    none = (Choice(NONE, "nothing stands there", NONE),) if offer.on_form else ()
    if adapter.extension is None and not draft.has(LENGTH):
        return Part(LENGTH, f"{adapter.name}: how long from drive to middle of its opening? Type mm.", "number", none)
    told = measured(adapter, draft.text(LENGTH), draft.text(ANGLE) or "0")
    if isinstance(told, str):
        return Refused(told)
    if adapter.offset is None and not draft.has(ANGLE):
        text = f"{adapter.name}: at which angle to {offer.tool.name}? Type degrees, 0 straight on."
        return Part(ANGLE, text, "number", none)
    return told


def _code(way: ToolWay) -> str:
    return PLAIN_SOCKET if way.adapter is None else way.adapter.id


def _way(tool: Tool, way: ToolWay, ways: tuple[ToolWay, ...]) -> str:
    """A tool with what is on it in one line, and its reasons that are not those of every other way as well."""
    named = "a plain socket, extension bar or not" if way.adapter is None else adapter_words(way.adapter)
    if way.cannot is not None:
        return f"{named}; cannot: {way.cannot.partition(': ')[2]}"
    possible = [each.against for each in ways if each.cannot is None]
    own = tuple(one for one in way.against if not all(one in each for each in possible))
    return "; ".join((named, *told(tool.name, own)))
