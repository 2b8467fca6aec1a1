"""The aftermath of a check that found its tool off: the runs it touched are looked through, the finished ones told."""

from __future__ import annotations

from collections.abc import Callable

from clampbook.archive.affected_words import summary
from clampbook.book.book import Book
from clampbook.book.suspicion import affected_by, failure_of, suspicion_of, tell_runs
from clampbook.ledger.refusals import LedgerFault
from clampbook.tools.model import Tool


class Cancelled(Exception):  # noqa: N818 - a wish of the person, no error
    """Nobody waits for it any more."""


def affected_by_failure(book: Book, tool: Tool, cancelled: Callable[[], bool]) -> list[str]:
    """Tell in sentences what the tool touched; empty where nobody waits for it any more."""

    def progress(_: int, __: int) -> None:
        if cancelled():
            raise Cancelled

    try:
        failure = failure_of(book, tool)
        if failure is None:
            return []
        suspicion, unknown = suspicion_of(book, tool, failure)
        found = affected_by(book, suspicion, progress)
        told = tell_runs(book, suspicion, failure, found)
    except Cancelled:
        return []
    except LedgerFault as fault:
        return [fault.sentence]
    affected = f"Affected work: {summary(found, suspicion)}."
    return [affected, *filter(None, (unknown, told))]
