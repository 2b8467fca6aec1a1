"""What counts as a key, what as a line of a tool, and what is thrown away."""

from __future__ import annotations

import os
import random

import pytest
from textual import events

from at_keyboard import Keyboard, Time, at_the_bench, daybook, named, played, shown, steadily, walking
from clampbook.book.book import Book
from clampbook.book.starting.frozen import plan_frozen
from clampbook.ledger.chain import chain_faults
from clampbook.run import prompts as ask
from clampbook.run.walk import read_progress
from clampbook.screens.beginning import Beginning
from clampbook.screens.bench import Bench
from clampbook.screens.walk import WalkScreen
from covers import SIGNED_OFF, SQUEEZED, TIGHTENED, cover
from museum import own

SERIAL = """
[[ask]]
name = "Engine serial number"
answer = "text"
is = "equipment"
required = true
"""
COVER = cover(TIGHTENED, SQUEEZED, SIGNED_OFF, top=SERIAL)
SIZES = ((80, 24), (120, 36), (40, 15), (61, 19), (20, 8))
KEYS = (
    *"0123456789.,+-*/? rbnymxé",
    *("enter",) * 2,
    "escape",
    "backspace",
    "up",
    "down",
    "tab",
    "f1",
    "f2",
    "f3",
    "f4",
)


@pytest.fixture
def book(book: Book) -> Book:
    """The demo book with a valve cover."""
    own(book.root, "cover", COVER)
    return book


async def at_a_reading(keyboard: Keyboard) -> None:
    """The first screw is asked for, with a tool that shows the torque."""
    await keyboard.type("C 4711")
    await keyboard.press("3", "enter", "1", "enter")
    assert isinstance(keyboard.prompt, ask.Tighten)
    await keyboard.slow_pull()


async def at_a_release(keyboard: Keyboard) -> None:
    """The first screw is asked for, with a tool that lets go."""
    await keyboard.type("C 4711")
    await keyboard.press("1", "enter")
    await keyboard.type("30")
    await keyboard.press("1", "enter")
    assert isinstance(keyboard.prompt, ask.Tighten)


async def at_a_decision(keyboard: Keyboard) -> None:
    """A reading was over."""
    await at_a_reading(keyboard)
    await keyboard.type("24.1")
    assert isinstance(keyboard.prompt, ask.Decide)


def stored(book: Book) -> list[str]:
    """The events of the daybook after those of the start sheet and of the tool."""
    return [line["event"] for line in daybook(book) if line["event"] not in ("opened", "asked")]


