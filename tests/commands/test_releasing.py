"""`clampbook release`, and what is said of a release where a run begins and in its report."""

from __future__ import annotations

import sys
from io import BytesIO, TextIOWrapper

import pytest

from clampbook import cli
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.record.pages.blocks import Title
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import plan as plans
from clampbook.run_folder import RunFolder
from sealing import Shop, walked
from signers import PHRASE

WITH = ("--compared-with", "Sheet 3, issue 2")


class Command:
    """Runs `clampbook release` on the valve cover with lines typed into it; `said` is all that it said."""

    def __init__(self, at: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._at, self._monkeypatch, self._capsys = at, monkeypatch, capsys
        self.said = ""

    def __call__(self, *arguments: str, typed: str = PHRASE, now: str = "2026-03-02T09:00:00Z") -> int:
        """The exit status."""
        self._monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(f"{typed}\n".encode())))
        self._monkeypatch.setenv("CLAMPBOOK_CLOCK", now)
        status = cli.status(["release", "cover", "--as", "Maud", *arguments, "--book", str(self._at.book.root)])
        self.said = "".join(self._capsys.readouterr())
        return status

    def plainly(self, *arguments: str) -> int:
        """Another command, into which nothing is typed, on the day after."""
        self._monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO()))
        self._monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z")
        status = cli.status(list(arguments))
        self.said = "".join(self._capsys.readouterr())
        return status

    def answers(self) -> tuple[str, ...]:
        """An --accept for each query."""
        from clampbook.book.releases import queries

        found, _ = queries(self._at.book, self._at.book.root / "procedures" / "cover.toml")
        return tuple(part for each in found.queries for part in ("--accept", f"{each.code} {each.key}", "looked at"))


@pytest.fixture
def release(whinchat: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    """The command on that book."""
    return Command(whinchat, monkeypatch, capsys)


def title(run: RunFolder) -> Title:
    """The head of the report."""
    import tomllib

    files = (run.procedure(), run.plan(), run.daybook.read_bytes())
    record = tomllib.loads(build(*files).decode())
    return next(each for each in blocks(plans.decode(run.plan()), record, {}) if isinstance(each, Title))


def test_queries_are_listed_and_block_it(release: Command) -> None:
    """It could not be done; the sentence says how to answer."""
    assert 2 == release(*WITH)
    assert "Answer each query, such as --accept" in release.said


def test_with_every_query_answered_it_is_released_and_signed(release: Command) -> None:
    """What is signed is shown before the passphrase is asked."""
    assert 0 == release(*WITH, *release.answers())
    assert "I compared this with the manual named below, line by line, and release it." in release.said
    assert "by Maud (signed with a key)" in release.said


def test_without_a_passphrase_nothing_is_changed(release: Command) -> None:
    """An empty line leaves it."""
    assert 2 == release(*WITH, *release.answers(), typed="")
    assert "Not signed by Maud. Nothing was changed" in release.said


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ((), "--compared-with"),
        ((*WITH, "--compare-by", "soon"), "--compare-by soon is not a day"),
        ((*WITH, "--compare-by", "2025-01-01"), "2025-01-01 is in the past"),
        (("--withdraw",), "--reason TEXT"),
        (("--withdraw", "--reason", "old", *WITH), "only --as and --reason"),
        ((*WITH, "--reason", "fine"), "--reason goes with --withdraw"),
    ],
)
def test_options_that_do_not_go_together_are_told(release: Command, arguments: tuple[str, ...], expected: str) -> None:
    """With the sentence that says what to do."""
    assert 2 == release(*arguments)
    assert expected in release.said


def test_a_run_from_a_released_revision_has_nothing_to_say_on_page_one(whinchat: Shop, release: Command) -> None:
    """It stands among the facts."""
    release(*WITH, *release.answers(), "--compare-by", "2027-03-02")

    assert () == title(walked(whinchat)).notices[1:]
    assert not any("released" in notice for notice in title(walked(whinchat)).notices)


def test_a_changed_one_says_so_on_page_one(whinchat: Shop, release: Command) -> None:
    """With whose release it was."""
    release(*WITH, *release.answers())
    sheet = whinchat.book.root / "procedures" / "cover.toml"
    sheet.write_bytes(sheet.read_bytes().replace(b'"Valve cover"', b'"Rocker cover"'))

    told = "(it was changed after the release by Maud of 2026-03-02)"
    assert f"The procedure was a draft {told}." in title(walked(whinchat)).notices


def test_a_day_to_look_again_that_has_passed_stands_on_page_one(whinchat: Shop, release: Command) -> None:
    """The run was opened after it."""
    release(*WITH, *release.answers(), "--compare-by", "2026-02-01", now="2026-01-10T09:00:00Z")

    told = "The procedure was due for another comparison by 1 February 2026."
    assert told in title(walked(whinchat)).notices


def test_a_second_open_run_of_the_same_thing_stands_in_the_first_line_and_on_page_one(whinchat: Shop) -> None:
    """The first one is still open when the second begins."""
    first = open_run(
        whinchat.book,
        work_named(whinchat.book, "cover"),
        Terms(person=whinchat.ines, equipment="whinchat"),
        whinchat.clock,
        "handed in",
    )
    second = walked(whinchat)

    assert [first.id] == (second.first() or {})["alongside"]
    told = f"Run {first.id} of this procedure was open when this one started."
    assert told in title(second).notices


def test_line_by_line_it_is_told_before_the_first_question(whinchat: Shop, release: Command) -> None:
    """A day to look again that has passed, and a run that is open already on the same thing."""
    release(*WITH, *release.answers(), "--compare-by", "2026-02-01", now="2026-01-10T09:00:00Z")
    arguments = ["walk", "cover", "--as", "Ines", "--equipment", "Whinchat", "--plain"]
    arguments += ["--book", str(whinchat.book.root)]
    release.plainly(*arguments)
    release.plainly(*arguments)

    named = {run.id for run in whinchat.book.runs()}
    assert "This revision was to be compared again by 2026-02-01. The record will say so." in release.said
    assert "of this procedure is open, on Whinchat, by " in release.said
    told = [each for run in whinchat.book.runs() for each in (run.first() or {})["alongside"]]
    assert (1, True) == (len(told), set(told) < named)
