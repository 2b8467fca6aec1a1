"""The things that the paper form of a first run left open, told where its bolts are met again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from clampbook.procedure.naming import within_a_sentence
from clampbook.run.plan import Plan
from clampbook.run.told.places import bolts_named

LeftAt = Literal["unknown", "over", "under"]
"""How a form left a bolt: nothing stands there, or it was outside its window and nothing was decided."""
_IN_WORDS: Mapping[str, str] = {
    "unknown": "not known",
    "over": "over, nothing decided on the form",
    "under": "under, nothing decided on the form",
}


def at_the_bolts(plan: Plan, left: Mapping[str, Sequence[LeftAt]]) -> Iterator[str]:
    """Name the bolts of each kind by their groups: "Not known: coupling bolts 5, 8"."""
    for how, told in _IN_WORDS.items():
        found = [position for position, words in left.items() if how in words]
        groups: dict[str, list[str]] = {}
        for position in found:
            group = plan.group_of.get(position)
            groups.setdefault(group.name if group is not None else "", []).append(position)
        if groups:
            named = "; ".join(_named(plan, positions) for positions in groups.values())
            yield f"{told[:1].upper()}{told[1:]}: {named}."


def _named(plan: Plan, positions: Sequence[str]) -> str:
    group = plan.group_of.get(positions[0])
    named = bolts_named(None, positions) if group is None else bolts_named(group.name, positions, group.one)
    return within_a_sentence(named)


def at_the_bolt(words: Sequence[LeftAt]) -> Iterator[str]:
    """The same as lines under the question about one of them."""
    for word in words:
        yield f"the first run: {_IN_WORDS[word]}"
