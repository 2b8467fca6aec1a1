"""Esc in an answer of several questions: one question back, so that a digit answers none but the one that is shown."""

from __future__ import annotations

from pathlib import Path

from at_keyboard import Keyboard, daybook, named, onward, played, walking
from clampbook.run import prompts as ask
from covers import TIGHTENED, cover
from museum import museum, own


def at(keyboard: Keyboard) -> str | None:
    """The question of the answer that is being given; None at the step itself."""
    part = keyboard.walk.gathering.part
    return None if part is None else part.name


async def into_it(keyboard: Keyboard, *answers: str) -> list[str | None]:
    """The questions that come one after the other with these answers."""
    came = []
    for answer in answers:
        await keyboard.type(answer, enter=answer != "*")
        await keyboard.settle()
        came.append(at(keyboard))
    return came


@played
async def test_esc_leads_back_through_the_questions_one_by_one(tmp_path: Path) -> None:
    """From the last question to the one before it, and only from the first to the step; nothing is saved."""
    book = museum(tmp_path / "book")
    own(book.root, "cover", cover(TIGHTENED))
    async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.Tighten)
        step, lines = keyboard.prompt, len(daybook(book))
        came = await into_it(keyboard, "*")
        part = keyboard.walk.gathering.part
        assert part is not None
        skip = next(each.key for each in part.choices if each.text.startswith("Skip"))
        came += await into_it(keyboard, skip)
        back = []
        while at(keyboard) is not None:
            await keyboard.press("escape")
            await keyboard.settle()
            back.append(at(keyboard))

        assert len(set(came)) == 2
        assert [*reversed(came[:-1]), None] == back
        assert (step, lines) == (keyboard.prompt, len(daybook(book)))
