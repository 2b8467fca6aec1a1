"""The keys of a book's people as its log tells of them, against people.toml and against the signatures of runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from operator import itemgetter
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book.book import PEOPLE, Book
from clampbook.book.keys import KEY_ADDED, KEY_WITHDRAWN, KNOWN_SINCE
from clampbook.book.soundness.logged import Log, merged_logs
from clampbook.faults import Fault
from clampbook.record.sealed.names import SEAL_SIGNATURE, signature_of
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.told import fault
from clampbook.record.sealed.typed import Typed
from clampbook.run_folder import DAYBOOK, RunFolder
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
            gone, since = max(at, found[name].added), moment(entry.get(KNOWN_SINCE))
            found[name] = replace(found[name], withdrawn=gone, known_since=since)
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
                    f"the key {one.key} of {one.person} was revoked before this run began, so signature {one.number} "
                )
                yield one.number, fault("S512", log.file, f"{told}cannot be of {one.at.isoformat()}", line=number)


def signed_when_known(signed: Sequence[Signed], keys: Sequence[HeldKey]) -> Iterator[Fault]:
    """Signatures given at a time from which on others may have had their key: anybody of these could have given them,
    and could have named an earlier time."""
    known = {(held.person, held.key.fingerprint): held.known_since for held in keys}
    for one in signed:
        since = known.get((one.person, one.key))
        if since is not None and one.at >= since:
            told = f"{one.name} signed this on {one.at:%Y-%m-%d} ({one.meaning})"
            file = signature_of(one.number) if one.number else SEAL_SIGNATURE
            yield fault("S529", file, f"{told}, and others may have had the key {one.key} since {since:%Y-%m-%d}")


class _Held(Struct, frozen=True):
    """A key as the log has it: the line and the time from which, and to which, it was in use."""

    key: str
    line: int
    since: datetime
    gone: int | None = None
    until: datetime | None = None


def without_it(name: str, typed: Sequence[Typed], log: Log, ended: int | None) -> Iterator[Fault]:
    """People who had a key by the log and vouched for something by typed name. `name` is that of the run, `ended` the
    line of the log that says that it was sealed.

    What was in use before the log tells of the run was in use in it, whatever its times say; what was given while the
    run went on, by time. A name that stands on a paper form vouches for nothing: a pen has no key.
    """
    begun = log.first(name)
    for each in typed:
        at = moment(each.at)
        if each.person is None or at is None or each.on_form:
            continue
        for held in _held(log, each.person.id):
            before = held.line < begun
            given = before or (held.since < at and held.line < (ended or held.line + 1))
            left = held.gone is not None and (held.gone < begun or (held.until or at) <= at)
            if given and not left:
                told = f"{each.person.name} had the key {held.key}, but the name was typed ({each.meaning})"
                yield fault("S526", DAYBOOK, told, line=each.line)


def _held(log: Log, person: str) -> Iterator[_Held]:
    """The keys of one person."""
    gone = {str(entry.get("public")): (n, moment(entry.get("at"))) for n, entry in log.telling(KEY_WITHDRAWN)}
    for number, entry in log.telling(KEY_ADDED):
        key, since = _key(entry), moment(entry.get("at"))
        if entry.get("person") == person and key is not None and since is not None:
            left, until = gone.get(key.text, (None, None))
            yield _Held(key.fingerprint, number, since, left, until)


def two_at_once(log: Log) -> Iterator[Fault]:
    """Nobody is given a key while another one of theirs is in use: the program never does, so somebody else did."""
    mine: dict[str, str] = {}
    for number, entry in sorted((*log.telling(KEY_ADDED), *log.telling(KEY_WITHDRAWN)), key=itemgetter(0)):
        person, key = str(entry.get("person")), str(entry.get("public"))
        if entry.get("event") == KEY_WITHDRAWN:
            mine.pop(person, None)
        elif mine.setdefault(person, key) != key:
            told = f"{person} is given a key while another one is in use: no program of this kind writes that"
            yield fault("S512", log.file, told, line=number)


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


def keys_of_merged(book: Book) -> tuple[HeldKey, ...]:
    """All keys that the logs of merged books tell of, by person there, in the order of the books' ids: whoever signed
    there is vouched for here too. Raises LedgerFault where a log cannot be read."""
    return tuple(held for log in merged_logs(book).values() for held in keys_told(log))
