"""The beginning of a paper form that is typed in: when it was filled in, at this place."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from clampbook.commands.asked import Asked
from clampbook.commands.options import now, there
from clampbook.run.on_form.times import beginning_of

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.scans import Scan
    from clampbook.book.starting.terms import Work
    from clampbook.plain.beginning import Beginning


def of_the_form(book: Book, work: Work, asked: Asked, beginning: Beginning) -> Work:
    """The revision that the form was printed from: by the code of --form, or asked for. Raises LedgerFault where the
    book does not have it."""
    from clampbook.book.starting.of_the_form import not_here, revisions, told, with_code

    known = revisions(book, work)
    if asked.form is not None:
        return with_code(known, asked.form)
    chosen = beginning.revision(tuple(map(told, known)))
    if chosen is None:
        raise not_here()
    return known[chosen]


def began(asked: Asked, beginning: Beginning) -> datetime:
    """The day and time at which the form begins, as given with --began, or asked for. Raises UsageError."""
    return said_to_begin(asked) or beginning.of_the_form(now(), there())


def said_to_begin(asked: Asked) -> datetime | None:
    """The same as far as --began gives it. Raises UsageError where that is no time, or is still to come."""
    if asked.began is None:
        return None
    found = beginning_of(asked.began, now(), there())
    if isinstance(found, str):
        raise click.UsageError(found)
    return found


def scans_of(asked: Asked) -> tuple[Scan, ...]:
    """The scans of a form, read before there is a run. Raises LedgerFault where one is none."""
    if not asked.scans:
        return ()
    from clampbook.book.scans import read_scan

    return tuple(map(read_scan, asked.scans))
