"""Revisions of a procedure in a book: which is released, which is used, and the text that the next one begins with."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct

from clampbook.book.approvals import RELEASED, REVISIONS
from clampbook.book.book import PROCEDURES, Book
from clampbook.book.settled import own_log
from clampbook.faults import Faulty
from clampbook.ledger import lines
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.intake import MOST_BYTES
from clampbook.procedure.model import Procedure
from clampbook.procedure.next_revision import next_revision
from clampbook.procedure.reader import read
from clampbook.procedure.release_editing import NotWritten, as_next_revision
from clampbook.slug import slug


class Begun(Struct, frozen=True):
    """The text that a draft begins with, the revision that it is compared with, and what is told of it, if anything.
    `in_place_of` is the released revision that lies in the file, and in the lists, until the draft is saved over it."""

    text: str
    since: Procedure | None = None
    told: str = ""
    in_place_of: str | None = None


def begun(text: str, path: Path, book: Book | None) -> Begun:
    """The same text, or that of the next revision where this one is released, withdrawn or used already.

    Raises LedgerFault where the book cannot be read.
    """
    try:
        procedure = read(text.encode(), str(path))
    except Faulty:
        return Begun(text, _last(book, path))
    since = _last(book, path)
    named = {} if book is None else _revisions(book, path)
    why = _why(procedure, named)
    if why is None:
        return Begun(text, since)
    following = next_revision(procedure.revision, named)
    told = f"Revision {procedure.revision} {why}. This is revision {following}, a draft. Nothing is saved yet."
    try:
        released = procedure.revision if since is not None and procedure.status == "released" else None
        return Begun(as_next_revision(text.encode(), following).decode(), since or procedure, told, released)
    except NotWritten:
        told = f"Revision {procedure.revision} {why}. Give this text another revision, and remove [release]."
        return Begun(text, since or procedure, told)


def last_released(book: Book, path: Path) -> Procedure | None:
    """The revision of this procedure that was released last, as the book has saved it; None where none was, or where it
    cannot be read."""
    for entry in reversed(tuple(_released(book, path))):
        try:
            saved = book.path(PROCEDURES, REVISIONS, str(entry.get("file")))
            return read(read_file(saved, MOST_BYTES), str(saved))
        except (LedgerFault, Faulty):
            continue
    return None


def _last(book: Book | None, path: Path) -> Procedure | None:
    return None if book is None else last_released(book, path)


def _why(procedure: Procedure, named: dict[str, str]) -> str | None:
    """Say why nothing of a revision may change any more; None where it may."""
    if procedure.status != "draft":
        return f"is {procedure.status}"
    if procedure.lapsed is not None:
        return "was released"
    return named.get(procedure.revision)


def _revisions(book: Book, path: Path) -> dict[str, str]:
    """Every revision of this procedure that was released or used, and which."""
    used = dict.fromkeys(_used(book, path), "is used in a run")
    return used | {str(entry.get("revision")): "was released" for entry in _released(book, path)}


def _released(book: Book, path: Path) -> Iterator[dict[str, Any]]:
    if not path.resolve().is_relative_to(book.root):
        return
    mark = f'"event":"{RELEASED}"'.encode()
    for line in own_log(book).other_lines:
        entry = lines.decode(line) if mark in line else {}
        if entry.get("procedure") == _slug(path):
            yield entry


def _used(book: Book, path: Path) -> Iterator[str]:
    """The revisions by which somebody has worked, as the runs have frozen them."""
    if not path.resolve().is_relative_to(book.root):
        return
    for run in book.runs():
        if f"-{_slug(path)}-" not in run.id:
            continue
        try:
            yield str(tomllib.loads(run.procedure().decode()).get("revision"))
        except (LedgerFault, ValueError):
            continue  # a damaged run is told elsewhere


def _slug(path: Path) -> str:
    return slug(path.stem, "run")
