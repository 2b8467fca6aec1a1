"""`clampbook draft`: a procedure is typed, with what it comes to beside it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import procedures, samples
from clampbook.commands.options import book_option, example, named_before

if TYPE_CHECKING:
    from clampbook.book.book import Book


@click.command(epilog=example("draft whinchat-pattern-c-head"))
@click.argument("procedure", required=False, shell_complete=procedures)
@click.option("--plain", is_flag=True, help="Answer the questions line by line")
@click.option("--json", "as_json", is_flag=True, help="Answer them line by line, each one JSON object")
@click.option(
    "--from", "start", metavar="SAMPLE", help="Begin a new file with this sample of the library", shell_complete=samples
)
@book_option
def draft(procedure: str | None, plain: bool, as_json: bool, start: str | None, folder: Path | None) -> int:
    """Write a procedure, and see what it comes to.

    PROCEDURE is the name of a procedure of the book, or the path of its file. A file that is not there yet begins with
    a small frame to fill in. Errors, queries, the joint and its steps stand beside the text, and change as you type.

    Without PROCEDURE a new one is made by questions: joint, fasteners, torques, order, and what comes after. Each can
    be left out. It is saved among the procedures of the book, and opened.
    """
    from clampbook.commands.on_screen import drafting, is_a_screen

    if procedure is None:
        if start is not None:
            raise click.UsageError("--from goes with a new PROCEDURE. Say how it is to be called.")
        from clampbook.commands.guided import by_questions

        return by_questions(folder, plain=plain, as_json=as_json)
    if plain or as_json:
        raise click.UsageError("--plain and --json go with the questions of a new procedure. Leave out PROCEDURE.")
    book = _book(folder)
    if not is_a_screen():
        raise click.UsageError("draft needs a terminal. Use any editor, then run: clampbook review PROCEDURE")
    path = _path(book, procedure)
    return drafting(path, book, _beginning(path, Path(procedure).stem, start))


def _beginning(path: Path, name: str, start: str | None) -> str | None:
    """The text that a new file begins with; None where there is a file. Raises TextFault for what is no sample."""
    if path.exists():
        if start is not None:
            raise click.UsageError(f"{path.name} is there already, so it does not begin with a sample.")
        return None
    if start is not None:
        from clampbook.procedure.library import as_a_start

        return as_a_start(start)
    from clampbook.help.frames import new_file

    return new_file(name)


def _book(folder: Path | None) -> Book | None:
    """The book that is named, else the person's own, where there is one. Raises LedgerFault or Faulty."""
    from clampbook.book.book import BOOK, Book, default_folder

    named = folder or named_before()
    if named is None and not (default_folder() / BOOK).exists():
        return None
    return Book.open(named or default_folder())


def _path(book: Book | None, named: str) -> Path:
    """The file of this name; of a bare name the procedure of the book that has it, or will have it."""
    from clampbook.book.book import PROCEDURES
    from clampbook.slug import slug

    path = Path(named)
    if book is None:
        return path if path.suffix else path.with_suffix(".toml")
    own = next((each for each in book.procedures() if named in (each.stem, each.name)), None)
    if own is not None:
        return book.path(PROCEDURES, own.name)  # refuses a link that leads out of the book
    if path.suffix or path.exists() or path.parent != Path():
        return path
    return book.path(PROCEDURES, f"{slug(named, 'procedure')}.toml")
