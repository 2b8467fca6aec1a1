"""Scans of a paper form: told apart by their first bytes, put into the folder of its run, and read no further."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from clampbook.ledger import atomic
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.record.sealed.names import scan_name
from clampbook.run.events import ScanAdded, ScanKind, read
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder

MOST = 20_000_000  # bytes of a scan
_BEGINS: dict[bytes, ScanKind] = {b"%PDF-": "PDF", b"\x89PNG\r\n\x1a\n": "PNG", b"\xff\xd8\xff": "JPEG"}


class Scan(Struct, frozen=True):
    """A scan as it was handed in."""

    kind: ScanKind
    data: bytes


def read_scan(path: Path) -> Scan:
    """The scan in a file. Raises LedgerFault where it cannot be read, is too large, or is none."""
    try:
        too_large = path.stat().st_size > MOST
    except OSError:
        too_large = False  # reading it says why it cannot be read
    if too_large:
        raise LedgerFault(f"{shown(path)} is larger than {MOST // 1_000_000} MB. Scan it with fewer dots per inch")
    data = read_file(path, MOST)
    kind = next((kind for begin, kind in _BEGINS.items() if data.startswith(begin)), None)
    if kind is None:
        raise LedgerFault(f"{shown(path)} is no scan. A PDF, PNG or JPEG file can be added")
    return Scan(kind, data)


def add(run: RunFolder, walk: Walk, scans: Sequence[Scan]) -> tuple[ScanAdded, ...]:
    """Put scans into the folder of a run that is typed in, each with its line: the file first, so that no line tells of
    one that is not there. Raises LedgerFault where the run is walked, or nothing can be written."""
    if scans and not walk.plan.late:
        raise LedgerFault(f"{run.id} is no run that is typed in from paper. Only such a run has a scan")
    return tuple(_put(run, walk, scan) for scan in scans)


def _put(run: RunFolder, walk: Walk, scan: Scan) -> ScanAdded:
    there = sum(isinstance(read(line), ScanAdded) for line in run.lines()[0])
    name = scan_name(there + 1, scan.kind)
    atomic.write(inside(run.path, name), scan.data)
    return walk.scanned(name, scan.kind, len(scan.data), sha256(scan.data).hexdigest())
