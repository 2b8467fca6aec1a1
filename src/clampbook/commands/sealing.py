"""`clampbook seal` finishes what was left unsealed; `clampbook verify` recomputes everything about finished runs."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.keys import lines
from clampbook.commands.naming import known_person, name_meant
from clampbook.commands.options import book_option, json_option, open_book, telling_where_stopped
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.sealing import Signing
    from clampbook.book.soundness import Soundness
    from clampbook.check.folder import CheckFolder
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.plain.lines import Lines
    from clampbook.run_folder import RunFolder
    from clampbook.signing.allowed import Allowed
    from clampbook.signing.seal_text import LogHead

FINE, LOOK_AT_IT = 0, 1
_MOST_TRUSTED = 1_000_000  # bytes of a file of keys from outside
_NAMED = 5  # runs that are not sound, by name where verifying was stopped
_MANY = 20  # runs and checks from which on it is said how far verifying has come


@click.command()
@click.argument("run")
@click.option("--without", is_flag=True, help="Give up the signatures that can never be given; needs --as, --because.")
@click.option("--as", "by", metavar="PERSON", help="Who seals it, or gives signatures up.")
@click.option("--because", metavar="TEXT", help="Why signatures are given up; it stands on page one.")
@book_option
def seal(run: str, without: bool, by: str | None, because: str | None, folder: Path | None) -> int:
    """Finish sealing a closed run, or a check: ask for the signatures that are missing, print the report, seal it."""
    from clampbook.book.checks import check_or_none
    from clampbook.book.sealing import Signing

    if without and not (by and because):
        raise click.UsageError("Say who gives the missing signatures up, and why: --without --as PERSON --because TEXT")
    if because and not without:
        raise click.UsageError("--because is the reason of --without; without that nothing is given up.")
    book = open_book(folder)
    check = check_or_none(book, run)
    if check is not None:
        return _check_sealed(book, check)
    found = book.run(run)
    who = None if by is None else known_person(book, by)
    signing = Signing(book, found, _clock(), who)
    if signing.sealed:
        click.echo(f"The run {found.id} is sealed already; clampbook verify {found.id} looks at it.")
        return FINE
    return _signed_and_sealed(signing, lines(), None if who is None or because is None else (who, because))


def _check_sealed(book: Book, check: CheckFolder) -> int:
    """A check is signed by whoever closed it, and by nobody else."""
    from clampbook.book.check_sealing import CheckSigning
    from clampbook.book.finishing import finish
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    signing, typed = CheckSigning(book, check, _clock()), lines()
    if signing.sealed:
        click.echo(f"The check {check.id} is sealed already; clampbook verify {check.id} looks at it.")
        return FINE
    sign_all(signing, Words(sys.stderr, width=80, marker=typed.terminal), typed, None)
    click.echo(" ".join(finish(signing)))
    return FINE if signing.sealed else LOOK_AT_IT


def _signed_and_sealed(signing: Signing, typed: Lines, without: tuple[Person, str] | None = None) -> int:
    """Ask for the signatures that are missing and seal; the status is that of something to look at where one stays
    missing. `without`: who gives up those that are not given now, and why."""
    from clampbook.book.finishing import finish
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    face = Words(sys.stderr, width=80, marker=typed.terminal)
    sign_all(signing, face, typed, None)
    while without is not None and signing.give_up(*without):
        sign_all(signing, face, typed, None)
    click.echo(" ".join(finish(signing)))
    whole = signing.sealed and not signing.given_up
    return FINE if whole and signing.disagreement is None else LOOK_AT_IT


def _clock() -> Clock:
    from clampbook.plain.clock import NAME, clock_of

    try:
        return clock_of(os.environ.get(NAME))
    except ValueError as error:
        raise click.UsageError(str(error)) from error


@click.command()
@click.argument("run")
@click.option("--as", "by", metavar="PERSON", required=True, help="Who adds it, and signs it where there is a key.")
@click.option("--text", metavar="TEXT", required=True, help="What is added.")
@click.option("--new", is_flag=True, help="The name is that of somebody new, and is not asked about.")
@book_option
def addendum(run: str, by: str, text: str, new: bool, folder: Path | None) -> int:
    """Add something to a run that is sealed: in a folder of its own, signed and sealed, beside the first."""
    from clampbook.addenda import add
    from clampbook.book.sealing import Signing
    from clampbook.plain.clock import source

    book, clock, typed = open_book(folder), _clock(), lines()
    author = book.person_named(name_meant(book, by, typed, new=new))
    made = add(book, book.run(run), author, text, clock, source(clock))
    return _signed_and_sealed(Signing(book, made, clock, at_its_end=True), typed)


@click.command()
@click.argument("runs", nargs=-1, metavar="[RUN]...")
@click.option(
    "--trust",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Keys known from outside the book, each with its person (clampbook keys --allowed-signers).",
)
@click.option(
    "--head", "heads", multiple=True, metavar="BOOK:N:HASH", help="Where a log stood, as it was noted outside the book."
)
@book_option
@json_option
def verify(
    runs: tuple[str, ...], trust: Path | None, heads: tuple[str, ...], folder: Path | None, as_json: bool
) -> int:
    """Recompute everything about runs and checks that are over, or those named, and name whatever does not fit.

    A later doubt about a tool of a run is something to look at as well (status 1); the run itself can be sound.
    """
    from clampbook.book.notices import is_doubt, notices
    from clampbook.book.soundness import Verifying
    from clampbook.check.folder import CheckFolder
    from clampbook.commands.verified import Logs, as_object, told

    noted_down = _noted(heads)
    book = _as_it_lies(folder)
    verifying = Verifying(book, _outside(trust))
    chosen = _chosen(book, runs)
    of_the_book = (*verifying.book(), *verifying.leads_to(noted_down))
    logs = Logs(verifying.ends(), noted_down, trust is not None)
    found: list[Soundness] = []
    with telling_where_stopped(lambda: _not_looked_at(found, chosen)):
        for number, each in enumerate(chosen, start=1):
            found.append(verifying.check(each) if isinstance(each, CheckFolder) else verifying.run(each))
            if len(chosen) >= _MANY and sys.stderr.isatty():
                end = "\n" if number == len(chosen) else ""
                print(f"\r{number} of {len(chosen)}; Ctrl-C stops", end=end, file=sys.stderr, flush=True)
    beside = {each.run: notices(book, each.run) for each in found}
    if as_json:
        as_object(found, of_the_book, beside, logs)
    else:
        click.echo("\n".join(told(found, of_the_book, beside, logs)))
    fine = all(each.sound and not any(map(is_doubt, beside[each.run])) for each in found) and not of_the_book
    return FINE if fine else LOOK_AT_IT


def _chosen(book: Book, named: tuple[str, ...]) -> tuple[RunFolder, ...]:
    """The runs and checks of these names; without names all that are over."""
    from clampbook.book.checks import check_or_none
    from clampbook.book.soundness import checks_over, over

    if not named:
        return (*over(book), *checks_over(book))
    return tuple(check_or_none(book, name) or book.run(name) for name in named)


def _not_looked_at(found: list[Soundness], chosen: tuple[RunFolder, ...]) -> str:
    """What a person who stops it must know: the next one by name, how many, and what was wrong until then."""
    from clampbook.book.soundness import SAID_ONLY

    wrong = [each.run for each in found if any(fault.code not in SAID_ONLY for fault in each.faults)]
    more = f" and {len(wrong) - _NAMED} more" if len(wrong) > _NAMED else ""
    told = f"; not sound until then: {', '.join(wrong[:_NAMED])}{more}" if wrong else ""
    left = len(chosen) - len(found)
    return (
        f"Stopped: {len(found)} of {len(chosen)} were looked at{told}. "
        f"Nothing is known of the last {left}, from {chosen[-left].id} on. Nothing was changed."
    )


def _as_it_lies(folder: Path | None) -> Book:
    """The book without mending anything in it: what is looked at is not changed. Raises LedgerFault or Faulty."""
    from clampbook.book.book import Book, default_folder
    from clampbook.commands.options import named_before

    return Book.open(folder or named_before() or default_folder())


def _noted(heads: tuple[str, ...]) -> tuple[LogHead, ...]:
    """What was noted outside. Raises UsageError."""
    from clampbook.book.logged_seals import noted

    try:
        return tuple(map(noted, heads))
    except ValueError as error:
        raise click.UsageError(f"{as_sentence(str(error))}") from error


def _outside(trust: Path | None) -> tuple[Allowed, ...] | None:
    """What a file from outside vouches for. Raises LedgerFault or KeyFault."""
    if trust is None:
        return None
    from clampbook.ledger.inside import read_file
    from clampbook.signing import allowed
    from clampbook.signing.wire import KeyFault

    try:
        return allowed.read(read_file(trust, _MOST_TRUSTED))
    except KeyFault as refused:
        raise KeyFault(f"{trust}, {refused.sentence}") from refused
