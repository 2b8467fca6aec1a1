"""The drafting screen by keyboard: what is typed on one side, and what stands on the other."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.events import Key
from textual.strip import Strip
from textual.widgets import Static

from at_drafts import COVER, drafting
from at_keyboard import played
from clampbook.help.frames import new_file
from clampbook.screens.draft.beside import Beside
from clampbook.screens.draft.sheet_text import MOST_COLOURED, SheetText
from clampbook.screens.page import Page


class TestBeside:
    """The other side says what the text comes to."""

    @played
    async def test_the_steps_stand_there_as_they_will_be_walked(self, cover: Path) -> None:
        """Each with its target and window, below the heading of its stage; and the picture of the joint."""
        async with drafting(cover) as draft:
            told = draft.beside

        assert "No errors" in told and "4 steps" in told
        assert "Stage 1: Tighten to 9.00 N·m" in told
        assert "   2  1.1/3    position 3  9.00 N·m  (8.0–10.0 N·m)" in told.splitlines()
        assert "│ 1   │" in told and "│ 4   │" in told

    @played
    async def test_a_stage_that_is_typed_is_there_at_once(self, cover: Path) -> None:
        """Four bolts in two rounds are eight steps."""
        async with drafting(cover) as draft:
            await draft.at(21)
            await draft.type("\nrounds = 2")
            told = draft.beside

        assert "8 steps" in told

    @played
    async def test_errors_stand_first_with_their_lines_and_what_to_do(self, cover: Path) -> None:
        """What it came to before the error stays in sight, and is said to be of before."""
        async with drafting(cover) as draft:
            await draft.at(20)
            await draft.press(*["backspace"] * 5, '"')
            told = draft.beside.splitlines()

        assert "1 error" == told[0]
        assert told[1].startswith(" 1 ! line 20, E118: ") or told[1].startswith(" 1 ! line 20, E201: "), told[1]
        assert "Below: as it was before these errors." in told
        assert any("Stage 1" in row for row in told)

    @played
    async def test_queries_stand_where_there_are_no_errors(self, cover: Path) -> None:
        """Far too much for an M6 is asked about, at its line."""
        async with drafting(cover) as draft:
            await draft.at(20, end=False)
            await draft.press(*["right"] * 6)
            await draft.type("9")
            told = draft.beside.splitlines()

        assert told[0].startswith("No errors, ") and "quer" in told[0]
        assert any("? line 20, W401" in row for row in told)

    @played
    async def test_a_key_that_changes_nothing_beside_paints_nothing_there(
        self, cover: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A comment is no other procedure, and whoever types does not wait for the same lines once more."""
        painted: set[int] = set()
        render = Beside.render_line

        def counted(beside: Beside, y: int) -> Strip:
            painted.add(y)
            return render(beside, y)

        async with drafting(cover) as draft:
            monkeypatch.setattr(Beside, "render_line", counted)
            await draft.at(1)
            await draft.type("  # as in the manual")
            of_a_comment = set(painted)
            await draft.at(21)
            await draft.type("\nrounds = 2")

        assert set() == of_a_comment
        assert 0 in painted

    @played
    async def test_whatever_is_typed_no_line_beside_stays_as_it_was_before(self, cover: Path) -> None:
        """An error, its end, another round, also further down: as it is painted anew from its first line on."""
        differing = []
        async with drafting(cover, size=(120, 20)) as draft:
            beside = draft.screen.beside
            for line, typed in ((21, "\nrounds = "), (22, "2"), (22, "0"), (3, "\nx = 1")):
                await draft.at(line)
                await draft.type(typed)
                beside.scroll_to(y=4, animate=False, immediate=True)
                await draft.pilot.pause()
                shown = [strip.text for strip in draft.screen._compositor.render_strips()]
                beside._styles_cache.clear()
                if shown != [strip.text for strip in draft.screen._compositor.render_strips()]:
                    differing.append(typed)

        assert [] == differing

    @played
    async def test_errors_are_in_sight_however_far_one_had_read(self, cover: Path) -> None:
        """They stand at the top, and F5 begins there."""
        async with drafting(cover, size=(80, 24)) as draft:
            await draft.at(21)
            await draft.type("\nrounds = 9")
            await draft.press("f5", "end")
            read_on = draft.screen.beside.scroll_y
            await draft.press("f5")
            await draft.type("x")
            await draft.press("f5")
            seen = await draft.seen()

        assert 0 < read_on
        assert " 1 ! line 22, " in seen

    @played
    async def test_errors_come_into_sight_beside_the_text(self, cover: Path) -> None:
        """Where both sides are shown, as soon as they are told."""
        async with drafting(cover, size=(120, 24)) as draft:
            await draft.at(21)
            await draft.type("\nrounds = 9")
            await draft.press("f5", "end", "f5")
            read_on = draft.screen.beside.scroll_y
            await draft.type("x")
            seen = await draft.seen()

        assert 0 < read_on
        assert " 1 ! line 22, " in seen