class TestHeldKeys:
    """A resting elbow is no answer."""

    @played
    async def test_a_held_space_bar_releases_one_bolt(self, book: Book) -> None:
        """Ten seconds of a key that repeats 30 times a second: the first press counts, the rest is the same press."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_release(keyboard)
            await keyboard.slow_pull()
            await keyboard.press("space")
            await keyboard.press("space", apart=0.5)
            await keyboard.press(*["space"] * 300, apart=0.033)

            assert 1 == stored(book).count("clicked")

    @played
    async def test_a_key_pressed_again_and_again_waits_for_the_least_pull_time(self, book: Book) -> None:
        """One press a second, ten seconds long: never more than one bolt in two seconds."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_release(keyboard)
            await keyboard.press(*["+"] * 6, apart=1.0)

        assert stored(book).count("clicked") <= 3

    @pytest.mark.parametrize("key", ["space", "+", "enter", "1"])
    @played
    async def test_no_held_key_passes_a_decision(self, book: Book, key: str) -> None:
        """Neither the deliberate key, nor Enter, nor a choice alone."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_decision(keyboard)
            await keyboard.press(*[key] * 60, apart=0.033)

            assert isinstance(keyboard.prompt, ask.Decide)
            assert "decided" not in stored(book)


class TestTypedAhead:
    """What was typed before a question could be seen answers nothing."""

    @played
    async def test_keys_that_wait_when_a_release_is_painted_are_thrown_away(self, book: Book) -> None:
        """The plus came in the same moment as the unit: the pull is still to come."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await keyboard.type("C 4711")
            await keyboard.press("1", "enter")
            await keyboard.type("30")
            screen, at = keyboard.walk, keyboard.time.seconds + 1
            screen.pressed("1", "1", at)
            screen.pressed("plus", "+", at + 0.2)
            screen.pressed("plus", "+", at + 1.2)
            keyboard.time.seconds += 4
            await keyboard.seen_to()

            assert "clicked" not in stored(book)

    @played
    async def test_a_decision_wants_a_choice_and_then_enter(self, book: Book) -> None:
        """Its digit alone decides nothing, and what waited when it was painted does not count."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            for key in "24.1":
                await keyboard.press(key)
            screen, at = keyboard.walk, keyboard.time.seconds + 1
            screen.pressed("enter", None, at)
            screen.pressed("1", "1", at + 0.2)
            screen.pressed("enter", None, at + 0.4)
            keyboard.time.seconds += 2
            await keyboard.seen_to()
            assert isinstance(keyboard.prompt, ask.Decide)
            await keyboard.press("1")
            assert "decided" not in stored(book)
            await keyboard.press("enter")

            assert keyboard.walk.gathering.part is not None or "decided" in stored(book)


class TestToolsThatType:
    """A tool that types like a keyboard just works, also at the wrong moment."""

    @played
    async def test_its_line_is_the_reading(self, book: Book) -> None:
        """Digits, point, Enter, faster than anybody types."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            await keyboard.from_a_tool("22.1")

        assert ("reading_taken", "22.1") == (daybook(book)[-2]["event"], daybook(book)[-2]["typed"])

    @played
    async def test_what_was_typed_by_hand_before_is_no_part_of_it(self, book: Book) -> None:
        """A forgotten digit in the field does not become its first one."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            await keyboard.press("1")
            await keyboard.from_a_tool("22.1")

        assert "22.1" == daybook(book)[-2]["typed"]

    @pytest.mark.parametrize("line", ["22.1", "1.0", "+22.1", "22"])
    @played
    async def test_at_a_release_it_is_kept_and_its_position_asked(self, book: Book, line: str) -> None:
        """No number is asked for there: which position does it belong to?"""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_release(keyboard)
            await keyboard.from_a_tool(line)
            assert keyboard.walk.gathering.part is not None
            await keyboard.type("2")

        kept = [(each["text"], each["belongs_to"]) for each in daybook(book) if each["event"] == "arrived_unasked"]
        assert [(line, "2")] == kept
        assert "clicked" not in stored(book)

    @pytest.mark.parametrize("line", ["1", "12", "1.5", "22.1", "0022.10"])
    @played
    async def test_at_a_decision_it_decides_nothing(self, book: Book, line: str) -> None:
        """Not even a line that is the number of a choice."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_decision(keyboard)
            await keyboard.from_a_tool(line)

            assert isinstance(keyboard.prompt, ask.Decide)
            assert "decided" not in stored(book)

    @played
    async def test_at_a_sign_off_it_signs_nothing(self, book: Book) -> None:
        """A number is no name, and a name that came by itself wants an Enter by hand."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await keyboard.type("C 4711")
            await steadily(keyboard, until=ask.SignOff)
            await keyboard.from_a_tool("1")
            await keyboard.from_a_tool("Ines")
            assert "signed_off" not in stored(book)
            await keyboard.press("enter")

            assert "signed_off" in stored(book)

    @played
    async def test_on_the_start_sheet_it_is_the_answer(self, book: Book) -> None:
        """As of a thing that reads serial numbers from a plate."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await keyboard.from_a_tool("SN-004711")

        assert "SN-004711" == daybook(book)[1]["typed"]

    @played
    async def test_a_line_that_began_before_the_question_is_asked_about(self, book: Book) -> None:
        """Its first digits came while the next question was painted: half a number is never a reading."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            screen, at = keyboard.walk, keyboard.time.seconds
            screen.painted_at = at + 0.003
            for n, sign in enumerate("122.1"):
                screen.pressed(sign, sign, at + 0.002 * n)
            screen.pressed("enter", None, at + 0.010)
            await keyboard.seen_to()

            part = keyboard.walk.gathering.part
            assert part is not None
            assert "122.1 came in" in part.text
            assert "reading_taken" not in stored(book)


class TestPasting:
    """Pastes follow the rules of typing."""

    @pytest.mark.parametrize(("pasted", "typed"), [("22.1", None), ("22.1\n", "22.1"), ("22.1\n23.0\n", None)])
    @played
    async def test_a_paste_at_a_reading(self, book: Book, pasted: str, typed: str | None) -> None:
        """With its Enter it is a line, without it stands in the field, and several lines are none."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            paste = events.Paste(pasted)
            paste.time = keyboard.time.seconds
            keyboard.app.post_message(paste)
            await keyboard.seen_to()

            assert ("22.1" if pasted == "22.1" else "") == keyboard.walk.field
            assert typed == next((x["typed"] for x in daybook(book) if x["event"] == "reading_taken"), None)


