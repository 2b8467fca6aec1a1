"""The things that a run from a paper form left open, as headline and searches say it."""

from __future__ import annotations

from msgspec import Struct

from clampbook.text import counted

FROM_PAPER = "Entered late from paper"


class LeftOpen(Struct, frozen=True):
    """The numbers of it, and the roles that nobody signed for."""

    unknown: int = 0
    undecided: int = 0
    unsigned: tuple[str, ...] = ()


def as_it_ended(outcome: str, left: LeftOpen) -> str:
    """The outcome of a run: where something outside was not decided it was accepted in part only."""
    return "accepted in part" if outcome == "accepted" and left.undecided else outcome


def in_the_headline(left: LeftOpen) -> str:
    """The numbers behind the outcome: ", 1 position not known, 2 outside with nothing decided"."""
    found = [f"{counted(left.unknown, 'position')} not known"] if left.unknown else []
    found += [f"{left.undecided} outside with nothing decided"] if left.undecided else []
    found += [f"not signed as {', '.join(left.unsigned)}"] if left.unsigned else []
    return "".join(f", {each}" for each in found)
