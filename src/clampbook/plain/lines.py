"""Lines from standard input, and the signals that may come meanwhile: each is a safe pause, never a lost answer."""

from __future__ import annotations

import contextlib
import errno
import signal
import sys
from collections.abc import Iterator
from types import FrameType
from typing import BinaryIO

from clampbook.ledger.event import PauseCause
from clampbook.streams import StreamFault

_MOST = 65_536  # bytes of one line; what is longer is refused, not read into memory
_LOCAL = 3  # where a terminal keeps whether it shows what is typed
_NAMES = ("SIGINT", "SIGTERM", "SIGHUP", "SIGTSTP")


class Interrupted(Exception):  # noqa: N818 - a wish of the person, no error
    """The person wants to stop now: Ctrl-C, Ctrl-Z, a closed window, or the system is going down."""

    def __init__(self, cause: PauseCause = "asked") -> None:
        super().__init__()
        self.cause: PauseCause = cause


class Lines:
    """Input line by line. A signal is taken only between two answers, so that one being stored is stored whole."""

    def __init__(self, stream: BinaryIO, *, terminal: bool) -> None:
        self.terminal = terminal
        self._stream = stream
        self._reading = False
        self._to_stop: PauseCause | None = None

    def read(self) -> str | None:
        """The next line without its end; None where there is no more. Raises Interrupted."""
        self._reading = True
        try:
            if self._to_stop is not None:
                raise Interrupted(self._to_stop)
            line = self._stream.readline(_MOST)
            rest = line
            while rest and len(rest) == _MOST and not rest.endswith(b"\n"):
                rest = self._stream.readline(_MOST)
        except OSError as error:
            if self.terminal and error.errno == errno.EIO:  # the terminal is gone
                raise Interrupted("terminal closed") from error
            raise StreamFault(f"standard input cannot be read ({error.strerror}). Earlier answers are saved") from error
        finally:
            self._reading = False
        return line.decode("utf-8", "surrogateescape").rstrip("\r\n") if line else None

    def read_unseen(self) -> str | None:
        """The same for a passphrase: on a terminal it does not show while it is typed. Raises Interrupted."""
        with _unseen(self._stream.fileno()) if self.terminal else contextlib.nullcontext():
            return self.read()

    def throw_away_waiting(self) -> None:
        """Forget what was typed before a question that is about to be shown; lines from a pipe are kept."""
        if not self.terminal:
            return
        with contextlib.suppress(ImportError, OSError, ValueError):
            import termios

            termios.tcflush(self._stream.fileno(), termios.TCIFLUSH)

    @contextlib.contextmanager
    def safe_to_stop(self) -> Iterator[None]:
        """While this lasts, signals to stop end the reading of a line, or wait for the next one to be read."""
        names = _NAMES if self.terminal else _NAMES[:-1]
        numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
        before = {number: signal.signal(number, self._stop) for number in numbers}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    def _stop(self, number: int, frame: FrameType | None) -> None:
        del frame
        cause: PauseCause = "terminal closed" if number == getattr(signal, "SIGHUP", None) else "asked"
        if self._reading:
            self._reading = False
            raise Interrupted(cause)
        self._to_stop = self._to_stop or cause


@contextlib.contextmanager
def _unseen(terminal: int) -> Iterator[None]:
    """Keep what is typed on a terminal from showing; as it was before, it is put back whatever happens."""
    import termios

    before = termios.tcgetattr(terminal)
    hidden = [*before]
    hidden[_LOCAL] &= ~termios.ECHO
    termios.tcsetattr(terminal, termios.TCSAFLUSH, hidden)
    try:
        yield
    finally:
        termios.tcsetattr(terminal, termios.TCSADRAIN, before)
        print(file=sys.stderr, flush=True)  # the line break that was typed did not show either
