"""The things that the paper form of a first run left open, told where its bolts are met again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from clampbook.procedure.naming import within_a_sentence
from clampbook.run.events import LeftAt
from clampbook.run.plan import Plan
from clampbook.run.told.places import bolts_named

_IN_WORDS: Mapping[LeftAt, str] = {
    "unknown": "not known",
    "over": "over, nothing decided on the form",
    "under": "under, nothing decided on the form",
}
LEFT = tuple(_IN_WORDS)


def at_the_bolts(plan: Plan, left: Mapping[LeftAt, Sequence[str]]) -> Iterator[str]:
    """Name the bolts that were left so by their groups: "Not known: coupling bolts 5, 8"."""
    for how, told in _IN_WORDS.items():
        groups: dict[str, list[str]] = {}
        for position in left.get(how, ()):
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
