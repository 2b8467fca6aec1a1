"""`tools`: the tools of a book with their state, what is due, their labels, and pulls done outside the program."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pexpect
import pytest

from clampbook import cli
from clampbook.book import toolbox
from clampbook.book.book import TOOLS, Book

from . import saying
from .saying import Captured

OF_THE_SHOP = """\
[[tool]]
id = "w1"
name = "W1"
kind = "setting"
unit = "N·m"
range = ["4 N·m", "40 N·m"]
resolution = "0.5 N·m"
wound_down = true
calibrated_on = 2026-01-12
interval_months = 12
interval_pulls = 50

[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "lbf·ft"
range = ["20 lbf·ft", "100 lbf·ft"]
resolution = "0.5 lbf·ft"
calibration_due = 2026-02-01

[[tool]]
id = "w3"
name = "W3"
kind = "indicating"
unit = "N·m"
range = ["10 N·m", "100 N·m"]
resolution = "0.1 N·m"
calibrated_on = 2025-03-10
interval_months = 12
withdrawn_on = 2026-02-20
withdrawn_because = "dropped from the bench"

[[adapter]]
id = "a1"
name = "A1"
extension = "-30 mm"
offset = "45°"
"""


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """A book with one tool that is fit, one past its calibration, one withdrawn; it is the 2nd of March 2026."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z")
    made = Book.create(tmp_path / "book", "Harbour museum")
    made.path(TOOLS).write_text(OF_THE_SHOP, encoding="utf-8")
    return made


def said(capsys: Captured, book: Book, *arguments: str) -> tuple[int, str, str]:
    """Exit status, output and talk of `tools` with these arguments."""
    return saying.said(capsys, "tools", "--book", str(book.root), *arguments)


def test_each_tool_stands_with_its_state_and_why(capsys: Captured, book: Book) -> None:
    """Ready, overdue, out of service, each in words; adapters below. Something needs a look: status 1."""
    expected = (
        "W1     setting     4.0–40.0 N·m    ready\n"
        "W2     setting     20–100 lbf·ft   calibration overdue since 2026-02-01\n"
        "W3     indicating  10–100 N·m      out of service since 2026-02-20: dropped from the bench\n"
        "A1     adapter     30 mm shorter, at 45°\n"
    )

    assert (1, expected, "") == said(capsys, book)


def test_a_long_name_moves_the_columns_of_all(capsys: Captured, book: Book) -> None:
    """Kinds stand below each other, whatever tools are called."""
    path = book.path(TOOLS)
    path.write_text(path.read_text(encoding="utf-8").replace('name = "W2"', 'name = "Slipway 750"'), encoding="utf-8")

    lines = said(capsys, book)[1].splitlines()

    assert ["W1          setting", "Slipway 750 setting", "W3          indicating", "A1          adapter"] == [
        line[: 12 + len(line[12:].split()[0])] for line in lines
    ]


def test_what_is_due_until_the_end_of_the_month(capsys: Captured, book: Book) -> None:
    """W2 is past; W3 falls due on the 10th, but it is withdrawn and rests."""
    assert "W2: calibration overdue since 2026-02-01\n" == said(capsys, book, "--due")[1]


def test_labels_are_one_line_a_tool(capsys: Captured, book: Book) -> None:
    """Name, reach, until when, how far to wind down; a withdrawn one says so before anything else."""
    expected = (
        "W1 4.0–40.0 N·m  calibration due 2027-01-12  wind down to 4\n"
        "W2 20–100 lbf·ft  calibration due 2026-02-01\n"
        "W3 OUT OF SERVICE since 2026-02-20: dropped from the bench\n"
    )

    assert expected == said(capsys, book, "--labels")[1]


def test_pulls_done_elsewhere_count_towards_the_interval(capsys: Captured, book: Book) -> None:
    """Fifty pulls are allowed: after forty more there are ten left, after another ten its calibration is past."""
    assert (0, "W1: 40 pulls since its calibration.\n", "") == said(
        capsys, book, "--add-pulls", "W1", "40", "--as", "Ines"
    )
    assert "W1     setting     4.0–40.0 N·m    ready" in said(capsys, book)[1]

    said(capsys, book, "--add-pulls", "w1", "10", "--as", "Ines")

    told = "calibration overdue: 50 pulls, 50 allowed"
    assert told in said(capsys, book)[1]
    assert "W1: calibration overdue: 50 pulls, 50 allowed" in said(capsys, book, "--due")[1]


def test_one_object_for_scripts(capsys: Captured, book: Book) -> None:
    """Each tool with its state, the adapters, and what is due."""
    found = json.loads(said(capsys, book, "--json")[1])

    assert [("w1", "fit"), ("w2", "calibration past"), ("w3", "withdrawn")] == [
        (tool["id"], tool["state"]) for tool in found["tools"]
    ]
    assert {"value": 40.0, "unit": "N·m"} == found["tools"][0]["maximum"]
    assert [{"tool": "w2", "what": "calibration overdue since 2026-02-01", "on": "2026-02-01", "past": True}] == found[
        "due"
    ]
    assert -30.0 == found["adapters"][0]["extension"]["value"]


