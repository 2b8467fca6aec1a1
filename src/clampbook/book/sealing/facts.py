"""The files in a run's folder before anybody signs at its end: record, allowed signers, and the sums of all facts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from clampbook.book.book import Book
from clampbook.book.keys import known_keys
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.record.record import build
from clampbook.record.sealed import names
from clampbook.record.sealed.dues import Due, SealDue
from clampbook.record.sealed.folder import lying
from clampbook.record.sealed.sums import digests, sums
from clampbook.record.written import FROZEN
from clampbook.run_folder import RECORD, RunFolder
from clampbook.signing import allowed
from clampbook.signing.held import HeldKey

MOST = 500_000_000  # bytes of a file of a run


def prepare(book: Book, run: RunFolder, dues: Sequence[Due]) -> None:
    """Record, allowed signers and facts, in this order. Once somebody has signed over them they stay as they are.

    Raises LedgerFault where they do not fit together any more.
    """
    _tidy(run, dues)
    path = inside(run.path, names.FACTS)
    if any(inside(run.path, names.signature_of(due.number)).exists() for due in dues if not due.at_once):
        if read_file(path, MOST) != _facts(run, dues):
            raise LedgerFault(f"{shown(path)} does not match the files beside it. See them with: clampbook verify")
        return
    procedure, plan, daybook = (read_file(inside(run.path, name), MOST) for name in FROZEN)
    atomic.write(inside(run.path, RECORD), build(procedure, plan, daybook))
    held = [key for due in dues for key in known_keys(book) if is_of(due, key)]
    if held:
        atomic.write(inside(run.path, names.ALLOWED), allowed.lines(held))
    atomic.write(path, _facts(run, dues))


def is_of(due: Due | SealDue, held: HeldKey) -> bool:
    """True where this is the key that a signature was announced with."""
    return held.person == due.person.id and held.key.fingerprint == due.key


def take_away(path: Path) -> None:
    """Raises LedgerFault where the system refuses."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise refusal(path, error, "be removed") from error


def _facts(run: RunFolder, dues: Sequence[Due]) -> bytes:
    later = {names.FACTS, names.REPORT, names.GIVEN_UP, *names.BESIDE_THE_SEAL}
    ends = {due.number for due in dues if not due.at_once}
    files = lying(run.path).files
    kept = {name: data for name, data in files.items() if name not in later and names.number_of(name) not in ends}
    return sums(digests(kept))


def _tidy(run: RunFolder, dues: Sequence[Due]) -> None:
    """Only what belongs to a run is sealed; what a killed program left half written is taken away."""
    found = lying(run.path)
    announced = {None, *(due.number for due in dues)}
    for name in found.left_over:
        take_away(run.path / name)
    rows = [lines.decode(line) for line in run.lines()[0]]
    told = {row["name"] for row in rows if row["event"] == "scan_added"}
    for name in found.files:
        untold = names.is_scan(name) and name not in told
        if untold and rows and rows[0].get("typed_at"):  # a program left it that was killed before the line of its scan
            take_away(run.path / name)
        elif untold or not names.belongs(name) or names.number_of(name) not in announced:
            raise LedgerFault(f"{shown(run.path / name)} does not belong to the run. Remove it first")
    if found.odd:
        raise LedgerFault(f"{shown(run.path / found.odd[0])} is not a plain file. Remove it first")
