"""The keys of a book's people as its log tells of them, against people.toml and against the signatures of runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from operator import itemgetter
from typing import Any

from msgspec.structs import replace

from clampbook.book.book import PEOPLE
from clampbook.book.keys import KEY_ADDED, KEY_WITHDRAWN
from clampbook.book.logged import Log
from clampbook.faults import Fault
from clampbook.record.sealed.signatures import Signed
from clampbook.record.sealed.told import fault
from clampbook.run_folder import RunFolder
from clampbook.signing import public
from clampbook.signing.held import HeldKey, moment
from clampbook.signing.public import PublicKey
from clampbook.signing.wire import KeyFault


def keys_told(log: Log) -> tuple[HeldKey, ...]:
    """The keys that a log tells of, with the time from which and until which each was in use."""
    found: dict[tuple[str, str], HeldKey] = {}
    for _, entry in sorted((*log.telling(KEY_ADDED), *log.telling(KEY_WITHDRAWN)), key=itemgetter(0)):
        key, at = _key(entry), moment(entry.get("at"))
        if key is None or at is None or "person" not in entry:
            continue
        person = str(entry["person"])
        name = person, key.fingerprint
        if entry["event"] == KEY_ADDED:
            found.setdefault(name, HeldKey(person, key, at))
        elif name in found:
            found[name] = replace(found[name], withdrawn=max(at, found[name].added))
    return tuple(found.values())


def dated_back(run: RunFolder, signed: Sequence[Signed], log: Log) -> Iterator[tuple[int, Fault]]:
    """Signatures, by their number, that claim a time at which a key was in use, in a run that the log, whose order no
    clock can change, tells of only after that key was withdrawn."""
    begun = next((number for number, _ in log.about(run.id, "run_opened")), 0)
    for number, entry in log.telling(KEY_WITHDRAWN):
        key = _key(entry)
        if number >= begun or key is None:
            continue
        for one in signed:
            if (one.person, one.key) == (entry.get("person"), key.fingerprint):
                told = (
                    f"the key {one.key} of {one.person} was withdrawn before this run began, so signature {one.number} "
                )
                yield one.number, fault("S512", log.file, f"{told}cannot be of {one.at.isoformat()}", line=number)


def _key(entry: Mapping[str, Any]) -> PublicKey | None:
    try:
        return public.read(str(entry.get("public")))
    except KeyFault:
        return None


def as_people_have_them(people: Sequence[HeldKey], told: Sequence[HeldKey]) -> Iterator[Fault]:
    """people.toml can be edited by anybody; which keys were really given (`told`), the chain of the log says."""
    logged = {(held.person, held.key.fingerprint): held for held in told}
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
