"""The module that asks a question, found by the class of its prompt."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clampbook.run import kinds, questions
from clampbook.run.prompts import Prompt

if TYPE_CHECKING:
    from clampbook.run.kinds.protocol import Question

_ASKS: dict[type[Prompt], Question[Any]] = {}  # of each class its module, once one of it was asked


def own(prompt: Prompt) -> Question[Any]:
    """The module that asks this in a walk."""
    found = _ASKS.get(type(prompt))
    if found is None:
        found = _ASKS[type(prompt)] = _looked_up(prompt)
    return found


def _looked_up(prompt: Prompt) -> Question[Any]:
    return kinds.of(prompt) if isinstance(prompt, kinds.Asked) else questions.of(prompt)
