"""The answer that the tool of the pull at hand gives by itself: its number, or whether it clicked."""

from __future__ import annotations

from clampbook.run.acts.at_hand import pull_at
from clampbook.run.gather.asking import CLICKED as _CLICKED
from clampbook.run.gather.asking import numbered
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Prompt, Turn
from clampbook.tools.model import Tool

CLICKED = {"yes": True, "no": False, "not_sure": None}


def clicked(tool: Tool) -> Part:
    """The question whether it did."""
    return Part("clicked", f"Did {tool.name} click?", "choice", numbered(_CLICKED))


def ringed() -> Part:
    """The same of a form, where only a ring tells of a click."""
    ways = {"yes": "a ring, crossed out", "not_sure": "no ring"}
    return Part("clicked", "Crossed out: what stands there?", "choice", numbered(ways))


def gives_a_click(prompt: Prompt) -> Tool | None:
    """The setting tool of this pull; None where a number is typed, or a turn goes by the mark."""
    pull = pull_at(prompt)
    return None if pull is None or isinstance(pull, Turn) or pull.reading else pull.tool


def shows_a_value(prompt: Prompt) -> Tool | None:
    """The tool whose number is typed at this pull; None where it only lets go or turns by the mark."""
    pull = pull_at(prompt)
    if pull is None:
        return None
    types = not pull.by_marks if isinstance(pull, Turn) else pull.reading
    return pull.tool if types else None
