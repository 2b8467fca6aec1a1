"""The sweep at the next start: files that killed programs left half written in the folders of runs and checks.

Only plain files of the name that `atomic` gives to half a file of such a folder, and only under the folder's locks. In
a sealed folder nothing changes any more: there verifying tells them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence

from clampbook.book.book import LOCKS, Book
from clampbook.ledger import lock
from clampbook.ledger.refusals import LedgerFault, LockHeld, refusal
from clampbook.record.sealed.names import is_left_over
from clampbook.run_folder import SEAL, RunFolder


def sweep(book: Book, unsettled: Sequence[RunFolder]) -> Iterator[str]:
    """Take them away in the runs and checks that are not settled; each is told in a sentence, also where it cannot be
    taken away."""
    for folder in unsettled:
        try:
            if _left_over(folder) and not folder.made_before:
                yield from _swept(book, folder)
        except LockHeld:
            continue  # somebody is at work there, and half a file may be theirs
        except LedgerFault as fault:
            yield fault.sentence


def _left_over(folder: RunFolder) -> list[str]:
    """Their names; none in a sealed folder."""
    try:
        with os.scandir(folder.path) as entries:
            found = [
                entry.name for entry in entries if is_left_over(entry.name) and entry.is_file(follow_symlinks=False)
            ]
    except OSError as error:
        raise refusal(folder.path, error, "be read") from error
    return found if found and not (folder.path / SEAL).exists() else []


def _swept(book: Book, folder: RunFolder) -> Iterator[str]:
    with (
        lock.take(book.path(LOCKS), folder.id, alone=book.alone),
        lock.take(book.path(LOCKS), f"{folder.id}.seal", alone=book.alone),
    ):
        for name in _left_over(folder):
            path = folder.path / name
            try:
                path.unlink(missing_ok=True)
            except OSError as error:
                raise refusal(path, error, "be removed") from error
            yield f"{folder.id}: {name} was never finished, and is removed."
