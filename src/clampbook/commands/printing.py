"""The command that prints: the report of a run, made again from its frozen files."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import runs_and_checks
from clampbook.commands.options import book_option, example, json_option, open_book, paper_option, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.record.report import Paper
    from clampbook.run_folder import RunFolder


@click.command(epilog=example("report crank-caps --into crank-caps.pdf"))
@click.argument("run", shell_complete=runs_and_checks)
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Put it in this file")
@paper_option
@book_option
@json_option
def report(run: str, into: Path | None, paper: Paper | None, folder: Path | None, as_json: bool) -> int:
    """Make the PDF report of a run or check.

    It goes beside the record, or into the file that --into names.
    """
    from clampbook.book.checks import check_or_none
    from clampbook.book.notices import notices
    from clampbook.ledger import atomic

    book = open_book(folder)
    found = check_or_none(book, run) or book.run(run)
    since = notices(book, found.id)
    wrong = _wrong_with_a_check(book, found)
    say(*since, *wrong)
    of_folder, write = _printer(found, paper or book.paper(), since)
    if into is None:
        _may_change(found)
        path = write()
    else:
        path = into
        atomic.write(path, of_folder(), mode=0o644)
    if as_json:
        sys.stdout.write(json_text({"run": found.id, "report": str(path)}))
    else:
        click.echo(f"Report: {path}")
    return 1 if wrong else 0


def _wrong_with_a_check(book: Book, found: RunFolder) -> tuple[str, ...]:
    """Find what does not fit in a check that is over: it has no seal that would show it. A run is verified by its
    own."""
    from clampbook.check.folder import CheckFolder

    if not isinstance(found, CheckFolder) or found.state == "open":
        return ()
    from clampbook.book.soundness.found import in_sentences
    from clampbook.book.soundness.verifying import Verifying

    verified = Verifying(book).check(found)
    return () if verified.sound else tuple(in_sentences(verified))


def _printer(found: RunFolder, paper: Paper, since: Sequence[str]) -> tuple[Callable[[], bytes], Callable[[], Path]]:
    """Give what makes the report of a run or a check, and what puts it beside its record."""
    from clampbook.check.folder import CheckFolder

    if isinstance(found, CheckFolder):
        from clampbook.record.checks import report as of_checks

        return lambda: of_checks.of_check(found, paper), lambda: of_checks.write(found, paper)
    from clampbook.record import report as of_runs

    return lambda: of_runs.of_folder(found.path, paper, since), lambda: of_runs.write(found.path, paper, since)


def _may_change(run: RunFolder) -> None:
    """Only beside the record of a run that is over and not sealed. Raises UsageError."""
    from clampbook.check.folder import CheckFolder
    from clampbook.record.sealed.names import REPORT

    what = "Check" if isinstance(run, CheckFolder) else "Run"
    if run.state not in ("closed", "abandoned"):
        raise click.UsageError(f"{what} {run.id} is {run.state}. Name a file for its report with --into FILE.")
    if (run.path / "seal.sha256").exists():
        sealed_in = run.path / REPORT
        where = f"Its report is {sealed_in}. To make it again, name" if sealed_in.exists() else "Name"
        raise click.UsageError(f"{what} {run.id} is sealed and stays as it is. {where} a file with --into FILE.")
