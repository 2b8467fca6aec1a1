"""A new procedure by questions on the screen: by keys alone, each answer gone back to, and a file that is walked."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from at_keyboard import Keyboard, Time, at_the_bench, played, seen
from at_looks import SIZES, Look, compared, in_utc
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.procedure.guided.talk import Talk
from clampbook.procedure.library import Sample
from clampbook.procedure.reader import read_file
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.bench import Bench
from clampbook.screens.draft.screen import Drafting
from clampbook.screens.guided import GuidedStart
from clampbook.screens.help_page import HelpPage
from clampbook.screens.page import Page
from museum import museum

NEW = "Start a new procedure"
JOINT = ("Coupling flange", "Coupling bolts", "12", "1")
FASTENERS = ("M12", "8.8", "dry", "0.16, 0.22")
TORQUE = ("70 Nm", "1", "+-5%")
FLANGE = (*JOINT, *FASTENERS, *TORQUE, "", "1", "", "", "", "", "", "Manual 3", "")


@asynccontextmanager
async def asking(folder: Path, *lines: str) -> AsyncIterator[Keyboard]:
    """The questions, opened from the bench of the demo book, after these answers."""
    async with at_the_bench(museum(folder)) as keyboard:
        await opened(keyboard, *lines)
        yield keyboard


async def opened(keyboard: Keyboard, *lines: str) -> None:
    """The same on a screen that shows the bench."""
    await rested(keyboard)
    await choose(keyboard, NEW)
    await typed(keyboard, *lines)


async def typed(keyboard: Keyboard, *lines: str) -> None:
    """Each line with its Enter, in the field as it stands then."""
    for line in lines:
        await keyboard.type(line)
    await keyboard.drawn()


def screen(keyboard: Keyboard) -> GuidedStart:
    """The questions on the screen."""
    assert isinstance(keyboard.app.screen, GuidedStart), keyboard.app.screen
    return keyboard.app.screen


@played
async def test_a_flange_of_twelve_bolts_in_three_rounds_is_a_file_after_91_keys(tmp_path: Path) -> None:
    """Its values are typed, all else is one key a question; the file is read, and opened."""
    async with asking(tmp_path / "book") as keyboard:
        keyboard.pressed.clear()
        await typed(keyboard, *FLANGE, "")
        pressed, page = len(keyboard.pressed), keyboard.app.screen

    assert isinstance(page, Drafting)
    assert "coupling-flange.toml" == page.path.name
    assert 91 == pressed
    procedure, _ = read_file(tmp_path / "book" / "procedures" / "coupling-flange.toml")
    assert ("1", "7", "4", "10") == procedure.groups[0].order[:4]
    assert 3 == len(procedure.stages)


@played
async def test_the_new_procedure_stands_on_the_bench(tmp_path: Path) -> None:
    """It is a draft like any other."""
    async with asking(tmp_path / "book", *FLANGE, "") as keyboard:
        await keyboard.press("escape")
        await rested(keyboard)
        at_the_end = keyboard.app.screen

        assert isinstance(at_the_end, Bench)
        assert "Coupling flange · revision A, draft" in [choice.text for choice in at_the_end.part.choices]


@played
async def test_the_joint_is_drawn_as_it_is_answered(tmp_path: Path) -> None:
    """Nothing, then a row of twelve, then a circle, and the first of the order stands out."""
    drawings = []
    async with asking(tmp_path / "book", *JOINT[:2]) as keyboard:
        for lines in ((), ("12",), ("1",), (*FASTENERS, *TORQUE, "", "1")):
            await typed(keyboard, *lines)
            drawings.append(seen(keyboard))

    assert "you stand here" not in drawings[0]
    assert "·1  ·2  ·3" in drawings[1]
    assert "·1  ·2  ·3" not in drawings[2]
    assert "┃1┃" in drawings[3]
    assert "╎7╎" in drawings[3]
    assert "1 7 4 10 2 8 5 11 3 9 6 12" in drawings[3]


@pytest.mark.parametrize("key", ["escape", "backspace", "up"])
@played
async def test_every_key_that_leads_back_shows_what_was_answered(tmp_path: Path, key: str) -> None:
    """On an empty field one question back; the answer stands there, to be saved again or replaced."""
    async with asking(tmp_path / "book", *JOINT, "M12") as keyboard:
        await keyboard.press(key)
        back = screen(keyboard).part.name, screen(keyboard).field
        await keyboard.type("M14")
        answers = screen(keyboard).talk.answers

    assert ("thread", "M12") == back
    assert ("M14", "12") == (answers.thread, answers.count)


@played
async def test_a_field_that_was_emptied_leaves_its_answer_out(tmp_path: Path) -> None:
    """Backspace on a reversed field edits it; empty, it leaves the answer out."""
    async with asking(tmp_path / "book", *JOINT, "M12") as keyboard:
        await keyboard.press("escape", "backspace", "backspace", "backspace", "enter")
        answers = screen(keyboard).talk.answers

    assert answers.thread is None


@played
async def test_backspace_that_erases_stops_at_the_empty_field(tmp_path: Path) -> None:
    """However long it is held, the answer before stays whole; after a moment it leads back, once."""
    async with asking(tmp_path / "book", *JOINT, "M12") as keyboard:
        question = screen(keyboard).part.name
        await keyboard.type("12", enter=False)
        await keyboard.press(*["backspace"] * 9, apart=0.05)
        held = screen(keyboard).part.name, screen(keyboard).field
        await keyboard.press("backspace", apart=2)
        await keyboard.press(*["backspace"] * 5, apart=0.05)
        back = screen(keyboard).part.name, screen(keyboard).field

    assert (question, "") == held
    assert ("thread", "M12") == back


@played
async def test_what_the_reader_refuses_is_told_and_stays_in_the_field(tmp_path: Path) -> None:
    """A torque without a unit: the reader's sentence, and what was typed, to be mended."""
    async with asking(tmp_path / "book", *JOINT, *FASTENERS) as keyboard:
        await keyboard.type("70")
        told, field = screen(keyboard).notice, screen(keyboard).field
        await keyboard.press("right")
        await keyboard.type(" Nm")
        answers = screen(keyboard).talk.answers

    assert ("“70” needs its unit, such as 70 N·m.", "70") == (told, field)
    assert "70 Nm" == answers.target


