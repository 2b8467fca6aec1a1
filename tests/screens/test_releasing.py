"""Releasing a procedure by keyboard: who, each query, compared with what, look again when, and then the signature."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from at_keyboard import Keyboard, at_the_bench, played
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.book.releases import queries
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.terms import work_named
from clampbook.procedure.model import Procedure
from clampbook.screens.draft.screen import Drafting
from clampbook.screens.releasing import GiveHere, Releases
from sealing import Shop, shop
from signers import PHRASE


@asynccontextmanager
async def at_the_releases(book: Book) -> AsyncIterator[Keyboard]:
    """The list, opened from the bench."""
    async with at_the_bench(book) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "Procedures")
        yield keyboard


def cover(at: Shop) -> Procedure:
    """The procedure as the book has it now."""
    return work_named(at.book, "cover").procedure


async def compared(keyboard: Keyboard, at: Shop, *, look: str = "1", turned: int = 6) -> None:
    """Maud looks at it: every query is right as it stands, and it is to be looked at again."""
    found = queries(at.book, at.book.path("procedures", "cover.toml"))[0].queries
    assert found, "the cover has queries"
    await choose(keyboard, "Valve cover")
    await keyboard.press("2", "enter")
    for _ in found:
        await keyboard.press("1", "enter")
        await keyboard.type("the sheet has it so")
    await keyboard.type("Sheet 3, issue 2")
    await keyboard.press(*look, "enter")
    await read_to_its_end(keyboard, turned)


async def read_to_its_end(keyboard: Keyboard, turned: int = 6) -> None:
    """What is given is read first, page by page."""
    await rested(keyboard)
    await keyboard.press(*["pagedown"] * turned)


@played
async def test_a_draft_is_released_and_signed(whinchat: Shop) -> None:
    """What is signed is read first; then the book holds a released revision that verifies."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat)
        shown = await rested(keyboard)
        await keyboard.type(PHRASE)
        told = await rested(keyboard)
    released = cover(whinchat)

    assert "Sheet 3, issue 2" in shown and "2027-03-02" in shown
    assert "revision A, by Maud (signed with a key)." in told
    assert released.status == "released" and released.release is not None
    assert ("Maud", "2027-03-02") == (released.release.by, released.release.look_again_by)
    assert {"the sheet has it so"} == {each.because for each in released.accepted}
    assert () == Verifying(whinchat.book).book()


@played
async def test_a_wrong_passphrase_releases_nothing(whinchat: Shop) -> None:
    """It is told, and can be typed again or left."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat)
        await keyboard.type("four little birds")
        told = await rested(keyboard)

        assert isinstance(keyboard.app.screen, GiveHere)
        assert "passphrase" in told and "does not open" in told
        await keyboard.press("escape")
    assert "draft" == cover(whinchat).status


@played
async def test_without_a_key_the_name_is_typed_and_a_word_gives_it(tmp_path: Path) -> None:
    """No empty Enter releases anything."""
    at = shop(tmp_path / "book", keys=False)
    async with at_the_releases(at.book) as keyboard:
        await compared(keyboard, at, look="4")
        await keyboard.press("enter")
        before = cover(at).status
        await keyboard.type("release")
        told = await rested(keyboard)

    assert ("draft", "released") == (before, cover(at).status)
    assert "revision A, by Maud (typed name)." in told
    assert cover(at).release is not None and cover(at).release.look_again_by is None  # type: ignore[union-attr]


@played
async def test_a_query_that_is_right_as_a_query_leads_into_the_text(
    whinchat: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file is to be changed first: by a number one is there, and Esc leads back to the list."""
    monkeypatch.setenv("XDG_STATE_HOME", str(whinchat.book.root.parent / "state"))
    async with at_the_releases(whinchat.book) as keyboard:
        await choose(keyboard, "Valve cover")
        await keyboard.press("2", "enter", "2", "enter")
        told = await rested(keyboard)
        await choose(keyboard, "Open its text")
        drafted = keyboard.app.screen
        await keyboard.press("escape")
        await rested(keyboard)
        back = keyboard.app.screen

    assert "Not released. Change the file first." in told
    assert isinstance(drafted, Drafting) and "cover.toml" == drafted.path.name
    assert isinstance(back, Releases)
    assert "draft" == cover(whinchat).status


