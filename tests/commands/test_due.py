"""`due`: the one list of what is due in a book, and a follow-up that was done elsewhere."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from clampbook.book.book import Book
from museum import log_of, museum

from . import saying
from .saying import Captured

GOLDEN = Path(__file__).resolve().parent.parent / "golden"
HEAD = "20260302-whinchat-pattern-c-head-uqatvlzp"
LOOK = "Look at the head after the first run"
DONE_THERE = ("--as", "Ines", "--reason", "done on the slip on 14 March")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """The demo book with a head that was closed on 2 March; it is 20 March."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-20T09:00:00+01:00")
    book = museum(tmp_path / "book")
    shutil.copytree(GOLDEN / "head", book.path("runs", HEAD))
    return book


def due(capsys: Captured, book: Book, *words: str) -> tuple[int, str, str]:
    """What the command says."""
    return saying.said(capsys, "due", "--book", str(book.root), *words)


def test_follow_ups_and_tools_stand_in_one_list(book: Book, capsys: Captured) -> None:
    """What is over longest stands first, and there is something to look at."""
    status, out, talk = due(capsys, book)

    assert (1, "") == (status, talk)
    assert [
        "W7: calibration overdue since 2026-02-01",
        f"{LOOK} · Cylinder head, pattern C · Whinchat · 4107, done 2026-03-02 "
        "· due since 2026-03-16 or after 10 h of use, at 422 h",
        f"    {HEAD} · Ines",
    ] == out.splitlines()


def test_the_same_by_equipment_stands_under_its_names(book: Book, capsys: Captured) -> None:
    """A tool is no equipment that is worked on."""
    _, out, _ = due(capsys, book, "--by", "equipment")

    assert ["4107:", "No equipment:"] == [each for each in out.splitlines() if each.endswith(":")]


def test_as_json_it_holds_codes_and_quantities(book: Book, capsys: Captured) -> None:
    """Scripts read stable values, never texts."""
    status, out, _ = due(capsys, book, "--json")
    tool, head = json.loads(out)["due"]

    assert 1 == status
    assert ("calibration", "w7", "2026-02-01", True) == (tool["what"], tool["tool"], tool["on"], tool["past"])
    assert ("follow_up", HEAD, LOOK) == (head["what"], head["run"], head["follow_up"])
    assert ({"value": 10.0, "unit": "h"}, {"value": 422.0, "unit": "h"}) == (head["or_use"], head["due_at_use"])
    assert ("4107", None, "Ines", None) == (head["equipment"], head["joint"], head["person"], head["crossed_off"])


def test_a_reason_with_blanks_and_a_full_stop_is_told_as_it_is_kept(book: Book, capsys: Captured) -> None:
    """One full stop at the end of the sentence, and a script reads what the log has."""
    typed = ("--as", "Ines", "--reason", "  done on the slip. ")

    assert due(capsys, book, "--cross-off", HEAD, *typed)[1].endswith("on 20 March 2026: done on the slip.\n")
    said = json.loads(due(capsys, book, "--due-again", HEAD, *typed, "--json")[1])
    assert ("done on the slip.", "Ines", LOOK) == tuple(said["due_again"][key] for key in ("reason", "by", "follow_up"))


