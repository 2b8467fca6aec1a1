"""The record of a run or a check as it may be shown: made anew from the frozen files, never read from the disk as it
is. What is stored is compared with it; only where nothing can be made is it shown, and then as not checked."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from clampbook.check.folder import CheckFolder
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.frozen import read
from clampbook.record.record import NEWEST, build_from, format_of
from clampbook.record.sealed.sums import first_difference
from clampbook.run_folder import MOST_OF_A_PLAN, RECORD, RunFolder
from clampbook.text import as_sentence
from clampbook.work.frozen import RecordFault

NOT_CHECKED = "NOT CHECKED"
_MOST = 500_000_000  # bytes of a daybook


class Rebuilt(Struct, frozen=True):
    """The text of a record; `differs` is what is to be said where the stored one is another, `unchecked` why the text
    is the stored one and nothing vouches for it."""

    text: str
    differs: str = ""
    unchecked: str = ""

    @property
    def sound(self) -> bool:
        """True where it was made anew and is what is stored."""
        return not self.differs and not self.unchecked


def rebuilt(run: RunFolder) -> Rebuilt:
    """The record of a run or a check. Raises LedgerFault where none can be made and none is stored."""
    stored = _stored(run)
    try:
        made = _made(run, stored)
    except (RecordFault, LedgerFault) as fault:
        if stored is None:
            raise LedgerFault(fault.sentence) from fault
        told = f"{NOT_CHECKED}: the record cannot be made again. {as_sentence(fault.sentence)}"
        return Rebuilt(stored.decode("utf-8", "backslashreplace"), unchecked=told)
    if stored is None or stored == made:
        return Rebuilt(made.decode())
    line = first_difference(stored, made)
    told = f"{RECORD} on the disk differs from line {line} on. This one is made from the daybook."
    return Rebuilt(made.decode(), differs=told)


def _made(run: RunFolder, stored: bytes | None) -> bytes:
    """The bytes that the frozen files make, by the builder that made the stored ones where they name it."""
    if isinstance(run, CheckFolder):
        from clampbook.record.checks.written import record_of

        return record_of(run)
    frozen = read(run.procedure(), run.plan(), read_file(_at(run, run.daybook.name), _MOST))
    return build_from(frozen, _builder(stored))


def _builder(stored: bytes | None) -> int:
    try:
        return NEWEST if stored is None else format_of(stored)
    except RecordFault:  # it is damaged, which the comparison tells
        return NEWEST


def _stored(run: RunFolder) -> bytes | None:
    """Read what stands in record.toml; None where there is none, or none that can be read."""
    try:
        return read_file(_at(run, RECORD), MOST_OF_A_PLAN)
    except LedgerFault:
        return None


def _at(run: RunFolder, name: str) -> Path:
    return inside(run.path, name)
