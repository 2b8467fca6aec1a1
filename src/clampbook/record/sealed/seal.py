"""The test of the files of a folder against its seal: by name and sum, nothing more and nothing less."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from clampbook.faults import Fault
from clampbook.record.sealed.names import BESIDE_THE_SEAL, FACTS, GIVEN_UP, REPORT, belongs, number_of
from clampbook.record.sealed.sums import entries, first_difference, sums
from clampbook.record.sealed.told import fault
from clampbook.run_folder import SEAL


def seal_faults(seal: bytes, hashes: Mapping[str, str], *, trusted: bool) -> list[Fault]:
    """Find what differs from the seal. `hashes` are those of all files but the seal itself and what stands beside
    it; `trusted`: the book's log holds the sum of this very seal, so that what does not fit it was changed, and not
    the seal."""
    if seal == sums(hashes):
        return []
    found = list(_by_line(seal, hashes, trusted))
    if found:
        return found
    line = first_difference(seal, sums(hashes))
    return [fault("S505", SEAL, "its lines are not in the form or the order in which they were written", line=line)]


def _by_line(seal: bytes, hashes: Mapping[str, str], trusted: bool) -> Iterator[Fault]:
    named: set[str] = set()
    for entry in entries(seal):
        match entry:
            case int(line):
                yield fault("S505", SEAL, "this line is not a sum and a name", line=line)
            case (line, name, _) if name in named:
                yield fault("S505", SEAL, f"{name} is named a second time", line=line)
            case (line, name, held):
                named.add(name)
                yield from _differs(name, held, hashes.get(name), line, trusted)
    for name in hashes.keys() - named:
        yield fault("S502", name, "this file was not there when the run was sealed")


def _differs(name: str, held: str, found: str | None, line: int, trusted: bool) -> Iterator[Fault]:
    if found == held:
        return
    if found is None:
        yield fault("S501", name, "this file was sealed in and is not there any more")
    elif trusted:
        yield fault("S503", name, "this file was changed after the run was sealed", found=found, allowed=held)
    else:
        told = f"this line and the file {name} do not agree: one of them was changed"
        yield fault("S505", SEAL, told, line=line, found=held, allowed=found)


def facts_faults(facts: bytes, hashes: Mapping[str, str], at_the_end: frozenset[int | None]) -> list[Fault]:
    """Find what differs from facts.sha256, which holds what was there before anybody signed at the end.

    `at_the_end` are the numbers of the signatures that were given after it.
    """
    later = {FACTS, REPORT, GIVEN_UP, *BESIDE_THE_SEAL}
    own = {name: each for name, each in hashes.items() if belongs(name) and name not in later}
    kept = {name: each for name, each in own.items() if number_of(name) not in at_the_end}
    if facts == sums(kept):
        return []
    listed = {entry[1]: entry for entry in entries(facts) if not isinstance(entry, int)}
    found = [
        fault("S506", FACTS, f"this line has another sum for {name} than the file", line=line, found=held)
        for name, (line, _, held) in listed.items()
        if name in kept and held != kept[name]
    ]
    found += [
        fault("S506", FACTS, f"{name} is named here and is not there", line=listed[name][0])
        for name in listed
        if name not in kept
    ]
    found += [fault("S506", FACTS, f"{name} is not named here") for name in kept if name not in listed]
    if found:
        return found
    return [fault("S506", FACTS, "this line is not as it was written", line=first_difference(facts, sums(kept)))]
