"""`clampbook keys`: who signs with which key; a key is made, or withdrawn once it is lost."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.completing import people
from clampbook.commands.folding import folded
from clampbook.commands.naming import known_person, who_is_meant
from clampbook.commands.options import book_option, example, json_option, new_option, now, open_book, say
from clampbook.commands.renamed import Commands
from clampbook.streams import json_text
from clampbook.text import as_sentence
from clampbook.units import show_day

if TYPE_CHECKING:
    from clampbook.ledger.stamp import Stamp
    from clampbook.plain.lines import Lines
    from clampbook.signing.held import HeldKey


@click.group(cls=Commands, invoke_without_command=True, epilog=example("keys --allowed-signers > allowed_signers"))
@click.option("--allowed-signers", is_flag=True, help="Print them for ssh-keygen -Y verify")
@book_option
@json_option
@click.pass_context
def keys(context: click.Context, allowed_signers: bool, folder: Path | None, as_json: bool) -> int:
    """List, make or revoke signing keys."""
    if context.invoked_subcommand is not None:
        return 0
    if allowed_signers and as_json:
        raise click.UsageError("Give one of --allowed-signers and --json.")
    from clampbook.book.keys import held_keys, open_to_others
    from clampbook.signing import allowed

    book = open_book(folder)
    say(*open_to_others(book))
    held = held_keys(book)
    names = {person.id: person.name for person in book.people()}
    if allowed_signers:
        from clampbook.book.soundness.logged_keys import keys_of_merged

        sys.stdout.write(allowed.lines((*held, *keys_of_merged(book))).decode())
    elif as_json:
        told = [_as_data(each, names) for each in held]
        sys.stdout.write(json_text({"keys": told}, indent=1))
    else:
        for each in held:
            click.echo(_line(each, names))
        if not held:
            click.echo("No keys: names are typed and nothing is signed. Make one with: clampbook keys make PERSON")
    return 0


@keys.command(epilog=example("keys make Ines"))
@click.argument("person", shell_complete=people)
@new_option
@book_option
@json_option
def make(person: str, new: bool, folder: Path | None, as_json: bool) -> int:
    """Make a signing key.

    Its owner types a new passphrase twice. It stays hidden.
    """
    from clampbook.book.keys import TRAVELS, announced, make_key, open_to_others
    from clampbook.people import known_name
    from clampbook.signing.wire import KeyFault

    book, typed = open_book(folder), lines()
    known = who_is_meant(book, person, typed, new=new)
    if known is None:
        say(f"{known_name(person)} is new in this book.")
    elif known.id in announced(book):
        raise KeyFault(f"{known.name} has a key already. If it is lost, revoke it: clampbook keys revoke {known.id}")
    phrase = new_passphrase(typed, known.name if known else known_name(person))
    whose = known or book.person_named(person)  # somebody new comes into the book only with a key to come
    held = make_key(book, whose, phrase, _stamp(whose.id))
    signs = f"{whose.name} now signs with {held.key.fingerprint}. Write it down outside this book."
    _tell(held, whose.name, signs, as_json)
    say(
        f"Its secret part is in {book.root / 'keys' / whose.id}.key and needs the passphrase.",
        "The fingerprint, known from elsewhere, tells a forged record.",
        "A lost passphrase cannot be recovered. Revoke the key and make a new one.",
        TRAVELS,
        *open_to_others(book),
    )
    return 0


@keys.command(epilog=example("keys revoke Ines --as Maud --reason lost --known-since never"))
@click.argument("person", shell_complete=people)
@click.option("--reason", default="lost", metavar="TEXT", help="Why", show_default=True)
@click.option("--as", "by", metavar="PERSON", help="Your name", shell_complete=people)
@click.option("--known-since", metavar="DAY", help="Since when others may have had it, such as 2026-03-02, or never")
@click.option("--yes", is_flag=True, help="Do not ask again")
@book_option
@json_option
def revoke(
    person: str,
    reason: str,
    by: str | None,
    known_since: str | None,
    yes: bool,
    folder: Path | None,
    as_json: bool,
) -> int:
    """Revoke a signing key.

    Nothing is signed with it any more. Earlier signatures stay valid, and verify names those since others may have
    had the key.
    """
    from clampbook.book.keys import announced, withdraw_key
    from clampbook.signing.wire import KeyFault
    from clampbook.text import clean

    book, typed = open_book(folder), lines()
    whose, why = known_person(book, person), clean(reason, what="the reason", most=200)
    if whose.id not in announced(book):
        raise KeyFault(f"{whose.name} has no key to revoke")
    giver = known_person(book, by or _asked(typed, "Who are you? Type your name."))
    since = _since(typed, known_since)
    key = announced(book)[whose.id]
    if not yes and _asked(typed, f"Revoke {whose.name}'s key {key} for good? Type revoke.") != "revoke":
        raise KeyFault(f"{whose.name}'s key is not revoked")
    gone = withdraw_key(book, whose, why, _stamp(giver.id), since)
    revoked = f"{whose.name}'s key {gone.key.fingerprint} is revoked."
    _tell(gone, whose.name, f"{revoked} Make a new one with: clampbook keys make {whose.id}", as_json)
    if since is not None:
        say(f"clampbook verify names what it signed since {show_day(since)}.")
    return 0


def _tell(held: HeldKey, name: str, told: str, as_json: bool) -> None:
    """Say what became of a key; with --json as it stands in the list of all."""
    if as_json:
        sys.stdout.write(json_text(_as_data(held, {held.person: name})))
    else:
        click.echo("\n".join(folded([told])))


def _asked(typed: Lines, question: str) -> str:
    from clampbook.signing.wire import KeyFault

    say(question)
    line = typed.read()
    if line is None:
        raise KeyFault("Nothing typed. The key is not revoked")
    return line.strip()


def _since(typed: Lines, said: str | None) -> datetime | None:
    """From the start of which day on others may have had the key; None where nobody may. Raises KeyFault."""
    from clampbook.procedure.release import day
    from clampbook.signing.wire import KeyFault

    while True:
        answer = said or _asked(typed, "Since which day may others have it? Type it like 2026-03-02, - never.")
        if answer in ("-", "never"):
            return None
        found = day(answer)
        if found is not None:
            return datetime.combine(found, time(), UTC)
        if said is not None:
            raise KeyFault(f"“{answer}” is not a day. Write it like 2026-03-02, or never")
        say(f"“{answer}” is not a day. Write it like 2026-03-02.")


def lines() -> Lines:
    """Give the lines that are typed or piped in."""
    from clampbook.plain.lines import Lines

    return Lines(sys.stdin.buffer, terminal=sys.stdin.isatty())


def new_passphrase(typed: Lines, name: str) -> str:
    """A passphrase for a new key, asked until it is fit and was typed the same twice. Raises KeyFault at the end."""
    from clampbook.signing.passphrase import SHORTEST, unfit
    from clampbook.signing.wire import KeyFault

    while True:
        say(f"{name}, type a new passphrase, {SHORTEST} characters or more. It stays hidden.")
        first = typed.read_unseen()
        if first is None:
            raise KeyFault("No passphrase typed. No key was made")
        wrong = unfit(first)
        if wrong is not None:
            say(as_sentence(wrong))
            continue
        say("Type it again.")
        if typed.read_unseen() == first:
            return first
        say("They differ. Type both again.")


def _stamp(by: str) -> Stamp:
    from clampbook.ledger.stamp import stamp_of

    return stamp_of(now(), by)


def _line(held: HeldKey, names: dict[str, str]) -> str:
    until = f", revoked {held.withdrawn:%Y-%m-%d} ({held.why or 'no reason given'})" if held.withdrawn else ""
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
