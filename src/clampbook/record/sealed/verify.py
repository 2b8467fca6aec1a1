"""Everything about a sealed run recomputed from its bytes: what is wrong with it, and what its signatures are worth."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from clampbook.faults import Fault
from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.lines import digest, split
from clampbook.record.frozen import Frozen, read
from clampbook.record.record import build_from, disagreement, format_of
from clampbook.record.sealed import given_up
from clampbook.record.sealed.attachments import attached, carried_faults
from clampbook.record.sealed.dues import Due, closers, dues
from clampbook.record.sealed.folder import Lying
from clampbook.record.sealed.given_up import GivenUp
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.names import (
    BESIDE_THE_SEAL,
    FACTS,
    GIVEN_UP,
    REPORT,
    belongs,
    is_torn,
)
from clampbook.record.sealed.scans import scan_faults
from clampbook.record.sealed.seal import facts_faults, seal_faults
from clampbook.record.sealed.seal_signed import MaySeal, seal_signed
from clampbook.record.sealed.signatures import allowed_in, signatures
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.sums import first_difference
from clampbook.record.sealed.told import fault, other_record
from clampbook.record.sealed.typed import Typed, typed
from clampbook.run.recount import recounted
from clampbook.run_folder import DAYBOOK, PLAN, PROCEDURE, RECORD, SEAL
from clampbook.work.frozen import RecordFault

_FORMAT = re.compile(rb"record = ([1-9][0-9]{0,3})\n")  # as a record begins; reading all of it takes far longer
_FROZEN = (PROCEDURE, PLAN, DAYBOOK)


class Logged(Struct, frozen=True):
    """The book's log on a run: the SHA-256 of its seal and of its last line; None where it says nothing."""

    seal: str | None = None
    last: str | None = None


class Verified(Struct, frozen=True):
    """The findings: every fault, the signatures that hold (that of the seal has number 0), what names vouch for that
    no key does, and what was given up."""

    faults: tuple[Fault, ...]
    signed: tuple[Signed, ...] = ()
    typed: tuple[Typed, ...] = ()
    gone: tuple[GivenUp, ...] = ()


def verify(lying: Lying, hashes: Mapping[str, str], logged: Logged, keys: Keys) -> Verified:
    """A run's folder against itself, against the log of its book, and against the keys that are known. `hashes` are the
    `digests` of its files."""
    files = lying.files
    odd = "this is a link, no plain file, or far too large, and is not read"
    faults = [fault("S504", name, odd) for name in lying.odd]
    faults += against_the_seal(files, hashes, logged)
    missing = [name for name in _FROZEN if name not in files]
    faults += [fault("S501", name, "without this file there is no run") for name in missing if SEAL not in files]
    signed: list[Signed] = []
    by_name: list[Typed] = []
    gone: tuple[GivenUp, ...] = ()
    try:
        gone = given_up.read(files.get(GIVEN_UP))
    except RecordFault as refused:
        faults.append(fault("S519", GIVEN_UP, refused.sentence))
    if not missing:
        for found in _of_the_run(files, hashes, logged, keys, gone):
            match found:
                case Signed():
                    signed.append(found)
                case Typed():
                    by_name.append(found)
                case Fault():
                    faults.append(found)
    faults = list(_located(files, faults))
    return Verified(tuple(dict.fromkeys(faults)), tuple(signed), tuple(by_name), gone)


def against_the_seal(files: Mapping[str, bytes], hashes: Mapping[str, str], logged: Logged) -> list[Fault]:
    """Find what differs from the seal, and whether it is the one that the log knows; nothing where neither has any."""
    if SEAL not in files:
        if logged.seal is not None:
            return [fault("S501", SEAL, "the log says that this run is sealed, and its seal is not there")]
        return []
    trusted = logged.seal == hashes[SEAL]
    others = {name: each for name, each in hashes.items() if name not in BESIDE_THE_SEAL}
    found = seal_faults(files[SEAL], others, trusted=trusted)
    if logged.seal is not None and not trusted:
        told = "this is not the seal in the book's log: changed or rewritten"
        found.insert(0, fault("S505", SEAL, told, found=hashes[SEAL], allowed=logged.seal))
    return found


