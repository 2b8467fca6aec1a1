"""Another book's runs, checks and log taken into this one: folders are copied and nothing is rewritten.

What collides stays where it is in both books, and is told in a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct

from clampbook.book.approvals import REVISIONS
from clampbook.book.book import CHECKS, LOG, PEOPLE, PROCEDURES, RUNS, TOOLS, Book
from clampbook.book.joining import joined
from clampbook.book.keys import key_file
from clampbook.book.mending import LOGS
from clampbook.book.merge_guard import Guard
from clampbook.book.notices import NOTICES
from clampbook.book.runs import DRAFTS, away, put
from clampbook.book.shared_tools import MERGED, shared_tools
from clampbook.book.troubles import take_over
from clampbook.faults import Faulty
from clampbook.ledger import atomic
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.ledger import read
from clampbook.ledger.lines import NOTHING_BEFORE, decode, digest
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.record.sealed.folder import lying
from clampbook.run_folder import RunFolder, folders
from clampbook.text import printable

Progress = Callable[[int, int], None]  # folders looked at, of how many
_MOST_OF_A_FILE = 1_000_000  # bytes of a procedure, a notice, a hand-written list
_LISTS = ((PEOPLE, "person", "person"), (TOOLS, "tool", "tool"), (TOOLS, "adapter", "adapter"))


class Merged(Struct, frozen=True):
    """What came in: names of runs and checks, and how many were here already; `told`: what did not, and why."""

    runs: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    already: int = 0
    others: tuple[str, ...] = ()  # procedures, people, tools that came with them
    told: tuple[str, ...] = ()


class _Found:
    """What was done so far, to be told."""

    def __init__(self) -> None:
        self.came: dict[str, list[str]] = {RUNS: [], CHECKS: []}
        self.already = 0
        self.others: list[str] = []
        self.told: list[str] = []


def merge(book: Book, other: Book, stamp: dict[str, Any], progress: Progress | None = None) -> Merged:
    """Take another book into this one. `stamp` is when and by whom, for the line in this book's log.

    The other log comes first, then one folder after the other, so that stopping it anywhere leaves two whole books, and
    the same command again does the rest. Raises LedgerFault where the logs of the books cannot stand beside each other.
    """
    if book.root == other.root or book.id == other.id:
        raise LedgerFault(
            f"{shown(other.root)} is this book itself or a copy of it (both are {book.id}): only another book can be "
            "merged; of two copies go on with the one that was worked in"
        )
    found = _Found()
    _logs(book, other, found)
    todo = [(place, run) for place in (RUNS, CHECKS) for run in folders(other.path(place))]
    guard = Guard(other)
    for done, (place, run) in enumerate(todo, start=1):
        _folder(book, guard, place, run, found)
        if progress is not None:
            progress(done, len(todo))
    _notices(book, other, found)
    _procedures(book, other, found)
    _lists(book, other, found)
    take_over(book, other)
    if found.came[RUNS] or found.came[CHECKS] or found.others:
        _say_so(book, other, stamp, found)
    return Merged(
        tuple(found.came[RUNS]), tuple(found.came[CHECKS]), found.already, tuple(found.others), tuple(found.told)
    )


def _logs(book: Book, other: Book, found: _Found) -> None:
    """The other book's log, and those of books that were merged into it. Raises LedgerFault before anything is done."""
    theirs = {other.id: other.path(LOG)}
    if other.path(LOGS).is_dir():
        theirs |= {path.stem: other.path(LOGS, path.name) for path in sorted(other.path(LOGS).glob("*.jsonl"))}
    wanted: list[tuple[Path, bytes]] = []
    for id, path in theirs.items():
        if id == book.id:  # this one was merged into the other before
            _same_beginning(book.log_lines(), read(path)[0], path)
            continue
        whole, _ = read(path)
        faults = chain_faults(path, whole)
        found.told += [f"{shown(path)}, line {fault.line}: {fault.text}" for fault in faults]
        ours = book.path(LOGS, f"{id}.jsonl")
        held = read(ours)[0] if ours.exists() else []
        _same_beginning(held, whole, path)
        if len(whole) > len(held) or not ours.exists():
            wanted.append((ours, b"".join(line + b"\n" for line in whole)))
    for ours, data in wanted:
        _folder_for(ours)
        atomic.write(ours, data)


def _same_beginning(held: list[bytes], whole: list[bytes], path: Path) -> None:
    common = min(len(held), len(whole))
    if held[:common] != whole[:common]:
        raise LedgerFault(
            f"{shown(path)} tells another story than the log of the same book that is here already: one of them was "
            "changed; nothing was merged, compare both with a copy kept elsewhere"
        )


def _folder(book: Book, guard: Guard, place: str, run: RunFolder, found: _Found) -> None:
    """Copy one folder whole, or tell why not."""
    if run.state == "open":
        found.told.append(f"{run.id} is still open in the other book and was not copied: end it there, and merge again")
        return
    try:
        there, target = lying(run.path), book.path(place, run.id)
        if there.odd:
            raise LedgerFault(f"it holds {printable(there.odd[0])}, which is no plain file")
        if target.exists():
            _compare(run.id, there.files, lying(target).files, found)
            return
        guard.keep_out(run)
        with book.holding():
            _copy(book.path(place, DRAFTS, run.id), target, there.files)
    except LedgerFault as fault:
        found.told.append(f"{run.id} was not copied: {fault.sentence}")
    else:
        found.came[place].append(run.id)


