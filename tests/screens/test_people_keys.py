"""People and their keys, by keyboard: a key is made under a passphrase typed twice, withdrawn, and made anew."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest

from at_keyboard import Keyboard, at_the_bench, played, seen
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.book.keys import held_keys, key_file, unlock
from clampbook.book.soundness.verifying import Verifying
from clampbook.screens.people_keys import NewKey, PeopleKeys
from museum import log_of
from sealing import Shop
from signers import PHRASE


@asynccontextmanager
async def at_the_people(book: Book) -> AsyncIterator[Keyboard]:
    """The list, opened from the bench."""
    async with at_the_bench(book) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "People and keys")
        yield keyboard


async def make(keyboard: Keyboard, first: str = PHRASE, second: str = PHRASE) -> None:
    """A passphrase, and once more."""
    await keyboard.type(first)
    await keyboard.type(second)


@played
async def test_a_key_is_made(at: Shop) -> None:
    """Its fingerprint stands on the screen, its passphrase never does, and the book's log tells of it."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Ines")
        await keyboard.type(PHRASE, enter=False)
        while_typing = seen(keyboard)
        await keyboard.press("enter")
        await keyboard.type(PHRASE)
        told = await rested(keyboard)
    (held,) = held_keys(at.book)

    assert PHRASE not in while_typing
    assert "•" * len(PHRASE) in while_typing
    assert f"Ines now signs with {held.key.fingerprint}." in told
    assert unlock(at.book, "ines", held.key.fingerprint, PHRASE).public == held.key
    assert () == Verifying(at.book).book()


@played
@pytest.mark.parametrize(
    ("typed", "told"), [(("four", ""), "too short"), ((PHRASE, "four little word"), "They differ")]
)
async def test_a_passphrase_that_will_not_do_makes_no_key(at: Shop, typed: tuple[str, str], told: str) -> None:
    """Too short, or another one the second time: it is asked from the beginning."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Ines")
        await keyboard.type(typed[0])
        if typed[1]:
            await keyboard.type(typed[1])
        words = await rested(keyboard)

        assert isinstance(keyboard.app.screen, NewKey)
        assert told in words
    assert () == held_keys(at.book)


@played
async def test_a_lost_key_is_withdrawn_and_replaced(at: Shop) -> None:
    """The secret part goes, the list says why, and a new one can be made."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Ines")
        await make(keyboard)
        await rested(keyboard)
        await choose(keyboard, "Ines")
        await keyboard.press("2", "enter", "1", "enter")
        await keyboard.type("2026-03-01")
        await keyboard.press("1", "enter")
        withdrawn, gone = await rested(keyboard), not key_file(at.book, "ines").exists()
        await choose(keyboard, "Ines")
        await make(keyboard)
        await rested(keyboard)
    first, second = held_keys(at.book)

    assert f"Ines's key {first.key.fingerprint} is revoked." in withdrawn
    assert "Verify reports what it signed since 1 March 2026." in withdrawn
    assert [("ines", "maud")] == [
        (line["person"], line["by"]) for line in log_of(at.book) if line["event"] == "key_withdrawn"
    ]
    assert gone
    assert ("lost or forgotten", None) == (first.why, second.withdrawn)
    assert () == Verifying(at.book).book()


@played
async def test_somebody_new_comes_into_the_book_with_the_key_only(at: Shop) -> None:
    """Whoever leaves before the second passphrase was never there."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Someone new")
        await keyboard.type("Okke")
        await keyboard.type(PHRASE)
        await keyboard.press("escape")
        left = [person.name for person in at.book.people()]
        assert isinstance(keyboard.app.screen, PeopleKeys)
        await choose(keyboard, "Someone new")
        await keyboard.type("Okke")
        await make(keyboard)
        await rested(keyboard)

    assert ["Ines", "Maud"] == left
    assert ["Ines", "Maud", "Okke"] == [person.name for person in at.book.people()]
    assert ["okke"] == [held.person for held in held_keys(at.book)]


@played
async def test_a_key_that_is_not_to_be_withdrawn_stays(at: Shop) -> None:
    """The last question is whether it is to be."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Ines")
        await make(keyboard)
        await rested(keyboard)
        await choose(keyboard, "Ines")
        await keyboard.press("2", "enter", "2", "enter", "-", "enter", "2", "enter")

        assert "Nothing revoked." in await rested(keyboard)
    assert key_file(at.book, "ines").exists()


@played
async def test_a_name_that_is_nearly_one_on_the_list_is_asked_about(at: Shop) -> None:
    """Inez is new; Ines is meant."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Someone new")
        await keyboard.type("inez")
        asked = await rested(keyboard)
        await keyboard.press("1", "enter")

        assert "Ines is on the list." in await rested(keyboard)
    assert "inez is new here. Did you mean Ines?" in asked
    assert ["Ines", "Maud"] == [person.name for person in at.book.people()]


@played
async def test_somebody_who_is_on_the_list_is_not_new(at: Shop) -> None:
    """The name is asked again."""
    async with at_the_people(at.book) as keyboard:
        await choose(keyboard, "Someone new")
        await keyboard.type("ines")

        assert "ines is on the list." in await rested(keyboard)
