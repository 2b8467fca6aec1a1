"""The offer of the run before when the same work is begun again."""

from __future__ import annotations

import contextlib
from itertools import groupby

from clampbook.book.book import RUNS, Book
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.events import read
from clampbook.run.last_run import NOTHING, LastRun, remembered
from clampbook.run.prompts import StartSheet
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder, latest_first


def remind(walk: Walk, book: Book, run: RunFolder) -> None:
    """Hand on what was answered and used last time, as long as the start sheet is asked for."""
    if isinstance(walk.prompt, StartSheet) and not walk.plan.late:  # a form has its own answers
        walk.remember(last_run(book, run, walk.plan.slug))


def last_run(book: Book, run: RunFolder, slug: str) -> LastRun:
    """Give what the latest other run of the procedure of this short name has to offer; nothing where none can be
    read."""
    folder = book.path(RUNS)
    named = (RunFolder(folder / name) for name in latest_first(folder, slug) if name != run.id)
    others = (other for other in named if not other.made_before)
    of_its_day = next(groupby(others, key=lambda other: other.id.partition("-")[0]), ("", ()))[1]
    for other in sorted(of_its_day, key=_opened_at, reverse=True):
        with contextlib.suppress(*UNREADABLE, LedgerFault):
            return remembered(tuple(map(read, other.lines()[0])))
    return NOTHING


def _opened_at(run: RunFolder) -> str:
    return str((run.first() or {}).get("at", ""))