def _compare(id: str, theirs: dict[str, bytes], ours: dict[str, bytes], found: _Found) -> None:
    differ = sorted(name for name in theirs.keys() | ours.keys() if theirs.get(name) != ours.get(name))
    if not differ:
        found.already += 1
        return
    found.told.append(
        f"{id} is here already with other bytes ({', '.join(map(printable, differ[:4]))}): both stay as they are, and "
        "the other one was not copied; clampbook verify says of each book whether its own is sound"
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


def _notices(book: Book, other: Book, found: _Found) -> None:
    """Later doubts about tools, beside the runs that came."""
    folder = other.path(NOTICES)
    for run in sorted(folder.iterdir()) if folder.is_dir() else ():
        if run.is_dir() and not run.is_symlink() and book.path(RUNS, run.name).exists():
            _files(other, book, (NOTICES, run.name), found)


def _procedures(book: Book, other: Book, found: _Found) -> None:
    found.others += _files(other, book, (PROCEDURES,), found)
    for kept in ("*.toml", "*.txt", "*.txt.sig"):  # what was released, the text given with it, and its signature
        _files(other, book, (PROCEDURES, REVISIONS), found, kept)


def _files(other: Book, book: Book, place: tuple[str, ...], found: _Found, pattern: str = "*.toml") -> list[str]:
    """Copy the files of one folder that are not here; the names of those that came."""
    came: list[str] = []
    for name, data in _plain(other.root, place, found, pattern):
        try:
            target = book.path(*place, name)
            if not target.exists():
                _folder_for(target)
                atomic.write(target, data)
                came.append(name)
            elif read_file(target, _MOST_OF_A_FILE) != data:
                where = "/".join((*place, name))
                found.told.append(f"{where} is here with other content: both books keep their own")
        except LedgerFault as fault:
            found.told.append(fault.sentence)
    return came


def _plain(root: Path, place: tuple[str, ...], found: _Found, pattern: str) -> Iterator[tuple[str, bytes]]:
    try:
        folder = inside(root, *place)
        names = sorted(path.name for path in folder.glob(pattern)) if folder.is_dir() else []
    except LedgerFault as fault:
        found.told.append(fault.sentence)
        return
    for name in names:
        try:
            yield name, read_file(inside(root, *place, name), _MOST_OF_A_FILE)
        except LedgerFault as fault:
            found.told.append(f"{'/'.join(place)}/{printable(name)} was not copied: {fault.sentence}")


def _lists(book: Book, other: Book, found: _Found) -> None:
    """People with their keys, tools and adapters that only the other book knows."""
    for file, name, word in _LISTS:
        try:
            theirs = other.path(file)
            if not theirs.exists():
                continue
            with book.log() as log:
                ours = book.path(file)
                before = read_file(ours, _MOST_OF_A_FILE) if ours.exists() else b""
                result = joined(before, read_file(theirs, _MOST_OF_A_FILE), name)
                if result.came:
                    _must_be_readable(file, result.data)
                    for line in _about_keys(other, result.came) if file == PEOPLE else ():
                        log.append(line)
                    atomic.write(ours, result.data)
            if file == PEOPLE:
                found.others += _secrets(book, other, result.came)
        except LedgerFault as fault:
            found.told.append(f"{file} was not merged: {fault.sentence}")
            continue
        except Faulty as faulty:
            found.told.append(f"{file} was not merged: in the other book {faulty.faults[0].text}; mend it there first")
            continue
        found.others += [f"{word} {id}" for id in result.came]
        found.told += [f"{file}: {_collision(word, printable(id))}" for id in result.collide]
        if result.why_not:
            found.told.append(f"{file} was not merged: {result.why_not}; add what is missing by hand")


def _must_be_readable(file: str, data: bytes) -> None:
    """A file that would stop this book from being read is never written. Raises Faulty."""
    if file == PEOPLE:
        from clampbook.people_file import read_people

        read_people(data, file)
    else:
        from clampbook.tools.reader import read_stock

        read_stock(data, file)


def _collision(word: str, id: str) -> str:
    return (
        f"the {word} {id} is here with other content: each book keeps its own; if they are two, give one of them "
        "another id before more is done with it"
    )


def _about_keys(other: Book, people: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    """What the other book's log tells of the keys of people who came: here too a log vouches for them."""
    for line in other.log_lines():
        said = decode(line)
        if said.get("event") in ("key_added", "key_withdrawn") and said.get("person") in people:
            yield {**said, "from_book": other.id}


def _secrets(book: Book, other: Book, people: tuple[str, ...]) -> Iterator[str]:
    """The locked secret keys of people who came, so that they can sign here too; each is told."""
    for person in people:
        path = key_file(other, person)
        if path.is_file() and not key_file(book, person).exists():
            _folder_for(key_file(book, person))
            atomic.write(key_file(book, person), read_file(path, _MOST_OF_A_FILE))
            yield f"the locked key of {person}"


def _say_so(book: Book, other: Book, stamp: dict[str, Any], found: _Found) -> None:
    theirs = other.log_lines()
    about = {
        "event": MERGED,
        "book_merged": other.id,
        "name": other.name,
        "lines": len(theirs),
        "head": digest(theirs[-1]) if theirs else NOTHING_BEFORE,
        "runs": found.came[RUNS],
        "checks": found.came[CHECKS],
        "tools": sorted(shared_tools(book, other)),
    }
    with book.log() as log:
        log.append({**about, **stamp})


def _folder_for(path: Path) -> None:
    try:
        make_folder(path.parent)
    except OSError as error:
        raise refusal(path.parent, error, "be made") from error
