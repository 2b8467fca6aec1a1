"""The mending at the next start of what a crash left half done: folders that never became runs, lines the log lacks."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from clampbook.book.book import LOG, LOGS, PROCEDURES, RUNS, Book
from clampbook.book.checks import mend_checks
from clampbook.book.left_overs import sweep
from clampbook.book.log_told import ABANDONED, DAMAGED, OPENED, SEALED
from clampbook.book.runs import DRAFTS, abandoned_entry, damaged_entry, opened_entry
from clampbook.book.settled import Settled, settled, unsettled_checks, unsettled_runs
from clampbook.book.troubles import mend_troubles
from clampbook.check.standing import LATER_START
from clampbook.ledger import atomic
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.ledger import Ledger, read
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.run_folder import RECORD, SEAL, RunFolder

_WRITTEN_TO = ((), (LOGS,), ("keys",), (PROCEDURES,), (PROCEDURES, ".revisions"))  # folders of small files
_NOT_MENDED = "Nothing was repaired. The book's log takes no new lines until it is whole."

_LATER = "A crash left something half done in this book. Clampbook tries to finish it at the next start."


def mend(book: Book) -> tuple[str, ...]:
    """Finish what a crash left; returns as sentences what was done and what a person should look at.

    Takes the book's lock only where there is something to do. Where that cannot be written (a read-only disk, a second
    program that has the lock) it is told and left for the next start, so that a book can always be read.
    Raises LedgerFault where not even the log can be read.
    """
    known = settled(book, anew=True)
    if not known.whole:
        faults = chain_faults(book.path(LOG), read(book.path(LOG))[0])
        return (*(f"{shown(book.path(LOG))}, line {fault.line}: {fault.text}" for fault in faults), _NOT_MENDED)
    runs, checks = unsettled_runs(book, known), unsettled_checks(book, known)
    return (
        *_mend_runs(book, known, runs),
        *mend_checks(book, known, checks),
        *mend_troubles(book, runs),
        *_mend_keys(book),
        *sweep(book, (*runs, *checks)),
    )


def _mend_keys(book: Book) -> tuple[str, ...]:
    """The same for a key that was being made or withdrawn."""
    from clampbook.book.keys import follow_log

    try:
        told = follow_log(book)
    except LedgerFault as fault:
        return fault.sentence, _LATER
    return () if told is None else (told,)


def _mend_runs(book: Book, known: Settled, runs: Sequence[RunFolder]) -> tuple[str, ...]:
    """The same for runs and for the log itself."""
    recorded = _recorded(runs)
    unlogged = tuple(_unlogged(book, known, runs))
    if not known.torn and not _unfinished(book) and not any(entry for _, entry in unlogged):
        return (*recorded, *(told for told, _ in unlogged))
    done = list(recorded)
    try:
        with book.log() as log:
            _finish(book, log, done)
    except LedgerFault as fault:
        done += [fault.sentence, _LATER]
    return tuple(done)


def _finish(book: Book, log: Ledger, done: list[str]) -> None:
    """Do what is to be done; each thing is told in `done` as soon as it is."""
    if log.torn:
        done.append(f"{log.torn} bytes of a torn last line are saved beside the book's log.")
    for path in _unfinished(book):
        done.append(_taken_away(path))
    known = settled(book, anew=True)  # as it is now that nobody else writes to it
    for told, entry in list(_unlogged(book, known, unsettled_runs(book, known))):
        if entry:
            log.append({**entry, "late": LATER_START})
        done.append(told)


def _recorded(runs: Sequence[RunFolder]) -> tuple[str, ...]:
    """Write the record of runs that ended just before it could be; what cannot be written is told."""
    told: list[str] = []
    for run in runs:
        if (run.path / RECORD).exists() or run.state not in ("closed", "abandoned") or run.made_before:
            continue
        from clampbook.record.written import write
        from clampbook.work.frozen import RecordFault

        try:
            write(run.path)
        except (RecordFault, LedgerFault) as fault:
            told.append(f"{run.id} has ended, and its record is not written: {fault.sentence}")
        else:
            told.append(f"{run.id}: its record was missing, and is written now.")
    return tuple(told)


def _unfinished(book: Book) -> list[Path]:
    """Folders of runs and files of the book that were never put in place: nothing in them was ever acknowledged."""
    drafts = book.path(RUNS, DRAFTS)
    try:
        folders = sorted(drafts.iterdir()) if drafts.is_dir() else []
        places = [place for parts in _WRITTEN_TO if (place := book.path(*parts)).is_dir()]
        return folders + sorted(path for place in places for path in place.iterdir() if atomic.is_temporary(path.name))
    except OSError as error:
        raise refusal(book.root, error, "be read") from error


def _taken_away(path: Path) -> str:
    try:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
            return f"{path.name} was never opened, and is removed."
        path.unlink()
    except OSError as error:
        raise refusal(path, error, "be removed") from error
    return f"{path.name} was never finished, and is removed."


def _unlogged(book: Book, known: Settled, runs: Sequence[RunFolder]) -> Iterator[tuple[str, dict[str, Any] | None]]:
    """A sentence for each run that the logs do not tell of, and the line that is missing, where it is ours to write."""
    for run in runs:
        told = known.runs.get(run.id, "")
        ended = SEALED in told or ABANDONED in told
        if OPENED not in told:
            yield _never_logged(book, run)
        if not ended and (run.path / SEAL).exists() and run.last_line() is not None:
            from clampbook.book.sealing.seal_writing import sealed_entry

            yield f"{run.id} was sealed. The book's log now says so.", sealed_entry(run, "run")
        elif not ended and run.state == "abandoned" and _has_record(run) and (last := run.last_line()) is not None:
            yield f"{run.id} was abandoned. The book's log now says so.", abandoned_entry(run.id, last)
        elif not ended and DAMAGED not in told and _as_damaged(run) and (last := run.last_line()) is not None:
            yield f"{run.id} was closed as damaged. The book's log now says so.", damaged_entry(run.id, last)


def _has_record(run: RunFolder) -> bool:
    """Tell whether its record was written; until then the log does not end it, so that each start comes back to it."""
    return (run.path / RECORD).exists() or run.made_before


def _as_damaged(run: RunFolder) -> bool:
    last = run.last() or {}
    return last.get("event") == "closed" and last.get("outcome") == "damaged"


def _never_logged(book: Book, run: RunFolder) -> tuple[str, dict[str, Any] | None]:
    first, said = run.first_line(), run.first()
    if first is None or said is None or said.get("event") != "opened":
        return f"{shown(run.path)} has no readable first line. It stays unchanged.", None
    if said.get("book") != book.id:
        return f"{shown(run.path)} belongs to another book. This book's log does not name it.", None
    return f"{run.id} was opened. The book's log now says so.", opened_entry(run.id, first)
