"""The test of a key whose signature fits: given to its person, in use then, and vouched for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec import Struct

from clampbook.faults import Fault
from clampbook.record.sealed.names import ALLOWED
from clampbook.record.sealed.told import fault
from clampbook.signing.allowed import Allowed
from clampbook.signing.held import HeldKey
from clampbook.signing.sshsig import NAMESPACE, SEAL_NAMESPACE

_FOR = {NAMESPACE: "sign-offs", SEAL_NAMESPACE: "seals"}


class Keys(Struct, frozen=True):
    """Keys that are known: those of the book, as the log of this name tells of them, None where it is not at hand; and
    what is vouched for from outside, None where nobody gave such a file."""

    book: tuple[HeldKey, ...] | None = None
    outside: tuple[Allowed, ...] | None = None
    log: str = "book.jsonl"


class Use(Struct, frozen=True):
    """A key as somebody used it: in which file, whose it is said to be, when, and for what."""

    file: str
    who: str
    key: str
    at: datetime
    namespace: str = NAMESPACE


def refused(use: Use, vouched: Sequence[Allowed] | None, keys: Keys) -> Iterator[Fault]:
    """Tell why the key of a signature that fits is not good enough. `vouched` are the allowed signers of the run,
    None where this key has no place among them."""
    who, key = use.who, use.key
    if vouched is not None:
        mine = [each for each in vouched if each.fingerprint == key and each.names(who, use.namespace)]
        if not any(each.valid(use.at) for each in mine):
            told = f"the key {key} is not one that {who} could sign {_FOR[use.namespace]} with at {use.at.isoformat()}"
            yield fault("S512", ALLOWED, told)
    if keys.book is not None:
        held = next((each for each in keys.book if each.person == who and each.key.fingerprint == key), None)
        if held is None:
            yield fault("S512", keys.log, f"no line says that the key {key} was given to {who}")
        elif not held.valid(use.at):
            yield fault("S512", keys.log, f"the key {key} of {who} was not in use at {use.at.isoformat()}")
    if keys.outside is not None and (why := not_given(who, key, use.at, keys.outside, use.namespace)) is not None:
        yield fault("S518", use.file, why)


def not_given(
    who: str, key: str, at: datetime | None, outside: Sequence[Allowed], namespace: str = NAMESPACE
) -> str | None:
    """Tell why a key is not one that somebody outside gives this very person for this purpose at this time; None
    where it is. A fingerprint alone says that the key is known, and nothing of whose it is."""
    known = [each for each in outside if each.fingerprint == key]
    if not known:
        return f"the key {key} of {who} is not vouched for at all"
    mine = [each for each in known if each.gives(who)]
    if not mine:
        if any(each.bare for each in known):
            return f"the key {key} is known, the person is not: the trusted file must give it to {who} by name"
        return f"the key {key} of {who} is vouched for as somebody else's"
    serving = [each for each in mine if each.serves(namespace)]
    if not serving:
        told = f"the key {key} of {who} is vouched for, but not for {_FOR[namespace]}"
        return f'{told}: the trusted file must list namespaces="{NAMESPACE},{SEAL_NAMESPACE}"'
    if at is None or not any(each.valid(at) for each in serving):
        return f"the key {key} of {who} is vouched for at another time"
    return None
