"""The keys of a book's people as its log tells of them, against people.toml and against the signatures of runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from clampbook.book.book import PEOPLE
from clampbook.book.logged import Log
from clampbook.faults import Fault
from clampbook.record.sealed.signatures import Signed
from clampbook.record.sealed.told import fault
from clampbook.run_folder import RunFolder
from clampbook.signing import public
from clampbook.signing.held import HeldKey, second
from clampbook.signing.wire import KeyFault


def keys_told(log: Log) -> tuple[HeldKey, ...]:
    """The keys that a log tells of, with the time from which and until which each was in use."""
    found: dict[tuple[str, str], HeldKey] = {}
    for _, _, entry in log.entries:
        try:
            person, key, at = (
                str(entry["person"]),
                public.read(entry["public"]),
                second(datetime.fromisoformat(entry["at"])),
            )
        except (KeyError, TypeError, ValueError, AttributeError, KeyFault):
            continue
        name = person, key.fingerprint
        if entry.get("event") == "key_added":
            found.setdefault(name, HeldKey(person, key, at))
        elif entry.get("event") == "key_withdrawn" and name in found:
            found[name] = replace(found[name], withdrawn=max(at, found[name].added))
    return tuple(found.values())


def dated_back(run: RunFolder, signed: Sequence[Signed], log: Log) -> Iterator[tuple[int, Fault]]:
    """Signatures, by their number, that claim a time at which a key was in use, in a run that the log, whose order no
    clock can change, tells of only after that key was withdrawn."""
    begun = next((number for number, _ in log.about(run.id, "run_opened")), 0)
    for number, _, entry in log.entries[: max(begun - 1, 0)]:
        if entry.get("event") != "key_withdrawn":
            continue
        for one in signed:
            if (one.person, one.key) == (entry.get("person"), _fingerprint(entry)):
                told = (
                    f"the key {one.key} of {one.person} was withdrawn before this run began, so signature {one.number} "
                )
                yield one.number, fault("S512", log.file, f"{told}cannot be of {one.at.isoformat()}", line=number)


def _fingerprint(entry: Mapping[str, Any]) -> str | None:
    try:
        return public.read(str(entry.get("public"))).fingerprint
    except KeyFault:
        return None


def as_people_have_them(people: Sequence[HeldKey], log: Log) -> Iterator[Fault]:
    """people.toml can be edited by anybody; which keys were really given, the chain of the log says."""
    logged = {(held.person, held.key.fingerprint): held for held in keys_told(log)}
    for held in people:
        known = logged.get((held.person, held.key.fingerprint))
        what = f"the key {held.key.fingerprint} of {held.person}"
        if known is None:
            yield fault("S512", PEOPLE, f"{what} stands here, and no line of the log says that it was added")
        elif (held.added, held.withdrawn) != (known.added, known.withdrawn):
            yield fault("S512", PEOPLE, f"{what} was in use at other times by the log than stands here")
    present = {(held.person, held.key.fingerprint) for held in people}
    for person, key in logged.keys() - present:
        yield fault("S512", PEOPLE, f"the key {key} of {person} was taken out: by the log it was added")