def test_nothing_is_due_in_a_book_without_tools_and_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    """Nothing to look at."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-20T09:00:00+01:00")
    book = Book.create(tmp_path / "book", "Harbour museum")

    assert (0, "Nothing is due before 2026-04-19.\n", "") == due(capsys, book)
    assert (0, "Nothing is due before 2026-03-20.\n", "") == due(capsys, book, "--within", "0 days")


@pytest.mark.parametrize("typed", ["soon", "30", "-3 days", "30 N·m", "200 a"])
def test_a_time_that_is_none_is_refused(book: Book, capsys: Captured, typed: str) -> None:
    """With an example."""
    status, out, talk = due(capsys, book, "--within", typed)

    assert (2, "") == (status, out)
    assert "--within: " in talk and '"30 days"' in talk


class TestCrossingOff:
    """A follow-up that was done elsewhere is crossed off with a reason, and nothing is taken away."""

    def test_it_stands_in_the_log_with_who_and_why(self, book: Book, capsys: Captured) -> None:
        """By the run's name alone where it has only one follow-up."""
        status, out, _ = due(capsys, book, "--cross-off", HEAD, *DONE_THERE)

        told = f"Follow-up “{LOOK}” crossed off by Ines on 20 March 2026: done on the slip on 14 March.\n"
        assert (0, told) == (status, out)
        said = log_of(book)[-1]
        assert ("follow_up_crossed_off", HEAD, LOOK, "done on the slip on 14 March", "Ines", "ines") == tuple(
            said[key] for key in ("event", "run", "follow_up", "reason", "name", "by")
        )

    def test_then_it_is_not_due_any_more_but_told_with_all(self, book: Book, capsys: Captured) -> None:
        """Whoever wants to know finds who crossed it off."""
        due(capsys, book, "--cross-off", HEAD, *DONE_THERE)

        assert LOOK not in due(capsys, book)[1]
        assert "crossed off by Ines on 2026-03-20: done on the slip on 14 March" in due(capsys, book, "--all")[1]

    def test_it_is_told_beside_the_record(self, book: Book, capsys: Captured) -> None:
        """Wherever that is opened or printed."""
        due(capsys, book, "--cross-off", HEAD, *DONE_THERE)

        _, _, talk = saying.said(capsys, "record", HEAD, "--book", str(book.root))

        assert f"Follow-up “{LOOK}” crossed off by Ines on 20 March 2026" in talk

    def test_a_second_time_is_refused(self, book: Book, capsys: Captured) -> None:
        """It says who did."""
        due(capsys, book, "--cross-off", HEAD, *DONE_THERE)
        lines = len(book.log_lines())

        status, _, talk = due(capsys, book, "--cross-off", HEAD, "--as", "Maud", "--reason", "done")

        assert (2, lines) == (status, len(book.log_lines()))
        assert "crossed off already, by Ines" in talk

    def test_a_mistake_is_taken_back(self, book: Book, capsys: Captured) -> None:
        """By another line, with who and why; then it is due as before, and can be crossed off again."""
        due(capsys, book, "--cross-off", HEAD, *DONE_THERE)

        status, out, _ = due(capsys, book, "--due-again", HEAD, "--as", "Maud", "--reason", "it was the other engine")

        assert (0, f"{LOOK} of {HEAD} is due again.\n") == (status, out)
        assert ("follow_up_due_again", "Maud") == (log_of(book)[-1]["event"], log_of(book)[-1]["name"])
        assert LOOK in due(capsys, book)[1]
        assert "crossed off" not in saying.said(capsys, "record", HEAD, "--book", str(book.root))[2]
        assert 0 == due(capsys, book, "--cross-off", HEAD, *DONE_THERE)[0]

    @pytest.mark.parametrize(
        ("words", "told"),
        [
            (("--cross-off", HEAD), "--as PERSON --reason TEXT"),
            (("--cross-off", HEAD, "--as", "Ines", "--reason", " "), "Say why it is crossed off"),
            (("--cross-off", HEAD, *DONE_THERE, "--follow-up", "Retorque"), f"has “{LOOK}”"),
            (("--cross-off", "nothing", *DONE_THERE), "no run 'nothing'"),
            (("--as", "Ines"), "go with --cross-off RUN"),
            (("--due-again", HEAD, *DONE_THERE), "is not crossed off"),
            (("--due-again", HEAD, "--cross-off", HEAD, *DONE_THERE), "Give one of"),
        ],
    )
    def test_what_is_not_said_whole_is_refused(
        self, book: Book, capsys: Captured, words: tuple[str, ...], told: str
    ) -> None:
        """And nothing is written."""
        before = book.log_lines()

        status, _, talk = due(capsys, book, *words)

        assert (2, before) == (status, book.log_lines())
        assert told in talk


def test_a_calendar_file_has_what_is_due_on_a_day(book: Book, capsys: Captured, tmp_path: Path) -> None:
    """How many there are is told, and how many have no day."""
    into = tmp_path / "due.ics"

    assert (0, f"2 entries written to {into}.\n", "") == due(capsys, book, "--ics", str(into))
    assert b"SUMMARY:W7: calibration due" in into.read_bytes()
    assert {"calendar": str(into), "entries": 2, "without_a_day": 0} == json.loads(
        due(capsys, book, "--ics", str(into), "--json")[1]
    )


def test_without_its_library_a_calendar_file_is_refused_with_what_installs_it(
    book: Book, capsys: Captured, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is written."""
    monkeypatch.setattr("clampbook.commands.extras.find_spec", lambda _: None)
    into = tmp_path / "due.ics"

    status, _, talk = due(capsys, book, "--ics", str(into))
    assert (2, True, False) == (status, "clampbook[calendar]" in talk, into.exists())
