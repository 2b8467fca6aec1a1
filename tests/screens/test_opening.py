"""What the start sheet says as a run begins: whether it is a released revision, and what else is open."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import START, Time, named, played, seen, walking
from clampbook.book.book import Book
from clampbook.book.releases import Given, give, releasing
from clampbook.book.starting.alongside import once_known
from clampbook.book.starting.frozen import plan_frozen
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.cautions import IN_SHORT
from clampbook.run.events import Asked
from museum import museum

FLANGE = "whinchat-coupling-flange"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book, whose flange Maud released; she wants it looked at again in a day."""
    made = museum(tmp_path / "book")
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
    assert "Draft. It was changed after the release by Maud of 2026-03-02. The record" in told


@played
@pytest.mark.parametrize("size", [(120, 36), (80, 24), (40, 15)])
async def test_the_programs_own_cautions_stand_at_the_first_question(book: Book, size: tuple[int, int]) -> None:
    """Whatever the sheet says or leaves out, and however few columns there are."""
    async with walking(book, FLANGE, by=named(book, "Ines"), size=size) as keyboard:
        assert IN_SHORT in " ".join(seen(keyboard).split())


@played
async def test_what_is_read_first_covers_the_first_question(book: Book) -> None:
    """Enter goes on to it, and answers nothing there."""
    async with walking(book, FLANGE, by=named(book, "Tomas")):
        pass
    async with walking(book, FLANGE, by=named(book, "Ines")) as keyboard:
        before = " ".join(seen(keyboard).split())
        await keyboard.press("enter")
        after = " ".join(seen(keyboard).split())

    assert "Before you start" in before
    assert "Read the cautions." in after


@played
async def test_a_second_open_run_is_told(book: Book) -> None:
    """Tomas began one; Ines goes on with it, or knows that hers is a second one."""
    async with walking(book, FLANGE, by=named(book, "Tomas")):
        first = book.runs()[0].id
    async with walking(book, FLANGE, by=named(book, "Ines")) as keyboard:
        told = " ".join(seen(keyboard).split())

    assert f"Run {first} of this procedure is open, perhaps on the same equipment, by Tomas." in told
    assert [[first]] == [(run.first() or {})["alongside"] for run in book.runs() if run.id != first]


def test_once_the_thing_is_known_it_is_told_for_certain(book: Book) -> None:
    """Tomas works on hull 3; another hull, or another question, is no reason to say anything."""
    tomas, ines = named(book, "Tomas"), named(book, "Ines")
    work = work_named(book, FLANGE)
    first = open_run(book, work, Terms(person=tomas, equipment="hull 3"), Time(), "handed in").id
    other = open_run(book, work, Terms(person=ines), Time(), "handed in")
    plan = plan_frozen(other)
    ask = next(each for each in plan.asks if each.searched_as == "equipment")

    told = [
        once_known(book, other, plan, Asked(at="", offset="", by="ines", item=f"ask:{item}", typed=typed))
        for item, typed in ((ask.name, "hull 4"), (ask.name, "Hull 3"), ("Weather", "hull 3"))
    ]

    assert [0, 1, 0] == list(map(len, told))
    assert f"Run {first} of this procedure is open, on hull 3, by Tomas." in told[1][0]


@played
async def test_it_is_told_where_it_is_answered(book: Book) -> None:
    """Beside what was stored."""
    work = work_named(book, FLANGE)
    open_run(book, work, Terms(person=named(book, "Tomas"), equipment="Whinchat"), Time(), "handed in")
    async with walking(book, FLANGE, by=named(book, "Ines"), size=(120, 36)) as keyboard:
        await keyboard.press("enter", "+")
        await keyboard.type("Whinchat")
        told = " ".join(seen(keyboard).split())

    assert "of this procedure is open, on Whinchat, by" in told
