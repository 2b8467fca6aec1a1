"""The command that takes another book into this one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import book_option, example, json_option, now, open_book, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.merging.came import Merged


@click.command(epilog=example("merge other-book"))
@click.argument("other", type=click.Path(path_type=Path, file_okay=False), metavar="OTHER_BOOK")
@book_option
@json_option
def merge(other: Path, folder: Path | None, as_json: bool) -> int:
    """Copy another book into this one.

    Runs, checks and log are copied. The other book is not changed.
    """
    from clampbook.book.checks import mend_checks
    from clampbook.book.merging.merging import merge as merge_books
    from clampbook.ledger.stamp import stamp_of

    stamp = stamp_of(now()).when
    shown = sys.stderr.isatty()

    def progress(done: int, of: int) -> None:
        if shown and (done % 20 == 0 or done == of):
            print(f"\r{done} of {of} folders", end="\n" if done == of else "", file=sys.stderr, flush=True)

    book = open_book(folder)
    merged = merge_books(book, _other(other), stamp, progress)
    say(*mend_checks(book))  # what they found of the tools counts here from now on
    if as_json:
        told = {
            "runs": list(merged.runs),
            "checks": list(merged.checks),
            "already": merged.already,
            "others": list(merged.others),
            "collisions": list(merged.told),
        }
        sys.stdout.write(json_text(told, indent=1))
    else:
        click.echo(_summary(merged))
        say(*merged.told)
    return LOOK_AT_IT if merged.told else FINE


def _other(folder: Path) -> Book:
    """The book that is taken in. Raises LedgerFault, which names the nearest where there is none."""
    from clampbook.book.book import BOOK, Book
    from clampbook.book.nearest import no_other_book_in
    from clampbook.ledger.refusals import LedgerFault

    if not (folder / BOOK).exists():
        raise LedgerFault(no_other_book_in(folder))
    return Book.open(folder)


def _summary(merged: Merged) -> str:
    from clampbook.text import counted

    came = f"{counted(len(merged.runs), 'run')} and {counted(len(merged.checks), 'check')} copied"
    already = f", {merged.already} already here" if merged.already else ""
    others = f" With them: {', '.join(merged.others)}." if merged.others else ""
    return f"{came}{already}.{others}"
