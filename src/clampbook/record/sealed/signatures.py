"""The test of the announced signatures: each is there, fits its text, and was made with the key that was announced."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from clampbook.faults import Fault
from clampbook.record.frozen import Frozen
from clampbook.record.sealed.dues import Due, to_sign
from clampbook.record.sealed.given_up import GivenUp
from clampbook.record.sealed.known_keys import Keys, Use, refused
from clampbook.record.sealed.names import ALLOWED, GIVEN_UP, number_of, signature_of, text_of
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.sums import first_difference
from clampbook.record.sealed.told import fault
from clampbook.run_folder import SEAL
from clampbook.signing import allowed, sshsig
from clampbook.signing.allowed import Allowed
from clampbook.signing.statement import signed_at
from clampbook.signing.wire import KeyFault


def signatures(
    run: Frozen,
    hashes: tuple[str, ...],
    due: Sequence[Due],
    files: Mapping[str, bytes],
    facts: str,
    keys: Keys,
    gone: Sequence[GivenUp],
) -> Iterator[Signed | Fault]:
    """Each signature that holds, and whatever is wrong with one. `hashes` are those of the run's lines, `facts` is the
    SHA-256 of facts.sha256; `gone` are those that were given up."""
    announced = {each.number for each in due}
    for name in sorted(files):
        number = number_of(name)
        if number is not None and number not in announced:
            yield fault("S502", name, "no line of the daybook announces this signature")
    vouched = allowed_in(files)
    if isinstance(vouched, Fault):
        yield vouched
        vouched = ()
    yield from _superfluous(vouched, due, files)
    yield from _gone(due, files, gone, keys)
    out = {each.number for each in gone}
    for each in due:
        if each.number not in out:
            yield from _one(run, hashes, each, files, facts, vouched, keys)


def _gone(due: Sequence[Due], files: Mapping[str, bytes], gone: Sequence[GivenUp], keys: Keys) -> Iterator[Fault]:
    """Signatures that were given up: nobody took them away, and nobody gave them."""
    announced = {(each.number, each.line, each.person, each.meaning) for each in due}
    for each in gone:
        if each.number == 0:
            told = f"seal not signed: {each.told}"
        elif (each.number, each.line, each.person, each.meaning) not in announced:
            yield fault("S502", GIVEN_UP, f"no line of the daybook announces signature {each.number}, skipped here")
            continue
        else:
            whose = f"line {each.line} of the daybook announces a signature of {each.person.name} ({each.meaning})"
            told = f"{whose}, {each.told}"
        if signature_of(each.number) in files:
            yield fault("S502", signature_of(each.number), "this signature is said to be skipped, and is there")
        yield fault("S524", GIVEN_UP, told)
        if keys.outside is not None:
            yield fault("S525", GIVEN_UP, f"no signature by a trusted key: signature {each.number} was skipped")


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
        yield fault("S511", text_of(due.number), "this is not the text for that signature", line=line)
    wrong = _wrong(due, data, text)
    if wrong is not None:
        yield fault(*wrong)
        return
    if at is None:
        return
    wrong_keys = list(refused(Use(file, due.person.id, due.key, at), vouched, keys))
    yield from wrong_keys
    if not wrong_keys and text == right:
        outside = keys.outside is not None
        yield Signed(due.number, due.person.id, due.person.name, due.meaning, at, due.key, outside)


def _wrong(due: Due, data: bytes, text: bytes) -> tuple[str, str, str] | None:
    """Code, file and sentence of what is wrong with a signature itself."""
    from clampbook.signing.secret import made_by

    file = signature_of(due.number)
    try:
        signature = sshsig.read(data)
    except KeyFault as wrong:
        return "S510", file, f"this is not a signature: {wrong.sentence}"
    if signature.key.fingerprint != due.key:
        return "S512", file, f"it was made with the key {signature.key.fingerprint}, announced was {due.key}"
    if not made_by(signature, text):
        return "S510", file, f"the key of {due.person.name} did not sign this text"
    return None


def allowed_in(files: Mapping[str, bytes]) -> tuple[Allowed, ...] | Fault:
    """The allowed signers that lie in a folder; a fault where they cannot be read."""
    try:
        return allowed.read(files.get(ALLOWED, b""))
    except KeyFault as wrong:
        return fault("S512", ALLOWED, f"this cannot be read: {wrong.sentence}")


def _superfluous(vouched: Sequence[Allowed], due: Sequence[Due], files: Mapping[str, bytes]) -> Iterator[Fault]:
    """Keys that nobody announced have no business among the allowed signers of a run."""
    announced = {each.key for each in due}
    for each in vouched:
        if each.fingerprint not in announced:
            yield fault("S512", ALLOWED, f"the key {each.fingerprint} was announced by no line of the daybook")
    if due and ALLOWED not in files and SEAL in files:
        yield fault("S501", ALLOWED, "this file is missing: whose keys signed is not known")