def test_all_faults_of_the_file_are_told(capsys: Captured, book: Book) -> None:
    """Status 2 and every fault with its line."""
    broken = OF_THE_SHOP.replace('"0.5 N·m"', '"0.5"').replace('"45°"', '"45 mm"')
    book.path(TOOLS).write_text(broken, encoding="utf-8")

    status, out, talk = said(capsys, book)

    assert (2, "") == (status, out)
    assert "tools.toml line 7, E201" in talk
    assert "tools.toml line 38, E201" in talk


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--add-pulls", "W9", "40", "--as", "Ines"), "Its tools: W1, W2, W3."),
        (("--add-pulls", "W1", "forty", "--as", "Ines"), "“forty” is not a number of pulls"),
        (("--add-pulls", "W1", "0", "--as", "Ines"), "0 is not a number of pulls"),
        (("--add-pulls", "W1", "40"), "--as PERSON"),
    ],
)
def test_pulls_that_cannot_be_entered(capsys: Captured, book: Book, arguments: tuple[str, ...], sentence: str) -> None:
    """Status 2, a sentence, and nothing counted."""
    status, _, talk = said(capsys, book, *arguments)

    assert 2 == status
    assert sentence in talk
    assert 0 == toolbox.stock(book).use("w1").pulls


def run(book: Book, *arguments: str) -> int:
    """The exit status alone."""
    return cli.status(["tools", "--book", str(book.root), *arguments])


class TestAChangedSerialNumber:
    """Under an id that is known: it is told, and answered by a flag or at the terminal."""

    @pytest.fixture
    def changed(self, book: Book) -> Book:
        """W1 was used as HM-1, and is HM-2 in the file now."""
        text = book.path(TOOLS).read_text(encoding="utf-8")
        book.path(TOOLS).write_text(text.replace('id = "w1"', 'id = "w1"\nserial = "HM-1"'), encoding="utf-8")
        run(book, "--add-pulls", "W1", "40", "--as", "Ines")
        book.path(TOOLS).write_text(text.replace('id = "w1"', 'id = "w1"\nserial = "HM-2"'), encoding="utf-8")
        return book

    def test_the_list_asks_for_it(self, changed: Book, capsys: Captured) -> None:
        """Status 1, and what it knows is of both until somebody says."""
        capsys.readouterr()
        status = run(changed)

        (line,) = [line for line in capsys.readouterr().out.splitlines() if line.startswith("W1 ")]
        assert 1 == status
        assert "serial number was HM-1, is it the same tool?" in line and "40 pulls" in line

    def test_scripts_read_the_number_it_had(self, changed: Book, capsys: Captured) -> None:
        """None where nothing is to be asked."""
        capsys.readouterr()
        run(changed, "--json")

        tools = json.loads(capsys.readouterr().out)["tools"]
        assert ["HM-1", None, None] == [tool["serial_was"] for tool in tools]

    @pytest.mark.parametrize(("flag", "pulls"), [("--another", 0), ("--same", 40)])
    def test_a_flag_answers(self, changed: Book, flag: str, pulls: int) -> None:
        """By name, and once: a second time there is nothing to be said."""
        assert 0 == run(changed, flag, "W1", "--as", "Ines")
        assert pulls == toolbox.stock(changed).use("w1").pulls
        assert 2 == run(changed, flag, "W1", "--as", "Ines")
        last = json.loads(changed.log_lines()[-1])
        assert ("tool_told_apart", "w1", "HM-1", "HM-2", "ines", "Ines") == tuple(
            last[key] for key in ("event", "tool", "serial_was", "serial", "by", "name")
        )

    @pytest.mark.parametrize("more", [("--another", "W1"), ("--same", "W1", "--another", "W1", "--as", "Ines")])
    def test_nobody_or_both_is_no_answer(self, changed: Book, more: tuple[str, ...]) -> None:
        """Nothing is written then."""
        before = changed.log_lines()
        assert 2 == run(changed, *more)
        assert before == changed.log_lines()

    def test_a_name_that_nobody_has_is_refused(self, changed: Book) -> None:
        """Who says it is somebody of the book."""
        assert 2 == run(changed, "--another", "W1", "--as", "Inez")

    def test_at_a_terminal_it_is_asked(self, changed: Book) -> None:
        """The question, its two answers, and what follows; the next time it is not asked."""
        arguments = ["-m", "clampbook.cli", "tools", "--book", str(changed.root)]
        program = pexpect.spawn(sys.executable, arguments, encoding="utf-8", dimensions=(24, 100), timeout=30)
        program.expect_exact("W1 had serial HM-1, now HM-2. Is it the same tool?")
        program.expect_exact("2 the same tool (the number was mistyped)")
        program.sendline("1")
        program.expect_exact("Another tool. Its past starts here.")
        program.expect(pexpect.EOF)
        program.close()

        assert 0 == toolbox.stock(changed).use("w1").pulls
        again = pexpect.spawn(sys.executable, arguments, encoding="utf-8", dimensions=(24, 100), timeout=30)
        again.expect(pexpect.EOF)
        assert "Is it the same tool" not in str(again.before)
        again.close()


def test_labels_are_printed_into_a_file(capsys: Captured, book: Book, tmp_path: Path) -> None:
    """Only there: --into alone says nothing about what."""
    into = tmp_path / "labels.pdf"

    assert f"Labels: {into}\n" == said(capsys, book, "--labels", "--into", str(into))[1]
    assert into.read_bytes().startswith(b"%PDF")
    assert "--into goes with --labels." in said(capsys, book, "--into", str(into))[2]
