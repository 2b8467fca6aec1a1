"""What a book of many sealed runs costs beside a book of ten: whatever a person waits for must not grow with it.

Quick, with 1 000 runs, in a minute or two; `--long` with 10 000 runs. Each row is measured in turns in one run, with
its goal; exit status as of `run.py`, which this does not belong to because its books are large. The row of several
runs verified at once is by the clock, and says something only where nothing else runs.
"""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from math import log
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from benchmarks import shared_drive  # noqa: E402
from benchmarks.old_books import SHEET, old_book  # noqa: E402
from benchmarks.run import row  # noqa: E402
from benchmarks.terminal import terminal  # noqa: E402
from benchmarks.walking import Pair  # noqa: E402
from clampbook.archive import tables  # noqa: E402
from clampbook.archive.index import Archive  # noqa: E402
from clampbook.archive.store import INDEX  # noqa: E402
from clampbook.book.book import Book  # noqa: E402
from clampbook.book.sealing.of_run import Signing  # noqa: E402
from clampbook.book.soundness.side_by_side import looked_at, processors  # noqa: E402
from clampbook.book.soundness.verifying import Verifying  # noqa: E402
from museum import own  # noqa: E402
from sealing import COVER, Shop, Ticking, walked  # noqa: E402

FEW, MANY, VERY_MANY = 10, 1_000, 10_000  # runs
STARTS, SEALS = 7, 9  # measured of each
_ASKED = "Engine serial number"
_PROGRAM = [sys.executable, "-m", "clampbook.cli"]


def measured(many: int, compiled: Path) -> Iterator[tuple[str, str, Pair, float]]:
    """What is measured in a book of `many` runs, against what, both times, and the greatest ratio wanted."""
    large, small = old_book(many), old_book(FEW)
    of_ten, some = f"{FEW} runs", many // 10

    def both(seconds: Callable[[Path], float], times: int) -> Pair:
        took = [(seconds(large), seconds(small)) for _ in range(times + 1)][1:]
        return Pair(median(each for each, _ in took), median(each for _, each in took))

    yield f"index made, a run, {many} runs", "parsing, inserting its rows", _indexed(large, many), 2.0
    _indexed(small, FEW)
    yield f"bench painted, {many} runs", of_ten, both(lambda root: _bench(root, compiled), STARTS), 1.3
    yield f"Esc until the bench is back, {many}", of_ten, both(lambda root: _back(root, compiled), STARTS), 1.3
    yield f"first prompt of a run, {many} runs", of_ten, both(lambda root: _first_prompt(root, compiled), STARTS), 1.3
    yield f"answer that names the joint, {many}", of_ten, both(_names_the_joint, STARTS), 1.3
    yield f"verify one run of {many}", of_ten, both(_verified_one, STARTS), 1.5
    yield f"seal, log of {3 * many} lines", f"log of {3 * FEW} lines", both(_sealed, SEALS), 1.2
    yield f"verify all, a run, {many} runs", f"{some} runs", _verified_all(large, old_book(some)), 1.1
    if processors() > 1:
        yield f"verify all, {processors()} at once", "one after the other", _side_by_side(large), 0.8


def file_calls(many: int, compiled: Path) -> Iterator[tuple[str, float]]:
    """How often the bench, and each command by which one looks into the book or begins a run, calls the system with the
    name of a file of it, for each settled run more. The index is there already."""
    large, small = old_book(many), old_book(FEW)
    for root in (large, small):
        with Archive(root) as archive:
            archive.refresh()
    yield "bench", (_called_at_bench(large, compiled) - _called_at_bench(small, compiled)) / (many - FEW)
    for command in (["runs"], ["due"], ["tools"], ["find", "cover"], ["walk", "cover", "--as", "Ines", "--plain"]):
        yield command[0], (_called(large, command) - _called(small, command)) / (many - FEW)


def _called_at_bench(root: Path, compiled: Path) -> int:
    with _traced() as (told, traced):
        with terminal([*traced, *_PROGRAM, "--book", root], compiled) as program:
            program.wait_for("What do you want to do?")
            program.rest(quiet=3.0, first=5.0)
        return _about(root, told)


