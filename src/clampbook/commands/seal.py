"""`clampbook seal` finishes what was left unsealed; `clampbook addendum` adds to what is sealed already."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import people, sealed, unsealed
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.keys import lines
from clampbook.commands.naming import known_person, person_meant
from clampbook.commands.options import book_option, clock_said, example, json_option, new_option, open_book
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.sealing.of_run import Signing
    from clampbook.check.folder import CheckFolder
    from clampbook.people import Person
    from clampbook.plain.lines import Lines
    from clampbook.record.sealed.dues import Due, SealDue
    from clampbook.run_folder import RunFolder


@click.command(epilog=example("seal crank-caps"))
@click.argument("run", shell_complete=unsealed)
@click.option("--skip-missing", is_flag=True, help="Seal without the missing signatures. Needs --as and --reason")
@click.option("--as", "by", metavar="PERSON", help="Your name", shell_complete=people)
@click.option("--reason", metavar="TEXT", help="Why signatures are skipped. Page one of the report shows it")
@book_option
@json_option
def seal(run: str, skip_missing: bool, by: str | None, reason: str | None, folder: Path | None, as_json: bool) -> int:
    """Collect signatures, seal a closed run.

    RUN can be a check. The report is made first, then all is sealed.
    """
    from clampbook.book.checks import check_or_none
    from clampbook.book.sealing.of_run import Signing

    if skip_missing and not (by and reason):
        raise click.UsageError("Add your name and a reason: --skip-missing --as PERSON --reason TEXT")
    if reason and not skip_missing:
        raise click.UsageError("--reason goes with --skip-missing.")
    book = open_book(folder)
    check = check_or_none(book, run)
    if check is not None:
        return _check_sealed(book, check, as_json)
    found = book.run(run)
    who = None if by is None else known_person(book, by)
    signing = Signing(book, found, clock_said(), who)
    if signing.sealed:
        return _already(found, "Run", as_json)
    without = None if who is None or reason is None else (who, reason)
    return _signed_and_sealed(signing, found, lines(), without, as_json=as_json)


def _already(found: RunFolder, what: str, as_json: bool) -> int:
    told = f"{what} {found.id} is sealed already. Check it with: clampbook verify {found.id}"
    return _tell(found, (told,), sealed=True, missing=(), as_json=as_json)


def _tell(
    found: RunFolder, told: tuple[str, ...], *, sealed: bool, missing: Sequence[Due | SealDue], as_json: bool
) -> int:
    """Say what came of it; the signatures that are missing are of something to look at."""
    if as_json:
        left = [{"person": due.person.id, "name": due.person.name, "meaning": due.meaning} for due in missing]
        sys.stdout.write(json_text({"run": found.id, "sealed": sealed, "missing": left, "told": list(told)}))
    else:
        click.echo(" ".join(told))
    return FINE if sealed else LOOK_AT_IT


def _check_sealed(book: Book, check: CheckFolder, as_json: bool) -> int:
    """A check is signed by whoever closed it, and by nobody else."""
    from clampbook.book.sealing.finishing import finish
    from clampbook.book.sealing.of_check import CheckSigning
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    signing, typed = CheckSigning(book, check, clock_said()), lines()
    if signing.sealed:
        return _already(check, "Check", as_json)
    due = signing.wanted
    sign_all(signing, Words(sys.stderr, width=80, marker=typed.terminal), typed, None)
    told = finish(signing)
    missing = () if due is None or signing.sealed else (due,)
    return _tell(check, told, sealed=signing.sealed, missing=missing, as_json=as_json)


def _signed_and_sealed(
    signing: Signing, found: RunFolder, typed: Lines, without: tuple[Person, str] | None = None, *, as_json: bool
) -> int:
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
    told = finish(signing)
    status = _tell(found, told, sealed=signing.sealed, missing=signing.missing, as_json=as_json)
    return LOOK_AT_IT if signing.given_up or signing.disagreement is not None else status


@click.command(epilog=example("addendum crank-caps --as Ines --text 'Cap 3 has a paint mark'"))
@click.argument("run", shell_complete=sealed)
@click.option("--as", "by", metavar="PERSON", required=True, help="Your name", shell_complete=people)
@click.option("--text", metavar="TEXT", required=True, help="Text to add")
@new_option
@book_option
@json_option
def addendum(run: str, by: str, text: str, new: bool, folder: Path | None, as_json: bool) -> int:
    """Add to a sealed run.

    The addendum lies in a folder of its own beside the run, signed and sealed.
    """
    from clampbook.book.sealing.addenda import add
    from clampbook.book.sealing.of_run import Signing
    from clampbook.plain.clock import source

    book, clock, typed = open_book(folder), clock_said(), lines()
    author = person_meant(book, by, typed, new=new)
    made = add(book, book.run(run), author, text, clock, source(clock))
    return _signed_and_sealed(Signing(book, made, clock, at_its_end=True), made, typed, as_json=as_json)
