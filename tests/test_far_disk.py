"""A book on a shared drive: two laptops at once, a slow line, and one that is cut in the middle of the work."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from benchmarks.terminal import terminal
from clampbook.book.book import Book
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger.chain import chain_faults
from far_disk import WHY_NOT, FarDisk, Laptop, can_be_played
from piping import daybook, runs
from sealing import shop

pytestmark = pytest.mark.skipif(not can_be_played(), reason=WHY_NOT)

LOST = [errno.EIO, errno.ENOTCONN, errno.ESTALE]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The book of a shop with one procedure, in which names are typed."""
    return shop(tmp_path / "book", keys=False).book.root


def intact(book: Path) -> list[str]:
    """How each run stands, once all of them and the log were found to be what they were."""
    verifying = Verifying(Book.open(book))
    found = [verifying.run(run) for run in Book.open(book).runs()]
    assert () == verifying.book()
    assert [] == [fault for each in found for fault in each.faults]
    return [each.state for each in found]


def test_two_laptops_at_once_each_in_its_own_run(book: Path, tmp_path: Path) -> None:
    """Both open a run, walk it, close and seal it, while the other one does the same; nobody is sent away."""
    laptops = [Laptop(FarDisk(book, tmp_path / who, ms=1), who, "cover") for who in ("Ines", "Maud")]
    going_on = list(laptops)
    while going_on:
        going_on = [each for each in going_on if each.answer()]

    assert [0, 0] == [each.ended()[0] for each in laptops]
    assert ["sealed", "sealed"] == intact(book)


def test_the_run_of_another_laptop_is_not_written_to(book: Path, tmp_path: Path) -> None:
    """Whoever comes second is told who has it, and the first one goes on."""
    first = Laptop(FarDisk(book, tmp_path / "one"), "Ines", "cover")
    first.answer()
    (run,) = runs(book)
    second = Laptop(FarDisk(book, tmp_path / "two"), "Maud", "--resume", run.name)

    status, talk = second.ended()

    assert 2 == status
    assert "Ines has" in talk and "open elsewhere (process" in talk
    while first.answer():
        pass
    assert 0 == first.ended()[0]
    assert ["sealed"] == intact(book)


@pytest.mark.parametrize("error", LOST)
def test_a_line_that_is_cut_between_two_pulls_takes_nothing(book: Path, tmp_path: Path, error: int) -> None:
    """What happened and what to do is said; once the line is mended the run goes on where it was."""
    first = Laptop(FarDisk(book, tmp_path / "one"), "Ines", "cover")
    while first.next_seen() and first.stored < 4:  # the first pull
        first.answer()
    first.disk.cut(error)
    first.answer()

    status, talk = first.ended()

    assert 2 == status
    assert "the disk does not answer (" in talk
    assert "Is it plugged in, or the network there? Bring it back, then try again." in talk
    (run,) = runs(book)
    assert first.stored == len(daybook(run))
    again = Laptop(FarDisk(book, tmp_path / "two"), "Ines", "--resume", run.name)
    while again.answer():
        pass
    assert 0 == again.ended()[0]
    assert ["sealed"] == intact(book)
    assert 2 == sum(line["event"] == "reading_taken" for line in daybook(run))


def test_the_full_screen_ends_with_the_same_sentence(book: Path, tmp_path: Path) -> None:
    """It gives its lock back as far as it can, and hides nothing behind that."""
    disk = FarDisk(book, tmp_path / "one")
    given = [f"{name}={value}" for name, value in disk.env().items() if name.startswith(("FAR_", "LD_PRELOAD"))]
    words: list[str | Path] = [sys.executable, "-m", "clampbook.cli", "walk", "cover", "--as", "Ines", "--book", book]
    with terminal(["env", *given, *words], tmp_path / "compiled", (400, 24)) as program:
        program.wait_for("Pick up a torque tool")
        program.rest()
        for key in "1\r":
            program.press(key)
            program.rest(first=0.3)
        program.rest()
        disk.cut(errno.ENOTCONN)
        for key in "1\r":
            program.press(key)
        program.wait_for("daybook.jsonl' could not be written: the disk does not answer (")
    disk.mend()
    (run,) = runs(book)
    assert ["opened", "tool_taken"] == [line["event"] for line in daybook(run)]
    finished(book, tmp_path)
    assert ["sealed"] == intact(book)


CALLS = 1_100  # of a whole run, about, from the start of the program until it is sealed
CUTS = int(os.environ.get("CLAMPBOOK_LINES_CUT", "8"))


@pytest.mark.parametrize("cut", range(CUTS))
def test_wherever_the_line_is_cut_the_run_comes_to_its_end(book: Path, tmp_path: Path, cut: int) -> None:
    """At any call from opening to sealing: no answer that was taken is lost, and nothing stands half done."""
    last, error = (2 * cut + 1) * CALLS // (2 * CUTS), LOST[cut % len(LOST)]
    first = Laptop(FarDisk(book, tmp_path / "one"), "Ines", "cover", last=last, error=error)
    while first.answer():
        pass

    status, talk = first.ended()

    assert status in (0, 1, 2), talk
    assert "Unexpected error" not in talk
    for run in runs(book):
        assert first.stored <= len(daybook(run))
        assert [] == chain_faults(run / "daybook.jsonl", (run / "daybook.jsonl").read_bytes().split(b"\n")[:-1])
    finished(book, tmp_path)
    assert ["sealed"] == intact(book)


def test_an_answer_costs_a_dozen_calls_and_no_more(book: Path, tmp_path: Path) -> None:
    """As many at the fifth as at the first, in whatever book: at ten milliseconds a call nobody waits for it."""
    laptop = Laptop(FarDisk(book, tmp_path / "one"), "Ines", "cover")
    counts = []
    for _ in range(4):
        assert "prompt" in laptop.next_seen()
        counts.append(laptop.disk.count())
        laptop.answer()

    assert all(after - before <= 12 for before, after in pairwise(counts)), counts
    laptop.ended()


def finished(book: Path, tmp_path: Path) -> None:
    """The line is mended, and somebody does what is still to be done."""
    command = [sys.executable, "-m", "clampbook.cli", "--book", str(book)]
    subprocess.run([*command, "runs"], check=True, capture_output=True)
    there = runs(book)
    if not there or Book.open(book).run(there[0].name).state == "open":
        more = ("--resume", there[0].name) if there else ("cover",)
        again = Laptop(FarDisk(book, tmp_path / "two"), "Ines", *more)
        while again.answer():
            pass
        assert 0 == again.ended()[0]
    (run,) = runs(book)
    if not (run / "seal.sha256").exists():
        subprocess.run([*command, "seal", run.name], check=True, capture_output=True)
