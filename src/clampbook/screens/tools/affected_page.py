"""Affected work, as lines of a page: runs, groups, positions, each reading with its deviation
applied."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

from clampbook.archive.affected_runs import Found
from clampbook.archive.affected_words import Suspicion, begun, blocks
from clampbook.book.book import Book
from clampbook.book.suspicion import affected_by, failure_of, suspicion_by_hand, suspicion_of, tell_runs
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.pages.blocks import Cell, Heading, Table
from clampbook.screens.check.aftermath import Cancelled
from clampbook.tools.model import Tool


def search(
    book: Book, tool: Tool, percent: Decimal | None, progress: Callable[[int, int], None]
) -> tuple[str, ...] | None:
    """The page for a tool; None where nobody waits for it any more. Finished runs get a notice after a failed check."""
    try:
        failure = failure_of(book, tool)
        if failure is None:
            suspicion, unknown = suspicion_by_hand(book, tool, percent=percent), ""
        else:
            suspicion, unknown = suspicion_of(book, tool, failure)
        found = affected_by(book, suspicion, progress)
        told = tell_runs(book, suspicion, failure, found) if failure is not None else ""
    except Cancelled:
        return None
    except LedgerFault as fault:
        return (fault.sentence,)
    return tuple(lines(suspicion, found, (unknown, told)))


def lines(suspicion: Suspicion, found: Found, told: tuple[str, ...] = ()) -> Iterator[str]:
    """The page: why and how far, how much it is, then run by run."""
    yield from begun(suspicion, found)
    yield from filter(None, told)
    yield f"To print this list: clampbook affected {suspicion.tool.id} --pdf FILE"
    runs = {run.run: run for run in found.runs}
    for block in blocks(suspicion, found):
        match block:
            case Heading(text=text) if text in runs:
                yield ""
                yield f"# {text}"
                yield block.aside
                for group, positions in runs[text].positions.items():
                    yield f"{group or 'the joint'}: {' '.join(positions)}"
            case Table(head=head, rows=rows):
                yield from _table(head, rows)
            case _:
                continue
    yield from found.unread


def _table(head: tuple[str, ...], rows: tuple[tuple[Cell, ...], ...]) -> Iterator[str]:
    """Each reading on a line of its own, every value with its name, as nothing else can be read at 40 columns."""
    for row in rows:
        yield " · ".join(f"{name.lower()} {_text(cell)}" for name, cell in zip(head, row, strict=True) if cell)


def _text(cell: Cell) -> str:
    return cell if isinstance(cell, str) else " ".join(cell)