@played
async def test_end_leaves_out_the_rest_and_says_what_a_walk_needs(tmp_path: Path) -> None:
    """The file is saved all the same, with comments, and what it lacks is shown."""
    async with asking(tmp_path / "book", *JOINT) as keyboard:
        await keyboard.press("end")
        await keyboard.drawn()
        told = seen(keyboard)
        await keyboard.press("enter")
        await keyboard.drawn()
        page = keyboard.app.screen

    assert "Left out, and needed" in told
    assert isinstance(page, Drafting)
    assert "coupling-flange.toml" == page.path.name


@played
async def test_nothing_is_saved_where_somebody_leaves(tmp_path: Path) -> None:
    """At the first question Esc asks once more; at the last one the answers can be discarded."""
    async with asking(tmp_path / "book", "Cover") as keyboard:
        before = set((tmp_path / "book" / "procedures").iterdir())
        await keyboard.press("escape", "escape")
        asked = screen(keyboard).notice
        await keyboard.press("escape")
        left = keyboard.app.screen
        await opened(keyboard, "Cover")
        await keyboard.press("end", "2", "enter")
        discarded = keyboard.app.screen

    assert "Nothing is saved yet. Press Esc again to discard." == asked
    assert isinstance(left, Bench)
    assert isinstance(discarded, Bench)
    assert before == set((tmp_path / "book" / "procedures").iterdir())


@played
async def test_a_title_that_is_taken_gets_a_file_of_its_own(tmp_path: Path) -> None:
    """No procedure of the book is overwritten."""
    async with asking(tmp_path / "book", *FLANGE, "") as keyboard:
        await keyboard.press("escape")
        await opened(keyboard, "Coupling flange")
        await keyboard.press("end")
        told = screen(keyboard).part.text

    assert "Save to procedures/coupling-flange-2.toml?" == told


@played
async def test_a_sample_of_the_library_is_a_start(tmp_path: Path) -> None:
    """Chosen in place of a title, it is a draft of the book, which says that its values are invented."""
    async with asking(tmp_path / "book", "1") as keyboard:
        await choose(keyboard, "Trailer wheel")
        page = keyboard.app.screen

    assert isinstance(page, Drafting)
    assert "trailer-hub.toml" == page.path.name
    procedure, _ = read_file(tmp_path / "book" / "procedures" / "trailer-hub.toml")
    assert "invented" in (procedure.source or "")


