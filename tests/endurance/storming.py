"""Keys and bytes at random for the full screen in a real terminal, whose size changes meanwhile.

Each storm begins at the bench and ends with Ctrl-C, which must lead out. Whatever came before: no traceback, no
sentence about something unexpected, an exit status of the program's own, and a terminal as it was.
"""

from __future__ import annotations

import contextlib
import os
import random
import re
import shutil
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path

import pexpect

from endurance.bytes_at_random import bytes_at_random
from endurance.rows import Found
from signers import PHRASE

PATIENCE = 20.0  # seconds until the program must have ended; longer than the longest it can be busy
TOLD = re.compile(rb"Traceback|not foreseen|nexpected error")
SIZES = ((24, 80), (36, 120), (15, 40), (50, 200), (5, 20), (1, 1), (24, 80), (60, 79))
AT_ONCE = 250  # inputs of one storm
LINES = 26  # of the bench of the full book; each storm begins at another of them
A_FEW = 6  # bytes of one input, about
CALM = 0.08  # seconds between two keys of a person
WATCHER = Path(__file__).with_name("watched.py")
_CTRL_C = b"\x03"
_GONE = re.compile(rb"\x1b\[\?1049[hl]")


class Terminal:
    """The program in a terminal of its own."""

    def __init__(self, book: Path, watched: Path, program: Path = WATCHER) -> None:
        rows, columns = SIZES[0]
        kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        surroundings = {**kept, "TERM": "xterm-256color", "LANG": "C.UTF-8", "WATCHED": str(watched)}
        self.child = pexpect.spawn(
            sys.executable,
            [str(program), "--book", str(book)],
            dimensions=(rows, columns),
            env=surroundings,
            encoding=None,
        )
        self.child.delaybeforesend = None
        self.said = b""
        self.before = termios.tcgetattr(self.child.child_fd)

    def look(self, seconds: float) -> None:
        """Take what is painted for so long."""
        until = time.monotonic() + seconds
        with contextlib.suppress(pexpect.TIMEOUT, pexpect.EOF):
            while True:
                self.said += self.child.read_nonblocking(1 << 16, max(0.0, until - time.monotonic()))
                if time.monotonic() >= until:
                    return

    def is_up(self) -> bool:
        """Whether the first screen came."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self.child.isalive():
            self.look(0.1)
            if b"\x1b[?1049h" in self.said and len(self.said) > 2000:
                return True
        return False

    def type(self, data: bytes) -> None:
        """Bytes, as the terminal sends them."""
        with contextlib.suppress(OSError):
            self.child.send(data)

    def ended(self) -> int | None:
        """The exit status; None where it does not end."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            self.look(0.05)
            if not self.child.isalive():
                status: int | None = self.child.exitstatus
                return status if status is not None else -(self.child.signalstatus or 0)
        return None

    def as_it_was(self) -> bool:
        """Whether the terminal shows its own lines again, and takes them as before."""
        changes = _GONE.findall(self.said)
        with contextlib.suppress(termios.error, OSError, ValueError):  # nobody has it open any more
            if termios.tcgetattr(self.child.child_fd)[:4] != self.before[:4]:
                return False
        return not changes or changes[-1].endswith(b"l")

    def left_alone(self) -> list[str]:
        """What is wrong after the program."""
        wrong = [] if self.as_it_was() else ["the terminal is not as it was"]
        told = TOLD.search(self.said)
        return wrong + ([f"it says {self.said[max(0, told.start() - 80) :][:4000]!r}"] if told else [])

    def close(self) -> None:
        """Whatever is left of it."""
        with contextlib.suppress(pexpect.ExceptionPexpect):
            self.child.close(force=True)


def storms(book: Path, place: Path, tries: int, seed: int) -> Found:
    """So many keys and bytes, in storms of some hundred inputs, each at a fresh copy of the book."""
    found = Found()
    number = 0
    while found.tries < tries:
        number += 1
        chance = random.Random(f"storm {seed} {number}")
        copy, watched = place / "book", place / "watched"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(book, copy)
        watched.write_text("", encoding="utf-8")
        _storm(
            found,
            copy,
            watched,
            chance,
            min(AT_ONCE, max(40, (tries - found.tries) // A_FEW)),
            number,
        )
        found.seen.update(watched.read_text(encoding="utf-8").split())
    return found


def _storm(found: Found, book: Path, watched: Path, chance: random.Random, most: int, number: int) -> None:
    name = f"storm {number}"
    terminal = Terminal(book, watched)
    typed: list[bytes] = []
    try:
        at_once = chance.random() < 0.1
        if not at_once and not terminal.is_up():
            found.failures.append(f"{name}: it does not come up: {terminal.said[-300:]!r}")
        terminal.look(1.0)
        for data, pause in _inputs(chance, most, str(1 + number % LINES)):
            if not terminal.child.isalive():
                break
            typed.append(data)
            terminal.type(data)
            terminal.look(pause)
            if chance.random() < 0.02:
                terminal.child.setwinsize(*chance.choice(SIZES))
        found.tries += max(1, sum(map(len, typed)))
        if terminal.child.isalive() and terminal.is_up():
            terminal.type(_CTRL_C)
        status = terminal.ended()
        wrong = terminal.left_alone()
        if status not in (0, 1, 2, 130):
            wrong.append("it does not end" if status is None else f"status {status}")
        if wrong:
            found.failures.append(f"{name}: {', '.join(wrong)}; typed last: {b'|'.join(typed[-12:])!r}")
    finally:
        terminal.close()


def _inputs(chance: random.Random, most: int, line: str) -> Iterator[tuple[bytes, float]]:
    """What is typed, and how long it takes to the next: calm keys that lead on, then a storm."""
    yield from _calm(chance, line)
    yield b"", 0.3
    yield from _calm(chance, chance.choice(("1", "2", "3", "+")))
    while (most := most - 1) > 0:
        if chance.random() < 0.06:
            yield from _calm(chance, chance.choice(_ON_PURPOSE))
            most -= 2
        elif chance.random() < 0.02:
            yield b"\x1b", 0.15  # alone it is a key
        else:
            yield bytes_at_random(chance), chance.choice((0.0, 0.0, 0.0, 0.002, 0.01, 0.04))


def _calm(chance: random.Random, text: str) -> Iterator[tuple[bytes, float]]:
    """As a person types: sign by sign, and Enter once it can be read."""
    for sign in text:
        yield sign.encode(), CALM
    if text not in ("+", "*") and chance.random() < 0.9:
        yield b"\r", 2 * CALM


_ON_PURPOSE = (*"123456789", *"111", *"++++", "10", "12", "15", "22.1", "30.1", "417", "-", "*8", "a note", PHRASE)
