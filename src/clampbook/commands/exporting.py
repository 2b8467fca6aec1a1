"""The command that gives readings as a flat table: of runs, or of checks."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from tempfile import SpooledTemporaryFile, gettempdir
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import runs_and_checks
from clampbook.commands.exit_status import FINE
from clampbook.commands.finding import archive_of, filter_options, query_of
from clampbook.commands.fleet import to_dataset
from clampbook.commands.options import as_it_lies, book_option, example, json_option, say
from clampbook.ledger.refusals import refusal
from clampbook.streams import json_list

if TYPE_CHECKING:
    from clampbook.archive.finding import Query
    from clampbook.book.book import Book

Rows = Iterator[tuple[object, ...]]
Put = Callable[[Rows, Sequence[str], frozenset[str]], int]  # rows, names of columns, those of them that hold numbers
_IN_MEMORY, _AT_ONCE = 8_000_000, 100_000  # bytes, signs


@click.command(epilog=example("export --procedure head --into readings.csv"))
@click.argument("runs", nargs=-1, metavar="[RUN or CHECK]...", shell_complete=runs_and_checks)
@click.option("--csv", "csv", is_flag=True, help="Comma-separated values, as without it")
@click.option(
    "--parquet",
    "dataset",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Bring all that is new into the tables in this folder",
)
@click.option(
    "--books",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    metavar="DIR",
    help="With --parquet: every book in this folder",
)
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Save to this file")
@click.option("--clicks", is_flag=True, help="Add pulls without a reading, with the tool's setting")
@filter_options
@book_option
@json_option
def export(
    runs: tuple[str, ...],
    csv: bool,
    dataset: Path | None,
    books: Path | None,
    into: Path | None,
    clicks: bool,
    folder: Path | None,
    as_json: bool,
    **filters: str | None,
) -> int:
    """Save readings as CSV.

    One row a reading, of the runs or checks named, or of all runs that the filters find. Without any, of all runs.
    With --parquet, all of one book or several as tables of Parquet files: clampbook help fleet.
    """
    if dataset is not None:
        if runs or csv or into or clicks or any(filters.values()):
            raise click.UsageError("--parquet exports whole books. Give only --book or --books with it.")
        if folder is not None and books is not None:
            raise click.UsageError("Give one of --book and --books.")
        return to_dataset(dataset, folder, books, as_json=as_json)
    if books is not None:
        raise click.UsageError("--books goes with --parquet.")
    if csv and as_json:
        raise click.UsageError("Give one of --csv and --json.")
    book = as_it_lies(folder)
    query = query_of((), filters)
    if runs and query != query_of((), {}):
        raise click.UsageError("Name runs or give filters, not both.")
    with SpooledTemporaryFile(_IN_MEMORY, "w+", encoding="utf-8", newline="") as spool:
        put = _putting(spool, as_json=as_json, ends="\n" if into is None else "\r\n")
        count = _of_checks(book, runs, clicks, put)
        if count is None:
            count = _of_runs(book, runs, query, clicks, put)
        if into is None:
            for part in _parts(spool):
                sys.stdout.write(part)
        else:
            from clampbook.ledger import atomic

            atomic.write_parts(into, lambda: (part.encode() for part in _parts(spool)), mode=0o644)
            say(f"{count} {'pulls' if clicks else 'readings'} saved to {into}")
    return FINE


def _putting(spool: SpooledTemporaryFile[str], *, as_json: bool, ends: str) -> Put:
    """Give what takes the rows, one by one: none is printed before all are there, as an index that is found damaged
    among them is asked again."""
    from clampbook.archive.readings import as_csv, as_objects

    def put(rows: Rows, head: Sequence[str], numbers: frozenset[str]) -> int:
        number = 0

        def counted() -> Rows:
            nonlocal number
            for row in rows:
                number += 1
                yield row

        if as_json:
            texts = json_list("readings", as_objects(counted(), head, numbers))
        else:
            texts = (line.replace("\r\n", ends) for line in as_csv(counted(), head, numbers))
        _spooled(spool, texts)
        return number

    return put


def _spooled(spool: SpooledTemporaryFile[str], texts: Iterator[str]) -> None:
    spool.seek(0)
    spool.truncate()
    for text in texts:
        _to_disk(spool.write, text)
    _to_disk(spool.flush)


def _to_disk(doing: Callable[..., object], *told: str) -> None:
    try:
        doing(*told)
    except OSError as error:
        raise refusal(Path(gettempdir()), error, "be used for the readings") from error


def _parts(spool: SpooledTemporaryFile[str]) -> Iterator[str]:
    spool.seek(0)
    while part := spool.read(_AT_ONCE):
        yield part


def _of_runs(book: Book, runs: tuple[str, ...], query: Query, clicks: bool, put: Put) -> int:
    from clampbook.archive.readings import HEAD, NUMBERS, readings

    named = [book.run(name).id for name in runs] or None
    with archive_of(book) as archive:
        return archive.asked(lambda connection: put(readings(connection, query, named, clicks=clicks), HEAD, NUMBERS))


def _of_checks(book: Book, names: tuple[str, ...], clicks: bool, put: Put) -> int | None:
    """Put the rows of the checks that are named, and count them; None where none is named. Raises UsageError where a
    run is among them."""
    from clampbook.archive.check_readings import HEAD, NUMBERS, of_checks
    from clampbook.book.checks import check_or_none

    checks = [check for name in names if (check := check_or_none(book, name)) is not None]
    if not checks:
        return None
    if len(checks) < len(names):
        raise click.UsageError("Name runs or checks, not both. Their columns differ.")
    if clicks:
        raise click.UsageError("--clicks goes with runs. In a check every pull has a reading.")
    return put(of_checks(checks), HEAD, NUMBERS)
