"""The question that a changed serial number brings, on the command line: is it the same tool, and who says so?"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from clampbook.commands.naming import person_meant
from clampbook.commands.options import now, say

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.people import Person
    from clampbook.plain.lines import Lines
    from clampbook.tools.model import Tool


def ask_apart(book: Book, tool: Tool, lines: Lines, who: Callable[[], Person | None]) -> bool:
    """Ask where it is to be asked, and write the answer into the log; False where nobody answered, or `who` names
    nobody who says it.

    Raises LedgerFault, KeyFault or TextFault where it is answered by nobody who is meant, or cannot be written.
    """
    from clampbook.book.told_apart import identities
    from clampbook.run.gather.asking import SAME_OR_ANOTHER
    from clampbook.run.in_hand.offers import another_serial

    was = identities(book).was(tool.id, tool.serial)
    if was is None:
        return True
    ways = {str(number): (value, text) for number, (value, text) in enumerate(SAME_OR_ANOTHER.items(), start=1)}
    say(f"{another_serial(tool, was)} Type the number.", *(f"{key} {text}" for key, (_, text) in ways.items()))
    answer = (lines.read() or "").strip()
    if answer not in ways:
        return False
    person = who()
    if person is None:
        return False
    say_apart(book, tool, person, same=ways[answer][0] == "same")
    return True


def told_apart(book: Book, tool: Tool, lines: Lines, who: Callable[[], Person | None]) -> Tool:
    """The tool, once it is said whether it is the same one. Raises LedgerFault where nobody says it, and as `ask_apart`
    does."""
    from clampbook.ledger.refusals import LedgerFault

    if not ask_apart(book, tool, lines, lambda: who() or who_says_so(book, lines)):
        told = f"nobody said whether {tool.name} is the same tool as before. Nothing started"
        raise LedgerFault(f"{told}. Say it with: clampbook tools --same {tool.id} --as PERSON, or --another {tool.id}")
    return tool


def say_apart(book: Book, tool: Tool, person: Person, *, same: bool) -> None:
    """Write it into the log, and say what follows. Raises LedgerFault."""
    from clampbook.book.told_apart import tell_apart, what_follows
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.ledger.stamp import stamp_of

    if not tell_apart(book, tool, same=same, person=person, stamp=stamp_of(now(), person.id)):
        raise LedgerFault(f"{tool.name} has the serial number it had before. There is nothing to say")
    say(f"{tool.name}, serial {tool.serial}. {what_follows(same=same)} Entered by {person.name}.")


def who_says_so(book: Book, lines: Lines) -> Person | None:
    """Give the only person of a book, or whoever types a name; None where nobody does."""
    people = book.people()
    if len(people) == 1:
        return people[0]
    say("Who are you? Type your name.", *(person.name for person in people))
    name = (lines.read() or "").strip()
    return person_meant(book, name, lines, new=False) if name else None
