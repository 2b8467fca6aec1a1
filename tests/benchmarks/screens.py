"""What the screens cost beside bare programs of the same toolkit: starting, and Enter on a reading.

All through a bare pseudo-terminal, ours and theirs in turns.
"""

from __future__ import annotations

import re
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median

from benchmarks.terminal import Shown, Terminal, terminal
from benchmarks.walking import Pair
from clampbook import demo
from clampbook.book.book import Book
from museum import own

STARTS, READINGS = 15, 21  # measured of each
FEW, MANY = 10, 200  # positions
_HERE = Path(__file__).parent
_CAUTIONS = "Read the cautions."
_ASKED = "something here"  # the sign before it stands under the cursor
_DOWN = "\x1b[B"
_APART = 0.06  # seconds between two keys; faster would be a tool that types
_LARGE = (120, 36)
_ROWS = """\
format = 2
title = "Rows of bolts (invented)"
revision = "A"
unit = "N·m"

[layout]
rows = [{rows}]

[[group]]
name = "Bolts"
thread = "M10"
sequence = "listed"

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
rounds = {rounds}
"""

_TOOLS = """\
format = 2

[[tool]]
id = "w5"
name = "W5"
kind = "indicating"
unit = "lbf·ft"
range = ["5 lbf·ft", "40 lbf·ft"]
resolution = "0.1 lbf·ft"
"""


def bench_started(folder: Path) -> Pair:
    """Median seconds until the bench of the demo book answers a key, and until a bare program does."""
    book = demo.make(folder / "bench")[0]
    ours = [*_clampbook(), "--book", book.root]
    return _started(folder, ours, "What do you want to do?", _DOWN, _has_chosen)


def sheet_started(folder: Path) -> Pair:
    """The same for the start sheet of a new run, its procedure read, planned and frozen before."""
    book = demo.make(folder / "sheet")[0]

    def no_other_is_open() -> None:
        for run in book.runs():
            shutil.rmtree(run.path)

    command = [*_walk(book), "whinchat-coupling-flange"]
    return _started(folder, command, _CAUTIONS, "/", _asks_for_a_note, no_other_is_open)


def sheet_taken_up(folder: Path) -> Pair:
    """The same for the start sheet of a run that was opened before."""
    book = demo.make(folder / "taken up")[0]
    with terminal([*_walk(book), "whinchat-coupling-flange"], folder / "compiled") as program:
        program.wait_for(_CAUTIONS)
        program.rest()
    return _started(folder, [*_walk(book), "--resume"], _CAUTIONS, "/", _asks_for_a_note)


def readings(folder: Path) -> Pair:
    """Median seconds from Enter on a reading until it is stored and the next question painted; in a bare program,
    until a line is stored and a label painted."""
    storing: list[str | Path] = [sys.executable, _HERE / "bare_storing_app.py", folder / "lines.txt"]
    with _at_a_reading(folder, FEW, (80, 24)) as ours, terminal(storing, folder / "compiled") as theirs:
        theirs.wait_for(_ASKED)
        theirs.rest()
        return _in_turns(lambda: _enter(ours), lambda: _enter(theirs), READINGS)


def maps_painted(folder: Path) -> Pair:
    """The same with the map of two hundred positions on the screen, and with that of ten."""
    with _at_a_reading(folder, MANY, _LARGE) as many, _at_a_reading(folder, FEW, _LARGE) as few:
        return _in_turns(lambda: _enter(many), lambda: _enter(few), READINGS)


def _walk(book: Book) -> list[str | Path]:
    return [*_clampbook(), "walk", "--as", "Ines", "--book", book.root]


def _clampbook() -> list[str | Path]:
    return [sys.executable, "-m", "clampbook.cli"]


def _started(
    folder: Path,
    ours: list[str | Path],
    text: str,
    key: str,
    answered: Callable[[Shown], bool],
    before: Callable[[], None] = lambda: None,
) -> Pair:
    bare: list[str | Path] = [sys.executable, _HERE / "bare_app.py"]

    def start() -> float:
        before()
        return _start(folder, ours, text, key, answered)

    return _in_turns(
        start,
        lambda: _start(folder, bare, _ASKED, "x", _stands_in_a_field),
        STARTS,
    )


def _in_turns(ours: Callable[[], float], theirs: Callable[[], float], times: int) -> Pair:
    """Median seconds of both in turns, after one turn each that does not count."""
    took = [(ours(), theirs()) for _ in range(times + 1)][1:]
    return Pair(median(each for each, _ in took), median(each for _, each in took))


def _start(folder: Path, command: list[str | Path], text: str, key: str, answered: Callable[[Shown], bool]) -> float:
    """Seconds from the start of a program until it has painted what it asks, and from a key then to its answer."""
    with terminal(command, folder / "compiled") as program:
        program.wait_for(text)
        program.rest(quiet=0.05, first=0.05)
        painted = program.arrived[-1][0] - program.begun
        program.press(key)
        program.rest(quiet=0.25)
        return painted + program.seen(answered)


def _stands_in_a_field(lines: Shown) -> bool:
    return any(re.fullmatch(r"\W*x\W*", line) for line in lines)


def _has_chosen(lines: Shown) -> bool:
    """The number of the first line stands in the field."""
    return any(line.split() == ["number", "1"] for line in lines)


def _asks_for_a_note(lines: Shown) -> bool:
    return any(line.startswith(" Type the note.") for line in lines)


def _enter(program: Terminal) -> float:
    """Type a number as a person does; seconds from its Enter until what comes of it is painted."""
    for key in "22.1":
        program.press(key)
        time.sleep(_APART)
    program.rest()
    program.seen()
    program.press("\r")
    program.rest()
    return program.seen()


@contextmanager
def _at_a_reading(folder: Path, count: int, size: tuple[int, int]) -> Iterator[Terminal]:
    """A walk at its first reading, with a tool that shows the torque; the joint has so many positions."""
    book = demo.make(folder / f"{count}-{size[0]}")[0]
    book.path("tools.toml").write_text(_TOOLS, encoding="utf-8")
    numbers = [str(number) for number in range(1, count + 1)]
    rows = ", ".join(f'"{" ".join(numbers[at : at + 20])}"' for at in range(0, count, 20))
    rounds = 1 + 2 * READINGS // count
    own(book.root, "rows", _ROWS.format(rows=rows, rounds=rounds))
    with terminal([*_walk(book), "rows"], folder / "compiled", size) as program:
        for text, keys in (("Pick up a torque tool", "1\r"), ("zero", "1\r"), ("slowly to", "")):
            program.wait_for(text)
            for key in keys:
                program.rest()
                program.press(key)
        yield program
