"""People with their keys, tools and adapters of another book, put at the end of this one's hand-written lists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from clampbook.book.book import PEOPLE, TOOLS, Book
from clampbook.book.keys import key_file
from clampbook.book.merging.came import Found
from clampbook.book.merging.copying import MOST_OF_A_FILE, folder_for
from clampbook.book.merging.joining import joined
from clampbook.book.settled import own_log
from clampbook.faults import Faulty
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.lines import decode
from clampbook.ledger.refusals import LedgerFault
from clampbook.text import printable

_LISTS = ((PEOPLE, "person", "person"), (TOOLS, "tool", "tool"), (TOOLS, "adapter", "adapter"))


def join_lists(book: Book, other: Book, found: Found) -> None:
    """People with their keys, tools and adapters that only the other book knows."""
    for file, name, word in _LISTS:
        try:
            theirs = other.path(file)
            if not theirs.exists():
                continue
            with book.log() as log:
                ours = book.path(file)
                before = read_file(ours, MOST_OF_A_FILE) if ours.exists() else b""
                result = joined(before, read_file(theirs, MOST_OF_A_FILE), name)
                if result.came:
                    _must_be_readable(file, result.data)
                    for line in _about_keys(other, result.came) if file == PEOPLE else ():
                        log.append(line)
                    atomic.write(ours, result.data)
            if file == PEOPLE:
                found.others += _secrets(book, other, result.came)
        except LedgerFault as fault:
            found.told.append(f"{file} was not merged: {fault.sentence}")
            continue
        except Faulty as faulty:
            found.told.append(
                f"{file} was not merged: in the other book {faulty.faults[0].text}. Correct it there first."
            )
            continue
        found.others += [f"{word} {id}" for id in result.came]
        found.told += [f"{file}: {_collision(word, printable(id))}" for id in result.collide]
        if result.why_not:
            found.told.append(f"{file} was not merged: {result.why_not}. Add what is missing by hand.")


def _must_be_readable(file: str, data: bytes) -> None:
    """A file that would stop this book from being read is never written. Raises Faulty."""
    if file == PEOPLE:
        from clampbook.people_file import read_people

        read_people(data, file)
    else:
        from clampbook.tools.reader import read_stock

        read_stock(data, file)


def _collision(word: str, id: str) -> str:
    return (
        f"the {word} {id} is here with other content, and was not merged. If they are two, give one of them "
        "another id before it is used again."
    )


def _about_keys(other: Book, people: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    """Give what the other book's log tells of the keys of people who came: here too a log vouches for them."""
    for line in own_log(other).other_lines:
        said = decode(line)
        if said.get("event") in ("key_added", "key_withdrawn") and said.get("person") in people:
            yield {**said, "from_book": other.id}


def _secrets(book: Book, other: Book, people: tuple[str, ...]) -> Iterator[str]:
    """The locked secret keys of people who came, so that they can sign here too; each is told."""
    for person in people:
        path = key_file(other, person)
        if path.is_file() and not key_file(book, person).exists():
            folder_for(key_file(book, person))
            atomic.write(key_file(book, person), read_file(path, MOST_OF_A_FILE))
            yield f"the locked key of {person}"
