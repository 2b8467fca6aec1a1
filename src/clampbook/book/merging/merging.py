"""Another book's runs, checks and log taken into this one: folders are copied and nothing is rewritten.

What collides stays where it is in both books, and is told in a sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from clampbook.book.book import CHECKS, LOG, LOGS, RUNS, Book
from clampbook.book.merging.came import Found, Merged
from clampbook.book.merging.copying import copy_folder, copy_notices, copy_procedures, folder_for
from clampbook.book.merging.guard import Guard
from clampbook.book.merging.lists import join_lists
from clampbook.book.merging.shared_tools import shared_tools
from clampbook.book.settled import own_log
from clampbook.book.told_apart import MERGED, merges
from clampbook.book.troubles import take_over
from clampbook.ledger import atomic
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.ledger import read
from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.run_folder import RunFolder, folders

Progress = Callable[[int, int], None]  # folders looked at, of how many


def merge(book: Book, other: Book, stamp: dict[str, Any], progress: Progress | None = None) -> Merged:
    """Take another book into this one. `stamp` is when and by whom, for the line in this book's log.

    The other log comes first, then one folder after the other, so that stopping it anywhere leaves two whole books, and
    the same command again does the rest. Raises LedgerFault where the logs of the books cannot stand beside each other.
    """
    if book.root == other.root or book.id == other.id:
        raise LedgerFault(
            f"{shown(other.root)} is this book itself or a copy of it (both are {book.id}). Only another book can be "
            "merged. Of two copies, use the one that was worked in"
        )
    found = Found()
    _logs(book, other, found)
    todo = [(place, run) for place in (RUNS, CHECKS) for run in folders(other.path(place))]
    guard = Guard(other)
    for done, (place, run) in enumerate(todo, start=1):
        copy_folder(book, guard, place, run, found)
        if progress is not None:
            progress(done, len(todo))
    copy_notices(book, other, found)
    copy_procedures(book, other, found)
    join_lists(book, other, found)
    take_over(book, other)
    _say_so(book, other, stamp, found)
    already = sum(map(len, found.already.values()))
    return Merged(tuple(found.came[RUNS]), tuple(found.came[CHECKS]), already, tuple(found.others), tuple(found.told))


def _logs(book: Book, other: Book, found: Found) -> None:
    """The other book's log, and those of books that were merged into it. Raises LedgerFault before anything is done."""
    theirs = {other.id: other.path(LOG)}
    theirs |= {path.stem: path for path in other.merged_logs()}
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
        folder_for(ours)
        atomic.write(ours, data)


def _same_beginning(held: list[bytes], whole: list[bytes], path: Path) -> None:
    common = min(len(held), len(whole))
    if held[:common] != whole[:common]:
        raise LedgerFault(
            f"{shown(path)} differs from the log of the same book that is here already. One of them was changed. "
            "Nothing was merged. Compare both with a copy from elsewhere"
        )


def _say_so(book: Book, other: Book, stamp: dict[str, Any], found: Found) -> None:
    """Write into the log what came, now or in a merge that was stopped before it could say so; nothing where all of it
    was said before."""
    theirs, shared = other.log_lines(), sorted(shared_tools(book, other))
    with book.log() as log:
        before = list(merges(own_log(book).other_lines))
        said = {str(name) for line in before for key in (RUNS, CHECKS) for name in line.get(key) or ()}
        came = {place: _unsaid(book, place, found, said) for place in (RUNS, CHECKS)}
        if not (any(came.values()) or found.others) and any(line.get("book_merged") == other.id for line in before):
            return
        log.append({**_about(other, theirs, came, shared), **stamp})


def _about(other: Book, theirs: list[bytes], came: dict[str, list[str]], shared: list[str]) -> dict[str, Any]:
    return {
        "event": MERGED,
        "book_merged": other.id,
        "name": other.name,
        "lines": len(theirs),
        "head": digest(theirs[-1]) if theirs else NOTHING_BEFORE,
        **came,
        "tools": shared,
    }


def _unsaid(book: Book, place: str, found: Found, said: set[str]) -> list[str]:
    """Give the folders of other books, come now or here already, of which no line of this book's log tells."""
    here = [name for name in (*found.came[place], *found.already[place]) if name not in said]
    return [name for name in here if (RunFolder(book.path(place, name)).first() or {}).get("book") != book.id]