class TestLetters:
    """They are typed where a text is asked for, and nowhere else do they do anything."""

    @pytest.mark.parametrize("letter", "rbmpch")
    @played
    async def test_none_does_anything_at_a_release(self, book: Book, letter: str) -> None:
        """What is told nowhere must not happen."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_release(keyboard)
            await keyboard.slow_pull()
            before, asked = stored(book), keyboard.prompt
            await keyboard.press(letter)

            assert (before, asked, None, "") == (
                stored(book),
                keyboard.prompt,
                keyboard.walk.gathering.part,
                keyboard.walk.field,
            )

    @played
    async def test_on_a_text_every_sign_is_typed(self, book: Book) -> None:
        """No letter and no sign acts while a serial number is asked for."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await keyboard.type("r+b/4?", enter=False)

            assert "r+b/4?" == keyboard.walk.field
            await keyboard.press("enter")

        assert "r+b/4?" == daybook(book)[1]["typed"]


class TestTurningTheMap:
    """F3 is no answer: nothing of what is being answered is lost by it."""

    @played
    async def test_a_number_half_typed_stays(self, book: Book) -> None:
        """And can be typed on."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            await keyboard.type("22", enter=False)
            await keyboard.press("f3")

            assert ("22", 1) == (keyboard.walk.field, keyboard.walk.gathering.session.progress.quarters)
            assert "reading 22" in await shown(keyboard)
            await keyboard.type(".1")

        assert "22.1" == next(line["typed"] for line in daybook(book) if line["event"] == "reading_taken")

    @played
    async def test_a_question_within_an_answer_stays(self, book: Book) -> None:
        """A note half written."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            await keyboard.press("/")
            await keyboard.type("phone", enter=False)
            asked = keyboard.walk.gathering.part
            await keyboard.press("f3")

            assert asked is not None
            assert (asked, "phone") == (keyboard.walk.gathering.part, keyboard.walk.field)


class TestStopping:
    """Every way out is a safe pause."""

    @pytest.mark.parametrize("key", ["ctrl+c", "ctrl+z", "ctrl+q"])
    @played
    async def test_the_keys_that_stop(self, book: Book, key: str) -> None:
        """In the middle of a word, too: what is half typed is gone, what was answered is stored."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await at_a_reading(keyboard)
            await keyboard.press("2", "enter", "2", "enter")
            await keyboard.pilot.press(key)
            await keyboard.pilot.pause()

            assert ("stopped", 130) == (keyboard.app.return_value and keyboard.app.return_value.outcome, 130)
        assert "paused" == daybook(book)[-1]["event"]


class TestAnything:
    """Random keys crash nothing."""

    @played
    async def test_random_keys_and_sizes_leave_a_sound_daybook(self, book: Book) -> None:
        """Keys of every kind, by hand and by tools, in windows of every size. CLAMPBOOK_KEYS says how many."""
        chance = random.Random(os.environ.get("CLAMPBOOK_SEED", "whinchat"))
        left = int(os.environ.get("CLAMPBOOK_KEYS", "2000"))
        time = Time()
        while left > 0:  # whoever left the program by accident starts it again
            async with at_the_bench(book, time=time) as keyboard:
                while left > 0 and keyboard.runs:
                    before = len(keyboard.pressed)
                    await _anything(keyboard, chance)
                    left -= max(1, len(keyboard.pressed) - before)
                assert (None, None) == (keyboard.app.unforeseen, keyboard.app.fault)

        assert book.runs()
        for run in book.runs():
            lines = run.lines()[0]
            assert [] == chain_faults(run.daybook, lines)
            read_progress(run.daybook, plan_frozen(run), lines)


async def _anything(keyboard: Keyboard, chance: random.Random) -> None:
    """One thing that a person, an elbow, a tool or a window does."""
    match chance.random():
        case dice if dice < 0.02:
            await keyboard.pilot.resize_terminal(*chance.choice(SIZES))
        case dice if dice < 0.05:
            await keyboard.from_a_tool(chance.choice(["22.1", "30", "1", "90.5", "x", "-3.2"]))
        case dice if dice < 0.10:
            await keyboard.slow_pull(chance.choice([2.5, 30, 700]))
        case dice if dice < 0.40:
            await _sensible(keyboard)
        case _:
            await keyboard.press(chance.choice(KEYS), apart=chance.choice([0.01, 0.1, 0.5, 3]))


async def _sensible(keyboard: Keyboard) -> None:
    """What somebody does who wants to get on."""
    match keyboard.app.screen:
        case WalkScreen():
            await keyboard.fitting()
        case Bench():
            await keyboard.press("1", "enter")
        case Beginning():
            await keyboard.press("1", "enter")
        case _:
            await keyboard.press("escape")
