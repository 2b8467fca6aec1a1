"""`clampbook release`: a draft becomes a released revision, or a released one is withdrawn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.exit_status import COULD_NOT, FINE
from clampbook.commands.keys import lines
from clampbook.commands.naming import person_meant
from clampbook.commands.options import book_option, new_option, now, open_book, say

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.releases import Given, Prepared
    from clampbook.faults import Query
    from clampbook.ledger.stamp import Stamp
    from clampbook.procedure.model import Accepted


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--as", "by", metavar="PERSON", required=True, help="Who releases it, and signs it where there is a key.")
@click.option("--compared-with", metavar="TEXT", help="The sheet, with its issue, that it was compared with.")
@click.option("--compare-by", metavar="DATE", help="The day by which it is to be looked at again, as 2027-03-02.")
@click.option("--accept", nargs=2, multiple=True, metavar="QUERY REASON", help="A query that is all right, and why.")
@click.option("--withdraw", is_flag=True, help="Nobody should work by it any more.")
@click.option("--reason", metavar="TEXT", help="Why it is withdrawn.")
@new_option
@book_option
def release(
    file: str,
    by: str,
    compared_with: str | None,
    compare_by: str | None,
    accept: tuple[tuple[str, str], ...],
    withdraw: bool,
    reason: str | None,
    new: bool,
    folder: Path | None,
) -> int:
    """Release a procedure, by its name in the book or the path of its file: compared with the sheet, and signed.

    A fault blocks it, and so does a query of the review that is not answered. What is released is kept under
    procedures/.revisions; a file that is changed afterwards is a draft again.
    """
    _hold_together(compared_with, compare_by, accept, withdraw, reason)
    from clampbook.book.releases import Given, releasing, withdrawing
    from clampbook.procedure.model import Accepted
    from clampbook.text import clean

    book = open_book(folder)
    path = _path(book, file)
    again = _day(compare_by)
    accepted = tuple(Accepted(query=_clean(query), because=_clean(why)) for query, why in accept)
    if not withdraw and _has_queries(book, path, accepted):
        return COULD_NOT
    given = Given(
        person=person_meant(book, by, lines(), new=new),
        at=now(),
        compared_with=clean(compared_with or "", what="what follows --compared-with"),
        look_again_by=again,
        accepted=accepted,
        because=clean(reason or "", what="what follows --reason"),
    )
    return _given(book, (withdrawing if withdraw else releasing)(book, path, given))


def _hold_together(
    compared_with: str | None, compare_by: str | None, accept: object, withdraw: bool, reason: str | None
) -> None:
    """Options that exclude or need each other. Raises UsageError."""
    if withdraw and (compared_with or compare_by or accept):
        raise click.UsageError("--withdraw takes --reason TEXT and nothing of a release.")
    if withdraw and not (reason or "").strip():
        raise click.UsageError("Say with --reason TEXT why it is withdrawn.")
    if not withdraw and reason is not None:
        raise click.UsageError("--reason goes with --withdraw; a query is answered with --accept QUERY REASON.")
    if not withdraw and not (compared_with or "").strip():
        raise click.UsageError(
            "Say with --compared-with TEXT which sheet, and which issue of it, it was compared with."
        )


def _path(book: Book, named: str) -> Path:
    """The file of this name, or the procedure of the book that is called so. Raises LedgerFault."""
    from clampbook.book.book import PROCEDURES
    from clampbook.ledger.refusals import LedgerFault, shown

    own = next((path for path in book.procedures() if named in (path.stem, path.name)), None)
    if own is not None:
        book.path(PROCEDURES, own.name)  # refuses a link that leads out of the book
    path = own if own is not None else Path(named)
    if not path.exists():
        known = ", ".join(each.stem for each in book.procedures()) or "none yet"
        raise LedgerFault(f"there is no procedure {shown(path)}: give the path of a file, or one of {known}")
    return path


def _clean(typed: str) -> str:
    from clampbook.text import clean

    kept = clean(typed, what="what follows --accept")
    if not kept:
        raise click.UsageError(
            "--accept takes the code of a query and the reason, such as --accept W401 'as the sheet'."
        )
    return kept


def _day(typed: str | None) -> str | None:
    if typed is None:
        return None
    from clampbook.procedure.release import day

    found = day(typed.strip())
    if found is None:
        raise click.UsageError(f"{typed!r} is no day: write --compare-by as year-month-day, such as 2027-03-02.")
    if found < now().date():
        raise click.UsageError(f"{typed} has passed: the day to look again lies ahead.")
    return found.isoformat()


def _has_queries(book: Book, path: Path, accepted: tuple[Accepted, ...]) -> bool:
    """True where queries stand, after they were listed with the way to answer them."""
    from clampbook.book.releases import queries
    from clampbook.faults import show
    from clampbook.text import printable

    found, unread = queries(book, path, accepted)
    if unread is not None:
        say(f"The tools of the book were left out: {printable(unread)}.")
    if not found.queries:
        return False
    for query in found.queries:
        say(show(query))
    say(f"clampbook: {printable(str(path))} is not released: answer each query, {_how(found.queries[0])}")
    return True


def _how(query: Query) -> str:
    named = f"{query.code} {query.key}".strip()
    return f'such as with --accept "{named}" "why it is all right", or change the file.'


def _given(book: Book, prepared: Prepared) -> int:
    """Show what is signed, ask for the passphrase where there is a key, and do it."""
    from clampbook.book.releases import give
    from clampbook.signing.wire import KeyFault

    given = prepared.given
    say(*prepared.text.splitlines(), "")
    phrase = None
    if prepared.signs_with is not None:
        say(f"{given.person.name}: type your passphrase to sign this; an empty line leaves it.")
        phrase = lines().read_unseen()
        if not phrase:
            raise KeyFault(f"not signed by {given.person.name}: nothing was changed")
    kept = give(book, prepared, phrase, _stamp(given))
    click.echo(f"{prepared.outcome} What was {prepared.did} is kept in {kept}.")
    sys.stdout.flush()
    return FINE


def _stamp(given: Given) -> Stamp:
    from clampbook.ledger.stamp import stamp_of

    return stamp_of(given.at, given.person.id)
