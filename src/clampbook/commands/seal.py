"""`clampbook seal` finishes what was left unsealed; `clampbook addendum` adds to what is sealed already."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.keys import lines
from clampbook.commands.naming import known_person, person_meant
from clampbook.commands.options import book_option, clock_said, new_option, open_book

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.sealing.of_run import Signing
    from clampbook.check.folder import CheckFolder
    from clampbook.people import Person
    from clampbook.plain.lines import Lines


@click.command()
@click.argument("run")
@click.option("--skip-missing", is_flag=True, help="Seal without the missing signatures. Needs --as, --reason.")
@click.option("--as", "by", metavar="PERSON", help="Who seals it, or skips signatures.")
@click.option("--reason", metavar="TEXT", help="Why signatures are skipped. Page one says it.")
@book_option
def seal(run: str, skip_missing: bool, by: str | None, reason: str | None, folder: Path | None) -> int:
    """Finish sealing a closed run, or a check: ask for the signatures that are missing, print the report, seal it."""
    from clampbook.book.checks import check_or_none
    from clampbook.book.sealing.of_run import Signing

    if skip_missing and not (by and reason):
        raise click.UsageError("Say who skips them, and why: --skip-missing --as PERSON --reason TEXT")
    if reason and not skip_missing:
        raise click.UsageError("--reason is that of --skip-missing; without that nothing is skipped.")
    book = open_book(folder)
    check = check_or_none(book, run)
    if check is not None:
        return _check_sealed(book, check)
    found = book.run(run)
    who = None if by is None else known_person(book, by)
    signing = Signing(book, found, clock_said(), who)
    if signing.sealed:
        click.echo(f"The run {found.id} is sealed already; clampbook verify {found.id} looks at it.")
        return FINE
    return _signed_and_sealed(signing, lines(), None if who is None or reason is None else (who, reason))


def _check_sealed(book: Book, check: CheckFolder) -> int:
    """A check is signed by whoever closed it, and by nobody else."""
    from clampbook.book.sealing.finishing import finish
    from clampbook.book.sealing.of_check import CheckSigning
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    signing, typed = CheckSigning(book, check, clock_said()), lines()
    if signing.sealed:
        click.echo(f"The check {check.id} is sealed already; clampbook verify {check.id} looks at it.")
        return FINE
    sign_all(signing, Words(sys.stderr, width=80, marker=typed.terminal), typed, None)
    click.echo(" ".join(finish(signing)))
    return FINE if signing.sealed else LOOK_AT_IT


def _signed_and_sealed(signing: Signing, typed: Lines, without: tuple[Person, str] | None = None) -> int:
    """Ask for the signatures that are missing and seal; the status is that of something to look at where one stays
    missing. `without`: who gives up those that are not given now, and why."""
    from clampbook.book.sealing.finishing import finish
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    face = Words(sys.stderr, width=80, marker=typed.terminal)
    if without is not None and signing.never:
        signing.give_up(*without)  # before anybody signs, so that whoever signs last seals with the same passphrase
    sign_all(signing, face, typed, None)
    while without is not None and signing.give_up(*without):
        sign_all(signing, face, typed, None)
    click.echo(" ".join(finish(signing)))
    whole = signing.sealed and not signing.given_up
    return FINE if whole and signing.disagreement is None else LOOK_AT_IT


@click.command()
@click.argument("run")
@click.option("--as", "by", metavar="PERSON", required=True, help="Who adds it, and signs it where there is a key.")
@click.option("--text", metavar="TEXT", required=True, help="What is added.")
@new_option
@book_option
def addendum(run: str, by: str, text: str, new: bool, folder: Path | None) -> int:
    """Add something to a run that is sealed: in a folder of its own, signed and sealed, beside the first."""
    from clampbook.book.sealing.addenda import add
    from clampbook.book.sealing.of_run import Signing
    from clampbook.plain.clock import source

    book, clock, typed = open_book(folder), clock_said(), lines()
    author = person_meant(book, by, typed, new=new)
    made = add(book, book.run(run), author, text, clock, source(clock))
    return _signed_and_sealed(Signing(book, made, clock, at_its_end=True), typed)
