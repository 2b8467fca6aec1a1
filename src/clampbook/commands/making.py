"""The command that makes a book: empty, with the files that people write into."""

from __future__ import annotations

from pathlib import Path

import click

from clampbook.commands.options import named_before
from clampbook.text import TextFault


@click.command()
@click.argument("folder", required=False, metavar="[DIR]", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", default="My workshop", show_default=True, metavar="NAME", help="What the book is called")
def new(folder: Path | None, name: str) -> int:
    """Make a book, for your tools, procedures and runs.

    DIR is a folder that is not there yet, or is empty. Without it, the book is made in your data folder.
    """
    from clampbook.book.book import PROCEDURES, TOOLS, Book, default_folder

    try:
        book = Book.create(folder or named_before() or default_folder(), name)
    except TextFault as fault:
        raise click.BadParameter(fault.sentence) from fault
    click.echo(f"New book: {book.root}")
    click.echo(f"Write its tools into {book.path(TOOLS)}, or add them on the bench.")
    click.echo(f"Put procedures into {book.path(PROCEDURES)}")
    return 0