@played
async def test_the_foot_says_at_once_that_there_is_more_to_read(whinchat: Shop) -> None:
    """Nothing is signed that was not read to its end."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat, turned=0)
        seen = await rested(keyboard)

    assert "PgDn read on" in " ".join(seen.split())


@played
async def test_leaving_a_release_is_asked_before_the_answers_are_lost(whinchat: Shop) -> None:
    """One Esc too many costs nothing, and the release goes on; two leave."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat)
        await keyboard.press("escape")
        told = await rested(keyboard)
        stayed = isinstance(keyboard.app.screen, GiveHere)
        await keyboard.press("escape")
        await rested(keyboard)
        left = isinstance(keyboard.app.screen, Releases)

    assert "Press Esc again to leave. Your answers are then lost." in told
    assert stayed and left
    assert "draft" == cover(whinchat).status


@played
async def test_a_released_revision_is_withdrawn(whinchat: Shop) -> None:
    """With a reason, and a signature."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat)
        await keyboard.type(PHRASE)
        await rested(keyboard)
        await choose(keyboard, "Valve cover")
        await keyboard.press("1", "enter")
        await keyboard.type("issue 3 is out")
        await read_to_its_end(keyboard)
        await keyboard.type(PHRASE)
        told = await rested(keyboard)
    found = cover(whinchat)

    assert "by Ines (signed with a key)." in told
    assert found.status == "withdrawn" and found.withdrawal is not None
    assert "issue 3 is out" == found.withdrawal.because
    assert () == Verifying(whinchat.book).book()


@played
@pytest.mark.parametrize("typed", ["2026-01-01", "soon"])
async def test_a_day_that_has_passed_or_is_none_is_asked_again(whinchat: Shop, typed: str) -> None:
    """It lies ahead, or none is set."""
    async with at_the_releases(whinchat.book) as keyboard:
        await compared(keyboard, whinchat, look="3")
        await keyboard.type(typed)

        assert "is not a day to come" in await rested(keyboard)


@played
@pytest.mark.parametrize("at", ["Procedures", "bench"])
async def test_a_file_with_errors_shows_all_of_them_and_leads_into_its_text(
    whinchat: Shop, monkeypatch: pytest.MonkeyPatch, at: str
) -> None:
    """Whether it was to be released or started: nobody is asked anything else."""
    monkeypatch.setenv("XDG_STATE_HOME", str(whinchat.book.root.parent / "state"))
    path = whinchat.book.path("procedures", "cover.toml")
    wrong = "".join(f"nonsense_{number} = 1\n" for number in range(1, 10))
    path.write_text(f"{wrong}{path.read_text(encoding='utf-8')}", encoding="utf-8")
    async with at_the_bench(whinchat.book) as keyboard:
        await rested(keyboard)
        if at == "Procedures":
            await choose(keyboard, at)
        await choose(keyboard, "Valve cover")
        first = await rested(keyboard)
        await keyboard.press(*["pagedown"] * 6)
        last = await rested(keyboard)
        await choose(keyboard, "Open its text")
        drafted = keyboard.app.screen

    assert "cover.toml has 9 errors." in first and "PgDn read on" in " ".join(first.split())
    assert "nonsense_1" in first and "nonsense_9" in last
    assert isinstance(drafted, Drafting)


@played
async def test_the_text_of_a_procedure_is_opened_from_the_list(whinchat: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """By F2, and Esc leads back to it."""
    monkeypatch.setenv("XDG_STATE_HOME", str(whinchat.book.root.parent / "state"))
    async with at_the_releases(whinchat.book) as keyboard:
        await keyboard.press("f2")
        await keyboard.type("write valve")
        await rested(keyboard)
        drafted = keyboard.app.screen
        await keyboard.press("escape")
        await rested(keyboard)
        back = keyboard.app.screen

    assert isinstance(drafted, Drafting) and "cover.toml" == drafted.path.name
    assert isinstance(back, Releases)
