"""Releasing and withdrawing procedures of a book: the file is changed in one step, what was released is kept for ever.

Kept under procedures/.revisions: the very bytes, the text that was given with them, and its signature. In this order:
what is kept, the procedure's file, the line in the book's log; what a crash leaves half done is finished by doing it
again.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book import toolbox
from clampbook.book.approvals import ACTS, RELEASED, REVISIONS, WITHDRAWN
from clampbook.book.book import PROCEDURES, Book
from clampbook.book.drafting.revisions import last_released
from clampbook.book.keys import announced, unlock
from clampbook.book.settled import own_log
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.procedure import reader, release, release_editing
from clampbook.procedure.difference import difference
from clampbook.procedure.model import Accepted, Procedure
from clampbook.procedure.release_editing import NotWritten
from clampbook.review.review import Review, review
from clampbook.signing.approval import Approval, text
from clampbook.slug import slug
from clampbook.units import show_day

_MOST = 1_000_000  # bytes of a procedure
_SHORT = 8  # digits of a hash in the name of a kept revision

Act = Literal["release", "withdrawal"]


class Given(Struct, frozen=True, kw_only=True):
    """The words of a person with a release (compared with, look again by, queries accepted) or a withdrawal
    (because)."""

    person: Person
    at: datetime
    compared_with: str = ""
    look_again_by: str | None = None
    accepted: tuple[Accepted, ...] = ()
    because: str = ""


class Prepared(Struct, frozen=True, kw_only=True):
    """A release or a withdrawal that can be given now: `before` and `after` are the file's bytes."""

    act: Act
    given: Given
    path: Path
    before: bytes
    after: bytes
    procedure: Procedure
    approval: Approval
    said_again: bool = False  # the file holds it already; only what a crash left out is done

    @property
    def text(self) -> str:
        """The text that is signed, to be read before the passphrase is typed."""
        return text(self.approval).decode()

    @property
    def key(self) -> str | None:
        """The fingerprint of the key it stands under; None where the name stands as typed."""
        return self.approval.key

    @property
    def signs_with(self) -> str | None:
        """The same where a passphrase is still to be asked for; None where nothing is signed any more."""
        return None if self.said_again else self.key

    @property
    def did(self) -> str:
        """The word for what has become of the procedure once this is given: released, or withdrawn."""
        return "released" if self.act == "release" else "withdrawn"

    @property
    def outcome(self) -> str:
        """The same in a sentence: what, by whom, and how it was said."""
        how = "signed with a key" if self.key is not None else "typed name"
        told = f"{self.procedure.title}, revision {self.procedure.revision}"
        return f"{self.did.capitalize()}: {told}, by {self.given.person.name} ({how})."


def queries(book: Book, path: Path, accepted: Sequence[Accepted] = ()) -> tuple[Review, str | None]:
    """The review of a file as it would be with these answers, and why the tools were left out, if they were.

    Raises Faulty with the faults of the file, LedgerFault where answers cannot be written into it.
    """
    from clampbook.procedure.places import Places

    data = _written(path, lambda data: release_editing.accepting(data, accepted), _bytes(path))
    stock, unread = toolbox.stock_or_fault(book)
    procedure = reader.read(data, str(path))
    return review(procedure, None if unread else stock, path=str(path), line_of=Places(data).line), unread


def releasing(book: Book, path: Path, given: Given) -> Prepared:
    """The release of a file, ready to be given. Raises Faulty, or LedgerFault where queries stand or it cannot be."""
    data = _bytes(path)
    procedure = reader.read(data, str(path))
    again = _half_done(book, path, data, procedure, given)
    if again is not None:
        return again
    found, _ = queries(book, path, given.accepted)
    if found.queries:
        open_ones = "1 query" if len(found.queries) == 1 else f"{len(found.queries)} queries"
        raise LedgerFault(f"{shown(path)} is not released. Answer {open_ones} of its review first")
    key = announced(book).get(given.person.id)
    answered = _written(path, lambda data: release_editing.accepting(data, given.accepted), data)
    said = release.says(tomllib.loads(answered.decode()))
    _hold_revision(book, path, procedure, said)
    rows = {
        "by": given.person.name,
        "compared_with": given.compared_with,
        "on": given.at.date().isoformat(),
        "look_again_by": given.look_again_by,
        "says": said,
        "key": key,
    }
    after = _written(path, lambda data: release_editing.released(data, _there(rows)), answered)
    return _prepared(book, path, "release", given, data, after)


def withdrawing(book: Book, path: Path, given: Given) -> Prepared:
    """The withdrawal of a file that was released, ready to be given. Raises Faulty, or LedgerFault."""
    data = _bytes(path)
    procedure = reader.read(data, str(path))
    if procedure.release is None or procedure.status == "withdrawn":
        why = "withdrawn already" if procedure.status == "withdrawn" else "a draft"
        raise LedgerFault(f"{shown(path)} is {why}. Only a released revision can be withdrawn")
    rows = {
        "by": given.person.name,
        "on": given.at.date().isoformat(),
        "because": given.because,
        "key": announced(book).get(given.person.id),
    }
    after = _written(path, lambda data: release_editing.withdrawn(data, _there(rows)), data)
    return _prepared(book, path, "withdrawal", given, data, after)