class TestANewFile:
    """A name that no file has yet is told before anything is saved."""

    @played
    async def test_the_nearest_name_is_told(self, cover: Path) -> None:
        """It may have been meant: as a part of it, or mistyped."""
        told = []
        for name in ("cov", "cuver", "propeller"):
            async with drafting(cover.with_name(f"{name}.toml"), text=COVER) as draft:
                told.append(draft.told)
                await draft.press("escape")

        assert [
            "“cov” is new. Did you mean cover? Press Esc to leave.",
            "“cuver” is new. Did you mean cover? Press Esc to leave.",
            "“propeller” is new. Nothing is saved yet.",
        ] == told
        assert ["cover.toml"] == [each.name for each in cover.parent.glob("*.toml")]

    @played
    async def test_a_file_that_is_there_is_opened_without_a_word(self, cover: Path) -> None:
        """Nobody needs to be told."""
        async with drafting(cover) as draft:
            assert "" == draft.told


class TestPages:
    """Keys that lead far, with the cursor in sight wherever they end."""

    @played
    async def test_the_cursor_is_in_sight_at_each_page(self, cover: Path) -> None:
        """Down to the last line, and up again."""
        cover.write_text(COVER + "# a line\n" * 60, encoding="utf-8")
        async with drafting(cover, size=(80, 24)) as draft:
            rows = []
            for key in (*["pagedown"] * 8, *["pageup"] * 8):
                await draft.press(key)
                area = draft.screen.sheet_text
                rows.append(area.cursor_location[0])
                row = area.cursor_location[0] - round(area.scroll_y)
                assert 0 <= row < area.scrollable_content_region.height

        assert 81 == rows[7] == max(rows)
        assert 0 == rows[-1]

    @played
    async def test_ctrl_with_home_or_end_leads_to_the_beginning_or_the_end(self, cover: Path) -> None:
        """And with Shift all on the way is selected."""
        async with drafting(cover) as draft:
            area = draft.screen.sheet_text
            await draft.press("ctrl+end")
            end = area.cursor_location
            await draft.press("ctrl+home")
            beginning = area.cursor_location
            await draft.press("ctrl+shift+end")
            everything = area.selected_text
            await draft.press("ctrl+home", "shift+pagedown")
            page = area.selected_text

        assert ((21, 0), (0, 0)) == (end, beginning)
        assert COVER == everything
        assert page.startswith("format = 2\n") and len(page) > 100


class TestTopLine:
    """The file, how it stands, and whether it is saved."""

    @played
    async def test_a_long_name_gives_way_to_whether_it_is_saved(self, cover: Path) -> None:
        """The steps go first, then what there is none of, then the end of the name."""
        told = []
        for columns in (120, 80, 60):
            long = cover.parent / str(columns) / "whinchat-pattern-c-head-after-the-second-winter.toml"
            long.parent.mkdir()
            long.write_bytes(cover.read_bytes())
            async with drafting(long, size=(columns, 24)) as draft:
                told.append(str(draft.screen.query_one("#top", Static).content))
                await draft.at(20)
                await draft.type(" #")
                told.append(str(draft.screen.query_one("#top", Static).content))

        assert [
            "whinchat-pattern-c-head-after-the-second-winter.toml · No errors, no queries · 4 steps · saved",
            "whinchat-pattern-c-head-after-the-second-winter.toml · No errors, no queries · 4 steps · not saved",
            "whinchat-pattern-c-head-after-the-second-winter.toml · No errors · saved",
            "whinchat-pattern-c-head-after-the-second-winter.toml · No errors · not saved",
            "whinchat-pattern-c-head-after-the-sec… · No errors · saved",
            "whinchat-pattern-c-head-after-the… · No errors · not saved",
        ] == told