def _called(root: Path, command: list[str]) -> int:
    with _kept(root), _traced() as (told, traced):
        whole = [*traced, *_PROGRAM, *command, "--book", str(root)]
        subprocess.run(whole, stdin=subprocess.DEVNULL, capture_output=True, check=False)
        return _about(root, told)


@contextlib.contextmanager
def _traced() -> Iterator[tuple[Path, list[str]]]:
    """A file, and the command that writes into it each call of another program with the name of a file."""
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "calls"
        yield told, ["strace", "-f", "-qq", "-s", "500", "-e", "trace=%file", "-o", str(told)]


def _about(root: Path, told: Path) -> int:
    return sum(f'"{root}' in line for line in told.read_text(errors="replace").splitlines())


def _bench(root: Path, compiled: Path) -> float:
    """Seconds from the start of the program until the bench is painted, with the number of records."""
    with terminal([*_PROGRAM, "--book", root], compiled) as program:
        program.wait_for("closed runs")
        return program.arrived[-1][0] - program.begun


def _back(root: Path, compiled: Path) -> float:
    """Seconds from Esc, at the list of tools, until the bench is painted."""
    with terminal([*_PROGRAM, "--book", root], compiled) as program:
        program.wait_for("closed runs")
        program.rest(quiet=0.5)
        for key, shown in (("2", ""), ("\r", "Which tool or adapter?"), ("\x1b", "What do you want to do?")):
            program.press(key)
            program.wait_for(shown)
            took = program.arrived[-1][0] - program.begun
            program.rest(quiet=0.5)
        return took


def _first_prompt(root: Path, compiled: Path) -> float:
    """Seconds from the start of the program until a new run asks its first question."""
    with _kept(root), terminal([*_PROGRAM, "walk", "cover", "--as", "Ines", "--book", root], compiled) as program:
        program.wait_for(_ASKED)
        return program.arrived[-1][0] - program.begun


def _names_the_joint(root: Path) -> float:
    """Seconds from the Enter after the serial number of an engine until the next question."""
    command = [*_PROGRAM, "walk", "cover", "--as", "Ines", "--plain", "--json", "--book", str(root)]
    with _kept(root), subprocess.Popen(command, stdin=-1, stdout=-1, stderr=subprocess.DEVNULL, text=True) as program:
        assert program.stdin is not None and program.stdout is not None
        while _ASKED not in str((asked := json.loads(program.stdout.readline()))["text"]):
            program.stdin.write("+\n")
            program.stdin.flush()
        assert asked["prompt"] == "start_sheet"
        begun = perf_counter()
        program.stdin.write("EN-7\n")
        program.stdin.flush()
        while "prompt" not in json.loads(program.stdout.readline()):
            pass
        took = perf_counter() - begun
        program.stdin.close()
    return took


def _verified_one(root: Path) -> float:
    """Seconds that verifying its latest run takes, with the start of the program."""
    begun = perf_counter()
    name = sorted(path.name for path in (root / "runs").iterdir())[-1]
    subprocess.run([*_PROGRAM, "verify", name, "--book", str(root)], check=True, capture_output=True)
    return perf_counter() - begun


def _verified_all(large: Path, small: Path) -> Pair:
    """Seconds of one processor a run for all of either book: parts of the large one as long as the small one is, and
    that in between, so that both see the same machine."""
    ours = theirs = 0.0
    begun = process_time()
    book = Book.open(large)
    verifying, runs = Verifying(book), book.runs()
    assert not verifying.book()
    ours += process_time() - begun
    count = len(Book.open(small).runs())
    for at in range(0, len(runs), count):
        begun = process_time()
        assert all(verifying.run(run).sound for run in runs[at : at + count])
        between = process_time()
        other = Verifying(Book.open(small))
        assert not other.book()
        assert all(other.run(run).sound for run in Book.open(small).runs())
        ours, theirs = ours + between - begun, theirs + process_time() - between
    return Pair(ours / len(runs), theirs / len(runs))


