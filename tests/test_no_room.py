"""A disk that fills up while the real program works, and gets room again: the system's own limit on a file's size.

The limit is that of the running program, changed from outside while it runs; it refuses a write as a full disk does.
"""

from __future__ import annotations

import random
import resource
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from clampbook import demo
from clampbook.ledger.chain import chain_faults
from piping import Asked, Program, daybook, runs
from test_kills import recorded, said
from whinchat import HEAD, Script

UNLIMITED = resource.RLIM_INFINITY
TIMES = 25  # that the disk is full on the way
TRIES = 3  # lines typed while it is
BEGUN = "2026-03-02T09:00:00+00:00+5s"


@dataclass
class OnADisk(Program):
    """The program on a disk that is full at some places of the script, each with the bytes that are still free.

    `full` are the sentences in which it said so.
    """

    places: tuple[tuple[int, int], ...] = ()
    full: tuple[str, ...] = ()

    def _type(self, line: str) -> None:
        for place, free in self.places:
            if self.typed == place:
                self._room((runs(self.book)[0] / "daybook.jsonl").stat().st_size + free)
            elif self.typed == place + TRIES:
                self._room(UNLIMITED)
        super()._type(line)

    def _room(self, size: int) -> None:
        """No file can be made larger than this from now on."""
        resource.prlimit(self.process.pid, resource.RLIMIT_FSIZE, (size, UNLIMITED))

    def _objects(self) -> Iterator[Asked]:
        for told in super()._objects():
            if "no room" in told.get("refused", ""):
                self.full += (told["refused"],)
                self.waiting = None  # the question comes again, and is answered from its beginning
            yield told


def walk_of(book: Path, places: tuple[tuple[int, int], ...] = ()) -> OnADisk:
    """The head walked to its end on a disk that is full at these places."""
    demo.make(book)
    program = OnADisk(book, (HEAD, "--json", "--as", "Ines"), BEGUN, Script(), places=places)
    program.walk()
    assert 1 == program.end()
    return program


def test_a_full_disk_is_told_and_the_run_goes_on_when_there_is_room(tmp_path: Path) -> None:
    """Refused with a sentence, asked again, and taken once there is room: the same answers and record as ever."""
    chance = random.Random("full disk")
    undisturbed = walk_of(tmp_path / "undisturbed")
    before = runs(undisturbed.book)[0]
    places = tuple((place, chance.randrange(250)) for place in range(8, undisturbed.typed, undisturbed.typed // TIMES))

    program = walk_of(tmp_path / "book", places)

    run = runs(program.book)[0]
    assert len(places) <= len(program.full)
    assert {f"'{run / 'daybook.jsonl'}' could not be written: there is no room left; make room and try again"} == set(
        program.full
    )
    assert [] == chain_faults(run / "daybook.jsonl", (run / "daybook.jsonl").read_bytes().splitlines())
    assert said(daybook(before)) == said(daybook(run))
    assert recorded(before) == recorded(run)
    assert [] == list(run.glob("*torn*"))
