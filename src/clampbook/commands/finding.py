"""Commands that search the archive: find runs again, and their readings as a flat table."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import as_it_lies, book_option, json_option, say, telling_where_stopped
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.archive.finding import Hit, Query
    from clampbook.archive.index import Archive
    from clampbook.book.book import Book

Command = TypeVar("Command", bound=Callable[..., Any])
_OUTCOMES = ("done", "accepted", "not accepted", "trial", "damaged", "given up")
_MANY = 100  # runs to read from which on it is said how far it has come


def filter_options(command: Command) -> Command:
    """--equipment --procedure --person --tool --lot --outcome --since --until."""
    for option in (
        click.option("--until", metavar="DAY", help="Runs that ended on this day or before."),
        click.option("--since", metavar="DAY", help="Runs that ended on this day or later."),
        click.option("--outcome", type=click.Choice(_OUTCOMES), help="How they ended."),
        click.option("--lot", metavar="WORDS", help="Lot or serial number of a part, or the part's name."),
        click.option("--tool", metavar="NAME", help="Name, id or serial number of a tool that was used."),
        click.option("--person", metavar="NAME", help="Name or id of somebody who took part."),
        click.option("--procedure", metavar="WORDS", help="Its title, or the name of its file."),
        click.option("--equipment", metavar="WORDS", help="What was worked on, as it was answered."),
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
        raise click.UsageError(f"--{name} {typed} is no day: write it such as 2026-03-02") from error


@contextlib.contextmanager
def archive_of(book: Book) -> Iterator[Archive]:
    """The index of a book, brought up to date; long reading is told, and Ctrl-C keeps what was read so far."""
    from clampbook.archive.index import Archive

    came = (0, 0)

    def progress(done: int, of: int) -> None:
        nonlocal came
        came = (done, of)
        if of >= _MANY and sys.stderr.isatty() and (done % _MANY == 0 or done == of):
            end = "\n" if done == of else ""
            print(f"\r{done} of {of} records read for the index; Ctrl-C stops", end=end, file=sys.stderr, flush=True)

    with Archive(book.root) as archive:
        with telling_where_stopped(lambda: _not_searched(*came)):
            archive.refresh(progress)
        say(*archive.told)
        yield archive


def _not_searched(done: int, of: int) -> str:
    """Say what a person who stops the reading must know."""
    how_far = f"{done} of {of} records were read for the index, {of - done} were not" if of else "no record was read"
    return f"Stopped: {how_far}, and nothing was searched. No run was changed; the next search reads what is missing."


@click.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@filter_options
@click.option("--most", type=click.IntRange(1, 1_000_000), default=100, show_default=True, help="How many at most.")
@book_option
@json_option
def find(words: tuple[str, ...], most: int, folder: Path | None, as_json: bool, **filters: str | None) -> int:
    """Find runs that are over, by the beginnings of words in their records and by filters; the latest first."""
    from clampbook.archive import finding

    query = query_of(words, filters)
    with archive_of(as_it_lies(folder)) as archive:
        found = archive.asked(lambda connection: finding.find(connection, query, most))
    if as_json:
        told = {"runs": [finding.as_data(hit) for hit in found.runs], "more": found.more}
        sys.stdout.write(json_text(told, indent=1))
    else:
        click.echo("\n".join(line for hit in found.runs for line in lines(hit)) if found.runs else "No run was found.")
        if found.more:
            say(f"There are more than {most}: give more words, or --most.")
    return LOOK_AT_IT if any(hit.fault for hit in found.runs) else FINE


def lines(hit: Hit) -> Iterator[str]:
    """A run that was found, in two lines, and a third for what was added to it."""
    from clampbook.archive.finding_words import about, added, ended
    from clampbook.text import printable

    yield printable(f"{hit.run} · {ended(hit)}")
    yield printable(f"    {about(hit)}")
    if told := added(hit):
        yield printable(f"    {told}")


@click.command()
@click.argument("runs", nargs=-1, metavar="[RUN]...")
@click.option("--csv", "csv", is_flag=True, help="Comma-separated values, the one form there is.")
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Where to put it.")
@click.option("--clicks", is_flag=True, help="Also pulls that gave no number, with what the tool was set to.")
@filter_options
@book_option
def export(
    runs: tuple[str, ...], csv: bool, into: Path | None, clicks: bool, folder: Path | None, **filters: str | None
) -> int:
    """Readings as a flat table, one row a reading: of the runs named, or of all that the filters find."""
    from clampbook.archive.readings import as_csv, readings

    if not csv:
        raise click.UsageError("say --csv: it is the one form in which readings can be had")
    book = as_it_lies(folder)
    query, named = query_of((), filters), [book.run(name).id for name in runs] or None
    if named and query != query_of((), {}):
        raise click.UsageError("name runs, or give filters, not both")
    with archive_of(book) as archive:
        text = archive.asked(lambda connection: "".join(as_csv(readings(connection, query, named, clicks=clicks))))
    if into is None:
        sys.stdout.write(text.replace("\r\n", "\n"))
    else:
        from clampbook.ledger import atomic

        atomic.write(into, text.encode(), mode=0o644)
        say(f"{text.count(chr(10)) - 1} rows are in {into}.")
    return FINE