def give(book: Book, prepared: Prepared, passphrase: str | None, stamp: Stamp) -> Path:
    """Do it, signed where there is a key; gives the path of the kept revision.

    Raises KeyFault for a wrong passphrase, LedgerFault where the file was changed meanwhile; then nothing is done.
    """
    told, kept = prepared.approval, book.path(PROCEDURES, REVISIONS, prepared.approval.file)
    said = prepared.text.encode()
    files = {kept: prepared.after, kept.with_suffix(f".{prepared.act}.txt"): said}
    if (key := prepared.signs_with) is not None:
        signed = unlock(book, told.person, key, passphrase or "").sign(said)
        files[kept.with_suffix(f".{prepared.act}.txt.sig")] = signed
    with book.log() as log:
        if _bytes(prepared.path) != prepared.before:
            raise LedgerFault(f"{shown(prepared.path)} has changed. Nothing saved. Look at it, then try again")
        if not prepared.said_again:
            _keep(kept.parent, files)
            mode = prepared.path.stat().st_mode & 0o777
            atomic.write(prepared.path, prepared.after, mode)
        log.append(_entry(prepared, stamp))
    return kept


def _keep(folder: Path, files: Mapping[Path, bytes]) -> None:
    try:
        make_folder(folder)
    except OSError as error:
        raise refusal(folder, error, "be made") from error
    for path, data in files.items():
        atomic.write(path, data)


def _prepared(
    book: Book, path: Path, act: Act, given: Given, before: bytes, after: bytes, *, said_again: bool = False
) -> Prepared:
    procedure = reader.read(after, str(path))
    digest = sha256(after).hexdigest()
    accepted = procedure.accepted if act == "release" else ()
    holder = procedure.release if act == "release" else procedure.withdrawal
    since = last_released(book, path) if act == "release" else None
    approval = Approval(
        act=act,
        person=given.person.id,
        name=given.person.name,
        at=given.at,
        key=None if holder is None else holder.key,
        title=procedure.title,
        revision=procedure.revision,
        book=book.id,
        file=f"{_slug(path)}-{slug(procedure.revision, 'revision')}-{digest[:_SHORT]}.toml",
        sha256=digest,
        says=release.says(tomllib.loads(after.decode())),
        compared_with=given.compared_with or None,
        look_again_by=given.look_again_by,
        because=given.because or None,
        queries=tuple(f"{each.query}: {each.because}" for each in accepted),
        since=None if since is None else since.revision,
        changes=() if since is None else difference(since, procedure),
    )
    return Prepared(
        act=act,
        given=given,
        path=path,
        before=before,
        after=after,
        procedure=procedure,
        approval=approval,
        said_again=said_again,
    )


def _half_done(book: Book, path: Path, data: bytes, procedure: Procedure, given: Given) -> Prepared | None:
    """The release that stands in a file, where it is kept and only the log does not tell of it; None where it does."""
    stands = procedure.release
    if procedure.status != "released" or stands is None or stands.by != given.person.name or given.accepted:
        return None
    as_it_stands = replace(given, compared_with=stands.compared_with, look_again_by=stands.look_again_by)
    prepared = _prepared(book, path, "release", as_it_stands, data, data, said_again=True)
    if not book.path(PROCEDURES, REVISIONS, prepared.approval.file).exists():
        return None
    told = any(entry.get("sha256") == prepared.approval.sha256 for entry in _told(book))
    return None if told else prepared


def _hold_revision(book: Book, path: Path, procedure: Procedure, said: str) -> None:
    """Two texts never have one revision. Raises LedgerFault where this one was released with other content."""
    for entry in _told(book):
        named = (entry.get("event"), entry.get("procedure"), entry.get("revision"))
        if named == (RELEASED, _slug(path), procedure.revision) and entry.get("says") != said:
            raise LedgerFault(
                f"revision {procedure.revision} of {shown(path)} was released with other content on "
                f"{show_day(str(entry.get('at')))}. Give the changed file a new revision"
            )


def _told(book: Book) -> list[dict[str, Any]]:
    entries = map(lines.decode, own_log(book).other_lines)
    return [entry for entry in entries if entry.get("event") in (RELEASED, WITHDRAWN)]


def _entry(prepared: Prepared, stamp: Stamp) -> dict[str, Any]:
    told = prepared.approval
    about = {
        "procedure": _slug(prepared.path),
        "title": told.title,
        "revision": told.revision,
        "file": told.file,
        "sha256": told.sha256,
        "says": told.says,
        "compared_with": told.compared_with,
        "look_again_by": told.look_again_by,
        "because": told.because,
        "person": told.person,
        "key": told.key,
    }
    kept = {key: value for key, value in about.items() if value is not None}
    return {"event": ACTS[prepared.act], **kept, "at": stamp.text, "offset": stamp.offset, "by": stamp.by}


def _there(rows: Mapping[str, str | None]) -> dict[str, str]:
    return {key: value for key, value in rows.items() if value is not None}


def _slug(path: Path) -> str:
    return slug(path.stem, "run")


def _bytes(path: Path) -> bytes:
    """The file's bytes; a link would be replaced by a file. Raises LedgerFault."""
    if path.is_symlink():
        raise LedgerFault(f"{shown(path)} is a link. Give the file itself")
    return read_file(path, _MOST)


def _written(path: Path, change: Callable[[bytes], bytes], data: bytes) -> bytes:
    try:
        return change(data)
    except NotWritten as refused:
        raise LedgerFault(f"{shown(path)}: {refused.sentence}") from refused
