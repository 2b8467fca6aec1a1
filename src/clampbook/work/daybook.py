"""A daybook that is to be gone on with: its lines as events, and the state that they leave."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Protocol, TypeVar

from clampbook.ledger.event import LineBase
from clampbook.ledger.formats import plan_unlike, rules_newer, unlike
from clampbook.ledger.lines import UNREADABLE, decode
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


First = TypeVar("First", bound=Opening)
Plan = TypeVar("Plan")


def lines_of(
    path: Path, lines: Sequence[bytes], read: Callable[[bytes], Event], noun: str, opening: type[Opening]
) -> list[Event]:
    """All lines as events, from the opening of the `noun` on, each checked to continue the one before.

    Raises LedgerFault naming the first that does not, or where nothing can be added to a daybook of this format.
    """
    if (told := of_another_format(shown(path), lines)) is not None:
        raise LedgerFault(told)
    hint = f". Close the {noun} with its intact lines: clampbook close-damaged {path.parent.name}"
    events = read_events(path, lines, read, hint)
    opened(path, events, noun, opening)
    return events


def of_another_format(name: str, lines: Sequence[bytes]) -> str | None:
    """A sentence where a daybook's first line gives another format than this version's, or newer rules; its lines may
    then have names that this one does not know.
    """
    try:
        first = decode(lines[0]) if lines else {}
    except LedgerFault:  # a damaged line is told by whoever reads all of them
        return None
    number, rules = first.get("daybook"), first.get("rules")
    other = unlike(name, number) if isinstance(number, int) else None
    return other or (rules_newer(name, rules) if isinstance(rules, int) else None)


def first_of(line: bytes | None, read: Callable[[bytes], LineBase], opening: type[First]) -> First | None:
    """The opening that a daybook's first line is; None where it cannot be read, or is none."""
    try:
        event = read(line) if line is not None else None
    except UNREADABLE:
        return None
    return event if isinstance(event, opening) else None


def frozen_plan(path: Path, data: bytes, held: str | None, read: Callable[[bytes], Plan], noun: str) -> Plan:
    """The plan that was frozen before the first line of a `noun`, which holds the SHA-256 of its bytes; None where it
    is not known. Raises LedgerFault where it is another one, or none that this version reads."""
    if held is not None and sha256(data).hexdigest() != held:
        told = f"is not the plan that this {noun} was opened with. Bring back the file from a copy"
        raise LedgerFault(f"{shown(path)} {told}")
    if (other := plan_unlike(shown(path), data)) is not None:
        raise LedgerFault(other)
    try:
        return read(data)
    except UNREADABLE as error:
        raise LedgerFault(f"{shown(path)} is no plan that can be read: {error}") from error


def opened(path: Path, events: Sequence[LineBase], noun: str, opening: type[Opening]) -> None:
    """A daybook begins with its opening. Raises LedgerFault."""
    if not isinstance(events[0] if events else None, opening):
        raise LedgerFault(f"{shown(path)} does not begin with the opening of a {noun}")


def misfit(apply: Callable[[State, Event], State], begun: State, events: Iterable[Event]) -> int | None:
    """The number of the first line that cannot have come at its place of the plan; None where each can."""
    state = begun
    for event in events:
        try:
            state = apply(state, event)
        except MISFIT:
            return event.seq
    return None
