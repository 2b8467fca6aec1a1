"""A run whose first pull no tool of the book can do: said before it is opened."""

from __future__ import annotations

from datetime import date

from clampbook.book.book import TOOLS, Book
from clampbook.book.starting.followed_up import followed_up
from clampbook.book.starting.terms import Terms, Work, plan_for
from clampbook.book.toolbox import stock_or_fault
from clampbook.run.in_hand.first_pull import no_tool_for_it


def without_a_tool(book: Book, work: Work, terms: Terms, today: date) -> tuple[str, ...]:
    """The need of the first pull, why no tool can do it, and where one is added. Empty where one can, where a paper
    form is typed in, or where the tools cannot be read, which is said elsewhere.

    Raises LedgerFault for terms that do not fit.
    """
    stock, unread = stock_or_fault(book)
    if unread is not None or terms.on_paper_from is not None:
        return ()
    first = followed_up(work, terms)
    lacking = no_tool_for_it(plan_for(work, terms if first is None else first.carried(terms)), stock, today)
    return (*lacking, f"Add one under Tools on the bench, or write it into {book.path(TOOLS)}.") if lacking else ()
