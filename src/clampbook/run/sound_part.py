"""The sound part of a damaged daybook: the lines before the first that is not what was written."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from msgspec import Struct

from clampbook.ledger.chain import chain_faults
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.run import events as e
from clampbook.run.fold.apply import apply, begin
from clampbook.run.plan import Plan
from clampbook.work.daybook import OUT_OF_PLACE, misfit, of_another_format, opened

_CUT, _UNLIKE = "D302", "D304"  # numbers with a gap; a line that does not continue the one before


class SoundPart(Struct, frozen=True):
    """The events of the first lines, and what is wrong with the next one, whose number in the file is `line`."""

    events: tuple[e.Event, ...]
    line: int
    told: str


def sound_part(path: Path, plan: Plan, lines: Sequence[bytes]) -> SoundPart | None:
    """The sound beginning of the lines; None where every line is sound.

    Raises LedgerFault where a whole line is of no run of this plan, or is something that only a newer version knows.
    """
    found = first_fault(path, lines)
    kept = lines if found is None else lines[: found[0]]
    if (older := of_another_format(shown(path), kept)) is not None:
        raise LedgerFault(older)
    events = tuple(_event(number, line) for number, line in enumerate(kept, start=1))
    if not events:
        raise LedgerFault("nothing of it is intact, not even its first line: there is nothing to save")
    opened(path, events, "run", e.Opened)
    line = misfit(partial(apply, plan), begin(plan), events)
    if line is not None:
        return SoundPart(events[: line - 1], line, OUT_OF_PLACE)
    return None if found is None else SoundPart(events, found[1], found[2])


def first_fault(path: Path, lines: Sequence[bytes]) -> tuple[int, int, str] | None:
    """Count the lines before the first fault, with the number of its line, and what is wrong.

    Where two lines do not fit together and none is missing between them, either may be the changed one: neither counts.
    """
    faults = chain_faults(path, lines)
    if not faults:
        return None
    first = min(faults, key=lambda fault: fault.line or 1)
    number = first.line or 1
    cut = any(fault.code == _CUT and fault.line == number for fault in faults)
    before = number - (2 if first.code == _UNLIKE and not cut else 1)
    return max(0, before), number, first.text


def _event(number: int, line: bytes) -> e.Event:
    try:
        return e.read(line)
    except UNREADABLE as error:
        told = f"line {number} is whole, and has something that this version does not know ({error})"
        raise LedgerFault(f"{told}: nothing was changed; use the version that wrote it") from error
