"""The test of a seal's signature: by somebody who could seal the folder, its text about this very seal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from clampbook.faults import Fault
from clampbook.record.sealed.known_keys import Keys, Use, refused
from clampbook.record.sealed.names import SEAL_SIGNATURE, SEAL_TEXT
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.told import fault
from clampbook.run_folder import SEAL
from clampbook.signing import seal_text, sshsig
from clampbook.signing.allowed import Allowed
from clampbook.signing.seal_text import Sealed, SealStatement
from clampbook.signing.sshsig import SEAL_NAMESPACE
from clampbook.signing.wire import KeyFault


class MaySeal(Struct, frozen=True, kw_only=True):
    """The people who may seal a folder. `closers` are persons with the keys that they announced (None where a folder
    announces none), `others` those who gave a signature up; `needed`: why the seal must be signed, None where it
    need not be."""

    what: Sealed
    name: str
    closers: Sequence[tuple[str, str | None]]
    others: Sequence[str] = ()
    needed: str | None = None


def seal_signed(
    files: Mapping[str, bytes], hashes: Mapping[str, str], may: MaySeal, vouched: Sequence[Allowed], keys: Keys
) -> Iterator[Signed | Fault]:
    """The signature of the seal, where it holds, and whatever is wrong with it or its text."""
    text = files.get(SEAL_TEXT)
    if text is None:
        yield fault("S501", SEAL_TEXT, "this file is missing: who sealed this, and when, is not known")
        return
    said = seal_text.read(text)
    if said is None:
        yield fault("S511", SEAL_TEXT, "this is not the text that goes with a seal")
        return
    if (said.what, said.of) != (may.what, may.name):
        yield fault("S511", SEAL_TEXT, f"this text goes with the seal of the {said.what} {said.of}")
    if said.seal != hashes[SEAL]:
        yield fault("S511", SEAL_TEXT, "this text goes with another seal", found=said.seal, allowed=hashes[SEAL])
    signature = files.get(SEAL_SIGNATURE)
    if signature is None:
        yield from _unsigned(said, may, keys)
        return
    yield from _signed(said, text, signature, may, vouched, keys)


def _unsigned(said: SealStatement, may: MaySeal, keys: Keys) -> Iterator[Fault]:
    if said.key is not None:
        yield fault("S501", SEAL_SIGNATURE, f"this file is missing: the seal was signed with {said.key}")
    if may.needed is not None:
        yield fault("S523", SEAL_SIGNATURE, f"seal not signed: {may.needed}")
    elif keys.outside is not None:
        yield fault("S525", SEAL_SIGNATURE, "no signature by a trusted key: seal not signed")


def _signed(
    said: SealStatement, text: bytes, data: bytes, may: MaySeal, vouched: Sequence[Allowed], keys: Keys
) -> Iterator[Signed | Fault]:
    from clampbook.signing.secret import made_by

    try:
        signature = sshsig.read(data, SEAL_NAMESPACE)
    except KeyFault as wrong:
        yield fault("S510", SEAL_SIGNATURE, f"this is not the signature of a seal: {wrong.sentence}")
        return
    key = signature.key.fingerprint
    if said.person is None or said.name is None or said.key != key:
        yield fault("S512", SEAL_SIGNATURE, f"it was made with the key {key}, its text names {said.key or 'none'}")
        return
    if not made_by(signature, text):
        yield fault("S510", SEAL_SIGNATURE, f"the key of {said.name} did not sign this text")
        return
    who = said.person
    closed = any(who == person and announced in (None, key) for person, announced in may.closers)
    if not closed and who not in may.others:
        yield fault("S512", SEAL_SIGNATURE, f"{who} sealed this, who did not sign it at its end with this key")
    use = Use(SEAL_SIGNATURE, who, key, said.at, SEAL_NAMESPACE)
    wrong_keys = list(refused(use, vouched if closed else None, keys))
    yield from wrong_keys
    if not wrong_keys and (closed or who in may.others):
        yield Signed(0, who, said.name, "the seal", said.at, key, keys.outside is not None)