@played
async def test_esc_leads_from_the_samples_back_to_the_questions(tmp_path: Path) -> None:
    """And nothing is written."""
    async with asking(tmp_path / "book", "1") as keyboard:
        await keyboard.press("escape")
        name = screen(keyboard).part.name

    assert "title" == name
    assert not (tmp_path / "book" / "procedures" / "trailer-hub.toml").exists()


@played
async def test_help_says_where_an_answer_stands_in_the_file(tmp_path: Path) -> None:
    """In the words of the reference, in one line below the question itself."""
    async with asking(tmp_path / "book", *JOINT) as keyboard:
        await keyboard.press("f1")
        page = keyboard.app.screen

    assert isinstance(page, HelpPage)
    assert ("# This question", "Which thread? Such as M12, M10x1.25 or 3/8-16 UNC.") == tuple(page.lines_shown[:2])
    assert page.lines_shown[2].startswith("In the file under thread, below [[group]]:")


@played
async def test_help_lists_what_can_be_chosen_and_nothing_of_the_file_s_language(tmp_path: Path) -> None:
    """Each choice with its number, and the key alone."""
    async with asking(tmp_path / "book", *JOINT, *FASTENERS, *TORQUE, "", "1", "") as keyboard:
        await keyboard.press("f1")
        page = keyboard.app.screen

    assert isinstance(page, HelpPage)
    assert ("Recheck them?", "1  once over, at the last torque", "2  until none moves, 4 rounds at most") == tuple(
        page.lines_shown[1:4]
    )
    assert not [line for line in page.lines_shown if " = " in line]


@played
async def test_help_shows_how_several_rounds_are_typed(tmp_path: Path) -> None:
    """With commas, with slashes, as shares."""
    async with asking(tmp_path / "book", *JOINT, *FASTENERS, "70 Nm") as keyboard:
        await keyboard.press("f1")
        page = keyboard.app.screen

    assert isinstance(page, HelpPage)
    examples = [line for line in page.lines_shown if line.startswith("Such as:")]
    assert ["Such as: 10, 18, 24 N·m", "Such as: 10/18/24 N·m", "Such as: 30, 60, 100 %"] == examples


@pytest.mark.parametrize("line", ["24 N·m ±8%", "4%", "-5", "3/8", "1+"])
@played
async def test_a_line_that_is_no_choice_is_refused_whole_and_enter_leaves_it_out(tmp_path: Path, line: str) -> None:
    """No part of it is taken for another choice, and nothing of it stays in the field."""
    async with asking(tmp_path / "book", *JOINT[:3]) as keyboard:
        await keyboard.type(line)
        told, name, field = screen(keyboard).notice, screen(keyboard).part.name, screen(keyboard).field
        await keyboard.press("enter")
        after = screen(keyboard).talk

    assert (f"“{line}” is not a choice. Choose 1 to 5, or press Enter to leave it.", "placed", "") == (
        told,
        name,
        field,
    )
    assert after.answers.placed is None
    assert after.question is not None and "thread" == after.question.name


@played
async def test_after_a_refused_choice_enter_leaves_the_answer_that_was_there(tmp_path: Path) -> None:
    """Gone back to: the circle stands in the field again."""
    async with asking(tmp_path / "book", *JOINT) as keyboard:
        await keyboard.press("escape")
        await keyboard.type("9")
        await keyboard.press("enter")
        answers = screen(keyboard).talk.answers

    assert "circle" == answers.placed


@played
async def test_a_thread_and_a_class_that_no_table_has_are_told_at_once(tmp_path: Path) -> None:
    """Both are taken: a class of the manual's own may be right."""
    told = []
    async with asking(tmp_path / "book", *JOINT) as keyboard:
        for line in ("abc", "xyz"):
            await keyboard.type(line)
            told.append(screen(keyboard).notice)
        answers = screen(keyboard).talk.answers

    assert told[0].startswith("“abc” is not a thread known here.")
    assert told[1].startswith("“xyz” is not a class of ISO 898-1")
    assert ("abc", "xyz") == (answers.thread, answers.property_class)


@played
async def test_answers_of_a_program_that_ended_are_offered(tmp_path: Path) -> None:
    """The same question with all before it; nothing is in the book until the last one."""
    async with asking(tmp_path / "book", *JOINT, "M12") as keyboard:
        await keyboard.drawn()
    async with at_the_bench(Book.open(tmp_path / "book")) as keyboard:
        await opened(keyboard)
        asked = seen(keyboard)
        await typed(keyboard, "1")
        talk = screen(keyboard).talk

    assert "Answers about “Coupling flange” of" in asked
    assert ("M12", "property_class") == (talk.answers.thread, talk.question and talk.question.name)
    assert not (tmp_path / "book" / "procedures" / "coupling-flange.toml").exists()


