"""The field: nothing filled in, one line, and keys that are no text while it is empty."""

from __future__ import annotations

import asyncio

from textual import events, on
from textual.app import ComposeResult
from textual.message import Message

from clampbook.screens.widgets.reading_field import ReadingField
from screens.widgets.gallery import Shop


class OneField(Shop):
    """A field alone on the screen, and all that it says."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[str] = []
        self.passed_on: list[str] = []

    def compose(self) -> ComposeResult:
        yield ReadingField(most=6, keys_while_empty=frozenset("+-/*"))

    def on_mount(self) -> None:
        self.query_one(ReadingField).focus()

    @on(ReadingField.Taken)
    @on(ReadingField.NothingTyped)
    @on(ReadingField.BackAsked)
    @on(ReadingField.NotTaken)
    def hear(self, message: Message) -> None:
        match message:
            case ReadingField.Taken(text=text):
                self.heard.append(f"taken {text}")
            case ReadingField.NotTaken(sentence=sentence):
                self.heard.append(sentence)
            case _:
                self.heard.append(type(message).__name__)

    def on_key(self, event: events.Key) -> None:
        if event.is_printable:
            self.passed_on.append(event.key)


def after(*keys: str, paste: str | None = None) -> tuple[list[str], str, list[str]]:
    """What was heard, what stands in the field, and which keys went on to the screen."""

    async def type_it() -> tuple[list[str], str, list[str]]:
        app = OneField()
        async with app.run_test() as pilot:
            await pilot.press(*keys)
            if paste is not None:
                app.query_one(ReadingField).post_message(events.Paste(paste))
            await pilot.pause()
            return app.heard, app.query_one(ReadingField).value, app.passed_on

    return asyncio.run(type_it())


def test_enter_hands_on_what_was_typed() -> None:
    """Exactly as typed, comma and all."""
    assert (["taken 22,4"], "22,4", []) == after(*"22,4", "enter")


def test_enter_on_nothing_takes_nothing() -> None:
    """A habit of the hand is no answer."""
    assert (["NothingTyped"], "", []) == after("enter")


def test_keys_are_no_text_while_the_field_is_empty() -> None:
    """A released pull is one key; the field leaves it to the screen."""
    assert ([], "", ["plus", "slash"]) == after("plus", "slash")


def test_the_same_signs_are_text_behind_a_digit() -> None:
    """Once something stands there, a slash belongs to it."""
    assert ([], "5/8", []) == after("5", "slash", "8")


def test_backspace_takes_back_and_then_asks_to_go_back() -> None:
    """On an empty field it means the answer before."""
    assert (["BackAsked"], "", []) == after("7", "backspace", "backspace")


def test_only_the_first_line_of_a_paste_is_taken() -> None:
    """A paste never answers by itself and never fills two fields."""
    assert ([], "22.4", []) == after(paste="22.4\n23.1\n")


def test_a_paste_with_a_sign_that_does_not_show_is_refused() -> None:
    """And said why; nothing of it gets into the field."""
    heard, value, _ = after(paste="22\x1b[2J.4")

    assert ("", True) == (value, heard[0].startswith("what was pasted holds a sign that does not show"))


def test_more_than_the_field_holds_is_refused_and_said() -> None:
    """Nothing is cut off in silence."""
    assert ["the field has room for 6 characters: Enter keeps what stands there"] == after(*"1234567")[0]


def test_the_toolkits_own_chords_are_left_to_the_program() -> None:
    """Ctrl-C is a safe pause, not a copy."""
    assert "22" == after(*"22", "ctrl+u")[1]


def test_the_line_to_write_on_can_be_seen_without_colour() -> None:
    """It is as long as the field is, whatever stands on it."""

    async def look() -> tuple[int, int]:
        app = OneField()
        async with app.run_test() as pilot:
            await pilot.pause()
            field = app.query_one(ReadingField)
            drawn = [segment for segment in field.render_line(0) if segment.style and segment.style.underline]
            return sum(len(segment.text) for segment in drawn), field.size.width

    underlined, width = asyncio.run(look())
    assert underlined >= width - 1  # all but the cursor
