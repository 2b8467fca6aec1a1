"""The beginning of a paper form that is typed in: when it was filled in, at this place."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from clampbook.commands.asked import Asked
from clampbook.commands.options import now
from clampbook.run.on_form.times import beginning_of

if TYPE_CHECKING:
    from clampbook.book.book import Book
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
        raise not_here("No revision of this book stands at the foot of the form")
    return known[chosen]


def began(asked: Asked, beginning: Beginning) -> datetime:
    """The day and time at which the form begins, as given with --began, or asked for. Raises UsageError."""
    if asked.began is None:
        return beginning.of_the_form(now())
    found = beginning_of(asked.began, now())
    if isinstance(found, str):
        raise click.UsageError(found)
    return found