@pytest.mark.parametrize("lines", [("2",), ("1", "", "", "", "", "", "", "1")])
@played
async def test_answers_that_nobody_wants_are_offered_once(tmp_path: Path, lines: tuple[str, ...]) -> None:
    """Discarded, or gone on with and then discarded."""
    async with asking(tmp_path / "book", "Cover"):
        pass
    async with at_the_bench(Book.open(tmp_path / "book")) as keyboard:
        await opened(keyboard, lines[0])
        if lines[1:]:
            await keyboard.press("end", "2", "enter")
        else:
            await keyboard.press("escape")
        await opened(keyboard)
        talk = screen(keyboard).talk

    assert Talk() == talk


@played
async def test_esc_at_the_offer_leaves_the_answers_where_they_are(tmp_path: Path) -> None:
    """They are offered again."""
    async with asking(tmp_path / "book", "Cover"):
        pass
    async with at_the_bench(Book.open(tmp_path / "book")) as keyboard:
        await opened(keyboard)
        await keyboard.press("escape")
        await keyboard.drawn()
        left = keyboard.app.screen
        await opened(keyboard)
        asked = seen(keyboard)

    assert isinstance(left, Bench)
    assert "Answers about “Cover” of" in asked


@played
async def test_the_joint_is_told_in_words_too(tmp_path: Path) -> None:
    """F2 has it, for who does not see it drawn, and for a narrow screen."""
    async with asking(tmp_path / "book", *JOINT) as keyboard:
        await keyboard.press("f2")
        await keyboard.type("in words")
        await keyboard.drawn()
        page = keyboard.app.screen

    assert isinstance(page, Page)
    assert "12" in " ".join(page.lines_shown)


async def first(keyboard: Keyboard) -> None:
    """The first question, half answered."""
    await opened(keyboard)
    await keyboard.type("Coupling fl", enter=False)


async def placed(keyboard: Keyboard) -> None:
    """How do they stand?"""
    await opened(keyboard, *JOINT[:3])


async def refused(keyboard: Keyboard) -> None:
    """A torque without a unit."""
    await opened(keyboard, *JOINT, *FASTENERS, "70")


async def ordered(keyboard: Keyboard) -> None:
    """The order was chosen; the inspection is asked for."""
    await opened(keyboard, *JOINT, *FASTENERS, *TORQUE, "", "1", "10 min", "2")


async def at_the_end(keyboard: Keyboard) -> None:
    """All is answered; the review has nothing to ask."""
    await opened(keyboard, *FLANGE)


async def sampled(keyboard: Keyboard) -> None:
    """Which sample is nearest?"""
    await opened(keyboard, "1")


LOOKS = {
    "sampled": Look(sampled, ("Which sample is nearest?", "2 Trailer wheel, port hub")),
    "first": Look(first, ("Which joint is this?", "Coupling fl")),
    "placed": Look(placed, ("How do they stand?", "1 in a circle, clockwise from the top")),
    "refused": Look(refused, ("“70” needs its unit, such as 70 N·m.",)),
    "ordered": Look(ordered, ("What is inspected at the end?", "until none moves")),
    "end": Look(at_the_end, ("Save to procedures/coupling-flange.toml?", "Review: no errors, no queries.")),
}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """The demo book, in a place whose clocks show UTC, and a library of two, however it grows."""
    shelf = (
        Sample("flange", "Coupling flange", "shares of a target, rechecked until nothing moves", tmp_path),
        Sample("hub", "Trailer wheel, port hub", "a left-hand thread", tmp_path),
    )
    with in_utc() as patch:
        patch.setattr("clampbook.screens.samples.samples", lambda: shelf)
        yield museum(tmp_path / "book")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", LOOKS)
def test_questions_look_as_approved(
    snap_compare: Callable[..., bool], book: Book, time: Time, name: str, size: tuple[int, int]
) -> None:
    """The question stands first, answers and joint below it, and the field and the keys are never pushed off."""
    app = Clampbook(lambda app: bench(app, book, time))

    alike, words = compared(snap_compare, app, time, size, LOOKS[name].scene)

    assert [] == [each for each in LOOKS[name].words if each not in words], words
    assert alike
