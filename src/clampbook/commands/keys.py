"""`clampbook keys`: who signs with which key; a key is made, or withdrawn once it is lost."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.folding import folded
from clampbook.commands.options import book_option, json_option, open_book, say
from clampbook.streams import json_text
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Stamp
    from clampbook.people import Person
    from clampbook.plain.lines import Lines
    from clampbook.signing.held import HeldKey


@click.group(invoke_without_command=True)
@click.option("--allowed-signers", is_flag=True, help="Print them as ssh-keygen -Y verify reads them.")
@book_option
@json_option
@click.pass_context
def keys(context: click.Context, allowed_signers: bool, folder: Path | None, as_json: bool) -> int:
    """List the keys that the people of the book sign with."""
    if context.invoked_subcommand is not None:
        return 0
    from clampbook.book.keys import held_keys, open_to_others
    from clampbook.signing import allowed

    book = open_book(folder)
    say(*open_to_others(book))
    held = held_keys(book)
    names = {person.id: person.name for person in book.people()}
    if allowed_signers:
        sys.stdout.write(allowed.lines(held).decode())
    elif as_json:
        told = [_as_data(each, names) for each in held]
        sys.stdout.write(json_text({"keys": told}, indent=1))
    else:
        for each in held:
            click.echo(_line(each, names))
        if not held:
            click.echo("Nobody has a key: names are typed, and records are unsigned. clampbook keys make PERSON")
    return 0


@keys.command()
@click.argument("person")
@book_option
def make(person: str, folder: Path | None) -> int:
    """Make a key for somebody, under a pass-phrase of their own that is asked twice and never shown."""
    from clampbook.book.keys import TRAVELS, announced, make_key, open_to_others
    from clampbook.people import find, known_name
    from clampbook.signing.wire import KeyFault

    book = open_book(folder)
    known = find(book.people(), person)
    if known is None:
        say(f"{known_name(person)} is new in this book.")
    elif known.id in announced(book):
        raise KeyFault(f"{known.name} has a key already: clampbook keys withdraw {known.id} first, if it is lost")
    phrase = new_passphrase(lines(), known.name if known else known_name(person))
    whose = book.person_named(person)  # somebody new comes into the book only with a key to come
    held = make_key(book, whose, phrase, _stamp(whose.id))
    click.echo("\n".join(folded([f"{whose.name} signs with the key {held.key.fingerprint} from now on."])))
    say(
        f"Its secret part is in {book.root / 'keys' / whose.id}.key, of no use without the pass-phrase.",
        "Write the fingerprint down outside this book: whoever knows it from there can tell a forged record.",
        "Nobody can find a forgotten pass-phrase again: such a key is withdrawn, and a new one made.",
        TRAVELS,
        *open_to_others(book),
    )
    return 0


@keys.command()
@click.argument("person")
@click.option("--why", default="lost", metavar="TEXT", help="Why, as it is kept.", show_default=True)
@book_option
def withdraw(person: str, why: str, folder: Path | None) -> int:
    """Withdraw somebody's key: nothing is signed with it from now on, and what it signed stays as good as it was."""
    from clampbook.book.keys import withdraw_key
    from clampbook.text import clean

    book = open_book(folder)
    whose = known_person(book, person)
    gone = withdraw_key(book, whose, clean(why, what="the reason", most=200), _stamp(whose.id))
    click.echo(
        f"The key {gone.key.fingerprint} of {whose.name} is withdrawn; clampbook keys make {whose.id} replaces it."
    )
    return 0


def lines() -> Lines:
    """What is typed or piped in."""
    from clampbook.plain.lines import Lines

    return Lines(sys.stdin.buffer, terminal=sys.stdin.isatty())


def new_passphrase(typed: Lines, name: str) -> str:
    """A pass-phrase for a new key, asked until it is fit and was typed the same twice. Raises KeyFault at the end."""
    from clampbook.signing.passphrase import SHORTEST, unfit
    from clampbook.signing.wire import KeyFault

    while True:
        say(f"{name}, type a new passphrase, {SHORTEST} characters or more. It stays hidden.")
        first = typed.read_unseen()
        if first is None:
            raise KeyFault("no pass-phrase was typed: no key was made")
        wrong = unfit(first)
        if wrong is not None:
            say(as_sentence(wrong))
            continue
        say("The same once more:")
        if typed.read_unseen() == first:
            return first
        say("The two were not the same.")


def known_person(book: Book, named: str) -> Person:
    """Somebody of the book. Raises KeyFault or TextFault."""
    from clampbook.people import find
    from clampbook.signing.wire import KeyFault

    found = find(book.people(), named)
    if found is None:
        known = ", ".join(person.name for person in book.people()) or "nobody yet"
        raise KeyFault(f"there is nobody called {named} in this book; there is: {known}")
    return found


def _stamp(by: str) -> Stamp:
    from clampbook.ledger.stamp import stamp_of
    from clampbook.plain.clock import NAME, clock_of

    try:
        now = clock_of(os.environ.get(NAME)).now()
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    return stamp_of(now, by)


def _line(held: HeldKey, names: dict[str, str]) -> str:
    until = f", withdrawn {held.withdrawn:%Y-%m-%d} ({held.why or 'no reason given'})" if held.withdrawn else ""
    return f"{names.get(held.person, held.person)}: {held.key.fingerprint}, since {held.added:%Y-%m-%d}{until}"


def _as_data(held: HeldKey, names: dict[str, str]) -> dict[str, Any]:
    from clampbook.signing.held import written

    return {
        "person": held.person,
        "name": names.get(held.person, held.person),
        "fingerprint": held.key.fingerprint,
        "public": held.key.text,
        "added": written(held.added),
        "withdrawn": None if held.withdrawn is None else written(held.withdrawn),
        "why": held.why,
    }
