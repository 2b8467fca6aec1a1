"""A run on disk: every answer is a line that is safe before the next prompt, whatever the disk does."""

from __future__ import annotations

import errno
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from small_joints import READING, bolts, procedure, refused, stored, tighten, turn

from bench import INES, TOMAS, steady
from clampbook.ledger.formats import FORMAT
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault, LedgerFull
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Unsure
from clampbook.run.plan import Plan
from clampbook.run.planning import plan
from clampbook.run.walk import Walk, empty
from clampbook.tools.model import Stock


class HandClock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def now(self) -> datetime:
        """The time that was last set."""
        return self.at

    def forward(self, seconds: float) -> None:
        """Let time pass."""
        self.at += timedelta(seconds=seconds)


class Bay:
    """A run's daybook on disk, and how to take it up again."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "daybook.jsonl"
        head = bolts(3)
        self.plan: Plan = plan(procedure((head,), (tighten(head), turn(head))), "invented")
        self.clock = HandClock()

    def open(self) -> Walk:
        """The run, just opened."""
        ledger = Ledger.open(self.path, create=True)
        ledger.append(e.fields(opening(self.clock.at)))
        return self._walk(ledger, INES, fresh=True)

    def again(self, person: Person = INES) -> Walk:
        """The run after the program was started anew."""
        return self._walk(Ledger.open(self.path), person, fresh=False)

    def _walk(self, ledger: Ledger, person: Person, *, fresh: bool) -> Walk:
        return Walk.take_up(
            self.plan, ledger, clock=self.clock, person=person, stock=Stock(READING), people=(INES, TOMAS), fresh=fresh
        )

    def lines(self) -> list[bytes]:
        """What stands on disk."""
        return self.path.read_bytes().splitlines()

    def to_the_first_pull(self) -> Walk:
        """A run that asks for its first reading."""
        walk = self.open()
        while not isinstance(walk.prompt, ask.Tighten):
            assert isinstance(walk.answer(steady(walk.prompt)), Accepted)
        return walk


def opening(at: datetime, daybook: int = FORMAT) -> e.Opened:
    """The first line of a run."""
    return e.Opened(
        at=at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        offset="+01:00",
        by=INES.id,
        daybook=daybook,
        run="20260302-head-aaaaaaaa",
        book="book",
        log_head="0" * 64,
        procedure_sha256="0" * 64,
        plan_sha256="0" * 64,
        person=INES,
        version="0",
        clock="handed in",
    )


@pytest.fixture
def bay(tmp_path: Path) -> Bay:
    """A place for one run."""
    return Bay(tmp_path)


class TestOneAnswerOneLine:
    """What was answered stands on disk before the next prompt."""

    def test_an_answer_is_one_line(self, bay: Bay) -> None:
        """The event comes back with the number of its line."""
        walk = bay.to_the_first_pull()
        before = len(bay.lines())

        taken = stored(walk.answer(a.Value("30")), e.ReadingTaken)

        assert (before + 1, before + 1) == (taken.seq, len(bay.lines()))
        assert b'"value":"30"' in bay.lines()[-1]

    def test_a_refusal_is_none(self, bay: Bay) -> None:
        """What does not fit is told and not written."""
        walk = bay.to_the_first_pull()
        before = bay.lines()

        refused(walk.answer(a.Value("thirty")))

        assert before == bay.lines()

    def test_an_unusual_value_is_none(self, bay: Bay) -> None:
        """It is asked openly, and gone after a kill."""
        walk = bay.to_the_first_pull()
        before = bay.lines()

        assert isinstance(walk.answer(a.Value("300")), Unsure)

        assert before == bay.lines()
        assert None is bay.again().session.unusual

    @pytest.mark.parametrize("beside", [a.TurnMap(1, False), a.Note("the radio was on")])
    def test_an_unusual_value_outlasts_what_is_said_beside_it(self, bay: Bay, beside: a.Answer) -> None:
        """Whoever turns the map has not said that 300 was right."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("300"))
        assert isinstance(walk.answer(beside), Accepted)

        assert "unit" in refused(walk.answer(a.Value("300")))
        assert isinstance(walk.answer(a.Value("300 N·m")), Accepted)

    def test_another_answer_ends_an_unusual_value(self, bay: Bay) -> None:
        """A bad pull was no reading, and the next one is typed as any other."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("300"))
        assert isinstance(walk.answer(a.Skip("no room")), Accepted)

        assert None is walk.session.unusual

    def test_a_hand_over_changes_who_stamps(self, bay: Bay) -> None:
        """From the next line on it is Tomas."""
        walk = bay.to_the_first_pull()
        walk.answer(a.HandTo(TOMAS))

        assert "tomas" == stored(walk.answer(a.Note("taken over")), e.Noted).by


class TestStartedAnew:
    """After a kill, a power cut, the next morning."""

    def test_nothing_is_lost(self, bay: Bay) -> None:
        """The state is that of all lines, and one line says that the program came back."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("30"))
        held = walk.session.progress.positions

        again = bay.again()

        assert held == again.session.progress.positions
        assert b'"event":"resumed"' in bay.lines()[-1]

    def test_the_gap_is_told_in_seconds(self, bay: Bay) -> None:
        """Twelve minutes after the last line."""
        bay.to_the_first_pull()
        bay.clock.forward(720)

        bay.again()

        resumed = e.read(bay.lines()[-1])
        assert isinstance(resumed, e.Resumed)
        assert ("720", "plausible") == (resumed.gap, resumed.clock)

    @pytest.mark.parametrize("seconds", [-60, 86_400 * 500])
    def test_a_negative_or_absurd_gap_is_a_implausible_clock(self, bay: Bay, seconds: float) -> None:
        """The clock of a shop laptop is often wrong."""
        bay.to_the_first_pull()
        bay.clock.forward(seconds)

        bay.again()

        resumed = e.read(bay.lines()[-1])
        assert isinstance(resumed, e.Resumed)
        assert (None, "implausible") == (resumed.gap, resumed.clock)

    def test_another_person_is_named(self, bay: Bay) -> None:
        """Tomas takes it up: his name stands in the line."""
        bay.to_the_first_pull()

        bay.again(TOMAS)

        resumed = e.read(bay.lines()[-1])
        assert isinstance(resumed, e.Resumed)
        assert resumed.person == TOMAS

    def test_a_closed_run_takes_no_line(self, bay: Bay) -> None:
        """Looking at a finished run writes nothing."""
        walk = bay.to_the_first_pull()
        walk.answer(a.GiveUp("begun by mistake"))
        before = bay.lines()

        again = bay.again()

        assert before == bay.lines()
        assert isinstance(again.prompt, ask.Ended)


