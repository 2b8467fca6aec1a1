"""The tools that could be taken instead of the one that a prompt is about, with what speaks against each."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from clampbook.run.gather.asking import SAME_TOOL
from clampbook.run.gather.draft import Draft
from clampbook.run.in_hand.ask_for import offers, wanted_at, way_through
from clampbook.run.in_hand.offers import ToolWay
from clampbook.run.prompts import Prompt, TakeTool, ToolOffer
from clampbook.run.session import Session
from clampbook.tools.model import Adapter


def other_tools(prompt: Prompt, session: Session) -> tuple[ToolOffer, ...]:
    """The tools offered for the same pull, those that fit first; none where no tool is needed.

    The tool in use is among them where it can be taken with another adapter.
    """
    if isinstance(prompt, TakeTool):
        return prompt.offers
    wanted = wanted_at(prompt, session)
    if wanted is None:
        return ()
    tool = getattr(getattr(prompt, "pull", None) or prompt, "tool", None)
    in_use = None if tool is None else tool.id
    return tuple(offer for offer in offers(session, wanted[0]) if offer.tool.id != in_use or offer.ways)


def offer_of(session: Session, prompt: Prompt, chosen: ToolOffer, draft: Draft) -> ToolOffer:
    """The tool that was chosen, as it suits once it is known whether it is the same tool."""
    said, wanted = draft.text(SAME_TOOL), wanted_at(prompt, session)
    if not said or wanted is None:
        return chosen
    known = session.told_apart(chosen.tool.id, same=said == "same")
    now = next(offer for offer in offers(known, wanted[0]) if offer.tool.id == chosen.tool.id)
    return replace(now, serial_was=chosen.serial_was)


def through_at(session: Session, prompt: Prompt, chosen: ToolOffer) -> Callable[[Adapter], ToolWay]:
    """Tell how the tool that was chosen suits what a prompt wants, with an adapter that was measured just now."""

    def way(adapter: Adapter) -> ToolWay:
        wanted = wanted_at(prompt, session)
        assert wanted is not None, "a tool is offered only where one is used"
        return way_through(session, wanted[0], chosen.tool, adapter)

    return way