def _of_the_run(
    files: Mapping[str, bytes], hashes: Mapping[str, str], logged: Logged, keys: Keys, gone: Sequence[GivenUp]
) -> Iterator[Fault | Signed | Typed]:
    """Daybook, figures, record, facts, signatures and report, as far as each can be read."""
    lines = split(files[DAYBOOK])[0]
    in_chain = [*chain_faults(Path(DAYBOOK), lines, logged.last), *form_faults(Path(DAYBOOK), lines)]
    yield from in_chain
    try:
        run = read(*(files[name] for name in _FROZEN))
    except RecordFault as refused:
        if not in_chain:
            file = next((name for name in _FROZEN if refused.sentence.startswith(name)), DAYBOOK)
            yield fault("S519", file, refused.sentence)
        return
    for number, told in recounted(run.plan, run.events):
        yield fault("S508", DAYBOOK, told, line=number)
    yield from scan_faults(run.events, hashes, {name: len(data) for name, data in files.items()})
    yield from _record(run, files)
    if (differs := disagreement(files.get(RECORD, b""))) is not None:
        yield fault("S522", RECORD, differs)
    yield from _by_name(run, keys)
    if SEAL not in files and FACTS not in files:
        return
    signing = dues(run.events)
    at_the_end = frozenset(each.number for each in signing if not each.at_once)
    if FACTS in files:
        yield from facts_faults(files[FACTS], hashes, at_the_end)
    facts = hashes.get(FACTS, sha256(b"").hexdigest())
    yield from signatures(run, tuple(map(digest, lines)), signing, files, facts, keys, gone)
    if SEAL in files:
        yield from _seal(run, closers(signing), files, hashes, keys, gone)
    if SEAL in files and REPORT in files:
        here = (name for name in files if belongs(name) and name != REPORT and not is_torn(name))
        yield from carried_faults(files, set(here) - BESIDE_THE_SEAL)


def _by_name(run: Frozen, keys: Keys) -> Iterator[Fault | Typed]:
    """Find what no key vouches for; with keys from outside that is not enough."""
    for each in typed(run):
        yield each
        if keys.outside is not None:
            who = f"{each.person.name} by typed name" if each.person is not None else "nobody signed"
            yield fault("S525", DAYBOOK, f"no signature by a trusted key: {each.meaning}, {who}", line=each.line)


def _seal(
    run: Frozen,
    ends: Sequence[Due],
    files: Mapping[str, bytes],
    hashes: Mapping[str, str],
    keys: Keys,
    gone: Sequence[GivenUp],
) -> Iterator[Fault | Signed]:
    """Whoever signs at the end with a key seals with it too, or the seal is given up as well."""
    told = f"{ends[-1].person.name} signed this run at its end with a key" if ends else None
    may = MaySeal(
        what="run",
        name=run.opened.run,
        closers=[(due.person.id, due.key) for due in ends],
        others=[each.by.id for each in gone],
        needed=None if any(each.number == 0 for each in gone) else told,
    )
    vouched = allowed_in(files)
    yield from seal_signed(files, hashes, may, () if isinstance(vouched, Fault) else vouched, keys)


def _record(run: Frozen, files: Mapping[str, bytes]) -> Iterator[Fault]:
    held = files.get(RECORD)
    if held is None:
        return
    try:
        begins = _FORMAT.match(held)
        made = build_from(run, int(begins[1]) if begins is not None else format_of(held))
    except RecordFault as refused:
        yield fault("S507", RECORD, refused.sentence)
        return
    yield from other_record(held, made)


def _located(files: Mapping[str, bytes], faults: Sequence[Fault]) -> Iterator[Fault]:
    """Changed files with the first line that differs from what the report still carries of them."""
    changed = any(each.code == "S503" for each in faults)
    try:
        carried = attached(files[REPORT]) if changed and REPORT in files else {}
    except RecordFault:
        carried = {}
    for each in faults:
        if each.code == "S503" and each.path in carried and each.path in files:
            line = first_difference(files[each.path], carried[each.path])
            yield fault(each.code, each.path, each.text, line=line, found=each.found, allowed=each.allowed)
        else:
            yield each
