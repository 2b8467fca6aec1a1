"""Folders of runs and checks, notices and procedures of another book, copied byte for byte into this one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from clampbook.book.approvals import REVISIONS
from clampbook.book.book import PROCEDURES, RUNS, Book
from clampbook.book.merging.came import Found
from clampbook.book.merging.guard import Guard
from clampbook.book.notices import NOTICES
from clampbook.book.runs import DRAFTS, away, put
from clampbook.ledger import atomic
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.record.sealed.folder import lying
from clampbook.run_folder import RunFolder
from clampbook.text import printable

MOST_OF_A_FILE = 1_000_000  # bytes of a procedure, a notice, a hand-written list


def copy_folder(book: Book, guard: Guard, place: str, run: RunFolder, found: Found) -> None:
    """Copy one folder whole, or tell why not."""
    if run.state == "open":
        found.told.append(
            f"{run.id} is still open in the other book, and was not copied. Close it there, then merge again."
        )
        return
    try:
        there, target = lying(run.path), book.path(place, run.id)
        if there.odd:
            raise LedgerFault(f"it has {printable(there.odd[0])}, which is not a plain file")
        if target.exists():
            _compare(place, run.id, there.files, lying(target).files, found)
            return
        guard.keep_out(run)
        with book.holding():
            _copy(book.path(place, DRAFTS, run.id), target, there.files)
    except LedgerFault as fault:
        found.told.append(f"{run.id} was not copied: {fault.sentence}")
    else:
        found.came[place].append(run.id)


def _compare(place: str, id: str, theirs: dict[str, bytes], ours: dict[str, bytes], found: Found) -> None:
    differ = sorted(name for name in theirs.keys() | ours.keys() if theirs.get(name) != ours.get(name))
    if not differ:
        found.already[place].append(id)
        return
    found.told.append(
        f"{id} is here already with other content ({', '.join(map(printable, differ[:4]))}). It was not copied. "
        "See in each book if its own is intact, with: clampbook verify"
    )


def _copy(draft: Path, target: Path, files: dict[str, bytes]) -> None:
    """Made aside and put in place whole, so that a crash leaves no half a run."""
    away(draft)
    try:
        make_folder(draft, new=True)
    except OSError as error:
        raise refusal(draft, error, "be made") from error
    try:
        for name, data in files.items():
            atomic.write(draft / name, data)
        put(draft, target)
    except BaseException:
        away(draft)
        raise


def copy_notices(book: Book, other: Book, found: Found) -> None:
    """Later queries about tools, beside the runs that came."""
    folder = other.path(NOTICES)
    for run in sorted(folder.iterdir()) if folder.is_dir() else ():
        if run.is_dir() and not run.is_symlink() and book.path(RUNS, run.name).exists():
            _files(other, book, (NOTICES, run.name), found)


def copy_procedures(book: Book, other: Book, found: Found) -> None:
    found.others += _files(other, book, (PROCEDURES,), found)
    for kept in ("*.toml", "*.txt", "*.txt.sig"):  # what was released, the text given with it, and its signature
        _files(other, book, (PROCEDURES, REVISIONS), found, kept)


def _files(other: Book, book: Book, place: tuple[str, ...], found: Found, pattern: str = "*.toml") -> list[str]:
    """Copy the files of one folder that are not here; the names of those that came."""
    came: list[str] = []
    for name, data in _plain(other.root, place, found, pattern):
        try:
            target = book.path(*place, name)
            if not target.exists():
                folder_for(target)
                atomic.write(target, data)
                came.append(name)
            elif read_file(target, MOST_OF_A_FILE) != data:
                where = "/".join((*place, name))
                found.told.append(f"{where} is here with other content. It was not copied.")
        except LedgerFault as fault:
            found.told.append(fault.sentence)
    return came


def _plain(root: Path, place: tuple[str, ...], found: Found, pattern: str) -> Iterator[tuple[str, bytes]]:
    try:
        folder = inside(root, *place)
        names = sorted(path.name for path in folder.glob(pattern)) if folder.is_dir() else []
    except LedgerFault as fault:
        found.told.append(fault.sentence)
        return
    for name in names:
        try:
            yield name, read_file(inside(root, *place, name), MOST_OF_A_FILE)
        except LedgerFault as fault:
            found.told.append(f"{'/'.join(place)}/{printable(name)} was not copied: {fault.sentence}")


def folder_for(path: Path) -> None:
    try:
        make_folder(path.parent)
    except OSError as error:
        raise refusal(path.parent, error, "be made") from error
