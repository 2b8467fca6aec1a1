"""A disk that fills up while the real program works, and gets room again: the system's own limit on a file's size.

The limit is that of the running program, changed from outside while it runs; it refuses a write as a full disk does.
"""

from __future__ import annotations

import random
import resource
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from at_terminal import terminal
from clampbook.book.book import Book
from clampbook.book.mending import mend
from clampbook.book.sealing.finishing import finish
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.walking import conclude
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.refusals import LedgerFull
from clampbook.record.report import print_beside
from clampbook.run_folder import RunFolder
from covers import TIGHTENED, cover
from museum import museum, own
from piping import Asked, Program, daybook, runs
from sealing import Shop, Ticking, shop, signed, walked
from test_kills import recorded, said
from whinchat import HEAD, Script

UNLIMITED = resource.RLIM_INFINITY
TIMES = 25  # that the disk is full on the way
COVER = cover(TIGHTENED, title="Cylinder head cover", name="Head bolts")
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
        resource.prlimit(self.process.itself, resource.RLIMIT_FSIZE, (size, UNLIMITED))

    def _objects(self) -> Iterator[Asked]:
        for told in super()._objects():
            if "Disk full" in told.get("refused", ""):
                self.full += (told["refused"],)
                self.waiting = None  # the question comes again, and is answered from its beginning
            yield told


def walk_of(book: Path, places: tuple[tuple[int, int], ...] = ()) -> OnADisk:
    """The head walked to its end on a disk that is full at these places."""
    museum(book)
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
    assert {"Disk full. Your last answer is not saved. Free some space, answer again."} == set(program.full)
    assert [] == chain_faults(run / "daybook.jsonl", (run / "daybook.jsonl").read_bytes().splitlines())
    assert said(daybook(before)) == said(daybook(run))
    assert recorded(before) == recorded(run)
    assert [] == list(run.glob("*torn*"))


def test_a_full_disk_is_told_on_the_full_screen(tmp_path: Path) -> None:
    """The number is refused in a sentence and the question stands; with room again the same keys are taken, once."""
    book = museum(tmp_path / "book")
    own(book.root, "cover", COVER)
    with terminal(book.root, "walk", "cover", "--as", "Ines", size=(80, 24)) as person:
        person.wait_for("Pick up a torque tool")
        person.until("Type its reading")
        person.look(0.5)
        kept = runs(book.root)[0] / "daybook.jsonl"
        before = kept.read_bytes()
        resource.prlimit(person.program.pid, resource.RLIMIT_FSIZE, (len(before) + 20, UNLIMITED))

        person.press("22.1\r")
        person.wait_for("Disk full")
        assert "Head bolt 1" in person.asked
        assert before == kept.read_bytes()

        resource.prlimit(person.program.pid, resource.RLIMIT_FSIZE, (UNLIMITED, UNLIMITED))
        person.press("22.1\r")
        person.wait_for("Head bolt 2:")
        person.press("*0\r")
        person.to_its_end()

    assert ["22.1"] == [line["typed"] for line in daybook(kept.parent) if line["event"] == "reading_taken"]


ROOM = (0, 300, 900, 4_000, 20_000, 60_000)  # bytes that the largest file can have


@pytest.mark.parametrize("size", ROOM)
def test_a_disk_that_is_full_while_a_run_is_sealed(size: int, sealable: Path, tmp_path: Path) -> None:
    """Whatever finds no room is told; afterwards it is signed and sealed as if nothing had been."""
    shutil.copytree(sealable, tmp_path / "book")
    book = Book.open(tmp_path / "book")
    at = Shop(book, book.person_named("Ines"), book.person_named("Maud"), Ticking())
    run = book.runs()[0]

    with room(size):
        told = sealed_or_told(at, run)

    assert "Disk full" in told or told.endswith("The run is sealed.")
    signed(at, run).seal()
    assert () == Verifying(book).run(run).faults
    assert () == Verifying(book).book()
    assert [] == list(run.path.glob(".*"))


def sealed_or_told(at: Shop, run: RunFolder) -> str:
    """What is said by whoever signs and seals."""
    try:
        signing = signed(at, run)
    except LedgerFull as full:
        return full.sentence
    return " ".join(finish(signing))


def test_a_disk_that_is_full_as_a_run_ends(sealable: Path, tmp_path: Path) -> None:
    """The last answer is stored, and that is said; the record is made at the next start."""
    shutil.copytree(sealable, tmp_path / "book")
    book = Book.open(tmp_path / "book")
    run = book.runs()[0]
    record = run.path / "record.toml"
    before = record.read_bytes()
    record.unlink()

    with room(200), pytest.raises(LedgerFull, match=r"Disk full.*answers of .* are saved"):
        conclude(book, run)

    assert (f"{run.id}: its record was missing, and is written now.",) == mend(book)
    assert before == record.read_bytes()


def test_a_disk_that_is_full_while_a_report_is_printed(sealable: Path, tmp_path: Path) -> None:
    """The record stands, and one sentence says that the report found no room."""
    shutil.copytree(sealable, tmp_path / "book")
    run = Book.open(tmp_path / "book").runs()[0]
    before = sorted(path.name for path in run.path.iterdir())

    with room(20_000):
        told = print_beside(run.path)

    assert "Disk full" in told and "The record is saved" in told
    assert before == sorted(path.name for path in run.path.iterdir())
    assert print_beside(run.path).startswith("Report: ")


@pytest.fixture(scope="module")
def sealable(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with a run that is closed and neither signed nor sealed."""
    at = shop(tmp_path_factory.mktemp("sealable") / "book")
    walked(at)
    return at.book.root


@contextmanager
def room(size: int) -> Iterator[None]:
    """No file of this program can be made larger than this meanwhile."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
