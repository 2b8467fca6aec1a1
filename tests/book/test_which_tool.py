"""Whatever is done with the tools that have one id after the other, what the book knows of each agrees with a list of
them in which nothing is shared: kept here by other means, and very slowly."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest
from msgspec.structs import replace

from book.test_told_apart import renumbered
from check.book_of_tools import FLANGE, made
from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.book.checks import checks_of
from clampbook.book.starting.checking import conclude, read_in
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.book.suspicion import affected_by, suspicion_by_hand
from clampbook.book.told_apart import tell_apart
from clampbook.book.toolbox import add_pulls, tool_named
from clampbook.check.from_file import plan_of_file
from clampbook.ledger.stamp import stamp_of
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted

EXAMPLES = int(os.environ.get("CLAMPBOOK_MODEL_EXAMPLES", "6"))
DEEDS = 14
PASSES, FAILS = ("59.9,60", "60.1,60"), ("56,60", "56,60")
LONG_AGO = "2000-01-01T00:00:00.000Z"


class Ticking:
    """A clock that goes on by five seconds whenever it is looked at."""

    def __init__(self) -> None:
        self._now = datetime(2026, 3, 2, 9, tzinfo=UTC)

    def now(self) -> datetime:
        """The time now."""
        self._now += timedelta(seconds=5)
        return self._now


@dataclass
class OneTool:
    """A tool as somebody would remember it who saw all of it."""

    pulls: int = 0
    in_runs: int = 0
    checks: int = 0
    verdict: str | None = None
    falls: int = 0


@dataclass
class Shelf:
    """The place with the label W5: what lies there now, and which number is cut into which tool."""

    there: OneTool = field(default_factory=OneTool)
    cut: dict[str, OneTool] = field(default_factory=dict)
    known: bool = False  # whether the book has heard of any number


class Playing:
    """Deeds in the book, and the same in the memory of somebody who saw them."""

    def __init__(self, book: Book, random: Random) -> None:
        self.book, self.random, self.clock = book, random, Ticking()
        self.shelf = Shelf()
        self.shelf.cut["A123"] = self.shelf.there
        self.ines = book.people()[0]
        self.answer: bool | None = None  # to be given when the tool is taken next

    def once(self) -> None:
        """Any deed."""
        deed = self.random.choice(
            (self.by_hand, self.check, self.check, self.work, self.work, self.number, self.number)
        )
        if self.answer is not None:
            deed = self.work
        deed()

    def by_hand(self) -> None:
        count = self.random.randint(1, 50)
        stamp = stamp_of(self.clock.now())
        add_pulls(self.book, tool_named(self.book, "w5"), count, self.clock.now().date(), stamp.when | {"by": "ines"})
        self.shelf.there.pulls += count
        self.shelf.known = True

    def check(self) -> None:
        good = self.random.random() < 0.6
        data = "\n".join(("reference,indicated", *(PASSES if good else FAILS) * 5, "")).encode()
        today, tool, against = self.clock.now().date(), tool_named(self.book, "w5"), tool_named(self.book, "r1")
        plan, readings = plan_of_file(
            tool,
            against,
            data,
            "readings.csv",
            phase="as found",
            direction="clockwise",
            today=today,
        )
        conclude(self.book, read_in(self.book, plan, readings, data, self.ines, self.clock, "handed in"))
        there = self.shelf.there
        there.checks += 1
        there.pulls += 10
        there.verdict = "passed" if good else "failed"
        there.falls = 0 if good else there.falls
        self.shelf.known = True

    def work(self) -> None:
        """A run with some pulls; W5 may fall in it. What failed its check is not taken."""
        there = self.shelf.there
        if there.verdict == "failed":
            return
        same, self.answer = self.answer, None
        terms = Terms(person=self.ines)
        run = open_run(self.book, work_named(self.book, "flange"), terms, self.clock, "handed in")
        with walking(self.book, run, clock=self.clock, person=self.ines, exempt=True, fresh=True) as walk:
            walk.hear()
            for _ in range(self.random.randint(1, 4)):
                while not isinstance(walk.prompt, ask.Tighten):
                    taking = isinstance(walk.prompt, ask.TakeTool)
                    took = a.TakeUp("w5", "no other tool", same=same) if taking else a.Zero("good")
                    outcome = walk.answer(took)
                    assert isinstance(outcome, Accepted), outcome
                    same = None if taking else same
                    walk.hear()
                assert isinstance(walk.answer(a.Value("60")), Accepted)
                there.pulls += 1
                there.in_runs += 1
            if self.random.random() < 0.4 and isinstance(walk.answer(a.Drop("w5")), Accepted):
                there.falls += 1
            walk.answer(a.Pause())
        self.shelf.known = True

    def number(self) -> None:
        """Another number is written into the entry; what lies there may be another tool, or it was mistyped."""
        serial = self.random.choice(("A123", "B456", "C789", "A 123", "b456"))
        renumbered(self.book, serial)
        plain = serial.replace(" ", "").upper()
        if plain in self.shelf.cut:
            self.shelf.there = self.shelf.cut[plain]
            return
        if not self.shelf.known:  # nothing was done with the first number: nobody can have known it
            self.shelf.cut = {plain: self.shelf.there}
            return
        same = self.random.random() < 0.4
        before = self.shelf.there
        self.shelf.there = before if same else OneTool()
        self.shelf.cut[plain] = self.shelf.there
        if self.random.random() < 0.5 and self.shelf.there.verdict != "failed":
            self.answer = same
            return
        stamp = stamp_of(self.clock.now(), "ines")
        assert tell_apart(self.book, tool_named(self.book, "w5"), same=same, person=self.ines, stamp=stamp)

    def agrees(self) -> None:
        """What the book says of the tool that has the id now, and at the end of each that had it."""
        if self.answer is not None:
            return
        use, there = toolbox.stock(self.book).use("w5"), self.shelf.there
        verdict = None if use.last_check is None else use.last_check.verdict
        assert (there.pulls, there.verdict, there.falls) == (use.pulls, verdict, len(use.troubles))
        assert there.checks == len(list(checks_of(self.book, tool_named(self.book, "w5"))))
        assert use.serial_was is None

    def recalls(self) -> None:
        """Each tool by its number, whichever has the id now: its own pulls in runs, and no others."""
        now = tool_named(self.book, "w5")
        for serial, tool in self.shelf.cut.items():
            suspicion = suspicion_by_hand(self.book, replace(now, serial=serial), LONG_AGO, Decimal(1))
            assert tool.in_runs == affected_by(self.book, suspicion).pulls, serial


@pytest.mark.parametrize("seed", range(EXAMPLES))
def test_the_book_agrees_with_somebody_who_saw_it_all(seed: int, tmp_path: Path) -> None:
    """Pulls by hand, checks, falls, runs and changed numbers in any order."""
    book = made(tmp_path / "book")
    book.path("procedures", "flange.toml").write_text(FLANGE)
    renumbered(book, "A123")
    playing = Playing(book, Random(seed))
    for _ in range(DEEDS):
        playing.once()
        playing.agrees()
    if playing.answer is not None:
        playing.work()
    playing.recalls()
