"""The things at hand at a prompt: the pull that is asked for, the position, the step, and the tools."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.run.answers import Refused
from clampbook.run.asked import where_of
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.progress import in_hand
from clampbook.run.prompts import Choice, Confirm, Loosen, OfTheWork, Prompt, Recheck, Tighten, Turn
from clampbook.run.session import Session
from clampbook.tools.model import Tool

NOT_KNOWN = "not_known"
NONE_OF_THEM = Choice(NONE, "none of these", "none_of_them")
NO_SUCH_BOLT = "This joint has no bolt {}."
Pull = Tighten | Turn | Recheck


def pull_at(prompt: Prompt) -> Pull | None:
    """The pull that is asked for here, of several in one answer the first; None where nothing is pulled."""
    if isinstance(prompt, Confirm):
        return prompt.pull
    return prompt if isinstance(prompt, Pull) else None


def is_pull(prompt: Prompt) -> bool:
    """True where something is pulled here, alone or several in one answer."""
    return pull_at(prompt) is not None


def position_at_hand(prompt: Prompt) -> str | None:
    """The position that this prompt is about; None at gates and where no fastener is in question."""
    if isinstance(prompt, Confirm):
        return None if prompt.pull is None else prompt.pull.where.position
    if isinstance(prompt, Loosen):
        return prompt.position
    return prompt.where.position if isinstance(prompt, OfTheWork) else None


def once_done(prompt: Prompt, draft: Draft) -> str | None:
    """The position at hand, once those of a block that are done are taken off."""
    done = draft.text("done up to")
    if isinstance(prompt, Confirm) and done in prompt.positions[:-1]:
        return prompt.positions[prompt.positions.index(done) + 1]
    return position_at_hand(prompt)


def step_of(prompt: Prompt) -> str | None:
    """The plan step at hand, by its id."""
    where = where_of(prompt)
    return None if where is None else where.id


def which_in_hand(session: Session, draft: Draft, text: str) -> Part | Refused | str:
    """The id of the tool meant: the only one in hand, or the one chosen."""
    held = tuple(held.tool for held in session.progress.hand.values())
    if not held:
        return Refused("No tool is in hand.")
    if len(held) == 1:
        return held[0].id
    held = tuple(sorted(held, key=lambda tool: tool.id))
    if not draft.has("tool"):
        return Part("tool", text, "choice", _tools(held))
    return draft.text("tool")


def _tools(held: tuple[Tool, ...]) -> tuple[Choice, ...]:
    """Tools as choices, each by its number, its name, or its id."""
    named = ((tool.id, tool.name, (tool.name.casefold(), tool.id)) for tool in held)
    return tuple(Choice(str(n), name, id, words=words) for n, (id, name, words) in enumerate(named, 1))


def none_such(session: Session, tool: str) -> str:
    """A sentence where a tool is meant that is not in hand."""
    names = ", ".join(held.tool.name for held in in_hand(session.progress)) or "none"
    return f"{foreign.printable(tool)} is not in hand. In hand: {names}."
