"""The keys of a book's people on disk: made, withdrawn and unlocked; each change stands in the book's log too."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook import people_keys
from clampbook.book.book import PEOPLE, Book
from clampbook.book.settled import last_line
from clampbook.faults import Faulty
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.signing import public
from clampbook.signing.held import HeldKey, in_use, moment, second, written
from clampbook.signing.wire import KeyFault

if TYPE_CHECKING:
    from clampbook.signing.secret import SecretKey

KEYS = "keys"
KEY_ADDED, KEY_WITHDRAWN = "key_added", "key_withdrawn"
KNOWN_SINCE = "known_since"  # in the line of a withdrawal: since when others may have had the key
TRAVELS = (
    "A copy of this book has its keys too. Anyone who guesses a passphrase can sign with them. "
    "Leave the folder keys out of a copy that you give away."
)
_MOST = 65_536  # bytes of a key file
_MOST_OF_PEOPLE = 1_000_000


def held_keys(book: Book) -> tuple[HeldKey, ...]:
    """All keys of the book, withdrawn ones too, in the order of people.toml. Raises KeyFault, LedgerFault or Faulty."""
    book.people()  # a file that is not in order is told with all its faults
    path = book.path(PEOPLE)
    return people_keys.read_keys(read_file(path, _MOST_OF_PEOPLE)) if path.exists() else ()


def known_keys(book: Book) -> tuple[HeldKey, ...]:
    """The same for whoever only wants to work. Raises LedgerFault with one sentence where the file is not in order:
    a name is never taken as typed only because a key could not be read."""
    try:
        return held_keys(book)
    except KeyFault as fault:
        raise LedgerFault(fault.sentence) from fault
    except Faulty as faulty:
        raise LedgerFault(f"people.toml has errors: {faulty.faults[0].text}") from faulty


def announced(book: Book) -> Mapping[str, str]:
    """The fingerprint of the key that each person signs with now, by the person's id; only whoever has one.

    Raises LedgerFault.
    """
    return {person: held.key.fingerprint for person, held in in_use(known_keys(book)).items()}


def key_file(book: Book, person: str) -> Path:
    """Give the path of the secret part of a person's key."""
    return book.path(KEYS, f"{person}.key")


def open_to_others(book: Book) -> tuple[str, ...]:
    """Tell of key files, or their folder, that can be read by others on this machine; they should belong to one
    person alone. Raises LedgerFault."""
    folder = book.path(KEYS)
    if os.name != "posix" or not folder.is_dir():
        return ()
    try:
        found = [path for path in (folder, *sorted(folder.glob("*.key"))) if _is_open(path)]
    except OSError as error:
        raise refusal(folder, error, "be read") from error
    return tuple(f"Others on this machine can read {shown(path)}. {_close(path)}" for path in found)


def _is_open(path: Path) -> bool:
    return bool(path.lstat().st_mode & (stat.S_IRWXG | stat.S_IRWXO))


def _close(path: Path) -> str:
    return f"Close it with: chmod {'700' if path.is_dir() else '600'} {shown(path)}"


def make_key(book: Book, person: Person, passphrase: str, stamp: Stamp) -> HeldKey:
    """A new key for somebody who has none. Raises KeyFault for a passphrase that is too short, or where one has a key.

    The secret part is written first: what a crash leaves of it is no key of anybody, and is made again. Then the log is
    told, by which people.toml is made to follow after a crash.
    """
    from clampbook.signing import secret

    follow_log(book)
    _must_have_none(book, person)
    made = secret.made()
    held = HeldKey(person.id, made.public, second(stamp.at))
    locked = made.locked(passphrase)
    try:
        book.path(KEYS).mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise refusal(book.root / KEYS, error, "be made") from error
    with book.log() as log:
        _must_have_none(book, person)  # once more: somebody at another window may have been quicker
        atomic.write(key_file(book, person.id), locked)
        log.append({"event": KEY_ADDED, **_about(held, stamp)})
        _write(book, people_keys.with_key(_people(book), held))
    return held