class TestTornTail:
    """Half a line after a power cut."""

    def test_it_is_moved_aside_and_told(self, bay: Bay) -> None:
        """The bytes stand in a file beside, their number in the line that says the program came back."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("30"))
        whole = bay.lines()
        with bay.path.open("ab") as file:
            file.write(b'{"at":"2026-03-')

        bay.again()

        resumed = e.read(bay.lines()[-1])
        assert isinstance(resumed, e.Resumed)
        assert (15, whole) == (resumed.torn_bytes, bay.lines()[:-1])
        assert b'{"at":"2026-03-' == bay.path.with_name("daybook.torn-0001").read_bytes()

    def test_cut_anywhere_it_is_an_earlier_moment_of_the_same_run(self, bay: Bay) -> None:
        """Whatever byte the power went at, all whole lines count and the rest is asked again."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("30"))
        data = bay.path.read_bytes()
        for size in range(data.index(b"\n") + 1, len(data), 97):
            bay.path.write_bytes(data[:size])

            again = bay.again()

            assert data[:size].count(b"\n") + 1 == again.session.progress.seq


class TestFullDisk:
    """No room for the line."""

    def test_it_is_told_and_nothing_has_changed(self, bay: Bay, monkeypatch: pytest.MonkeyPatch) -> None:
        """The same prompt stands, the file is as it was, and with room the answer is taken."""
        walk = bay.to_the_first_pull()
        before, asked_for = bay.path.read_bytes(), walk.prompt
        write = os.write

        def no_room(descriptor: int, data: bytes) -> int:
            write(descriptor, bytes(data)[:10])
            raise OSError(errno.ENOSPC, "full")

        with monkeypatch.context() as patched:
            patched.setattr(os, "write", no_room)
            with pytest.raises(LedgerFull) as told:
                walk.answer(a.Value("30"))

        assert "Disk full" in told.value.sentence
        assert (before, asked_for) == (bay.path.read_bytes(), walk.prompt)
        stored(walk.answer(a.Value("30")), e.ReadingTaken)


