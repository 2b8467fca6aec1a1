"""The command that makes a book, with the files that people write into, and samples to start from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import example, named_before, open_book
from clampbook.text import TextFault

if TYPE_CHECKING:
    from clampbook.book.book import Book

_NAME = "My workshop"


@click.command(epilog=example("new workshop --name 'Harbour museum'"))
@click.argument("folder", required=False, metavar="[DIR]", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", metavar="NAME", help=f"What the book is called  [default: {_NAME}]")
@click.option("--from", "starts", multiple=True, metavar="SAMPLE", help="A sample to start a procedure from (repeat)")
def new(folder: Path | None, name: str | None, starts: tuple[str, ...]) -> int:
    """Make a book, for your tools, procedures and runs.

    DIR is a folder that is not there yet, or is empty. Without it, the book is made in your data folder.

    --from puts a sample among its procedures as a draft, also into a book that is there already.
    """
    from clampbook.book.book import BOOK, Book, default_folder
    from clampbook.procedure.library import sample

    root = folder or named_before() or default_folder()
    for each in starts:
        sample(each)  # a name that is none is refused before anything is made
    if starts and (root / BOOK).exists():
        return _added(_as_it_is(root, name), starts)
    try:
        book = Book.create(root, name or _NAME)
    except TextFault as fault:
        raise click.BadParameter(fault.sentence) from fault
    click.echo(f"New book: {book.root}")
    return _told(book, starts)


def _as_it_is(root: Path, name: str | None) -> Book:
    book = open_book(root)
    if name is not None and name != book.name:
        raise click.UsageError(f"{book.root} is a book already, named {book.name}. Leave --name out.")
    return book


def _told(book: Book, starts: tuple[str, ...]) -> int:
    from clampbook.book.book import PROCEDURES, TOOLS

    click.echo(f"Write its tools into {book.path(TOOLS)}, or add them on the bench.")
    if starts:
        return _added(book, starts)
    click.echo(f"Put procedures into {book.path(PROCEDURES)}")
    return 0


def _added(book: Book, starts: tuple[str, ...]) -> int:
    """Write the drafts; status 1 where a file was there already."""
    from clampbook.book.starts import start_from
    from clampbook.commands.exit_status import LOOK_AT_IT
    from clampbook.commands.options import say

    started = start_from(book, starts)
    for path in started.written:
        click.echo(f"New draft: {path}")
    if started.written:
        click.echo("Its values are invented. Replace them with those of your manual.")
    for path in started.there:
        say(f"{path} is there already and stays as it is. To start again, rename it first.")
    return LOOK_AT_IT if started.there else 0