def _must_have_none(book: Book, person: Person) -> None:
    """Raise KeyFault where somebody signs with a key already."""
    if person.id in in_use(held_keys(book)):
        raise KeyFault(f"{person.name} has a key already: clampbook keys revoke {person.id} first, if it is lost")


def withdraw_key(book: Book, person: Person, why: str, stamp: Stamp, known_since: datetime | None = None) -> HeldKey:
    """Nobody signs with a person's key from now on; what was signed before stays as good as it was, or, where others
    may have had the key since some time, as good as it was before that. `stamp` says who withdraws it.

    The secret part is taken away. Raises KeyFault where the person has no key.
    """
    follow_log(book)
    held = in_use(held_keys(book)).get(person.id)
    if held is None:
        raise KeyFault(f"{person.name} has no key to revoke")
    since = None if known_since is None else second(known_since)
    gone = HeldKey(held.person, held.key, held.added, max(second(stamp.at), held.added), why or None, since)
    told = {} if since is None else {KNOWN_SINCE: written(since)}
    with book.log() as log:
        log.append({"event": KEY_WITHDRAWN, "why": why, **told, **_about(gone, stamp)})
        _write(book, people_keys.with_withdrawal(_people(book), gone))
        _take_away(key_file(book, person.id))
    return gone


def follow_log(book: Book) -> str | None:
    """Bring people.toml up to the log's last line, where that tells of a key and a crash came before the rest of it.

    Gives a sentence where something was done. Keys come into people.toml from the log alone, never the other way: its
    chain says which were really given. Raises LedgerFault where it cannot be written.
    """
    last = last_line(book)
    if last is None or not any(event.encode() in last for event in (KEY_ADDED, KEY_WITHDRAWN)):
        return None
    with book.holding():
        said = lines.decode(last)
        try:
            held = HeldKey(said["person"], public.read(said["public"]), second(datetime.fromisoformat(said["at"])))
            known = [each for each in held_keys(book) if (each.person, each.key) == (held.person, held.key)]
        except (KeyError, TypeError, ValueError, AttributeError, KeyFault, Faulty):
            return None
        match said.get("event"), known:
            case "key_added", []:
                _write(book, people_keys.with_key(_people(book), held))
                return f"the key of {held.person} was in the log and is now in {PEOPLE} too"
            case "key_withdrawn", [HeldKey(added=added, withdrawn=None)]:
                why, since = said.get("why") or None, moment(said.get(KNOWN_SINCE))
                gone = HeldKey(held.person, held.key, added, max(held.added, added), why, since)
                _write(book, people_keys.with_withdrawal(_people(book), gone))
                _take_away(key_file(book, held.person))
                return f"the key of {held.person} was revoked, and {PEOPLE} now says so too"
    return None


def unlock(book: Book, person: str, fingerprint: str, passphrase: str) -> SecretKey:
    """A person's key, which must be the one announced. Raises KeyFault, LedgerFault."""
    held = in_use(known_keys(book)).get(person)
    if held is None or held.key.fingerprint != fingerprint:
        raise KeyFault(f"the key {fingerprint} of {person} is no longer in use, so it cannot sign")
    from clampbook.signing import secret

    key = secret.unlocked(read_file(key_file(book, person), _MOST), passphrase)
    if key.public != held.key:
        raise KeyFault(f"keys/{person}.key is not the key in people.toml. Restore the right file")
    return key


def _people(book: Book) -> bytes:
    return read_file(book.path(PEOPLE), _MOST_OF_PEOPLE)


def _write(book: Book, data: bytes) -> None:
    """Put people.toml in place, once it is certain that it can be read again."""
    people_keys.read_keys(data)
    atomic.write(book.path(PEOPLE), data)


def _about(held: HeldKey, stamp: Stamp) -> dict[str, str]:
    about = {"person": held.person, "key": held.key.fingerprint, "public": held.key.text}
    return {**about, "at": stamp.text, "offset": stamp.offset, "by": stamp.by}


def _take_away(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise refusal(path, error, "be removed (the key is revoked all the same)") from error
