"""A daybook that is to be gone on with: its lines as events, and the state that they leave."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Protocol, TypeVar

from clampbook.ledger.event import LineBase
from clampbook.ledger.formats import unlike
from clampbook.ledger.reading import read_events
from clampbook.ledger.refusals import LedgerFault, shown

State = TypeVar("State")
Event = TypeVar("Event", bound=LineBase)

# What the fold or the deciding of lines raises that no work on their plan can have brought about.
MISFIT = (LookupError, ValueError, ArithmeticError, AssertionError)
OUT_OF_PLACE = "what it tells cannot have come at this place of the plan"


class Opening(Protocol):
    """The line that opens a daybook, with its format."""

    @property
    def daybook(self) -> int: ...


def lines_of(
    path: Path, lines: Sequence[bytes], read: Callable[[bytes], Event], noun: str, opening: type[Opening]
) -> list[Event]:
    """All lines as events, from the opening of the `noun` on, each checked to continue the one before.

    Raises LedgerFault naming the first that does not, or where nothing can be added to a daybook of this format.
    """
    ends = "closes the run" if noun == "run" else f"ends the {noun}"
    kept = f"; clampbook close-damaged {path.parent.name} keeps what is sound of it and {ends}"
    events = read_events(path, lines, read, kept)
    opened(path, events, noun, opening)
    return events


def opened(path: Path, events: Sequence[LineBase], noun: str, opening: type[Opening]) -> None:
    """A daybook begins with `opened` in a format that can be added to. Raises LedgerFault."""
    first = events[0] if events else None
    if not isinstance(first, opening):
        raise LedgerFault(f"{shown(path)} does not begin with the opening of a {noun}")
    if (told := unlike(shown(path), first.daybook)) is not None:
        raise LedgerFault(told)


def misfit(apply: Callable[[State, Event], State], begun: State, events: Iterable[Event]) -> int | None:
    """The number of the first line that cannot have come at its place of the plan; None where each can."""
    state = begun
    for event in events:
        try:
            state = apply(state, event)
        except MISFIT:
            return event.seq
    return None
