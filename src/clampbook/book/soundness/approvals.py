"""The test of releases: told by the log of the book, kept byte for byte, signed by whom they name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

from clampbook.book.approvals import ACTS, REVISIONS
from clampbook.book.book import PROCEDURES, Book
from clampbook.faults import Fault
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.known_keys import not_given
from clampbook.record.sealed.told import fault
from clampbook.signing import sshsig
from clampbook.signing.allowed import Allowed
from clampbook.signing.held import HeldKey, moment
from clampbook.signing.wire import KeyFault

_MOST = 1_000_000  # bytes of a kept file
_NAME = re.compile(r"[a-z0-9-]+\.toml")

Entry = tuple[int, Mapping[str, Any]]  # a line of the log: its number and its fields


def faults(
    book: Book,
    log: str,
    entries: Sequence[Entry],
    keys: Sequence[HeldKey],
    outside: Sequence[Allowed] | None = None,
) -> Iterator[Fault]:
    """Find what is wrong with what is kept of the releases and withdrawals that a log tells of; `log` is its name.

    `keys` are those that the log says were given, and when; `outside` is what is vouched for elsewhere, None where
    nobody gave such a file.
    """
    gone: dict[object, int] = {}
    acts = {event: act for act, event in ACTS.items()}
    for number, entry in entries:
        event = entry.get("event")
        if event == "key_withdrawn":
            gone.setdefault(entry.get("key"), number)
        act = acts.get(event) if isinstance(event, str) else None
        if act is None:
            continue
        name = entry.get("file")
        if not isinstance(name, str) or not _NAME.fullmatch(name):
            yield fault("S520", log, "this line does not say which file was saved", line=number)
            continue
        yield from _kept(book, act, name, entry, keys)
        if entry.get("key") in gone:
            told = f"the log says its key was revoked at line {gone[entry.get('key')]}, before this {act}"
            yield fault("S520", log, told, line=number)
        yield from _when_known(act, name, entry, keys)
        if outside is not None and entry.get("key") is not None:
            yield from _vouched(f"{PROCEDURES}/{REVISIONS}/{Path(name).with_suffix(f'.{act}.txt.sig')}", entry, outside)


def _when_known(act: str, name: str, entry: Mapping[str, Any], keys: Sequence[HeldKey]) -> Iterator[Fault]:
    """Find a signature from a time when others may have had the key."""
    at = moment(entry.get("at"))
    for held in keys:
        mine = (held.person, held.key.fingerprint) == (entry.get("person"), entry.get("key"))
        if mine and at is not None and held.known_since is not None and at >= held.known_since:
            told = f"this {act} was signed on {at:%Y-%m-%d}. Someone else may have had the key since"
            file = f"{PROCEDURES}/{REVISIONS}/{Path(name).with_suffix(f'.{act}.txt.sig')}"
            yield fault("S529", file, f"{told} {held.known_since:%Y-%m-%d}")


def _vouched(file: str, entry: Mapping[str, Any], outside: Sequence[Allowed]) -> Iterator[Fault]:
    """Ask whether somebody outside the book vouches for the key of a release, for its person and its time."""
    who, key, at = str(entry.get("person")), str(entry["key"]), moment(entry.get("at"))
    if (why := not_given(who, key, at, outside)) is not None:
        yield fault("S518", file, why)


def _kept(book: Book, act: str, name: str, entry: Mapping[str, Any], keys: Sequence[HeldKey]) -> Iterator[Fault]:
    place = f"{PROCEDURES}/{REVISIONS}"
    text = str(Path(name).with_suffix(f".{act}.txt"))
    files = {each: _bytes(book, each) for each in (name, text, f"{text}.sig")}
    data, said, signature = files.values()
    if data is None or sha256(data).hexdigest() != entry.get("sha256"):
        what = "is missing" if data is None else "was changed"
        yield fault("S520", f"{place}/{name}", f"this saved {act} of a procedure {what}")
    if said is None or not said.endswith(f"\n{entry.get('sha256')}  {name}\n".encode()):
        what = "is missing" if said is None else "names another file than the log"
        yield fault("S520", f"{place}/{text}", f"the text of a {act} {what}")
    key = entry.get("key")
    if said is not None and key is not None:
        held = next((each for each in keys if (each.person, each.key.fingerprint) == (entry.get("person"), key)), None)
        wrong = _wrong(signature, said, held)
        if wrong is not None:
            yield fault("S520", f"{place}/{text}.sig", wrong)


def _wrong(signature: bytes | None, said: bytes, held: HeldKey | None) -> str | None:
    """Tell what is wrong with a signature that the log tells of."""
    from clampbook.signing.secret import made_by

    if signature is None:
        return "the signature is missing"
    if held is None:
        return "the log does not say whose key signed this"
    try:
        found = sshsig.read(signature)
    except KeyFault as refused:
        return f"this is not a signature: {refused.sentence}"
    if found.key != held.key or not made_by(found, said):
        return f"the key of {held.person} did not sign this text"
    return None


def _bytes(book: Book, name: str) -> bytes | None:
    try:
        path = book.path(PROCEDURES, REVISIONS, name)
        return read_file(path, _MOST) if path.exists() else None
    except LedgerFault:
        return None
