"""`clampbook verify` recomputes everything about runs and checks that are over."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import runs_and_checks
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import as_it_lies, book_option, example, json_option, now, telling_where_stopped
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.soundness.found import Looked
    from clampbook.book.soundness.verifying import Verifying
    from clampbook.run_folder import RunFolder
    from clampbook.signing.allowed import Allowed
    from clampbook.signing.seal_text import LogHead


_MOST_TRUSTED = 1_000_000  # bytes of a file of keys from outside


_NAMED = 5  # runs that are not sound, by name where verifying was stopped


_MANY = 20  # runs and checks from which on it is said how far verifying has come, and a stop is taken up


@click.command(epilog=example("verify crank-caps"))
@click.argument("runs", nargs=-1, metavar="[RUN]...", shell_complete=runs_and_checks)
@click.option(
    "--trust",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Keys that you know from elsewhere, each with its person",
)
@click.option(
    "--head", "heads", multiple=True, metavar="BOOK:N:HASH", help="End of a log that you noted outside the book"
)
@book_option
@json_option
def verify(
    runs: tuple[str, ...], trust: Path | None, heads: tuple[str, ...], folder: Path | None, as_json: bool
) -> int:
    """Check that closed runs are intact.

    Without RUN all closed runs and checks. A run done with a suspect tool gives status 1 too, even if it is intact.
    """
    from clampbook.book.notices import beside, is_suspicion
    from clampbook.book.soundness.verifying import Verifying
    from clampbook.check.folder import CheckFolder
    from clampbook.commands.verified import Logs, TakenUp, as_object, summary, told

    noted_down = _noted(heads)
    book = as_it_lies(folder)
    with _keeping_all_that_is_read():
        verifying = Verifying(book, _outside(trust))
    chosen = _chosen(book, runs)
    of_the_book = (*verifying.book(), *verifying.leads_to(noted_down))
    logs = Logs(verifying.ends(), noted_down, trust is not None)
    looked = _looked_at(verifying, chosen)
    found, taken_up = [each.found for each in looked], TakenUp.of(looked)
    told_beside = beside(book, (each.run for each in found))
    if as_json:
        as_object(found, of_the_book, told_beside, logs, taken_up)
    else:
        checks = sum(isinstance(each, CheckFolder) for each in chosen)
        lines = told(found, of_the_book, told_beside, logs, taken_up)
        click.echo("\n".join((summary(found, of_the_book, checks), *lines)))
    fine = all(each.sound and not any(map(is_suspicion, told_beside[each.run])) for each in found) and not of_the_book
    return FINE if fine else LOOK_AT_IT


@contextmanager
def _keeping_all_that_is_read() -> Iterator[None]:
    """Look for no garbage meanwhile: none of a log is thrown away again, and looking takes half as long as reading."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def _looked_at(verifying: Verifying, chosen: tuple[RunFolder, ...]) -> list[Looked]:
    """All that is found, with how far it has come said meanwhile. Whoever stops it can take it up there."""
    from clampbook.book.soundness import stopped
    from clampbook.book.soundness.side_by_side import looked_at
    from clampbook.check.folder import CheckFolder
    from clampbook.commands.how_far import HowFar

    if len(chosen) < _MANY:
        few: list[Looked] = []
        with telling_where_stopped(lambda: _not_looked_at(few, chosen)):
            few.extend(map(verifying.look, chosen))
        return few
    found: list[Looked] = []
    ground, at = verifying.ground(), now()
    checks = sum(isinstance(each, CheckFolder) for each in chosen)
    how_far = HowFar(len(chosen), "runs and checks" if checks else "runs")
    with (
        telling_where_stopped(lambda: _not_looked_at(found, chosen, stopped.keep(ground, stopped.of(found, at)))),
        closing(looked_at(verifying, chosen, stopped.kept(ground, at))) as each_of_them,
    ):
        for each in each_of_them:
            found.append(each)
            how_far.come(len(found))
    how_far.end()
    stopped.forget(ground)
    return found


def _chosen(book: Book, named: tuple[str, ...]) -> tuple[RunFolder, ...]:
    """The runs and checks of these names; without names all that are over."""
    from clampbook.book.checks import check_or_none
    from clampbook.book.soundness.verifying import checks_over, over

    if not named:
        return (*over(book), *checks_over(book))
    return tuple(check_or_none(book, name) or book.run(name) for name in named)


def _not_looked_at(looked: list[Looked], chosen: tuple[RunFolder, ...], kept: bool = False) -> str:
    """Say what a person who stops it must know: the next one by name, how many, and what was wrong until then."""
    from clampbook.book.soundness.found import SAID_ONLY
    from clampbook.book.soundness.stopped import HOURS

    found = [each.found for each in looked]
    wrong = [each.run for each in found if any(fault.code not in SAID_ONLY for fault in each.faults)]
    more = f" and {len(wrong) - _NAMED} more" if len(wrong) > _NAMED else ""
    told = f", with problems: {', '.join(wrong[:_NAMED])}{more}" if wrong else ""
    left = len(chosen) - len(found)
    return (
        f"Stopped: {len(found)} of {len(chosen)} checked{told}. "
        f"Nothing is known of the last {left}, from {chosen[-left].id} on. Nothing was changed."
        f"{f' Verify again within {HOURS} hours to go on from here.' if kept else ''}"
    )


def _noted(heads: tuple[str, ...]) -> tuple[LogHead, ...]:
    """Read what was noted outside. Raises UsageError."""
    from clampbook.book.soundness.logged_seals import noted

    try:
        return tuple(map(noted, heads))
    except ValueError as error:
        raise click.UsageError(f"{as_sentence(str(error))}") from error


def _outside(trust: Path | None) -> tuple[Allowed, ...] | None:
    """Read what a file from outside vouches for. Raises LedgerFault or KeyFault."""
    if trust is None:
        return None
    from clampbook.ledger.inside import read_file
    from clampbook.signing import allowed
    from clampbook.signing.wire import KeyFault

    try:
        return allowed.read(read_file(trust, _MOST_TRUSTED))
    except KeyFault as refused:
        raise KeyFault(f"{trust}, {refused.sentence}") from refused