class TestGoingThere:
    """What is told leads to its line."""

    @played
    async def test_enter_on_an_error_goes_to_its_line(self, cover: Path) -> None:
        """From the other side, to which F5 leads."""
        async with drafting(cover) as draft:
            await draft.at(20)
            await draft.press("backspace")
            await draft.at(1)
            await draft.press("f5", "1", "enter")
            line = draft.screen.sheet_text.cursor_location[0] + 1

        assert 20 == line

    @played
    async def test_enter_on_a_stage_goes_to_where_it_is_written(self, cover: Path) -> None:
        """The heading of a stage leads to its [[stage]]."""
        async with drafting(cover) as draft:
            await draft.press("f5", "enter")
            line = draft.screen.sheet_text.cursor_location[0]

        assert "[[stage]]" == COVER.splitlines()[line]

    @played
    async def test_the_next_error_is_one_key_away(self, cover: Path) -> None:
        """And says below the text what is wrong."""
        async with drafting(cover) as draft:
            await draft.at(20)
            await draft.press("backspace")
            await draft.at(1)
            await draft.press("f7")
            line, told = draft.screen.sheet_text.cursor_location[0] + 1, draft.told

        assert 20 == line
        assert told.startswith("Line 20: ")

    @played
    async def test_what_is_still_empty_is_typed_at_once(self, tmp_path: Path) -> None:
        """A new file is filled in from one empty key to the next."""
        path = tmp_path / "port-cover.toml"
        async with drafting(path, text=new_file(path.stem)) as draft:
            for typed in ("manual, page 12", "1 2 3 4", "Cover bolts", "9 N·m", "±1 N·m"):
                await draft.press("f7")
                await draft.paste(typed)
            told = draft.beside

        assert told.startswith("No errors, ")

    @played
    async def test_below_100_columns_one_side_is_shown_at_a_time(self, cover: Path) -> None:
        """And both from there on."""
        async with drafting(cover, size=(80, 24)) as draft:
            text = await draft.seen()
            await draft.press("f5")
            beside = await draft.seen()
        async with drafting(cover, size=(120, 36)) as draft:
            both = await draft.seen()

        assert "[[stage]]" in text and "Stage 1" not in text
        assert "[[stage]]" not in beside and "Stage 1" in beside
        assert "[[stage]]" in both and "Stage 1" in both


class TestKeys:
    """The text area keeps its own keys, and the program all others."""

    @played
    async def test_undo_and_redo(self, cover: Path) -> None:
        """Ctrl-Z does not stop the program here."""
        async with drafting(cover) as draft:
            await draft.at(2)
            await draft.type("x")
            typed = draft.text
            await draft.press("ctrl+z")
            undone = draft.text
            await draft.press("ctrl+y")

            assert COVER != typed
            assert COVER == undone
            assert typed == draft.text
            assert not draft.app._exit

    @played
    async def test_signs_typed_right_after_an_arrow_stand_where_it_led(self, cover: Path) -> None:
        """However quickly they come."""
        async with drafting(cover) as draft:
            for key, sign in (("down", None), ("down", None), ("end", None), ("x", "x"), ("up", None), ("y", "y")):
                draft.app.post_message(Key(key, sign))
            await draft.rested()
            await draft.pilot.pause()
            lines = draft.text.splitlines()

        assert ['title = "Valve ycover"', 'revision = "A"x'] == lines[1:3]

    @played
    async def test_everything_stands_in_the_list_of_all_actions(self, cover: Path) -> None:
        """By its name and its key."""
        async with drafting(cover) as draft:
            await draft.press("f2")
            seen = await draft.seen()

        for name in ("Save", "Save under another name", "Undo", "Leave", "Go to the next error or query"):
            assert name in seen

    @played
    async def test_f1_explains(self, cover: Path) -> None:
        """And Esc leads back to the text."""
        async with drafting(cover) as draft:
            await draft.press("f1")
            assert isinstance(draft.app.screen, Page)
            await draft.press("escape")
            assert not any(isinstance(each, Page) for each in draft.app.screen_stack)


class TestColours:
    """TOML in colours, as long as keys need not wait for them."""

    @played
    async def test_keys_strings_and_comments_have_their_own(self, cover: Path) -> None:
        """The toolkit's grammar of TOML is there, and gives each its own look."""
        async with drafting(cover) as draft:
            text = draft.screen.sheet_text
            names = {name for line in text._highlights.values() for _, _, name in line}
            looks = {text._theme.syntax_styles[name] for name in ("property", "string", "number")}

        assert {"property", "string", "number"} <= names
        assert 3 == len(looks)

    @played
    async def test_a_very_long_text_has_none(self, tmp_path: Path) -> None:
        """It is typed into as quickly as any other."""
        path = tmp_path / "long.toml"
        path.write_text(COVER + "# a line\n" * (MOST_COLOURED // 8), encoding="utf-8")
        async with drafting(path) as draft:
            text = draft.screen.sheet_text
            assert isinstance(text, SheetText)
            assert text.language is None
            await draft.type("#")
            assert draft.text.startswith("#format")
