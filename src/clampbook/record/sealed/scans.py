"""Scans of a paper form in the folder of a run: each as its line tells, and none that no line tells of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from clampbook.faults import Fault
from clampbook.record.sealed.names import is_scan
from clampbook.record.sealed.told import fault
from clampbook.run.events import Event, ScanAdded
from clampbook.run_folder import DAYBOOK


def scan_faults(events: Sequence[Event], hashes: Mapping[str, str], sizes: Mapping[str, int]) -> Iterator[Fault]:
    """Find scans that are missing, changed, or told of by no line; `hashes` and `sizes` are those of the files."""
    told = [event for event in events if isinstance(event, ScanAdded)]
    for event in told:
        found = hashes.get(event.name)
        if not is_scan(event.name):
            yield fault("S530", DAYBOOK, f"{event.name} is no name of a scan", line=event.seq)
        elif found is None:
            yield fault("S530", event.name, f"line {event.seq} of the daybook tells of this scan, which is not there")
        elif found != event.sha256 or sizes[event.name] != event.size:
            differs = f"this is not the scan that line {event.seq} of the daybook tells of"
            yield fault("S530", event.name, differs, found=found, allowed=event.sha256)
    for name in sorted(hashes.keys() - {event.name for event in told}):
        if is_scan(name):
            yield fault("S530", name, "no line of the daybook tells of this scan")