def _side_by_side(root: Path) -> Pair:
    """Seconds by the clock for all of a book: as the command does it, and one run after the other."""
    book = Book.open(root)
    verifying, runs = Verifying(book), book.runs()
    begun = perf_counter()
    assert all(each.found.sound for each in looked_at(verifying, runs, {}))
    between = perf_counter()
    assert all(verifying.look(run).found.sound for run in runs)
    return Pair(between - begun, perf_counter() - between)


def _sealed(root: Path) -> float:
    """Seconds for sealing a run that is closed and needs no signature."""
    book = Book.open(root)
    at = Shop(book, book.person_named("Ines"), book.person_named("Maud"), Ticking())
    with _kept(root):
        own(root, "cover", COVER)
        run = walked(at)
        begun = perf_counter()
        Signing(book, run, at.clock).seal()
        return perf_counter() - begun


def _indexed(root: Path, count: int) -> Pair:
    """Seconds a run for the index, against parsing the same records and inserting the same rows."""
    (root / INDEX).unlink(missing_ok=True)
    begun = perf_counter()
    with Archive(root) as archive:
        archive.refresh()
    ours = perf_counter() - begun
    begun = perf_counter()
    for path in sorted((root / "runs").glob("*/record.toml")):
        tomllib.loads(path.read_bytes().decode())
    return Pair(ours / count, (perf_counter() - begun + _inserted(root)) / count)


def _inserted(root: Path) -> float:
    names = ("run", "later", "meter", "pull")
    words = "number, procedure, equipment, people, tools, lots, rest"
    with contextlib.closing(sqlite3.connect(root / INDEX)) as made:
        rows = {name: made.execute(f"SELECT * FROM {name}").fetchall() for name in names}
        of_words = made.execute(f"SELECT {words} FROM run").fetchall()
    with tempfile.TemporaryDirectory(dir=root) as folder:
        begun = perf_counter()
        with contextlib.closing(sqlite3.connect(Path(folder) / "bare", isolation_level=None)) as bare:
            tables.make(bare)
            bare.execute("BEGIN")
            for name, found in rows.items():
                if found:
                    bare.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * len(found[0]))})", found)
            bare.executemany(
                f"INSERT INTO words (rowid, {words.partition(', ')[2]}) VALUES (?, ?, ?, ?, ?, ?, ?)", of_words
            )
            bare.execute("COMMIT")
        return perf_counter() - begun


@contextlib.contextmanager
def _kept(root: Path) -> Iterator[None]:
    """The book is afterwards what it was before: the log, the procedure, and no run more."""
    log_of, before = root / "book.jsonl", {path.name for path in (root / "runs").iterdir()}
    whole = log_of.read_bytes()
    try:
        yield
    finally:
        for path in (root / "runs").iterdir():
            if path.name not in before:
                shutil.rmtree(path)
        log_of.write_bytes(whole)
        own(root, "cover", SHEET)


def main() -> int:
    """Measure, print the table, and give the exit status."""
    many = VERY_MANY if "--long" in sys.argv[1:] else MANY
    print(f"{'what':<36} {'against':<26} {'ours':>11} {'theirs':>11} {'ratio':>7} {'goal':>7}", flush=True)
    missed = []
    with tempfile.TemporaryDirectory(prefix="clampbook-compiled-") as compiled:
        for what, against, pair, goal in measured(many, Path(compiled)):
            growth = log(pair.ratio) / log(many / FEW)
            if not row(what, against, pair, goal):
                missed.append(f"{what} (grows by the power {growth:.2f})")
        if shutil.which("strace") is None:
            print("File calls a settled run: not counted, there is no strace here.")
        else:
            for command, calls in file_calls(many, Path(compiled)):
                missed += [] if calls <= 1 else [f"file calls of {command}"]
                print(f"File calls a settled run, {command}: {calls:.2f}, goal ≤ 1{'' if calls <= 1 else '  missed'}")
        shared_drive.table(Path(compiled), old_book(many))
    print(f"\nMissed: {', '.join(missed)}." if missed else "\nEvery goal is reached.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
