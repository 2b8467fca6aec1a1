"""The sentence: what is foreign in it is shown, never obeyed."""

from __future__ import annotations

import asyncio

from textual.app import ComposeResult

from clampbook.screens.widgets.sentence import Sentence
from screens.widgets.gallery import Shop


class OneSentence(Shop):
    """A sentence alone on the screen."""

    def compose(self) -> ComposeResult:
        yield Sentence()


def shown(text: str, width: int = 60) -> str:
    """The sentence as it stands on a screen of this width."""

    async def look() -> str:
        app = OneSentence()
        async with app.run_test(size=(width, 10)) as pilot:
            sentence = app.query_one(Sentence)
            sentence.say(text, width)
            await pilot.pause()
            return "\n".join(sentence.render_line(y).text.rstrip() for y in range(sentence.size.height))

    return asyncio.run(look())


def test_brackets_are_text() -> None:
    """A title with brackets in it is no command to the screen."""
    assert "Set [bold]W2[/] to 22.1." == shown("Set [bold]W2[/] to 22.1.")


def test_a_number_stays_with_its_unit() -> None:
    """22.1 at the end of a line would be read in the unit that the eye knows best."""
    lines = shown("Head bolt 3: pull W5 slowly to 22.1 lbf·ft. Type its reading.", 37).splitlines()

    assert ["Head bolt 3: pull W5 slowly to", "22.1 lbf·ft. Type its reading."] == lines


def test_signs_that_do_not_show_are_written_out() -> None:
    """An escape sequence in a name cannot reach the terminal."""
    assert "pull \\u{1b}[2J now" == shown("pull \x1b[2J now")


def test_a_long_sentence_wraps_between_words() -> None:
    """Nothing of what is to be done is cut off."""
    assert "Position 3: set W2 to\n22.1 lbf·ft and pull." == shown("Position 3: set W2 to 22.1 lbf·ft and pull.", 24)
