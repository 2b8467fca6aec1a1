"""Work in a book on a shared drive: calls to the drive, and seconds where each of them takes ten milliseconds."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from time import perf_counter

from benchmarks.terminal import terminal
from far_disk import FarDisk, Laptop, can_be_played
from sealing import shop, walked

MS = 10  # that each call takes
_PROGRAM = [sys.executable, "-m", "clampbook.cli"]
Cost = tuple[int, float]


def costs(compiled: Path, old: Path) -> Iterator[tuple[str, Cost]]:
    """What is done, and its calls and seconds; `old` is a book of many runs, all of them sealed."""
    yield "bench painted", _of(old, lambda disk: _bench(disk, compiled))
    with tempfile.TemporaryDirectory() as folder:
        at = shop(Path(folder) / "book", keys=False)
        yield "bench painted, no run yet", _of(at.book.root, lambda disk: _bench(disk, compiled))
        yield "first prompt of a run", _of(at.book.root, _first_prompt)
        yield "one answer", _of(at.book.root, _one_answer)
        run = walked(at)
        yield "seal", _of(at.book.root, lambda disk: _sealed(disk, run.id))


def _of(root: Path, done: Callable[[FarDisk], Cost]) -> Cost:
    with tempfile.TemporaryDirectory() as folder:
        return done(FarDisk(root, Path(folder) / "line", MS))


def _bench(disk: FarDisk, compiled: Path) -> Cost:
    given = [f"{name}={value}" for name, value in disk.env().items() if name.startswith(("FAR_", "LD_PRELOAD"))]
    with terminal(["env", *given, *_PROGRAM, "--book", disk.book], compiled) as program:
        program.wait_for("What do you want to do?")
        program.rest(quiet=1.0)
        return disk.count(), program.arrived[-1][0] - program.begun


def _first_prompt(disk: FarDisk) -> Cost:
    begun = perf_counter()
    laptop = Laptop(disk, "Ines", "cover")
    laptop.next_seen()
    cost = disk.count(), perf_counter() - begun
    laptop.ended()
    return cost


def _one_answer(disk: FarDisk) -> Cost:
    laptop = Laptop(disk, "Ines", "cover")
    laptop.next_seen()
    before, begun = disk.count(), perf_counter()
    laptop.answer()
    laptop.next_seen()
    cost = disk.count() - before, perf_counter() - begun
    laptop.ended()
    return cost


def _sealed(disk: FarDisk, run: str) -> Cost:
    begun = perf_counter()
    words = [*_PROGRAM, "seal", run, "--book", str(disk.book)]
    subprocess.run(words, check=True, capture_output=True, env=disk.env())
    return disk.count(), perf_counter() - begun


def table(compiled: Path, old: Path) -> None:
    """Print what each costs."""
    if not can_be_played():
        print("On a shared drive: not measured, there is no C compiler here.")
        return
    for what, (calls, seconds) in costs(compiled, old):
        print(f"On a shared drive, {MS} ms a call: {what:<26} {calls:>5} calls {seconds:>7.2f} s", flush=True)
