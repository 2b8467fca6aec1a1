"""The command that prints: the report of a run, made again from its frozen files."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import book_option, json_option, open_book, say

if TYPE_CHECKING:
    from clampbook.run_folder import RunFolder


@click.command()
@click.argument("run")
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Where to put it.")
@book_option
@json_option
def report(run: str, into: Path | None, folder: Path | None, as_json: bool) -> int:
    """Print the report of a run as a PDF, beside its record or into a file."""
    from clampbook.book.notices import notices
    from clampbook.ledger import atomic
    from clampbook.record.report import of_folder, write

    book = open_book(folder)
    found = book.run(run)
    say(*notices(book, found.id))
    if into is None:
        _may_change(found)
        path = write(found.path)
    else:
        path = into
        atomic.write(path, of_folder(found.path), mode=0o644)
    if as_json:
        sys.stdout.write(json.dumps({"run": found.id, "report": str(path)}, ensure_ascii=False) + "\n")
    else:
        click.echo(f"The report is in {path}.")
    return 0


def _may_change(run: RunFolder) -> None:
    """Only beside the record of a run that is over and not sealed. Raises UsageError."""
    if run.state not in ("closed", "abandoned"):
        raise click.UsageError(f"The run {run.id} is {run.state}: say with --into FILE where its report is to go.")
    if (run.path / "seal.sha256").exists():
        raise click.UsageError(f"The run {run.id} is sealed and stays as it is: say with --into FILE where to print.")
