"""The one list of what is due in a book: its parts are read from the index, the log, the tools and the procedures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path

from msgspec import Struct

from clampbook.archive.follow_ups import waiting
from clampbook.archive.index import Archive
from clampbook.book.book import Book
from clampbook.book.due.crossed import crossed_off
from clampbook.book.due.entries import Due, of_follow_up, of_procedure, of_tools, within
from clampbook.procedure.model import Procedure
from clampbook.run_folder import RunFolder
from clampbook.tools.model import Stock
from clampbook.tools.state import SOON


class Span(Struct, frozen=True):
    """Up to when a list looks ahead, seen from a moment."""

    now: datetime
    ahead: timedelta = SOON

    @property
    def today(self) -> date:
        """The day of that moment."""
        return self.now.date()

    @property
    def until(self) -> date:
        """The last day."""
        try:
            return self.today + self.ahead
        except OverflowError:
            return date.max


def follow_ups(book: Book, archive: Archive, open_runs: Iterable[RunFolder], now: datetime) -> tuple[Due, ...]:
    """The follow-ups that nobody has done, crossed off or not, by an index that is up to date; one that is under way
    is listed with the open runs. Raises LedgerFault."""
    crossed, under_way = crossed_off(book), set(_follow_up_of(open_runs))
    found = archive.asked(waiting)
    return tuple(of_follow_up(each, now, crossed.get(each.named)) for each in found if each.named not in under_way)


def _follow_up_of(runs: Iterable[RunFolder]) -> Iterable[tuple[str, str]]:
    for run in runs:
        from clampbook.book.starting.frozen import first_event  # all events, wanted only where a run is open

        first = first_event(run)
        if first is not None and first.of_run is not None:
            yield first.of_run.named


def of_stock_and_procedures(stock: Stock, procedures: Mapping[Path, Procedure | None], span: Span) -> tuple[Due, ...]:
    """List what tools and released procedures want within a span."""
    read = ((path, found) for path, found in procedures.items() if found is not None)
    again = (of_procedure(path, found, span.today) for path, found in read)
    return (
        *of_tools(stock, span.today, span.until),
        *within((each for each in again if each is not None), span.until),
    )


def still_due(follow_ups: Iterable[Due], span: Span) -> tuple[Due, ...]:
    """Those within a span that are not crossed off."""
    return within((each for each in follow_ups if each.crossed_off is None), span.until)