class TestDamage:
    """A daybook that is not whole is not gone on with."""

    def damaged(self, bay: Bay, line: int, old: bytes, new: bytes) -> str:
        """What is said when one line was changed on disk."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("30"))
        lines = bay.lines()
        assert old in lines[line - 1]
        lines[line - 1] = lines[line - 1].replace(old, new)
        bay.path.write_bytes(b"\n".join(lines) + b"\n")
        with pytest.raises(LedgerFault) as told:
            bay.again()
        return told.value.sentence

    def test_a_changed_line_is_named(self, bay: Bay) -> None:
        """The line after it holds the hash of what it was."""
        said = self.damaged(bay, 2, b'"W7"', b'"W9"')

        assert "is not whole" in said
        assert "line 2: this line was changed" in said

    def test_a_line_that_is_no_line_is_named(self, bay: Bay) -> None:
        """A bracket was lost in line 2."""
        assert "line 2" in self.damaged(bay, 2, b"{", b"")

    def test_a_line_of_another_plan_is_named(self, bay: Bay) -> None:
        """A daybook that lies beside another plan speaks of steps that are none of it."""
        walk = bay.to_the_first_pull()
        walk.answer(a.Value("30"))
        other = bolts(1, "Side screws", 11)
        bay.plan = plan(procedure((other,), (tighten(other),)), "other")

        with pytest.raises(LedgerFault, match=r"step '1\.1/1' is none of this run's plan"):
            bay.again()

    def test_a_newer_format_is_not_added_to(self, bay: Bay) -> None:
        """It can be read, but only the version that wrote it goes on."""
        ledger = Ledger.open(bay.path, create=True)
        ledger.append(e.fields(opening(bay.clock.at, daybook=FORMAT + 1)))

        with pytest.raises(LedgerFault, match="use a newer version"):
            bay.again()

    def test_a_daybook_that_does_not_begin_with_its_opening(self, bay: Bay) -> None:
        """It is no run."""
        ledger = Ledger.open(bay.path, create=True)
        ledger.append(e.fields(e.Noted(at="2026-03-02T09:00:00.000Z", offset="+01:00", by="ines", text="?")))

        with pytest.raises(LedgerFault, match="does not begin with the opening of a run"):
            bay.again()

    def test_another_programs_line_is_refused_at_the_next_answer(self, bay: Bay) -> None:
        """Nothing is added to a file that is not the one last known."""
        walk = bay.to_the_first_pull()
        with bay.path.open("ab") as file:
            file.write(b"{}\n")

        with pytest.raises(LedgerFault, match="changed by another program"):
            walk.answer(a.Value("30"))


def test_least_pull_times_count_from_when_the_prompt_was_shown(bay: Bay) -> None:
    """A slow terminal does not make a pull quicker than it was."""
    walk = bay.to_the_first_pull()
    bay.clock.forward(30)

    walk.painted()

    assert bay.clock.at == walk.session.painted


def test_a_plan_can_be_looked_at_before_its_first_line(bay: Bay) -> None:
    """What would be asked, with nothing on disk."""
    session = empty(bay.plan)

    assert (0, False) == (session.progress.seq, bay.path.exists())
