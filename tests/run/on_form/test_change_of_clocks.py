"""A form over the night in which the clocks changed: each line has the offset of its own day."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from small_joints import READING, bolts, procedure, tighten, turn

from bench import INES, steady
from clampbook.ledger.formats import FORMAT
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.stamp import SystemClock
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.planning import plan
from clampbook.run.walk import Walk, read_events
from clampbook.tools.model import Stock


class InNovember(SystemClock):
    """The clock of the machine on a day in November."""

    def now(self) -> datetime:
        """That day at noon, at the place."""
        return datetime(2026, 11, 30, 11, 0, tzinfo=UTC).astimezone()


@pytest.fixture
def berlin(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The machine stands in Berlin."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def opened() -> e.Opened:
    """The first line of a form that begins on Saturday, 24 October, at 15:30."""
    return e.Opened(
        at="2026-10-24T13:30:00.000Z",
        offset="+02:00",
        by=INES.id,
        typed_at="2026-11-30T11:00:00.000Z",
        daybook=FORMAT,
        run="20261024-head-aaaaaaaa",
        book="book",
        log_head="0" * 64,
        procedure_sha256="0" * 64,
        plan_sha256="0" * 64,
        person=INES,
        version="0",
        clock="system",
    )


@pytest.mark.usefixtures("berlin")
def test_what_was_done_after_the_change_has_the_offset_of_winter(tmp_path: Path) -> None:
    """Tightened on Saturday at 16:00 in summer time, turned on Sunday at 8:10 in winter time; a time that is taken back
    takes its offset with it."""
    head = bolts(1)
    late = plan(procedure((head,), (tighten(head), turn(head))), "invented", late=True)
    path = tmp_path / "daybook.jsonl"
    ledger = Ledger.open(path, create=True)
    ledger.append(e.fields(opened()))
    walk = Walk.take_up(late, ledger, clock=InNovember(), person=INES, stock=Stock(READING), people=(INES,), fresh=True)
    times = iter(["16:00", "16:10", "2026-10-25 8:10", "2026-10-25 8:20", "8:30"])
    taken_back = False
    while not isinstance(walk.prompt, ask.Ended):
        if isinstance(walk.prompt, ask.PaperTime):
            assert isinstance(walk.answer(a.PaperTime(next(times))), Accepted)
            if walk.session.progress.offset == "+01:00" and not taken_back:
                taken_back = isinstance(walk.answer(a.TakeBack()), Accepted)
                assert walk.session.progress.offset == "+02:00"
        else:
            assert isinstance(walk.answer(steady(walk.prompt)), Accepted)
    events = read_events(path, tuple(path.read_bytes().splitlines()))
    at = [(event.at[:16], event.offset) for event in events if isinstance(event, e.ReadingTaken | e.Turned)]
    assert taken_back
    assert [("2026-10-24T14:00", "+02:00"), ("2026-10-25T07:20", "+01:00")] == at
