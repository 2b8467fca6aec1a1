"""The topics of the help on the screen: found by a word, read, and left for exactly where one was."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, at_the_bench, daybook, named, onward, played, shown, walking
from at_looks import SIZES, Look, compared, in_utc
from at_tools import rested
from clampbook.book.book import Book
from clampbook.demo import HEAD
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.bench import Bench
from clampbook.screens.topic_page import TopicPage
from clampbook.screens.topics import Topics
from clampbook.screens.walk import WalkScreen
from clampbook.screens.widgets.countdown import Countdown
from museum import museum


async def topics(keyboard: Keyboard) -> None:
    """F1 on a page of help."""
    await rested(keyboard)
    await keyboard.press("f1", "f1")


def listed(keyboard: Keyboard) -> list[str]:
    """The lines of the list."""
    assert isinstance(keyboard.app.screen, Topics)
    return [choice.text for choice in keyboard.app.screen.part.choices]


async def read(keyboard: Keyboard) -> str:
    """What stands on the screen, in one line."""
    await keyboard.drawn()
    return " ".join((await shown(keyboard)).split())


@played
async def test_a_half_typed_reading_is_still_there_afterwards(tmp_path: Path) -> None:
    """In the middle of a walk: help, topics, a word, a topic, and back."""
    book = museum(tmp_path / "book")
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.SetTool)
        await keyboard.type("22", enter=False)
        before, lines = await read(keyboard), daybook(book)
        await keyboard.press("f1", "f1", *"window", "enter")
        assert isinstance(keyboard.app.screen, TopicPage)
        await keyboard.press("escape", "escape", "escape", "escape")

        assert isinstance(keyboard.app.screen, WalkScreen)
        assert "22" == keyboard.walk.field
        assert before == await read(keyboard)
        assert lines == daybook(book)


@played
async def test_a_line_from_a_tool_is_no_answer_to_the_walk_below(tmp_path: Path) -> None:
    """Nobody saw the question when it came."""
    book = museum(tmp_path / "book")
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Tighten)
        lines = daybook(book)
        await keyboard.press("f1", "f1")
        await keyboard.from_a_tool("22.1")

        assert lines == daybook(book)


@played
async def test_a_wait_runs_on_below_a_topic(tmp_path: Path) -> None:
    """Who reads while a gasket settles comes back when its time is up."""
    book = museum(tmp_path / "book")
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Wait)
        await keyboard.press("f1", "f1", "4", "enter")
        assert isinstance(keyboard.app.screen, TopicPage)
        keyboard.time.seconds += 3600
        await keyboard.press("escape", "escape", "escape", "+")

        assert isinstance(keyboard.app.screen, WalkScreen)
        assert not isinstance(keyboard.prompt, ask.Wait)


@played
async def test_that_a_wait_is_not_over_stays_no_longer_than_it_is_true(tmp_path: Path) -> None:
    """Pressed early it says until when, beside the countdown; once time is up that is gone."""
    book = museum(tmp_path / "book")
    async with walking(book, HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Wait)
        await keyboard.press("+")
        early = await shown(keyboard)
        keyboard.time.seconds += 3600
        keyboard.app.screen.query_one(Countdown).look()
        over = await shown(keyboard)

        assert re.search(r"Wait until \d\d:\d\d:\d\d\.", early)
        assert "Wait until" not in over
        assert isinstance(keyboard.prompt, ask.Wait)


@played
async def test_a_word_makes_a_list_of_its_places(tmp_path: Path) -> None:
    """The key that is called so first; without the word all topics are there again."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await topics(keyboard)
        every = listed(keyboard)
        await keyboard.type("nut_factor", enter=False)
        assert listed(keyboard)[0].startswith("Procedure files · [[group]]: nut_factor = [0.16, 0.22]:")
        await keyboard.press("escape")

        assert every == listed(keyboard)
        assert 11 == len(every)


@played
async def test_a_word_that_stands_nowhere_brings_the_nearest(tmp_path: Path) -> None:
    """Which can then be typed."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await topics(keyboard)
        await keyboard.type("torqe", enter=False)

        assert [] == listed(keyboard)
        assert "Did you mean torque?" in await read(keyboard)


@played
async def test_a_place_is_opened_where_the_word_stands(tmp_path: Path) -> None:
    """Its line is the first one below the title."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await topics(keyboard)
        await keyboard.type("until_still")
        await keyboard.drawn()
        lines = [line.strip() for line in (await shown(keyboard)).splitlines() if line.strip()]

        assert "• until_still = true: True for another round over all positions after any that" in " ".join(lines[1:3])


@played
async def test_a_number_that_is_a_word_is_found_after_a_point(tmp_path: Path) -> None:
    """Alone it opens the topic with that number."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await topics(keyboard)
        await keyboard.type(".4107", enter=False)
        assert isinstance(keyboard.app.screen, Topics)
        assert "4107" == keyboard.app.screen.words
        await keyboard.press("escape")
        await keyboard.type("4")

        assert isinstance(keyboard.app.screen, TopicPage)
        assert "sequences" == keyboard.app.screen.topic.name


@played
async def test_a_topic_is_read_to_its_end_by_pages(tmp_path: Path) -> None:
    """One part after the other; and back to its beginning."""
    async with at_the_bench(museum(tmp_path / "book"), size=(40, 15)) as keyboard:
        await topics(keyboard)
        await keyboard.type("4")
        first = await read(keyboard)
        for _ in range(20):
            await keyboard.press("pagedown")
            await keyboard.drawn()
        last = await read(keyboard)
        await keyboard.press("left", "left", "left", "left")

        assert "for_each" in last
        assert "part 1 of" in first
        assert "part 1 of" in await read(keyboard)


@played
async def test_topics_stand_among_all_actions(tmp_path: Path) -> None:
    """F2 has them everywhere."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await rested(keyboard)
        await keyboard.press("f2", *"help topics", "enter")
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, Topics)
        await keyboard.press("escape")

        assert isinstance(keyboard.app.screen, Bench)


async def found(keyboard: Keyboard) -> None:
    """The places of a word."""
    await topics(keyboard)
    await keyboard.type("modified", enter=False)


async def keys_at_a_step(keyboard: Keyboard) -> None:
    """A page of lists."""
    await topics(keyboard)
    await keyboard.type("2")
    await keyboard.drawn()


async def pictures(keyboard: Keyboard) -> None:
    """The orders, drawn."""
    await topics(keyboard)
    await keyboard.type("4")
    await keyboard.drawn()


LOOKS = {
    "topics": Look(topics, ("Help · topics", "1 Getting started")),
    "found": Look(found, ("Help · “modified”", "Type a word")),
    "keys at a step": Look(keys_at_a_step, ("Keys", "At a step")),
    "pictures of orders": Look(pictures, ("Sequences", "A group says in which order")),
}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """The demo book, in a place whose clocks show UTC."""
    with in_utc():
        yield museum(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_help_looks_as_approved(
    snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
) -> None:
    """Title and keys are never pushed off."""
    app = Clampbook(lambda app: bench(app, book, time))

    alike, words = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [each for each in LOOKS[name].words if each not in words]
    assert alike


@played
async def test_home_and_end_lead_through_a_topic_as_through_any_page(tmp_path: Path) -> None:
    """To its last line, and to its first."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await topics(keyboard)
        await keyboard.press("2", "enter")
        first = await read(keyboard)
        await keyboard.press("end")
        last = await read(keyboard)
        await keyboard.press("home")
        again = await read(keyboard)

    assert "A numeric pad is enough for a whole walk." in first
    assert "to do again" in last and "A numeric pad" not in last
    assert first == again
