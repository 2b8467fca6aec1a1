"""A run in somebody's hands, from its first prompt to its record."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.book.keys import announced
from clampbook.book.news import ToolNews, WithdrawalNews
from clampbook.book.runs import abandoned_entry
from clampbook.book.scans import Scan, add
from clampbook.book.starting.frozen import plan_frozen
from clampbook.book.troubles import Telling, tell_troubles
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.run.in_hand.suspects import Suspect
from clampbook.run.plan import Plan
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder
from clampbook.text import as_sentence
from clampbook.tools.model import Stock


@contextlib.contextmanager
def walking(
    book: Book,
    run: RunFolder,
    *,
    clock: Clock,
    person: Person,
    done_by: Person | None = None,
    exempt: bool = False,
    fresh: bool = False,
    tools_later: bool = False,
    scans: Sequence[Scan] = (),
) -> Iterator[Walk]:
    """The walk of a run for as long as the `with` lasts; nobody else can write to it meanwhile.

    With `tools_later` it begins without tools, whose file takes a moment to read, and without what was answered last
    time: hand them on with `use` before any is asked for, and with `remind`. `scans` of a paper form are put into its
    folder first. Raises LockHeld where somebody else does, LedgerFault where the run is over or its files not whole.
    """
    plan = plan_frozen(run)
    stock, unread = (None, None) if tools_later else tools_of(book, run, plan)
    with book.writing(run, person.name) as ledger:
        walk = Walk.take_up(
            plan,
            ledger,
            clock=clock,
            person=person,
            hands=done_by,
            stock=stock,
            unread=unread,
            people=book.people(),
            keys=announced(book),
            exempt=exempt,
            fresh=fresh,
        )
        _listen(walk, book, run)
        add(run, walk, scans)
        if not tools_later:
            _remind(walk, book, run)
        yield walk


def _remind(walk: Walk, book: Book, run: RunFolder) -> None:
    """Let the walk know what was answered last time."""
    from clampbook.book.starting.last_time import remind

    remind(walk, book, run)


def tools_of(book: Book, run: RunFolder, plan: Plan) -> tuple[Stock, str | None]:
    """The tools as a run is to know them, and what is wrong with their file: of one that is typed in from paper, as
    they were at the time that was typed last."""
    last = run.last() if plan.late else None
    return toolbox.stock_or_fault(book, _there(last) if last is not None else None)


def _there(line: Mapping[str, Any]) -> datetime:
    """The time of a line at its own place."""
    place = datetime.fromisoformat(f"2000-01-01T00:00:00{line['offset']}").tzinfo
    return datetime.fromisoformat(line["at"]).astimezone(place)


def _listen(walk: Walk, book: Book, run: RunFolder) -> None:
    """Let the walk hear of tools and of its procedure's withdrawal, and the book of what happens in it."""
    telling, news = Telling(book, run), ToolNews(book, lambda: walk.use(*tools_of(book, run, walk.plan)))

    def heard() -> Sequence[Suspect]:
        telling.again()
        return news()

    told = WithdrawalNews(book, walk.plan)
    walk.listen(heard, telling, lambda to: book.written_by(run, to.name), told)


def conclude(book: Book, run: RunFolder) -> Path | None:
    """After a walk: a run that ended gets its record, one that was abandoned its line in the book's log.

    Gives the record's path; None where the run is still open. Raises LedgerFault where something finds no room, or
    cannot be written; all that is missing then is made at the next start.
    """
    state = run.state
    if state not in ("closed", "abandoned"):
        return None
    try:
        return _concluded(book, run, state)
    except LedgerFault as fault:
        saved = f"All answers of {run.id} are saved. Its record is made at the next start"
        raise type(fault)(f"{as_sentence(fault.sentence)} {saved}") from fault


def closed_late(run: RunFolder, record: Path) -> str | None:
    """Tell how a paper form was closed, by the headline of its record, which alone knows what the form left open."""
    import tomllib

    from clampbook.record.pages.headline import headline

    told = tomllib.loads(record.read_text("utf-8"))
    return f"Run closed. {headline(told)}." if run.state == "closed" and told.get("from_paper") else None


def _concluded(book: Book, run: RunFolder, state: str) -> Path:
    from clampbook.archive.index import noted
    from clampbook.book.toolbox import tell_use
    from clampbook.record.written import write

    last = run.last_line()
    tell_troubles(book, run)
    tell_use(book, run)
    record = write(run.path)  # before the log ends it: what that has ended is never looked at again
    if state == "abandoned" and last is not None:
        with book.log() as log:
            log.append(abandoned_entry(run.id, last))
    noted(book.root, run)
    return record
