"""Opening and abandoning runs: what a run uses is frozen first, then its first line, then a line in the book's log."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable, Mapping
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from msgspec import Struct

from clampbook import run_folder
from clampbook.book.book import RUNS, Book
from clampbook.ledger import atomic, lines
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.run_folder import SEAL, RunFolder
from clampbook.slug import is_slug

RUN_DAMAGED = "run_damaged"
RUN_SEALED = "run_sealed"
DRAFTS = ".new"  # within runs/: folders that are not runs yet, and never become any after a crash


class Opening(Struct, frozen=True):
    """The content of a run's first line: the run, its book, the log's last hash, and what was frozen for it."""

    run: str
    book: str
    log_head: str
    procedure_sha256: str
    plan_sha256: str


def new_run(
    book: Book,
    slug: str,
    on: date,
    procedure: bytes,
    plan: bytes,
    opened: Callable[[Opening], Mapping[str, Any]],
) -> RunFolder:
    """Open a run on a day: freeze what it uses, write `opened` as its first line, and name it in the book's log.

    The folder is made aside and put in place whole, so that a run is never seen half made; what a crash leaves is
    mended at the next start. Raises LedgerFault or LedgerFull, and then there is no run.
    """
    if not is_slug(slug):
        raise LedgerFault(f"{shown(Path(slug))} cannot name a run: lower-case letters, digits and hyphens can")
    with book.log() as log:
        run_id = run_folder.new_id(on, slug)
        draft, folder = book.path(RUNS, DRAFTS, run_id), book.path(RUNS, run_id)
        names = Opening(run_id, book.id, log.head, sha256(procedure).hexdigest(), sha256(plan).hexdigest())
        try:
            run_folder.write_frozen(draft, procedure, plan)
            first = Ledger.open(draft / run_folder.DAYBOOK, create=True).append(opened(names))
            put(draft, folder)
        except BaseException:
            away(draft)
            away(folder)
            raise
        try:
            log.append(opened_entry(run_id, first))
        except LedgerFault:
            away(folder)
            raise
    return RunFolder(folder)


def abandon(book: Book, run: RunFolder, fields: Mapping[str, Any], who: str = "") -> None:
    """End a run for good: `fields` (an abandoned event) is its last line, and the book's log says so.

    Raises LockHeld where somebody is at it, LedgerFault where it is not open.
    """
    with book.writing(run, who) as daybook:
        if run.state != "open":
            raise LedgerFault(f"{shown(run.path)} is {run.state}: nothing is added to it")
        last = daybook.append(fields)
    with book.log() as log:
        log.append(abandoned_entry(run.id, last))


def unsealed(book: Book) -> tuple[RunFolder, ...]:
    """The runs that are closed and not sealed, so that the bench can offer to finish them."""
    from clampbook.book.settled import unsettled_runs

    return tuple(run for run in unsettled_runs(book) if not (run.path / SEAL).exists() and run.state == "closed")


def opened_entry(run_id: str, first: bytes) -> dict[str, Any]:
    """The log's line for a run whose first line is `first`."""
    return {"event": "run_opened", "run": run_id, "first": lines.digest(first), **_by_whom(first)}


def abandoned_entry(run_id: str, last: bytes) -> dict[str, Any]:
    """The log's line for a run whose last line, an abandoned one, is `last`."""
    return {"event": "run_abandoned", "run": run_id, "last": lines.digest(last), **_by_whom(last)}


def damaged_entry(run_id: str, last: bytes) -> dict[str, Any]:
    """The log's line for a run whose damaged daybook was moved aside; `last` is the last line of what is kept of it."""
    return {"event": RUN_DAMAGED, "run": run_id, "last": lines.digest(last), **_by_whom(last)}


def _by_whom(line: bytes) -> dict[str, Any]:
    """Give the time and the person of the run's own line; of one that was typed in late, when it was typed."""
    said = lines.decode(line)
    said["at"] = said.get("typed_at") or said.get("at")
    return {key: said[key] for key in ("at", "offset", "by") if said.get(key) is not None}


def put(draft: Path, folder: Path) -> None:
    """Put a finished folder in its place in one step, safe on the disk."""
    try:
        draft.rename(folder)
        atomic.sync_folder(folder.parent)
        atomic.sync_folder(draft.parent)
    except OSError as error:
        raise refusal(folder, error, "be put in place") from error


def away(folder: Path) -> None:
    """Take away a folder that nobody has seen yet. What cannot be taken away is mended at the next start."""
    with contextlib.suppress(OSError):
        shutil.rmtree(folder)
