"""Help with typing: what may stand at the cursor is offered, the key there is explained, and frames are put in."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from at_drafts import COVER, Draft, drafting
from at_keyboard import played
from clampbook.screens.draft.offers import Offers


def offered(draft: Draft) -> list[str]:
    """What is offered at the cursor."""
    return [each.name for each in draft.screen.query_one(Offers).found]


def explained(draft: Draft) -> str:
    """What is said of the key at the cursor."""
    return str(draft.screen.query_one("#explained", Static).content)


class TestOffers:
    """A small list, from which Tab or Enter takes a line."""

    @played
    async def test_it_opens_as_a_key_is_typed_and_enter_takes_it(self, cover: Path) -> None:
        """With the cursor between the quotes of its value."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.type("\nman")
            names = offered(draft)
            await draft.press("enter")
            await draft.type("step 4")
            line = draft.text.splitlines()[21]

        assert ["manual"] == names
        assert 'manual = "step 4"' == line

    @played
    async def test_the_words_of_a_key_are_offered_between_its_quotes(self, cover: Path) -> None:
        """At once, and an arrow goes on to the next."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.type("\nconf")
            await draft.press("tab")
            names = offered(draft)
            await draft.press("down", "tab")
            line = draft.text.splitlines()[21]

        assert ["each", "each four", "round"] == names
        assert 'confirm = "each four"' == line

    @played
    async def test_esc_closes_it_and_nothing_else(self, cover: Path) -> None:
        """The draft is not left."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.type("\nman")
            await draft.press("escape")

            assert [] == offered(draft)
            assert draft.app.screen is draft.screen

    @played
    async def test_without_it_enter_is_a_new_line(self, cover: Path) -> None:
        """A whole key is offered no more."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.type("\nmanual")
            names = offered(draft)
            await draft.press("enter")
            lines = draft.text.splitlines()

        assert [] == names
        assert "manual" == lines[21]

    @played
    async def test_f9_lists_all_that_may_stand_there(self, cover: Path) -> None:
        """Without a sign of it."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.press("enter", "f9")
            names = offered(draft)

        assert {"rounds", "manual", "confirm"} <= set(names)
        assert "within" not in names

    @played
    async def test_what_is_pasted_or_undone_offers_nothing(self, cover: Path) -> None:
        """Nobody is typing it."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.paste("\nman")
            pasted = offered(draft)
            await draft.press("ctrl+z")

            assert [] == pasted == offered(draft)


class TestExplained:
    """The key at the cursor, in the words of the reference."""

    @played
    async def test_a_key_is_explained_with_what_it_takes(self, cover: Path) -> None:
        """Wherever the cursor stands on its line."""
        async with drafting(cover) as draft:
            await draft.at(20)
            told = explained(draft)
            await draft.at(17)
            elsewhere = explained(draft)

        assert "The torque, or a share of the group's target." in told
        assert told != elsewhere

    @played
    async def test_what_is_lit_in_the_list_is_explained(self, cover: Path) -> None:
        """Before it is taken; and once the list is closed, what stands there."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.press("enter", "f9")
            names = offered(draft)
            told = {}
            for name in names:
                told[name] = explained(draft)
                await draft.press("down")
            await draft.press("escape")
            closed = explained(draft)

        assert {"rounds", "manual", "confirm"} <= set(names)
        assert all(text.startswith(f"{name}: ") for name, text in told.items()), told
        assert "Pull to a torque." == closed

    @played
    async def test_each_kind_of_work_is_explained_as_it_is_lit(self, cover: Path) -> None:
        """A value of which each word means something else."""
        async with drafting(cover) as draft:
            await draft.at(19)
            await draft.press("left", *["backspace"] * 7, "f9")
            first = explained(draft)
            names = offered(draft)
            await draft.press("down")
            second = explained(draft)

        assert first.startswith(f"{names[0]}: ") and second.startswith(f"{names[1]}: ")

    @played
    @pytest.mark.parametrize("header", ["release", "sign_off"])
    async def test_a_line_that_was_a_comment_is_explained_at_once(self, cover: Path, header: str) -> None:
        """Without a move of the cursor."""
        cover.write_text(f"{COVER}# [{header}]\n", encoding="utf-8")
        async with drafting(cover) as draft:
            await draft.at(22, end=False)
            await draft.press("delete", "delete")
            told = explained(draft)

        assert told.startswith(f"{header}: ")

    @played
    async def test_a_header_says_what_the_table_is(self, cover: Path) -> None:
        """In few words."""
        async with drafting(cover) as draft:
            await draft.at(10)
            told = explained(draft)

        assert told.startswith("group: ")


class TestFrames:
    """F6."""

    @played
    async def test_a_stage_is_put_behind_the_table_at_the_cursor(self, cover: Path) -> None:
        """The cursor stands where its first value belongs, and undo takes all of it back."""
        async with drafting(cover) as draft:
            await draft.at(10)
            await draft.press("f6")
            seen = await draft.seen()
            number = next(line.split()[0] for line in seen.splitlines() if "Stage wait" in line)
            await draft.press(*number, "enter")
            await draft.type("10 min")
            lines = draft.text.splitlines()
            await draft.press("ctrl+z", "ctrl+z")

            assert ["[[stage]]", 'do = "wait"'] == lines[17:19]
            assert lines[19].startswith('for = "10 min"')
            assert "[[stage]]" in lines[20:]
            assert COVER == draft.text

    @played
    async def test_at_the_end_of_the_text_it_stands_apart(self, cover: Path) -> None:
        """With an empty line before it."""
        async with drafting(cover) as draft:
            await draft.at(19)
            await draft.press("f6", "2", "enter")
            lines = draft.text.splitlines()

        assert ["", "[[group]]"] == lines[21:23]

    @played
    async def test_a_second_layout_is_not_put_in(self, cover: Path) -> None:
        """The one that is there is shown."""
        async with drafting(cover) as draft:
            await draft.press("f6", "1", "enter")
            await draft.rested()

            assert "[layout] is there already. A procedure has one." == draft.told
            assert COVER == draft.text
            assert 6 == draft.screen.sheet_text.cursor_location[0]
