"""Words said of a new book: each question, what it takes, and the way back."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.new_book import make
from clampbook.screens.new_book.asking import gathered, question
from clampbook.screens.new_book.said import MeasuresIn, Named, PrintsOn, Said, Sure, ToolItem, Where, Works

TO_THE_TOOLS = ("", "Harbour museum", "Ines", "Jonas", "", "letter", "lbf·ft")
W2 = ("W2", "setting", "lbf·ft", "20", "100", "0.5", "2027-03-02")
W5 = ("W5", "indicating", "N·m", "4", "40", "0.1", "")


def after(said: Said, *answers: str) -> Said:
    """All of these were said, one after the other."""
    for answer in answers:
        next_one = said.answered(answer)
        assert isinstance(next_one, Said), next_one
        said = next_one
    return said


@pytest.fixture
def said(tmp_path: Path) -> Said:
    """Nothing was said yet."""
    return Said(tmp_path / "data" / "clampbook")


def test_all_that_was_said_is_in_the_book(said: Said) -> None:
    """Two tools, of which one has no day on which its calibration is due."""
    book = make(said.folder, after(said, *TO_THE_TOOLS, *W2, *W5).new_book)

    assert ("Harbour museum", "letter", "lbf·ft") == (book.name, book.paper(), book.unit())
    assert ["Ines", "Jonas"] == [person.name for person in book.people()]
    told = [(tool.name, tool.kind, tool.unit, str(tool.maximum), tool.calibration_due) for tool in book.tools()]
    assert ("W2", "setting", "lbf·ft", "100", "2027-03-02") == (*told[0][:4], str(told[0][4]))
    assert ("W5", "indicating", "N·m", "40", None) == told[1]


def test_everything_can_come_later(said: Said) -> None:
    """Enter at each question makes a book, too."""
    said = after(said, "", "", "", "", "", "")

    assert Sure() == said.asked
    book = make(said.folder, said.new_book)
    assert ("My workshop", "a4", None, (), ()) == (book.name, book.paper(), book.unit(), book.people(), book.tools())
    assert {"folder": str(said.usual), "people": "later", "tool 1": "later"}.items() <= dict(gathered(said)).items()


def test_the_questions_come_in_this_order(said: Said) -> None:
    """Folder, name, people until nobody else works there, paper, unit, two tools."""
    asked = [said.asked]
    for answer in (*TO_THE_TOOLS, *W2, ""):
        said = after(said, answer)
        asked.append(said.asked)

    of_a_tool = ("name", "kind", "unit", "range 0", "range 1", "resolution", "calibration_due")
    assert asked == [
        *(Where(), Named(), Works(0), Works(1), Works(2), PrintsOn(), MeasuresIn()),
        *(ToolItem(1, item) for item in of_a_tool),
        *(ToolItem(2, "name"), Sure()),
    ]


def test_going_back_gives_each_answer_again(said: Said) -> None:
    """All the way back, and forward again by Enter alone."""
    there = after(said, *TO_THE_TOOLS, *W2)
    before, first = [], there
    while (back := first.back()) is not None:
        before.append(back.before)
        first = back

    assert [*TO_THE_TOOLS, *W2] == before[::-1]
    again = first
    while again.ahead:
        again = after(again, again.before)
    assert there.new_book == again.new_book


def test_one_answer_can_be_changed_and_the_others_stay(said: Said) -> None:
    """The second person was mistyped."""
    back = after(said, "", "Harbour museum", "Ines", "Jonsa", "", "letter")
    for _ in range(3):
        one_before = back.back()
        assert one_before is not None
        back = one_before
    assert ("Jonsa", Works(1)) == (back.before, back.asked)

    again = after(back, "Jonas")

    assert ("Ines", "Jonas") == again.people
    assert "letter" == after(again, "").before


@pytest.mark.parametrize(
    ("answers", "wrong", "told"),
    [
        ((), "{full}", "is not empty"),
        ((), "{full}/letter.txt", "is a file"),
        ((), "{full}/letter.txt/below", "is a file"),
        (("",), "x" * 81, "81 characters"),
        (("", ""), "+\u200b", "cannot be seen"),
        (("", "", "Ines"), "INES", "Name each person once"),
        (TO_THE_TOOLS, "--", "no letter or digit"),
        ((*TO_THE_TOOLS, *W2), "w2", "already has the"),
        ((*TO_THE_TOOLS, *W2[:3]), "", "This is needed"),
        ((*TO_THE_TOOLS, *W2[:3]), "twenty", "twenty"),
        ((*TO_THE_TOOLS, *W2[:3]), "-5", "does not rise from 0"),
        ((*TO_THE_TOOLS, *W2[:3]), "20 mm", "torque"),
        ((*TO_THE_TOOLS, *W2[:4]), "10", "does not rise"),
        ((*TO_THE_TOOLS, *W2[:4]), "100 N·m", "N·m"),
        ((*TO_THE_TOOLS, *W2[:5]), "0", "not above 0"),
        ((*TO_THE_TOOLS, *W2[:6]), "March", "2026-03-02"),
    ],
)
def test_what_cannot_be_is_refused_at_once(
    tmp_path: Path, said: Said, answers: tuple[str, ...], wrong: str, told: str
) -> None:
    """At its own question, where it can be typed again."""
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("Dear Maud")

    refused = after(said, *answers).answered(wrong.format(full=tmp_path / "full"))

    assert isinstance(refused, str)
    assert told in refused
    assert refused.endswith(".")


def test_a_folder_is_taken_from_where_the_program_was_started(
    tmp_path: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And ~ is the home folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))

    assert tmp_path / "boats" == after(said, "boats").folder
    assert tmp_path / "home" / "boats" == after(said, "~/boats").folder


def test_nothing_is_written_by_asking(tmp_path: Path, said: Said) -> None:
    """Not even the folder."""
    after(said, str(tmp_path / "boats"), *TO_THE_TOOLS[1:], *W2, *W5)

    assert [] == list(tmp_path.iterdir())


def test_a_book_is_not_made_over_another(said: Said) -> None:
    """The folder of a book is refused as soon as it is typed."""
    Book.create(said.usual, "Boats")

    refused = said.answered("")

    assert isinstance(refused, str)
    assert "is not empty" in refused


@pytest.mark.parametrize("answers", [(), TO_THE_TOOLS, (*TO_THE_TOOLS, *W2, *W5)])
def test_every_question_is_one_sentence(said: Said, answers: tuple[str, ...]) -> None:
    """It ends like one."""
    assert question(after(said, *answers)).text.endswith((".", "?"))
