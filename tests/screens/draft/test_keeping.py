"""Nothing typed into a draft is lost, and nothing that somebody else wrote: saving, leaving, and coming back."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_drafts import COVER, Draft, drafting, full_disk
from at_keyboard import played
from clampbook.book.drafting import copies
from clampbook.book.releases import Given, give, queries, releasing
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Accepted
from clampbook.screens.draft.asked import Asked
from sealing import START, Shop
from signers import PHRASE

TYPED = f"#{COVER}"
THEIRS = f"{COVER}# theirs\n"


async def typed_into(draft: Draft) -> None:
    """A sign at the beginning."""
    await draft.at(1, end=False)
    await draft.type("#")


class TestSaving:
    """F8."""

    @played
    async def test_it_is_saved_as_it_stands(self, cover: Path) -> None:
        """And the copy is gone, as nobody needs it."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            kept = copies.kept(cover)
            await draft.press("f8")
            told = draft.told

        assert kept is not None and TYPED == kept.text
        assert TYPED == cover.read_text(encoding="utf-8")
        assert "Saved." == told
        assert copies.kept(cover) is None

    @played
    async def test_a_draft_with_errors_is_saved_too(self, cover: Path) -> None:
        """Nobody has to finish it in one go."""
        async with drafting(cover) as draft:
            await draft.at(20)
            await draft.press("backspace", "f8")

        assert 'to = "9 N·m\n' in cover.read_text(encoding="utf-8")

    @played
    async def test_on_a_full_disk_it_is_told_and_saved_once_there_is_room(
        self, cover: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The text stays where it is, and the file what it was."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            with monkeypatch.context() as patch:
                full_disk(patch)
                await draft.press("f8")
                told, stands = draft.told, cover.read_text(encoding="utf-8")
            await draft.press("f8")

        assert "Disk full. Not saved. Free some space, then save again." == told
        assert COVER == stands
        assert TYPED == cover.read_text(encoding="utf-8")

    @played
    async def test_a_copy_without_room_is_told(self, cover: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """So that somebody saves often."""
        async with drafting(cover) as draft:
            with monkeypatch.context() as patch:
                full_disk(patch)
                await typed_into(draft)
                told = draft.told

        assert told.startswith("No copy could be saved, so save often. ")

    @played
    async def test_a_new_file_is_only_there_once_it_is_saved(self, tmp_path: Path) -> None:
        """It begins with the text that is handed in."""
        path = tmp_path / "new.toml"
        async with drafting(path, text=COVER) as draft:
            before = path.exists()
            await draft.press("f8")

        assert not before
        assert COVER == path.read_text(encoding="utf-8")


class TestChangedUnderneath:
    """Another program wrote the file while it was drafted."""

    @played
    async def test_nothing_is_saved_before_somebody_says_what(self, cover: Path) -> None:
        """Esc goes back to the text."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            cover.write_text(THEIRS, encoding="utf-8")
            await draft.press("f8")
            asked = await draft.seen()
            await draft.press("escape")

            assert "has changed on disk since it was opened here. Nothing saved." in " ".join(asked.split())
            assert THEIRS == cover.read_text(encoding="utf-8")
            assert TYPED == draft.text

    @played
    async def test_mine_is_saved_under_another_name(self, cover: Path) -> None:
        """Both are there then."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            cover.write_text(THEIRS, encoding="utf-8")
            await draft.press("f8", "1", "enter", "enter")
            await draft.rested()

        assert THEIRS == cover.read_text(encoding="utf-8")
        assert TYPED == (cover.parent / "cover-2.toml").read_text(encoding="utf-8")

    @played
    async def test_theirs_is_opened_and_mine_comes_back_with_undo(self, cover: Path) -> None:
        """Nothing of mine is lost by looking at theirs."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            cover.write_text(THEIRS, encoding="utf-8")
            await draft.press("f8", "2", "enter")
            theirs = draft.text
            await draft.press("ctrl+z")

            assert THEIRS == theirs
            assert TYPED == draft.text
            assert THEIRS == cover.read_text(encoding="utf-8")

    @played
    async def test_mine_goes_over_theirs_only_when_it_is_said_twice(self, cover: Path) -> None:
        """The second question says how much is lost."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            cover.write_text(THEIRS, encoding="utf-8")
            await draft.press("f8", "3", "enter")
            asked, before = await draft.seen(), cover.read_text(encoding="utf-8")
            await draft.press("2", "enter")

        assert "2 lines of theirs would be lost, such as “format = 2”." in asked
        assert THEIRS == before
        assert TYPED == cover.read_text(encoding="utf-8")

    @played
    async def test_a_file_that_was_removed_is_not_made_again_unasked(self, cover: Path) -> None:
        """Somebody may have moved it."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            cover.unlink()
            await draft.press("f8")
            asked, there = " ".join((await draft.seen()).split()), cover.exists()
            await draft.press("2", "enter")

        assert "is no longer there. Nothing saved." in asked
        assert not there
        assert TYPED == cover.read_text(encoding="utf-8")


class TestLeaving:
    """Esc."""

    @played
    async def test_an_untouched_draft_is_left_at_once(self, cover: Path) -> None:
        """Nothing is asked."""
        async with drafting(cover) as draft:
            await draft.press("escape")
            assert draft.app._exit

    @played
    async def test_what_is_not_saved_is_asked_about(self, cover: Path) -> None:
        """It is saved, then the program is left."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            await draft.press("escape")
            asked = isinstance(draft.app.screen, Asked)
            await draft.press("1", "enter")
            left = draft.app._exit

        assert asked and left
        assert TYPED == cover.read_text(encoding="utf-8")

    @played
    async def test_left_without_saving_there_is_no_copy(self, cover: Path) -> None:
        """Somebody said so."""
        async with drafting(cover) as draft:
            await typed_into(draft)
            await draft.press("escape", "2", "enter")

        assert COVER == cover.read_text(encoding="utf-8")
        assert copies.kept(cover) is None


class TestComingBack:
    """The program ended before anything was saved."""

    async def _stopped(self, cover: Path) -> None:
        async with drafting(cover) as draft:
            await typed_into(draft)
            await draft.press("ctrl+q")

    @played
    async def test_what_was_typed_is_offered(self, cover: Path) -> None:
        """And stands there, not saved yet."""
        await self._stopped(cover)
        async with drafting(cover) as draft:
            asked = await draft.seen()
            await draft.press("1", "enter")
            await draft.rested()
            text = draft.text

        assert "something was typed into cover.toml and not saved." in " ".join(asked.split())
        assert TYPED == text
        assert COVER == cover.read_text(encoding="utf-8")

    @played
    async def test_the_file_as_it_is_can_be_opened_instead(self, cover: Path) -> None:
        """Then the copy is gone."""
        await self._stopped(cover)
        async with drafting(cover) as draft:
            await draft.press("2", "enter")
            text = draft.text

        assert COVER == text
        assert copies.kept(cover) is None

    @played
    async def test_unanswered_it_is_offered_again(self, cover: Path) -> None:
        """Esc leaves: typing on would take its place."""
        await self._stopped(cover)
        async with drafting(cover) as draft:
            await draft.press("escape")
            left = draft.app._exit
        found = copies.kept(cover)

        assert left
        assert found is not None and TYPED == found.text

    @played
    async def test_it_never_goes_over_a_file_that_has_changed_since(self, cover: Path) -> None:
        """That is told with the offer, and saving asks first."""
        await self._stopped(cover)
        cover.write_text(THEIRS, encoding="utf-8")
        async with drafting(cover) as draft:
            offered = " ".join((await draft.seen()).split())
            await draft.press("1", "enter")
            await draft.rested()
            await draft.press("f8")
            asked = " ".join((await draft.seen()).split())

        assert "The file has changed since." in offered
        assert "has changed on disk" in asked
        assert THEIRS == cover.read_text(encoding="utf-8")


class TestPasting:
    """Anything can be in a clipboard."""

    @played
    async def test_a_text_of_several_lines_goes_in_as_it_is(self, cover: Path) -> None:
        """With the line ends of the file."""
        async with drafting(cover) as draft:
            await draft.at(1, end=False)
            await draft.paste("# one\r\n# two\r\n")
            text = draft.text

        assert f"# one\n# two\n{COVER}" == text

    @pytest.mark.parametrize("data", ["\x00\x01\x02\x7fELF", "a\x1b[2Jb", "a\u202eb", "x\u2028y"])
    @played
    async def test_what_does_not_show_stays_out_and_is_told(self, cover: Path, data: str) -> None:
        """A pasted binary changes nothing."""
        async with drafting(cover) as draft:
            await draft.paste(data)
            text, told = draft.text, draft.told

        assert COVER == text
        assert "a character that cannot be seen" in told and told.endswith("Nothing pasted.")

    @played
    async def test_ten_megabytes_stay_out_and_are_told(self, cover: Path) -> None:
        """No procedure is that long."""
        async with drafting(cover) as draft:
            await draft.paste("# a line of no use\n" * 550_000)
            text, told = draft.text, draft.told

        assert COVER == text
        assert "With this the text would be larger than 1 MB, too large for a procedure. Nothing pasted." == told

    @played
    async def test_half_a_megabyte_goes_in_and_comes_out_with_undo(self, cover: Path) -> None:
        """Without colours, and with all keys."""
        long = "# a line of no use\n" * 27_000
        async with drafting(cover) as draft:
            await draft.at(1, end=False)
            await draft.paste(long)
            pasted = draft.text
            await draft.press("ctrl+z")
            undone = draft.text

        assert long + COVER == pasted
        assert COVER == undone


class TestNextRevision:
    """A released revision is drafted as the next one."""

    @played
    async def test_the_next_revision_begins_and_its_changes_stand_beside_it(self, whinchat: Shop) -> None:
        """Nothing is saved before somebody does; leaving at once asks nothing and changes nothing."""
        path = whinchat.book.root / "procedures" / "cover.toml"
        found, _ = queries(whinchat.book, path)
        answers = tuple(Accepted(query=f"{each.code} {each.key}", because="looked at") for each in found.queries)
        given = Given(person=whinchat.maud, at=START, compared_with="Sheet 3", accepted=answers)
        give(whinchat.book, releasing(whinchat.book, path, given), PHRASE, Stamp(START, "+00:00", "maud"))
        released = path.read_bytes()
        async with drafting(path, whinchat.book) as draft:
            told, before = draft.told, draft.beside
            line = next(n for n, each in enumerate(draft.text.splitlines(), 1) if each.startswith("title = "))
            await draft.at(line)
            await draft.press("left")
            await draft.type(", port")
            beside = draft.beside.splitlines()
            await draft.press(*["ctrl+z"] * 3)
            await draft.press("escape")
            left = draft.app._exit
        not_saved = path.read_bytes()
        async with drafting(path, whinchat.book) as draft:
            await draft.press("f8")
            saved = draft.told
            await draft.press("f8")
            again = draft.told

        lists = "The lists have this draft now. Revision A is saved in procedures/.revisions."
        assert (f"Saved. {lists}", "Saved.") == (saved, again)
        assert [released] == [each.read_bytes() for each in path.parent.glob(".revisions/*.toml")]
        assert "Revision A is released. This is revision B, a draft. Nothing is saved yet." == told
        assert "Changes since" not in before
        assert "Changes since revision A" in beside
        assert "   title “Valve cover” → “Valve cover, port”" in beside
        assert left
        assert released == not_saved
