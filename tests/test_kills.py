"""The Whinchat's head walked through real pipes by a program that is killed with SIGKILL at random moments.

CLAMPBOOK_KILLS sets how many kills there are in all (default 200); they are spread over ten runs, each with a seed.
"""

from __future__ import annotations

import os
import random
import time
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from clampbook.ledger.chain import chain_faults
from clampbook.record.record import build
from museum import museum
from piping import Line, Program, answers, daybook, runs
from whinchat import HEAD, Script

RUNS = 10
KILLS = int(os.environ.get("CLAMPBOOK_KILLS", "200"))
BEGUN = datetime.fromisoformat("2026-03-02T09:00:00+00:00")
BETWEEN = timedelta(seconds=1)  # from the last line to the next start of the program
START, ANSWER = 0.15, 0.004  # seconds: the longest delay of a kill while the program starts, and after a typed line
WHILE_STARTING = 0.2  # share of the kills
OF_A_BREAK = ("resumed", "step state")  # what the record calls a kill and what was answered after it
READ_AFTERWARDS = "read from its mark after a break"  # a deviation of its own
OF_THE_RUN = ("run", "book", "lines", "last_line_sha256", "opened_at", "closed_at", "log_head", "plan_sha256")
OF_THE_CLOCK = ("at", "since", "passed_seconds", "due_at", "after_seconds")
Record = dict[str, Any]


@dataclass(frozen=True)
class Undisturbed:
    """What became of the run that nobody killed: its answers, its record, and how many lines were typed for it."""

    answers: list[Line]
    record: Record
    typed: int


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> Undisturbed:
    """The run that nobody kills."""
    return walked_undisturbed(tmp_path_factory.mktemp("undisturbed") / "book")


def walked_undisturbed(book: Path) -> Undisturbed:
    """The whole script in a new book."""
    museum(book)
    program = begun(book, Script())

    program.walk()

    assert 1 == program.end()
    assert program.finished is not None and "accepted" == program.finished["finished"]
    run = runs(book)[0]
    return Undisturbed(said(daybook(run)), recorded(run), program.typed)


@pytest.mark.parametrize("seed", range(RUNS))
def test_kills_at_random_moments_lose_and_double_nothing(seed: int, tmp_path: Path, undisturbed: Undisturbed) -> None:
    """Each acknowledged answer is in the daybook once, at its number; readings, outcome and deviations are as ever."""
    killed_on_the_way(tmp_path / "book", seed, KILLS // RUNS + (seed < KILLS % RUNS), undisturbed)


def killed_on_the_way(book: Path, seed: int, kills: int, undisturbed: Undisturbed) -> None:
    """A run in a new book that is killed so many times, and comes to the same."""
    museum(book)
    chance = random.Random(f"kills {seed}")
    walker = Killed(book, chance)
    for place in sorted(chance.choices(range(1, undisturbed.typed), k=kills)):
        walker.until_killed(place)

    walker.to_the_end()

    run = runs(book)[0]
    assert 1 == len(runs(book))
    assert [] == chain_faults(run / "daybook.jsonl", (run / "daybook.jsonl").read_bytes().splitlines())
    assert undisturbed.answers == said(daybook(run))
    assert undisturbed.record == recorded(run)


class Killed:
    """A run that goes on after each kill, by a script that knows only which of its answers are stored."""

    def __init__(self, book: Path, chance: random.Random) -> None:
        self.book = book
        self.chance = chance
        self.script = Script()
        self.acknowledged: list[int] = []  # line of each answer, in their order
        self.typed = 0

    def until_killed(self, place: int) -> None:
        """Start the program, type up to a place in the script, and kill it; now and then while it is still starting."""
        program = self.started()
        if self.chance.random() < WHILE_STARTING or place <= self.typed:
            time.sleep(self.chance.uniform(0, START))
        else:
            program.walk(place - self.typed)
            time.sleep(self.chance.uniform(0, ANSWER))
        program.kill()
        self.typed += program.typed
        self.take_stock(program)

    def to_the_end(self) -> None:
        """Answer whatever is still asked."""
        program = self.started()
        program.walk()
        assert 1 == program.end()
        self.take_stock(program)

    def started(self) -> Program:
        """The program on the run, or on a new one where none was opened yet."""
        lines = self.lines()
        if not lines:
            return begun(self.book, self.script)
        last = datetime.fromisoformat(lines[-1]["at"].replace("Z", "+00:00"))
        return Program(self.book, ("--resume", "--json", "--as", at_work(lines)), clock(last + BETWEEN), self.script)

    def lines(self) -> list[Line]:
        """The daybook so far."""
        found = runs(self.book)
        return daybook(found[0]) if found else []

    def take_stock(self, program: Program) -> None:
        """What was acknowledged is in its line; of the one answer that was under way all is there, or nothing."""
        own = answers(self.lines())
        told = [(number, asked) for number, asked in program.stored if asked["prompt"] != "step_state"]
        self.acknowledged += [number for number, _ in told]
        under_way = program.waiting is not None and program.waiting["prompt"] != "step_state"
        assert self.acknowledged == [line["seq"] for line in own[: len(self.acknowledged)]]
        assert len(own) - len(self.acknowledged) in ((0, 1) if under_way else (0,))
        if len(own) > len(self.acknowledged) and program.waiting is not None:
            self.acknowledged.append(own[-1]["seq"])
            self.script.stored(program.waiting)


def begun(book: Path, script: Script) -> Program:
    """A new run of the head by Ines."""
    return Program(book, (HEAD, "--json", "--as", "Ines"), clock(BEGUN), script)


def clock(at: datetime) -> str:
    """Handed in: half a minute passes with every line."""
    return f"{at.isoformat()}+30s"


def at_work(lines: list[Line]) -> str:
    """The name of whoever goes on: the one it was handed to last."""
    return str(next((line["to"]["name"] for line in reversed(lines) if line["event"] == "handed_over"), "Ines"))


def said(lines: list[Line]) -> list[Line]:
    """The answers of a daybook without what a kill may change: numbers, hashes and times."""
    place = {line["seq"]: number for number, line in enumerate(answers(lines), start=1)}
    return [
        {
            key: place[value] if key in ("of", "about") and value else value
            for key, value in line.items()
            if key not in ("seq", "prev", *OF_THE_CLOCK)
        }
        for line in answers(lines)
    ]


def recorded(run: Path) -> Record:
    """The record of a run, likewise, and without the breaks."""
    procedure, plan, kept = ((run / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl"))
    record = tomllib.loads(build(procedure, plan, kept).decode())
    breaks = record["interruption"]
    record["interruption"] = [row for row in breaks if row["what"] not in OF_A_BREAK]
    assert record["deviations"] == len(record["deviation"])
    record["deviation"] = [
        row for row in record["deviation"] if [READ_AFTERWARDS] != [each["kind"] for each in row["departed"]]
    ]
    record["deviations"] = len(record["deviation"])
    place = {line["seq"]: number for number, line in enumerate(answers(daybook(run)), start=1)}
    found: Record = everywhere({key: part for key, part in record.items() if key not in OF_THE_RUN}, place.__getitem__)
    return found


def everywhere(part: Any, place: Callable[[int], int]) -> Any:
    """A part of a record without times, its lines counted as answers."""
    match part:
        case dict():
            kept = {key: value for key, value in part.items() if key not in OF_THE_CLOCK}
            return {
                key: place(value) if key in ("line", "corrects") or key.endswith("_line") else everywhere(value, place)
                for key, value in kept.items()
            }
        case list():
            return [everywhere(each, place) for each in part]
        case _:
            return part
