"""Runs that are verified several at once: the same is found in the same order as one after the other."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from benchmarks.old_books import made
from clampbook.book.book import Book
from clampbook.book.soundness import in_processes
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.side_by_side import looked_at
from clampbook.book.soundness.verifying import Verifying, over

MANY = 40  # runs
CHANGED = 17  # the one that somebody edited


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with so many sealed runs; one of them says another torque than was read."""
    root = tmp_path_factory.mktemp("whinchat") / "book"
    made(root, MANY)
    record = over(Book.open(root))[CHANGED].path / "record.toml"
    record.write_bytes(record.read_bytes().replace(b"30.1", b"31.1", 1))
    return root


def in_turn(root: Path) -> list[Looked]:
    """One after the other."""
    book = Book.open(root)
    verifying = Verifying(book)
    return [verifying.look(run) for run in over(book)]


@pytest.mark.parametrize("how", multiprocessing.get_all_start_methods())
def test_processes_find_what_one_finds_in_the_same_order(root: Path, how: str) -> None:
    """However the system starts them."""
    book = Book.open(root)

    found = list(
        looked_at(Verifying(book), over(book), {}, alone=0, at_once=2, context=multiprocessing.get_context(how))
    )

    assert found == in_turn(root)
    assert [CHANGED] == [at for at, each in enumerate(found) if not each.found.sound]
    assert [] == multiprocessing.active_children()


def test_a_small_book_is_verified_before_a_process_is_started(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Starting one would take longer than the runs do."""
    book = Book.open(root)
    monkeypatch.setattr(in_processes, "ProcessPoolExecutor", None)

    assert list(looked_at(Verifying(book), over(book), {}, alone=60, at_once=8)) == in_turn(root)


@pytest.mark.parametrize("why", [OSError(11, "no more processes"), ImportError("no semaphores"), NotImplementedError()])
def test_where_no_process_can_be_started_one_does_it_all(
    root: Path, monkeypatch: pytest.MonkeyPatch, why: Exception
) -> None:
    """Nothing is left out, nothing comes twice."""

    def refused(*_: object, **__: object) -> None:
        raise why

    book = Book.open(root)
    monkeypatch.setattr(in_processes, "ProcessPoolExecutor", refused)

    assert list(looked_at(Verifying(book), over(book), {}, alone=0, at_once=2)) == in_turn(root)


def test_what_a_process_that_was_killed_did_not_bring_is_done_here(root: Path) -> None:
    """As where the memory did not reach: each run is told once."""
    book = Book.open(root)
    found = []
    for each in looked_at(Verifying(book), over(book), {}, alone=0, at_once=2):
        found.append(each)
        if len(found) == 3:
            for process in multiprocessing.active_children():
                assert process.pid is not None
                os.kill(process.pid, signal.SIGKILL)

    assert found == in_turn(root)


def test_whoever_stops_leaves_no_process_behind(root: Path) -> None:
    """They are sent home with the runs that they are at."""
    book = Book.open(root)
    each_of_them = looked_at(Verifying(book), over(book), {}, alone=0, at_once=2)
    next(each_of_them)
    processes = multiprocessing.active_children()
    assert 2 == len(processes)

    each_of_them.close()

    for process in processes:
        process.join(20)
    assert [] == multiprocessing.active_children()


@pytest.mark.skipif(not Path("/proc").exists(), reason="what became of a process is read off /proc")
def test_processes_end_with_the_one_that_started_them(root: Path) -> None:
    """Killed, it can send nobody home."""
    told = (
        "import sys, time, multiprocessing; from pathlib import Path;"
        "from clampbook.book.book import Book; from clampbook.book.soundness.side_by_side import looked_at;"
        "from clampbook.book.soundness.verifying import Verifying, over; book = Book.open(Path(sys.argv[1]));"
        "each = looked_at(Verifying(book), over(book), {}, alone=0, at_once=2); next(each);"
        "print(*(p.pid for p in multiprocessing.active_children()), flush=True); time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", told, str(root)], stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        started = [Path("/proc") / pid for pid in program.stdout.readline().split()]
        assert 2 == len(started) and all(each.exists() for each in started)
        program.kill()
    until = time.monotonic() + 20
    while any(_runs(each) for each in started) and time.monotonic() < until:
        time.sleep(0.05)

    assert not any(_runs(each) for each in started)


def _runs(process: Path) -> bool:
    """True while it is neither gone nor only waiting to be taken note of."""
    try:
        return "\nState:\tZ" not in (process / "status").read_text(encoding="utf-8")
    except OSError:
        return False
