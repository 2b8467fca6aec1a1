"""Which tools could be taken instead of the one that a prompt is about, with what speaks against each."""

from __future__ import annotations

from clampbook.run.prompts import Prompt, TakeTool, ToolOffer
from clampbook.run.session import Session
from clampbook.run.taking import offers, wanted_at


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
