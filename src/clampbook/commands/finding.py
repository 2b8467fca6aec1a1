"""The command that searches closed runs, and the filters that others share with it."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from clampbook.commands.completing import people, procedures, tools
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import as_it_lies, book_option, example, json_option, say, telling_where_stopped
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.archive.finding import Hit, Query
    from clampbook.archive.index import Archive
    from clampbook.book.book import Book

Command = TypeVar("Command", bound=Callable[..., Any])
_OUTCOMES = ("done", "accepted", "not accepted", "trial", "damaged", "abandoned")
_MANY = 100  # runs to read from which on it is said how far it has come


def filter_options(command: Command) -> Command:
    """--equipment --procedure --person --tool --lot --outcome --since --until."""
    for option in (
        click.option("--until", metavar="DAY", help="Ended on this day or before"),
        click.option("--since", metavar="DAY", help="Ended on this day or later"),
        click.option("--outcome", type=click.Choice(_OUTCOMES), help="How the run ended"),
        click.option("--lot", metavar="WORDS", help="Part, by lot, serial number or name"),
        click.option("--tool", metavar="NAME", help="Tool used, by name, id or serial number", shell_complete=tools),
        click.option("--person", metavar="NAME", help="Person who took part, by name or id", shell_complete=people),
        click.option(
            "--procedure", metavar="WORDS", help="Procedure, by title or file name", shell_complete=procedures
        ),
        click.option("--equipment", metavar="WORDS", help="Equipment worked on"),
    ):
        command = option(command)
    return command


def query_of(words: tuple[str, ...], filters: dict[str, str | None]) -> Query:
    """The query that words and filters make. Raises UsageError for what is no day."""
    from clampbook.archive.finding import Query

    given = {name: value for name, value in filters.items() if value}
    for name in ("since", "until"):
        if name in given:
            given[name] = _day(name, given[name])
    return Query(words=tuple(word for typed in words for word in typed.split()), **given)


def _day(name: str, typed: str) -> str:
    try:
        return date.fromisoformat(typed).isoformat()
    except ValueError as error:
        raise click.UsageError(f"--{name} {typed} is not a day. Write it like 2026-03-02.") from error


@contextlib.contextmanager
def archive_of(book: Book) -> Iterator[Archive]:
    """The index of a book, brought up to date; long reading is told, and Ctrl-C keeps what was read so far."""
    from clampbook.archive.index import Archive
    from clampbook.book.settled import settled

    came = (0, 0)

    def progress(done: int, of: int) -> None:
        nonlocal came
        came = (done, of)
        if of >= _MANY and sys.stderr.isatty() and (done % _MANY == 0 or done == of):
            end = "\n" if done == of else ""
            print(f"\r{done} of {of} records read for the index, Ctrl-C stops", end=end, file=sys.stderr, flush=True)

    with Archive(book.root) as archive:
        with telling_where_stopped(lambda: _not_searched(*came)):
            archive.refresh(progress, settled(book).sealed)
        say(*archive.told)
        yield archive


def _not_searched(done: int, of: int) -> str:
    """Say what a person who stops the reading must know."""
    how_far = f"{done} of {of} records were read for the index" if of else "no record was read"
    return f"Stopped: {how_far}. Nothing was searched or changed. The next search reads the rest."


@click.command(epilog=example("find gasket --person Maud --since 2026-01-01"))
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@filter_options
@click.option("--most", type=click.IntRange(1, 1_000_000), default=100, show_default=True, help="Show at most so many")
@book_option
@json_option
def find(words: tuple[str, ...], most: int, folder: Path | None, as_json: bool, **filters: str | None) -> int:
    """Search closed runs.

    WORDS are words of a record, or their beginnings. The latest run comes first.
    """
    from clampbook.archive import finding

    query = query_of(words, filters)
    book = as_it_lies(folder)
    with archive_of(book) as archive:
        found = archive.asked(lambda connection: finding.find(connection, query, most))
    if as_json:
        told = {"runs": [finding.as_data(hit) for hit in found.runs], "more": found.more}
        sys.stdout.write(json_text(told, indent=1))
    else:
        click.echo("\n".join(line for hit in found.runs for line in lines(hit)) or "No record found. Try fewer words.")
        if not found.runs and book.open_runs():
            say("Open runs are not searched. List them with: clampbook runs")
        if found.more:
            say(f"There are more than {most}. Add words, or raise --most.")
    return LOOK_AT_IT if any(hit.fault for hit in found.runs) else FINE


def lines(hit: Hit) -> Iterator[str]:
    """A run that was found, in two lines, and a third for what was added to it."""
    from clampbook.archive.finding_words import about, added, ended
    from clampbook.text import printable

    yield printable(f"{hit.run} · {ended(hit)}")
    yield printable(f"    {about(hit)}")
    if told := added(hit):
        yield printable(f"    {told}")
