"""What nobody knows is said to be not known: of runs that were closed with a damaged daybook, and of their tools."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from check.book_of_tools import said
from clampbook.archive.affected import Span
from clampbook.archive.affected_runs import look_through
from clampbook.book.damaged.closing_run import close_damaged
from clampbook.book.sealing.addenda import add
from clampbook.book.starting.followed_up import told_before
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.frozen import read
from clampbook.record.pages.pages import pages
from clampbook.run import answers as a
from clampbook.run.answers import Accepted
from clampbook.run_folder import RunFolder
from clampbook.screens.bench_lists import closed_runs
from clampbook.tools.identity import Identity
from museum import own
from sealing import COVER, Shop, sealed, shop, walked

LATER = """
[[follow_up]]
title = "look again"
after = "7 d"

[[follow_up.stage]]
do = "inspect"
group = "Cover screws"
asked = "once"
ask = "All there?"
"""
NOTE = "The second screw was replaced on the quay."
Damage = Callable[[list[bytes]], bytes]


def begun(at: Shop) -> RunFolder:
    """A run in which the tool was taken up, and both screws tightened."""
    terms = Terms(person=at.ines, equipment="Whinchat")
    run = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
        for answer in (a.Note("warm"), a.TakeUp("w5"), a.Zero("good"), a.Value("30.1"), a.Value("30.2"), a.Pause()):
            assert isinstance(walk.answer(answer), Accepted)
    return run


def whole(lines: list[bytes]) -> bytes:
    """Lines as they stand in a file."""
    return b"".join(line + b"\n" for line in lines)


def from_line(number: int, damage: Callable[[bytes], bytes]) -> Damage:
    """Every line from this one on is damaged."""
    return lambda lines: whole([*lines[: number - 1], *map(damage, lines[number - 1 :])])


def changed(line: bytes) -> bytes:
    """A line that can be read and is not what was written."""
    return line.replace(b'"offset":"+00:00"', b'"offset":"+01:00"')


def damaged(at: Shop, damage: Damage) -> RunFolder:
    """A run that Maud closed as damaged."""
    run = begun(at)
    run.daybook.write_bytes(damage(run.lines()[0]))
    close_damaged(at.book, run, at.maud, at.clock)
    return run


class TestRecall:
    """A tool that is only in the damaged part is found all the same."""

    def test_a_tool_that_the_damaged_part_names(self, at: Shop) -> None:
        """Nothing of it is sound, so nothing is counted, and it is said that this is not known."""
        run = damaged(at, from_line(3, changed))
        assert not any(b'"w5"' in line for line in run.lines()[0])

        found = look_through(at.book.runs(), Identity("w5", frozenset({at.book.id})), Span(), None)
        status, out, _ = said("affected", "w5", book=at.book.root)

        assert () == found.runs
        told = f"{run.id}: the damaged part of its daybook names w5, and what was done with it is not known"
        assert (told,) == found.unread
        assert told in out and "since the first run of the book: not known." in out
        assert 1 == status

    def test_a_part_that_cannot_be_read_may_name_any_tool(self, at: Shop) -> None:
        """Zeros where lines were: whether the tool was used is not known."""
        run = damaged(at, from_line(3, lambda line: bytes(len(line))))

        [told] = look_through(at.book.runs(), Identity("w9", frozenset({at.book.id})), Span(), None).unread

        assert f"{run.id}: whether w9 was used in the damaged part of its daybook is not known" in told

    def test_another_tool_than_the_damaged_part_names(self, at: Shop) -> None:
        """Its lines can be read, and it is in none of them."""
        damaged(at, from_line(3, changed))

        assert () == look_through(at.book.runs(), Identity("w9", frozenset({at.book.id})), Span(), None).unread

    def test_a_run_that_is_not_in_the_span(self, at: Shop) -> None:
        """Over before the suspicion begins, or begun after it ends."""
        damaged(at, from_line(3, changed))

        w5 = Identity("w5", frozenset({at.book.id}))
        assert () == look_through(at.book.runs(), w5, Span(after="2030-01-01T00:00:00Z"), None).unread
        assert () == look_through(at.book.runs(), w5, Span(until="2020-01-01T00:00:00Z"), None).unread


class TestRecord:
    """No number of it is said to be all that there was."""

    def test_the_report_says_not_known(self, at: Shop) -> None:
        """How often a screw was tightened, and how many deviations there were."""
        run = damaged(at, from_line(6, changed))
        record = tomllib.loads((run.path / "record.toml").read_text(encoding="utf-8"))
        frozen = read(run.procedure(), run.plan(), run.daybook.read_bytes())
        told = json.loads(pages(frozen.plan, record, {}))
        text = json.dumps(told, ensure_ascii=False)

        assert "never" not in text and "No deviations." not in text
        assert "At least 1 deviation." in text, text
        assert "Numbers are the least there was." in text
        assert ", not known" in text

    def test_finding_says_so_too(self, at: Shop) -> None:
        """In words, and to scripts as null."""
        damaged(at, from_line(3, changed))

        out = said("find", "cover", book=at.book.root)[1]
        [run] = json.loads(said("find", "cover", "--json", book=at.book.root)[1])["runs"]

        assert "damaged, deviations not known" in out
        assert None is run["deviations"]


class TestFollowUp:
    """A follow-up of a damaged run warns."""

    @pytest.fixture
    def at(self, tmp_path: Path) -> Shop:
        """The same book with a follow-up in its procedure."""
        found = shop(tmp_path / "book", keys=False)
        own(found.book.root, "cover", COVER + LATER)
        return found

    def test_it_warns_and_its_record_says_so(self, at: Shop) -> None:
        """Before it begins, in its first line, and in its record."""
        run = damaged(at, from_line(6, changed))
        terms = Terms(person=at.ines, follow_up="look again", of=run)

        [told] = told_before(at.book, work_named(at.book, "cover"), terms)
        made = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")

        assert told.startswith(f"{run.id} was closed with a damaged daybook. What was done after that is not known")
        assert True is (made.first() or {})["of_run"]["damaged"]
        assert "of_run_damaged = true" in said("record", made.id, book=at.book.root)[1]
        talk = said(
            "walk", "--of", run.id, "--follow-up", "look again", "--as", "Ines", "--plain", book=at.book.root, typed=""
        )[2]
        assert told in talk

    def test_of_a_sound_run_it_does_not(self, at: Shop) -> None:
        """Nothing is to be said, and its first line has no such field."""
        run = walked(at)
        terms = Terms(person=at.ines, follow_up="look again", of=run)

        assert () == told_before(at.book, work_named(at.book, "cover"), terms)
        made = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
        assert "damaged" not in (made.first() or {})["of_run"]


class TestAddendum:
    """Words that were added are no run."""

    @pytest.fixture
    def pair(self, at: Shop) -> tuple[RunFolder, RunFolder]:
        """A sealed run and its addendum."""
        run = sealed(at)
        return run, add(at.book, run, at.maud, NOTE, at.clock, "handed in")

    def test_it_is_found_with_the_run_that_it_belongs_to(self, at: Shop, pair: tuple[RunFolder, RunFolder]) -> None:
        """By its own words as by those of the run; it is listed once, beneath the run."""
        run, made = pair

        for words in ("quay", "cover", "maud"):
            out = said("find", words, book=at.book.root)[1]
            found = json.loads(said("find", words, "--json", book=at.book.root)[1])["runs"]
            assert [(run.id, [made.id])] == [(each["run"], each["addenda"]) for each in found], words
            assert [f"    addendum {made.id}"] == [line for line in out.splitlines() if made.id in line]

    def test_where_its_run_is_not_here_it_is_found_alone(self, at: Shop, pair: tuple[RunFolder, RunFolder]) -> None:
        """Nothing is lost sight of."""
        run, made = pair
        run.path.rename(at.book.root / "elsewhere")

        found = json.loads(said("find", "quay", "--json", book=at.book.root)[1])["runs"]

        assert [made.id] == [each["run"] for each in found]

    def test_it_is_not_counted_among_closed_runs(self, at: Shop, pair: tuple[RunFolder, RunFolder]) -> None:
        """The bench offers one record to be read."""
        assert [pair[0].id] == list(closed_runs(at.book))
        assert (None, pair[0].id) == (pair[0].addendum_to, pair[1].addendum_to)

    def test_it_has_no_follow_up_and_no_addendum(self, at: Shop, pair: tuple[RunFolder, RunFolder]) -> None:
        """Each refusal names the run that it belongs to."""
        run, made = pair
        terms = Terms(person=at.ines, follow_up="look again", of=made)

        with pytest.raises(LedgerFault, match=f"is an addendum to {run.id}. An addendum has no follow-up"):
            open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
        said("seal", made.id, book=at.book.root)
        with pytest.raises(LedgerFault, match=f"Add yours to its run, {run.id}"):
            add(at.book, made, at.maud, NOTE, at.clock, "handed in")
