"""The lines of a daybook as events, each held to continue the one before."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from clampbook.ledger.chain import chain_faults
from clampbook.ledger.event import LineBase
from clampbook.ledger.lines import NOTHING_BEFORE, UNREADABLE, digest
from clampbook.ledger.refusals import LedgerFault, shown

E = TypeVar("E", bound=LineBase)


def read_events(path: Path, lines: Sequence[bytes], read: Callable[[bytes], E], hint: str = "") -> list[E]:
    """All lines as events. Raises LedgerFault naming the first that fails; `hint` says what can be done then."""
    events: list[E] = []
    before = NOTHING_BEFORE
    for number, line in enumerate(lines, start=1):
        try:
            event = read(line)
        except UNREADABLE as error:
            faults = chain_faults(path, lines)
            unknown = f"it has something that this version does not know ({error})"
            raise LedgerFault(
                f"{shown(path)}, line {number}: {faults[0].text + hint if faults else unknown}"
            ) from error
        if event.prev != before or event.seq != number:
            told = "; ".join(f"line {fault.line}: {fault.text}" for fault in chain_faults(path, lines)[:3])
            raise LedgerFault(f"{shown(path)} is not whole: {told}{hint}")
        before = digest(line)
        events.append(event)
    return events
