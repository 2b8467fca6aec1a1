"""Whether every signature that was announced is there, fits its text, and was made with the key that was announced."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from clampbook.faults import Fault
from clampbook.record.frozen import Frozen
from clampbook.record.sealed.dues import Due, to_sign
from clampbook.record.sealed.names import ALLOWED, number_of, signature_of, text_of
from clampbook.record.sealed.sums import first_difference
from clampbook.record.sealed.told import fault
from clampbook.run_folder import SEAL
from clampbook.signing import allowed, sshsig
from clampbook.signing.allowed import Allowed
from clampbook.signing.held import HeldKey
from clampbook.signing.statement import signed_at
from clampbook.signing.wire import KeyFault

_OUTSIDE, _ONLY_HERE = "vouched for from outside", "found only in this book"


class Signed(Struct, frozen=True):
    """A signature that fits: whose, what it means, when it was given, with which key, and how far that is known."""

    number: int
    person: str
    name: str
    meaning: str
    at: datetime
    key: str
    trusted: bool

    @property
    def known(self) -> str:
        """How the key is known, in words."""
        return _OUTSIDE if self.trusted else _ONLY_HERE


class Keys(Struct, frozen=True):
    """Keys that are known: those of the book, as the log of this name tells of them, None where it is not at hand; and
    what is vouched for from outside, None where nobody gave such a file."""

    book: tuple[HeldKey, ...] | None = None
    outside: tuple[Allowed, ...] | None = None
    log: str = "book.jsonl"


def signatures(
    run: Frozen, hashes: tuple[str, ...], due: Sequence[Due], files: Mapping[str, bytes], facts: str, keys: Keys
) -> Iterator[Signed | Fault]:
    """Each signature that holds, and whatever is wrong with one. `hashes` are those of the run's lines, `facts` is the
    SHA-256 of facts.sha256."""
    announced = {each.number for each in due}
    for name in sorted(files):
        number = number_of(name)
        if number is not None and number not in announced:
            yield fault("S502", name, "no line of the daybook announces this signature")
    vouched = _allowed(files)
    if isinstance(vouched, Fault):
        yield vouched
        vouched = ()
    yield from _superfluous(vouched, due, files)
    for each in due:
        yield from _one(run, hashes, each, files, facts, vouched, keys)


def _one(
    run: Frozen,
    hashes: tuple[str, ...],
    due: Due,
    files: Mapping[str, bytes],
    facts: str,
    vouched: Sequence[Allowed],
    keys: Keys,
) -> Iterator[Signed | Fault]:
    file, text = signature_of(due.number), files.get(text_of(due.number))
    data = files.get(file)
    if text is None or data is None:
        which = text_of(due.number) if text is None else file
        told = f"line {due.line} of the daybook announces a signature of {due.person.name} ({due.meaning})"
        yield fault("S509", which, f"{told}, which is missing")
        return
    at = signed_at(text)
    right = to_sign(run, hashes, due, at, facts) if at is not None else b""
    if at is None or text != right:
        line = first_difference(text, right) if at is not None else None
        yield fault("S511", text_of(due.number), "this is not the text that was to be signed", line=line)
    wrong = _wrong(due, data, text)
    if wrong is not None:
        yield fault(*wrong)
        return
    if at is None:
        return
    refused = list(_refused(due, at, vouched, keys))
    yield from refused
    if not refused and text == right:
        outside = keys.outside is not None
        yield Signed(due.number, due.person.id, due.person.name, due.meaning, at, due.key, outside)


def _wrong(due: Due, data: bytes, text: bytes) -> tuple[str, str, str] | None:
    """Code, file and sentence of what is wrong with a signature itself."""
    from clampbook.signing.secret import made_by

    file = signature_of(due.number)
    try:
        signature = sshsig.read(data)
    except KeyFault as refused:
        return "S510", file, f"this is no signature as it is written: {refused.sentence}"
    if signature.key.fingerprint != due.key:
        return "S512", file, f"it was made with the key {signature.key.fingerprint}, announced was {due.key}"
    if not made_by(signature, text):
        return "S510", file, f"the key of {due.person.name} did not sign this text"
    return None


def _refused(due: Due, at: datetime, vouched: Sequence[Allowed], keys: Keys) -> Iterator[Fault]:
    """Why the key of a signature that fits is not good enough."""
    who = due.person.id
    mine = [each for each in vouched if each.fingerprint == due.key and each.names(who)]
    if not any(each.valid(at) for each in mine):
        yield fault("S512", ALLOWED, f"the key {due.key} is not one that {who} could sign with at {at.isoformat()}")
    if keys.book is not None:
        held = next((each for each in keys.book if each.person == who and each.key.fingerprint == due.key), None)
        if held is None:
            yield fault("S512", keys.log, f"no line says that the key {due.key} was given to {who}")
        elif not held.valid(at):
            yield fault("S512", keys.log, f"the key {due.key} of {who} was not in use at {at.isoformat()}")
    if keys.outside is not None:
        known = [each for each in keys.outside if each.fingerprint == due.key]
        if not any(each.names(who) and each.valid(at) for each in known):
            why = "for somebody else or another time" if known else "not at all"
            yield fault("S518", signature_of(due.number), f"the key {due.key} of {who} is vouched for {why}")


def _allowed(files: Mapping[str, bytes]) -> tuple[Allowed, ...] | Fault:
    try:
        return allowed.read(files.get(ALLOWED, b""))
    except KeyFault as refused:
        return fault("S512", ALLOWED, f"this cannot be read: {refused.sentence}")


def _superfluous(vouched: Sequence[Allowed], due: Sequence[Due], files: Mapping[str, bytes]) -> Iterator[Fault]:
    """Keys that nobody announced have no business among the allowed signers of a run."""
    announced = {each.key for each in due}
    for each in vouched:
        if each.fingerprint not in announced:
            yield fault("S512", ALLOWED, f"the key {each.fingerprint} was announced by no line of the daybook")
    if due and ALLOWED not in files and SEAL in files:
        yield fault("S501", ALLOWED, "this file is missing: nobody can say whose keys the signatures were made with")
