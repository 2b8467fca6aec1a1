"""A person at the real program in a real pseudo-terminal, who reads the screen to know what to press.

Only the keys of a numeric pad are pressed: digits, point, Enter, plus, minus, star, slash.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pexpect
import pyte

PAD = frozenset("0123456789.,+-*/\r")
APART = 0.06  # seconds between two keys; less than 0.03 is a tool that types
HELD = {"+": 0.9, " ": 0.9, "\r": 0.25}  # seconds after which the same key again is a second press for certain
QUIET = 0.15  # seconds in which nothing is painted; then the question can be answered
ONCE_MORE = 4.0  # seconds after which a key of which nothing came is pressed again
PATIENCE = 60.0  # seconds for what must come, also on a busy machine
LEAST_PULL = 2.0  # seconds, as the sheets have it where they say nothing
BENCH = (
    r"^(What do you want to do|Resume|Start)\b"  # how the first screen begins, with or without room for its sentence
)
_ROWS_OF_THE_SENTENCE = 7


@dataclass
class Person:
    """Reads and presses. `pressed` holds each key with the second in which it was pressed."""

    program: pexpect.spawn[bytes]
    screen: pyte.Screen
    tool: str = "W5"  # taken for the head bolts; "": whatever stands first
    trial: bool = True
    procedure: str = "Cylinder head, pattern C"
    pressed: list[tuple[float, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._stream = pyte.ByteStream(self.screen)

    @property
    def text(self) -> str:
        """All that stands on the screen, in one line."""
        return _one_line(self.screen.display)

    @property
    def asked(self) -> str:
        """The upper rows, where the question stands."""
        return _one_line(self.screen.display[1:_ROWS_OF_THE_SENTENCE])

    def look(self, quiet: float = QUIET) -> str:
        """What stands on the screen once nothing more comes."""
        while self._read(quiet):
            pass
        return self.text

    def wait_for(self, pattern: str, seconds: float = PATIENCE) -> str:
        """What stands on the screen once this does. Raises AssertionError where it does not come."""
        until = time.monotonic() + seconds
        while not re.search(pattern, self.look()) and not re.search(pattern, self.asked):
            assert time.monotonic() < until and self.program.isalive(), f"{pattern!r}: {self.text}"
        return self.text

    @property
    def typed(self) -> str:
        """The row of the screen up to the cursor: what stands in the field is its end."""
        return str(self.screen.display[self.screen.cursor.y][: self.screen.cursor.x])

    def press(self, keys: str) -> None:
        """Press keys one after the other, as a person does who looks at the number before pressing Enter."""
        for key in keys.removesuffix("\r"):
            self._press_one(key)
        if keys.endswith("\r"):
            number, until = keys[:-1], time.monotonic() + ONCE_MORE
            while not self.typed.endswith(number) and time.monotonic() < until:
                self._read(APART)
            time.sleep(APART)
            self._press_one("\r")

    def _press_one(self, key: str) -> None:
        before = max((at for at, other in self.pressed if other == key), default=0.0)
        time.sleep(max(APART, before + HELD.get(key, APART) - time.monotonic()))
        self.send(key)

    def send(self, keys: str) -> None:
        """Keys in one burst."""
        now = time.monotonic()
        self.pressed += [(now, key) for key in keys]
        self.program.send(keys)

    def answer(self) -> str:
        """Answer what was asked when the screen was last looked at, as well as it can be answered; what was asked."""
        asked, sentence = self.asked, self.screen.display[1]
        keys = _keys(self, asked)
        self.press(keys)
        self.look()
        again, until = time.monotonic() + ONCE_MORE, time.monotonic() + PATIENCE
        while self.screen.display[1] == sentence and not asked.startswith("Wait "):
            if time.monotonic() > again:
                number = keys.removesuffix("\r")
                self.press("\r" if keys != number and self.typed.endswith(number) else keys)
                again += ONCE_MORE
            assert time.monotonic() < until, f"nothing comes of {keys!r}: {self.text}"
            self.look()
        return asked

    def until(self, pattern: str, most: int = 400) -> None:
        """Answer until this is asked."""
        self.look()
        for _ in range(most):
            if re.search(pattern, self.asked):
                return
            self.answer()
        raise AssertionError(f"{pattern!r} is never asked: {self.text}")

    def to_its_end(self) -> int:
        """Read what is said last; the exit status."""
        self.look(0.5)
        with contextlib.suppress(pexpect.EOF):
            self.program.expect(pexpect.EOF, timeout=PATIENCE)
        self.program.close()
        status: int | None = self.program.exitstatus
        assert status is not None, self.program.signalstatus
        return status

    def _read(self, seconds: float) -> bool:
        try:
            self._stream.feed(self.program.read_nonblocking(1 << 16, seconds))
        except (pexpect.TIMEOUT, pexpect.EOF):
            return False
        return True


@contextmanager
def terminal(book: Path | None, *arguments: str, size: tuple[int, int], tool: str = "W5") -> Iterator[Person]:
    """The program on a terminal of so many columns and rows; without a `book` for commands that know of none."""
    columns, rows = size
    command = ["-m", "clampbook.cli", *arguments, *(("--book", str(book)) if book is not None else ())]
    program = pexpect.spawn(
        sys.executable, command, dimensions=(rows, columns), timeout=PATIENCE, env=_surroundings(), encoding=None
    )
    program.delaybeforesend = None
    try:
        yield Person(program, pyte.Screen(columns, rows), tool)
    finally:
        program.close(force=True)


def _surroundings() -> dict[str, str]:
    """Those of the test, without a size that would be believed instead of the terminal's own."""
    kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
    return {**kept, "TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}


def _one_line(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def _keys(person: Person, asked: str) -> str:
    """The keys for what is asked."""
    for pattern, keys in _ANSWERS:
        found = re.search(pattern, asked)
        if found is not None:
            pressed = keys if isinstance(keys, str) else keys(person, found)
            assert set(pressed) <= PAD, pressed
            return f"{pressed}\r" if pressed[-1:].isdigit() else pressed  # a choice is its number, then Enter
    raise AssertionError(f"what to press? {person.text}")


def _choice(person: Person, wanted: str) -> str:
    """The number of the line that begins with this."""
    for line in person.screen.display:
        found = re.match(rf"\s*(\d+)\s+{re.escape(wanted)}", line)
        if found is not None:
            return found[1]
    raise AssertionError(f"{wanted} is not on the list: {person.text}")


def _some_tool(person: Person, found: re.Match[str]) -> str:
    """The tool of choice for the bolts that it can pull, else what stands first."""
    return _choice(person, person.tool) if person.tool and re.search("for (head )?bolt", found.string) else "1"


def _instead(person: Person, _: re.Match[str]) -> str:
    return _choice(person, person.tool)


def _set(person: Person, found: re.Match[str]) -> str:
    """Set it, or rather take the tool of choice for the large bolts."""
    return "*" if person.tool and float(found[1]) == 40 else f"{found[1]}\r"


def _let_go(_: Person, __: re.Match[str]) -> str:
    """A slow pull, then the one deliberate key."""
    time.sleep(LEAST_PULL)
    return "+"


def _waits(_: Person, __: re.Match[str]) -> str:
    """A look every ten seconds whether it is over."""
    time.sleep(10)
    return "+"


_Keys = str | Callable[[Person, re.Match[str]], str]
_ANSWERS: tuple[tuple[str, _Keys], ...] = (
    (BENCH, lambda person, _: _choice(person, person.procedure)),
    (r"Who are you\?", "1\r"),
    (r"final assembly or a trial", lambda person, _: "2" if person.trial else "1"),
    (r"Read the cautions|Read this before|do all of this first", "+"),
    (r"serial number\?|Work order\?|Engine hours\?|which lot\?", "417\r"),
    (r"how many( new ones)?\?", "10\r"),
    (r"Pick up a (torque tool|tool that)", _some_tool),
    (r"Pick up an angle gauge", lambda person, _: _choice(person, "G1")),
    (r"Set \w+ to ([\d.]+) \S+\. Type", _set),
    (r"Other actions", "8"),
    (r"Which tool instead", _instead),
    (r"which unit|In what unit|unit does", lambda person, _: _choice(person, "N·m")),
    (r"read zero\?", "1"),
    (r"to one click", _let_go),
    (r"slowly to ([\d.]+)", lambda _, found: f"{found[1]}\r"),
    (r"turn (\d+)°", lambda _, found: f"{int(found[1]) + 2}\r"),
    (r"torque at the end of the turn", "52\r"),
    (r"measure.*[Tt]ype it in mm", "1.20\r"),
    (r"Another person looks and answers", "1\r"),
    (r"Wind \w+ down", "+"),
    (r"Put \w+ away", "+"),
    (r"Wait ", _waits),
    (r"how many are left over\?", "0\r"),
    (r"Sign off as assembler", "1\r"),
    (r"Sign off as inspector|[Ww]ho (looked|looks|signs|is the other)", "3\r"),
    (r"Close the run\?", "1\r"),
    (r"\?", "1"),
)
