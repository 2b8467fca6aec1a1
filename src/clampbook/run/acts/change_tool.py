"""Another tool for the pull at hand, with its reasons; the one in use is not offered."""

from __future__ import annotations

from clampbook.run.answers import Refused
from clampbook.run.gather.chosen_tool import taken_up
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.in_hand.other_tools import offer_of, other_tools, through_at
from clampbook.run.kinds.kind import Next
from clampbook.run.prompts import Prompt
from clampbook.run.questions.take_tool import listed
from clampbook.run.questions.take_tool import take as decide
from clampbook.run.session import Session

__all__ = ["complete", "decide"]


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Another tool for the pull at hand, with its reasons; the one in use is not offered."""
    offers = tuple(offer for offer in other_tools(prompt, session) if offer.cannot is None)
    if not offers:
        return Refused("No other tool suits this step.")
    if not draft.has("tool"):
        return Part("tool", "Which tool instead?", "choice", listed(offers))
    chosen = next(offer for offer in offers if offer.tool.id == draft.text("tool"))
    return taken_up(offer_of(session, prompt, chosen, draft), draft, through_at(session, prompt, chosen))
