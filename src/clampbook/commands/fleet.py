"""Books brought into one dataset, and what is told of it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import as_it_lies, say, telling_where_stopped
from clampbook.streams import json_text
from clampbook.text import counted

if TYPE_CHECKING:
    from clampbook.fleet.export import Exported, Source

_STOPPED = "Stopped. What is in the dataset is whole. Export again to bring in the rest."


def to_dataset(dataset: Path, folder: Path | None, books: Path | None, *, as_json: bool) -> int:
    """Bring a book, or each book of a folder, into a dataset. Raises LedgerFault, Faulty, UsageError."""
    from clampbook.fleet.export import export

    found = [_source(folder)] if books is None else [_source(each) for each in _books_in(books)]

    def told(book: Source, done: Exported) -> None:
        if len(found) > 1 and (done.runs or done.checks):
            say(f"{book.name}: {_new(done.runs, done.checks)}")

    with telling_where_stopped(lambda: _STOPPED):
        done = export(dataset, found, told)
    left_out = [each for one in done for each in one.left_out]
    runs, checks = sum(one.runs for one in done), sum(one.checks for one in done)
    for each in left_out:
        say(f"Left out: {each}")
    new = _new(runs, checks) if runs or checks else "Nothing new"
    say(f"{new} from {counted(len(found), 'book')} in {dataset}")
    if as_json:
        told_of = {"books": len(found), "runs": runs, "checks": checks, "left_out": left_out}
        sys.stdout.write(json_text(told_of))
    return LOOK_AT_IT if left_out else FINE


def _new(runs: int, checks: int) -> str:
    every = ((runs, "run"), (checks, "check"))
    return " and ".join(counted(number, what) for number, what in every if number)


def _source(folder: Path | None) -> Source:
    from clampbook.fleet.export import Source

    book = as_it_lies(folder)
    return Source(book.root, book.id, book.name)


def _books_in(folder: Path) -> list[Path]:
    """The folders in this one that are books. Raises UsageError where there is none."""
    from clampbook.book.book import BOOK

    found = sorted(each.parent for each in folder.glob(f"*/{BOOK}"))
    if not found:
        raise click.UsageError(f"No folder in {folder} is a book. Give the folder that your books lie in.")
    return found
