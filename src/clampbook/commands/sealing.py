"""`clampbook seal` finishes what was left unsealed; `clampbook verify` recomputes everything about finished runs."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.keys import lines
from clampbook.commands.options import book_option, json_option, open_book, telling_where_stopped
from clampbook.streams import json_text
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.sealing import Signing
    from clampbook.book.soundness import Soundness
    from clampbook.faults import Fault
    from clampbook.ledger.stamp import Clock
    from clampbook.run_folder import RunFolder
    from clampbook.signing.allowed import Allowed

Beside = Mapping[str, tuple[str, ...]]  # what is to be said beside each run

FINE, LOOK_AT_IT = 0, 1
_MOST_TRUSTED = 1_000_000  # bytes of a file of keys from outside
_NAMED = 5  # runs that are not sound, by name where verifying was stopped
_MANY = 20  # runs and checks from which on it is said how far verifying has come


@click.command()
@click.argument("run")
@click.option("--without", is_flag=True, help="Without the signatures that cannot be given any more.")
@book_option
def seal(run: str, without: bool, folder: Path | None) -> int:
    """Finish sealing a closed run: ask for the signatures that are missing, print the report, seal the folder."""
    from clampbook.book.sealing import Signing

    book = open_book(folder)
    found = book.run(run)
    signing = Signing(book, found, _clock())
    if signing.sealed:
        click.echo(f"The run {found.id} is sealed already; clampbook verify {found.id} looks at it.")
        return FINE
    return _signed_and_sealed(signing, without=without)


def _signed_and_sealed(signing: Signing, *, without: bool = False) -> int:
    """Ask for the signatures that are missing and seal; the status is that of something to look at where one stays
    missing."""
    from clampbook.book.sealing import finish
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words

    typed = lines()
    sign_all(signing, Words(sys.stderr, width=80, marker=typed.terminal), typed, None)
    if without:
        signing.seal(without=True)
    click.echo(" ".join(finish(signing)))
    return FINE if signing.sealed and not signing.missing and signing.disagreement is None else LOOK_AT_IT


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
@book_option
def addendum(run: str, by: str, text: str, folder: Path | None) -> int:
    """Add something to a run that is sealed: in a folder of its own, signed and sealed, beside the first."""
    from clampbook.addenda import add
    from clampbook.book.sealing import Signing
    from clampbook.plain.clock import source

    book, clock = open_book(folder), _clock()
    made = add(book, book.run(run), book.person_named(by), text, clock, source(clock))
    return _signed_and_sealed(Signing(book, made, clock))


@click.command()
@click.argument("runs", nargs=-1, metavar="[RUN]...")
@click.option(
    "--trust",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Keys known from outside the book: allowed signers, or fingerprints as a report prints them.",
)
@book_option
@json_option
def verify(runs: tuple[str, ...], trust: Path | None, folder: Path | None, as_json: bool) -> int:
    """Recompute everything about runs and checks that are over, or those named, and name whatever does not fit.

    A later doubt about a tool of a run is something to look at as well (status 1); the run itself can be sound.
    """
    from clampbook.book.notices import is_doubt, notices
    from clampbook.book.soundness import Verifying
    from clampbook.check.folder import CheckFolder

    book = _as_it_lies(folder)
    verifying = Verifying(book, _outside(trust))
    chosen = _chosen(book, runs)
    of_the_book = verifying.book()
    found: list[Soundness] = []
    with telling_where_stopped(lambda: _not_looked_at(found, chosen)):
        for number, each in enumerate(chosen, start=1):
            found.append(verifying.check(each) if isinstance(each, CheckFolder) else verifying.run(each))
            if len(chosen) >= _MANY and sys.stderr.isatty():
                end = "\n" if number == len(chosen) else ""
                print(f"\r{number} of {len(chosen)}; Ctrl-C stops", end=end, file=sys.stderr, flush=True)
    beside = {each.run: notices(book, each.run) for each in found}
    if as_json:
        _as_object(found, of_the_book, beside, trust is not None)
    else:
        click.echo("\n".join(_told(found, of_the_book, beside, trust is not None)))
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


def _told(found: list[Soundness], of_the_book: tuple[Fault, ...], beside: Beside, outside: bool) -> Iterator[str]:
    from clampbook.book.soundness import in_sentences
    from clampbook.faults import show
    from clampbook.ledger.formats import FORMAT

    for each in found:
        yield from in_sentences(each)
        yield from (f"  {printable(sentence)}" for sentence in beside[each.run])
    for fault in of_the_book:
        yield from show(fault).splitlines()
    if not found:
        yield "No run and no check is over yet."
    if any(each.checked for each in found):
        yield (
            f"All is counted again by the rules of the walk itself (daybook format {FORMAT}): "
            "this finds what was changed, not what those rules may get wrong."
        )
    if any(each.signed for each in found) and not outside:
        yield (
            "Keys that are found only in this book could have been made by whoever can write to it: "
            "compare their fingerprints with what you know from elsewhere, or say --trust FILE."
        )


def _as_object(found: list[Soundness], of_the_book: tuple[Fault, ...], beside: Beside, outside: bool) -> None:
    from clampbook.faults import as_data

    told = {
        "sound": all(each.sound for each in found) and not of_the_book,
        "trusted_from_outside": outside,
        "runs": [_run_as_data(each) | {"notices": list(beside[each.run])} for each in found],
        "faults": [as_data(fault) for fault in of_the_book],
    }
    sys.stdout.write(json_text(told, indent=1))


def _run_as_data(found: Soundness) -> dict[str, Any]:
    from clampbook.faults import as_data

    return {
        "run": found.run,
        "state": found.state,
        "sound": found.sound,
        "checked": found.checked,
        "faults": [as_data(fault) for fault in found.faults],
        "left_over": list(found.left_over),
        "signatures": [
            {
                "number": each.number,
                "person": each.person,
                "name": each.name,
                "meaning": each.meaning,
                "at": each.at.isoformat(),
                "key": each.key,
                "known": each.known,
                "trusted": each.trusted,
            }
            for each in found.signed
        ],
    }
