"""The command that makes a book: with what was said of it, the files that people write into, and samples to start
from."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import samples
from clampbook.commands.options import example, json_option, named_before, open_book
from clampbook.streams import json_text
from clampbook.text import TextFault

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.record.report import Paper

_NAME = "My workshop"


def _torque_unit(_: click.Context, __: click.Parameter, typed: str | None) -> str | None:
    """A unit as it stands on a cover, however it was typed. Raises BadParameter."""
    if typed is None:
        return None
    from clampbook.units import Kind, UnitFault, unit_named

    try:
        return unit_named(typed, Kind.TORQUE)
    except UnitFault as fault:
        raise click.BadParameter(f"{fault.sentence}. Use one of {fault.allowed}.") from fault


@click.command(epilog=example("new workshop --name 'Harbour museum'"))
@click.argument("folder", required=False, metavar="[DIR]", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", metavar="NAME", help=f"What the book is called  [default: {_NAME}]")
@click.option("--person", "people", multiple=True, metavar="NAME", help="Who works with it (repeat)")
@click.option("--paper", type=click.Choice(("a4", "letter")), help="Paper size of its reports  [default: a4]")
@click.option("--unit", callback=_torque_unit, metavar="UNIT", help="Torque unit that you work in, such as N·m")
@click.option(
    "--from",
    "starts",
    multiple=True,
    metavar="SAMPLE",
    help="A sample to start a procedure from (repeat)",
    shell_complete=samples,
)
@click.option("--samples", "listed", is_flag=True, help="List the samples, with what each shows, and make nothing")
@json_option
def new(
    folder: Path | None,
    name: str | None,
    people: tuple[str, ...],
    paper: Paper | None,
    unit: str | None,
    starts: tuple[str, ...],
    listed: bool,
    as_json: bool,
) -> int:
    """Make a book, for your tools, procedures and runs.

    DIR is a folder that is not there yet, or is empty. Without it, the book is made in your data folder.

    --from puts a sample among its procedures as a draft, also into a book that is there already.
    """
    from clampbook.book.book import BOOK, default_folder
    from clampbook.book.new_book import NewBook, make
    from clampbook.procedure.library import sample

    if listed:
        return _list(as_json)
    root = folder or named_before() or default_folder()
    for each in starts:
        sample(each)  # a name that is none is refused before anything is made
    if starts and (root / BOOK).exists():
        said = {"--person": people, "--paper": paper, "--unit": unit}
        return _added(_as_it_is(root, name, tuple(option for option, each in said.items() if each)), starts, as_json)
    try:
        book = make(root, NewBook(name=name or _NAME, people=people, paper=paper, unit=unit))
    except TextFault as fault:
        raise click.BadParameter(fault.sentence) from fault
    return _told(book, starts, as_json)


def _list(as_json: bool) -> int:
    """Print each sample by the name that --from takes."""
    from clampbook.commands.folding import folded
    from clampbook.procedure.library import samples

    found = samples()
    if as_json:
        rows = [{"name": each.name, "title": each.title, "shows": each.shows} for each in found]
        sys.stdout.write(json_text({"samples": rows}, indent=1))
    else:
        click.echo("\n".join(folded(f"{each.name}: {each.shows}" for each in found)))
    return 0


def _as_it_is(root: Path, name: str | None, others: tuple[str, ...]) -> Book:
    """The book that is there already. Raises UsageError where its cover or its people were said too."""
    book = open_book(root)
    if others:
        raise click.UsageError(f"{book.root} is a book already, named {book.name}. Leave {' and '.join(others)} out.")
    if name is not None and name != book.name:
        raise click.UsageError(f"{book.root} is a book already, named {book.name}. Leave --name out.")
    return book


def _told(book: Book, starts: tuple[str, ...], as_json: bool) -> int:
    from clampbook.book.book import PROCEDURES, TOOLS

    if as_json:
        return _added(book, starts, as_json)
    click.echo(f"New book: {book.root}")
    click.echo(f"Write its tools into {book.path(TOOLS)}, or add them on the bench.")
    if starts:
        return _added(book, starts, as_json)
    click.echo(f"Put procedures into {book.path(PROCEDURES)}")
    return 0


def _added(book: Book, starts: tuple[str, ...], as_json: bool) -> int:
    """Write the drafts; status 1 where a file was there already."""
    from clampbook.book.starts import start_from
    from clampbook.commands.exit_status import LOOK_AT_IT
    from clampbook.commands.options import say

    started = start_from(book, starts)
    if as_json:
        drafts = {"written": list(map(str, started.written)), "there": list(map(str, started.there))}
        sys.stdout.write(json_text({"book": str(book.root), "name": book.name, **drafts}))
        return LOOK_AT_IT if started.there else 0
    for path in started.written:
        click.echo(f"New draft: {path}")
    if started.written:
        click.echo("Its values are invented. Replace them with those of your manual.")
    for path in started.there:
        say(f"{path} is there already and stays as it is. To start again, rename it first.")
    return LOOK_AT_IT if started.there else 0
