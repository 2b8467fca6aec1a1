"""Signals at any moment from the start to the end of the full screen, one or several, Ctrl-C twice among them.

Whenever they come the program ends as it was told, the terminal is as it was, and no traceback of its own is shown; one
that the interpreter shows before it has read the first line of the program is none.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
from pathlib import Path

from clampbook.ledger.chain import chain_faults
from endurance.rows import Found
from endurance.storming import Terminal

LATEST = 3.0  # seconds after the start; the screen is there after one or two
STATUSES = (130, -signal.SIGTERM, -signal.SIGHUP)  # the latter where it had ended anyway, but for its last words
ENDING = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGTSTP)
PASSING = (signal.SIGWINCH, signal.SIGCONT)
_CTRL_C = b"\x03"


def signals(book: Path, place: Path, tries: int, seed: int) -> Found:
    """So many starts of the program at a fresh copy of the book, each ended by signals."""
    found = Found()
    for number in range(tries):
        name = f"signals {seed} {number}"
        copy = place / "book"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(book, copy)
        found.tries += 1
        wrong = _one(copy, place / "watched", random.Random(name))
        if wrong:
            found.failures.append(f"{name}: {', '.join(wrong)}")
    return found


def _one(book: Path, watched: Path, chance: random.Random) -> list[str]:
    watched.write_text("", encoding="utf-8")
    terminal = Terminal(book, watched)
    sent: list[str] = []
    try:
        terminal.look(chance.uniform(0.05, LATEST))
        if b"\x1b[?1049h" in terminal.said and chance.random() < 0.5:
            terminal.type(b"1\r")  # something is in hand
            terminal.look(chance.uniform(0, 1.0))
        for _ in range(chance.choice((1, 1, 2, 3))):
            _send(terminal, chance.choice((*ENDING, *PASSING, None, "stopped")), sent)
            terminal.look(chance.choice((0.0, 0.001, 0.02, 0.3)))
        status = _ended(terminal, sent)
        wrong = [each for each in terminal.left_alone() if not _of_the_interpreter(terminal.said)]
        was_there = b"\x1b[?1049h" in terminal.said
        if status is None:
            wrong.append("it does not end")
        elif was_there and status not in STATUSES:
            wrong.append(f"status {status}")
        wrong += [
            str(fault) for path in book.glob("runs/*/daybook.jsonl") for fault in chain_faults(path, _lines(path))
        ]
        return [*wrong, f"after {' '.join(sent)}"] if wrong else []
    finally:
        terminal.close()


def _send(terminal: Terminal, what: signal.Signals | str | None, sent: list[str]) -> None:
    """A signal; "stopped" is a stop and go on, None is Ctrl-C typed."""
    with contextlib.suppress(ProcessLookupError):
        if what is None:
            sent.append("Ctrl-C")
            terminal.type(_CTRL_C)
        elif isinstance(what, str):
            sent.append(what)
            os.kill(terminal.child.pid, signal.SIGSTOP)
            terminal.look(0.05)
            os.kill(terminal.child.pid, signal.SIGCONT)
        else:
            sent.append(what.name)
            os.kill(terminal.child.pid, what)


def _ended(terminal: Terminal, sent: list[str]) -> int | None:
    """The exit status; a program that was only stopped goes on first, and one that nothing ended is told to end."""
    terminal.look(0.3)
    for last in (signal.SIGCONT, signal.SIGTERM):
        if terminal.child.isalive():
            _send(terminal, last, sent)
            terminal.look(0.3)
    return terminal.ended()


def _of_the_interpreter(said: bytes) -> bool:
    """Whether a traceback is that of the interpreter, which was still loading itself or this test's watcher."""
    return b"KeyboardInterrupt" in said and b"\x1b[?1049h" not in said and b"clampbook/__main__" not in said


def _lines(path: Path) -> list[bytes]:
    return path.read_bytes().split(b"\n")[:-1]
