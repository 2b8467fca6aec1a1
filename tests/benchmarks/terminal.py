"""A program on a bare pseudo-terminal: keys are written at once, and what is painted is stamped as it arrives.

Nothing is looked at while time is taken; the stamped bytes are put on a screen afterwards.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter

import pyte

Shown = list[str]  # the lines of the screen
_PATIENCE = 20.0  # seconds for what must come


@dataclass
class Terminal:
    """One program on one terminal. `begun` is when it was started, or when the last key was written."""

    program: subprocess.Popen[bytes]
    ours: int
    screen: pyte.Screen
    begun: float
    arrived: list[tuple[float, bytes]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._stream = pyte.ByteStream(self.screen)

    def wait_for(self, text: str) -> None:
        """Read until this text came. Raises AssertionError where it does not."""
        sought, came = text.encode(), b""
        while sought not in came:
            assert self._read(_PATIENCE), f"{text!r} is not painted"
            came += self.arrived[-1][1]

    def press(self, key: str) -> None:
        """Write a key; time counts from now."""
        self.begun = perf_counter()
        os.write(self.ours, key.encode())

    def rest(self, quiet: float = 0.15, first: float = 2.0) -> None:
        """Read until nothing more comes."""
        if self._read(first):
            while self._read(quiet):
                pass

    def seen(self, fits: Callable[[Shown], bool] | None = None) -> float:
        """Seconds until the screen fitted, else until it showed what it shows now. Raises AssertionError if never."""
        shown: list[tuple[float, Shown]] = []
        for at, data in self.arrived:
            self._stream.feed(data)
            shown.append((at, list(self.screen.display)))
        self.arrived.clear()
        last = list(self.screen.display)
        wanted = fits if fits is not None else lambda lines: lines == last
        found = [at - self.begun for at, lines in shown if at >= self.begun and wanted(lines)]
        assert found, "\n".join(last)
        return found[0]

    def _read(self, seconds: float) -> bool:
        ready, _, _ = select.select([self.ours], [], [], seconds)
        if not ready:
            return False
        try:
            data = os.read(self.ours, 1 << 16)
        except OSError:  # how a terminal ends on Linux
            return False
        self.arrived.append((perf_counter(), data))
        return bool(data)


@contextmanager
def terminal(command: Sequence[str | Path], compiled: Path, size: tuple[int, int] = (80, 24)) -> Iterator[Terminal]:
    """A program on a terminal of so many columns and rows, stopped in the end.

    Its modules are compiled into the folder `compiled` when it is started first, whatever the surroundings say.
    """
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
    environment = {
        **os.environ,
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "PYTHONPYCACHEPREFIX": str(compiled),
    }
    for name in ("PYTHONDONTWRITEBYTECODE", "COLUMNS", "LINES"):
        environment.pop(name, None)
    begun = perf_counter()
    program = subprocess.Popen(
        list(map(str, command)),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        env=environment,
    )
    os.close(theirs)
    try:
        yield Terminal(program, ours, pyte.Screen(*size), begun)
    finally:
        program.terminate()
        os.close(ours)
        program.wait(timeout=_PATIENCE)
