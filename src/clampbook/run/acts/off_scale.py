"""A torque that its tool cannot show is questioned before it is stored: typed once more."""

from __future__ import annotations

from clampbook import units
from clampbook.run.acts.at_hand import pull_at
from clampbook.run.gather.asking import AGAIN
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.values import off_scale
from clampbook.run.prompts import Prompt, Turn
from clampbook.units import Kind, UnitFault


def typed_again(prompt: Prompt, draft: Draft, text: str) -> str | Part:
    """Take what was typed of the pull at hand, in the unit of its tool where it has none; asked for once more
    where that tool's scale does not have it. What is typed then stands.
    """
    if draft.has(AGAIN):
        return draft.text(AGAIN)
    pull = pull_at(prompt)
    if pull is None or isinstance(pull, Turn):
        return text
    try:
        read = units.parse(text, Kind.TORQUE, unit=pull.tool.unit)
    except UnitFault:
        return text  # refused when it is decided, with what can be typed
    beyond = off_scale(read, pull.aim, "Type it again.")
    return text if beyond is None else Part(AGAIN, beyond, "number")
