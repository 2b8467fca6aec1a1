"""What the start sheet says as a run begins: whether it is a released revision, and what else is open."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import START, named, played, seen, walking
from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.releases import Given, give, releasing
from clampbook.run.session import Stamp

FLANGE = "whinchat-coupling-flange"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, whose flange Maud released; she wants it looked at again in a day."""
    made = demo.make(tmp_path / "book")[0]
    maud = named(made, "Maud")
    given = Given(person=maud, at=START, compared_with="Sheet 14, issue 2", look_again_by="2026-03-03")
    ready = releasing(made, made.root / "procedures" / f"{FLANGE}.toml", given)
    give(made, ready, None, Stamp(START, "+01:00", maud.id))
    return made


@played
async def test_a_released_revision_needs_no_word(book: Book) -> None:
    """It stands in the top line."""
    async with walking(book, FLANGE, by=named(book, "Ines")) as keyboard:
        told = seen(keyboard)

    assert "revision A, released" in told
    assert "not released" not in told


@played
async def test_a_changed_one_is_told(book: Book) -> None:
    """With whose release it was that does not hold any more."""
    path = book.root / "procedures" / f"{FLANGE}.toml"
    path.write_bytes(path.read_bytes().replace(b"Coupling flange", b"Shaft flange"))
    async with walking(book, FLANGE, by=named(book, "Ines")) as keyboard:
        told = " ".join(seen(keyboard).split())

    assert "revision A, draft" in told
    assert "This revision is not released (it was changed after the release by Maud of 2026-03-02)" in told


@played
async def test_a_second_open_run_is_told(book: Book) -> None:
    """Tomas began one; Ines goes on with it, or knows that hers is a second one."""
    async with walking(book, FLANGE, by=named(book, "Tomas")):
        first = book.runs()[0].id
    async with walking(book, FLANGE, by=named(book, "Ines")) as keyboard:
        told = " ".join(seen(keyboard).split())

    assert f"A run of this procedure is open already, perhaps on the same thing: {first}, begun by Tomas." in told
    assert [[first]] == [(run.first() or {})["alongside"] for run in book.runs() if run.id != first]
