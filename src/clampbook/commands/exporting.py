"""The command that gives readings as a flat table: of runs, or of checks."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from clampbook.commands.completing import runs_and_checks
from clampbook.commands.exit_status import FINE
from clampbook.commands.finding import archive_of, filter_options, query_of
from clampbook.commands.fleet import to_dataset
from clampbook.commands.options import as_it_lies, book_option, example, json_option, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.archive.finding import Query
    from clampbook.book.book import Book


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
    table = _of_checks(book, runs, clicks) or _of_runs(book, runs, query, clicks)
    text = table.as_json() if as_json else table.as_csv()
    if into is None:
        sys.stdout.write(text.replace("\r\n", "\n"))
    else:
        from clampbook.ledger import atomic

        atomic.write(into, text.encode(), mode=0o644)
        say(f"{len(table.rows)} {'pulls' if clicks else 'readings'} saved to {into}")
    return FINE


class _Table(NamedTuple):
    """The rows of runs, or of checks, with the names of their columns and those of them that hold numbers."""

    rows: list[tuple[object, ...]]
    head: Sequence[str]
    numbers: frozenset[str]

    def as_csv(self) -> str:
        from clampbook.archive.readings import as_csv

        return "".join(as_csv(iter(self.rows), self.head, self.numbers))

    def as_json(self) -> str:
        from clampbook.archive.readings import as_objects

        return json_text({"readings": list(as_objects(iter(self.rows), self.head, self.numbers))}, indent=1)


def _of_runs(book: Book, runs: tuple[str, ...], query: Query, clicks: bool) -> _Table:
    from clampbook.archive.readings import HEAD, NUMBERS, readings

    named = [book.run(name).id for name in runs] or None
    with archive_of(book) as archive:
        rows = archive.asked(lambda connection: list(readings(connection, query, named, clicks=clicks)))
    return _Table(rows, HEAD, NUMBERS)


def _of_checks(book: Book, names: tuple[str, ...], clicks: bool) -> _Table | None:
    """The table of the checks that are named; None where none is. Raises UsageError where a run is among them."""
    from clampbook.archive.check_readings import HEAD, NUMBERS, of_checks
    from clampbook.book.checks import check_or_none

    checks = [check for name in names if (check := check_or_none(book, name)) is not None]
    if not checks:
        return None
    if len(checks) < len(names):
        raise click.UsageError("Name runs or checks, not both. Their columns differ.")
    if clicks:
        raise click.UsageError("--clicks goes with runs. In a check every pull has a reading.")
    return _Table(list(of_checks(checks)), HEAD, NUMBERS)
