"""`clampbook release`: a draft becomes a released revision, or a released one is withdrawn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import people, procedures
from clampbook.commands.exit_status import COULD_NOT, FINE
from clampbook.commands.keys import lines
from clampbook.commands.naming import person_meant
from clampbook.commands.options import book_option, example, json_option, new_option, now, open_book, say
from clampbook.commands.refused import Refused, tell
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.releases import Given, Prepared
    from clampbook.faults import Query
    from clampbook.ledger.stamp import Stamp
    from clampbook.procedure.model import Accepted


@click.command(epilog=example("release shaft-flange-16 --as Maud --compared-with 'Issue 3'"))
@click.argument("procedure", shell_complete=procedures)
@click.option("--as", "by", metavar="PERSON", required=True, help="Your name", shell_complete=people)
@click.option("--compared-with", metavar="TEXT", help="Manual and issue that you compared it with, line by line")
@click.option("--compare-by", metavar="DATE", help="Compare it again by this day, such as 2027-03-02")
@click.option("--accept", nargs=2, multiple=True, metavar="QUERY REASON", help="Answer a query: why the file is right")
@click.option("--withdraw", is_flag=True, help="Withdraw it")
@click.option("--reason", metavar="TEXT", help="Why it is withdrawn")
@new_option
@book_option
@json_option
def release(
    procedure: str,
    by: str,
    compared_with: str | None,
    compare_by: str | None,
    accept: tuple[tuple[str, str], ...],
    withdraw: bool,
    reason: str | None,
    new: bool,
    folder: Path | None,
    as_json: bool,
) -> int:
    """Release a procedure, or withdraw it.

    PROCEDURE is the name of a procedure of the book, or the path of its file.
    Errors block a release, and so does a query that is not answered. The released file is saved under
    procedures/.revisions. A file that changes later is a draft again.
    """
    _hold_together(compared_with, compare_by, accept, withdraw, reason)
    from clampbook.book.releases import Given, releasing, withdrawing
    from clampbook.book.starting.terms import path_named
    from clampbook.procedure.model import Accepted
    from clampbook.text import clean

    book = open_book(folder)
    path = path_named(book, procedure)
    again = _day(compare_by)
    accepted = tuple(Accepted(query=_clean(query), because=_clean(why)) for query, why in accept)
    if not withdraw and (unanswered := _unanswered(book, path, accepted)) is not None:
        tell(unanswered, as_json=as_json)
        return COULD_NOT
    given = Given(
        person=person_meant(book, by, lines(), new=new),
        at=now(),
        compared_with=clean(compared_with or "", what="what follows --compared-with"),
        look_again_by=again,
        accepted=accepted,
        because=clean(reason or "", what="what follows --reason"),
    )
    return _given(book, (withdrawing if withdraw else releasing)(book, path, given), as_json=as_json)


def _hold_together(
    compared_with: str | None, compare_by: str | None, accept: object, withdraw: bool, reason: str | None
) -> None:
    """Options that exclude or need each other. Raises UsageError."""
    if withdraw and (compared_with or compare_by or accept):
        raise click.UsageError("With --withdraw give only --as and --reason.")
    if withdraw and not (reason or "").strip():
        raise click.UsageError("Add --reason TEXT: why is it withdrawn?")
    if not withdraw and reason is not None:
        raise click.UsageError("--reason goes with --withdraw. Answer a query with --accept QUERY REASON.")
    if not withdraw and not (compared_with or "").strip():
        raise click.UsageError("Add --compared-with TEXT: which manual and issue did you compare it with?")


def _clean(typed: str) -> str:
    from clampbook.text import clean

    kept = clean(typed, what="what follows --accept")
    if not kept:
        raise click.UsageError(
            "--accept takes the code of a query and a reason, such as --accept W401 'as in the manual'."
        )
    return kept


def _day(typed: str | None) -> str | None:
    if typed is None:
        return None
    from clampbook.procedure.release import day

    found = day(typed.strip())
    if found is None:
        raise click.UsageError(f"--compare-by {typed} is not a day. Write it like 2027-03-02.")
    if found < now().date():
        raise click.UsageError(f"--compare-by {typed} is in the past. Give a day ahead.")
    return found.isoformat()


def _unanswered(book: Book, path: Path, accepted: tuple[Accepted, ...]) -> Refused | None:
    """The queries that still stand, with the way to answer them; None where there are none."""
    from clampbook.book.releases import queries
    from clampbook.faults import show
    from clampbook.text import as_sentence, printable

    found, unread = queries(book, path, accepted)
    if unread is not None:
        say(f"The tools of the book were left out: {as_sentence(printable(unread))}")
    if not found.queries:
        return None
    what_to_do = f"Not released: {printable(str(path))}. Answer each query, {_how(found.queries[0])}"
    told = (*map(show, found.queries), what_to_do)
    return Refused("unanswered", told, str(path), queries=found.queries)


def _how(query: Query) -> str:
    named = f"{query.code} {query.key}".strip()
    return f'such as --accept "{named}" "why the file is right", or change the file.'


def _given(book: Book, prepared: Prepared, *, as_json: bool) -> int:
    """Show what is signed, ask for the passphrase where there is a key, and do it."""
    from clampbook.book.releases import give
    from clampbook.signing.wire import KeyFault

    given = prepared.given
    say(*prepared.text.splitlines(), "")
    phrase = None
    if prepared.signs_with is not None:
        say(f"{given.person.name}, read this. Type your passphrase to sign. Enter alone leaves it unsigned.")
        phrase = lines().read_unseen()
        if not phrase:
            raise KeyFault(f"Not signed by {given.person.name}. Nothing was changed")
    saved = give(book, prepared, phrase, _stamp(given))
    if as_json:
        about = {"procedure": str(prepared.path), "revision": prepared.procedure.revision, "act": prepared.act}
        sys.stdout.write(json_text(about | {"saved": str(saved), "signed": prepared.key is not None}))
    else:
        click.echo(f"{prepared.outcome} Saved: {saved}")
    sys.stdout.flush()
    return FINE


def _stamp(given: Given) -> Stamp:
    from clampbook.ledger.stamp import stamp_of

    return stamp_of(given.at, given.person.id)
