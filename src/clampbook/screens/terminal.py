"""The terminal as the program holds it: no bytes end it, no signal leaves it half changed, and it may go away.

Tried first, in vain: the toolkit's driver decodes strictly and gives its parser whatever comes, and neither the decoder
nor the parser can be handed in. `run_input_thread` is the one public method between the two.
"""

from __future__ import annotations

import os
import selectors
import signal
import time
from typing import IO, Any

from textual.drivers.linux_driver import LinuxDriver

from clampbook.screens.keystrokes import Keystrokes

_READ = 1 << 12  # bytes at once, as many as a terminal holds
_LOOK = 0.1  # seconds


class Terminal(LinuxDriver):
    """The toolkit's driver with a keyboard that cannot be broken."""

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._file = _WhileItIsThere(self._file)  # type: ignore[arg-type, assignment]
        # The toolkit begins once more at each of these, also where it never stopped: two threads would share the keys.
        # From the first screen on the program sees to them itself.
        signal.signal(signal.SIGTSTP, signal.SIG_DFL)
        signal.signal(signal.SIGCONT, signal.SIG_DFL)

    def run_input_thread(self) -> None:
        """Keys and pastes, until the driver is told to stop or the terminal is gone."""
        strokes = Keystrokes()
        with selectors.DefaultSelector() as waiting:
            waiting.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                data = self._read() if waiting.select(_LOOK) else None
                if data == b"":
                    self._app.call_later(self._app.terminal_gone)  # type: ignore[attr-defined]
                    return
                now = time.monotonic()
                for message in (*strokes.take(data or b"", now), *strokes.wait(now)):
                    self.process_message(message)

    def _read(self) -> bytes:
        """Read what came; nothing once there is no terminal any more."""
        try:
            return os.read(self.fileno, _READ)
        except OSError:
            return b""

    def begin_again(self) -> None:
        """The program was stopped and goes on: the shell may have changed the terminal meanwhile."""
        self.suspend_application_mode()
        self.resume_application_mode()


class _WhileItIsThere:
    """A file that takes what is written as long as anybody reads it, and drops it afterwards.

    The toolkit's writing thread ends at the first error, and whoever writes after that waits for it for ever.
    """

    def __init__(self, file: IO[str]) -> None:
        self._file = file

    def write(self, text: str) -> None:
        """Write, or do not."""
        try:
            self._file.write(text)
        except OSError:
            return

    def flush(self) -> None:
        """Hand on what was written, or do not."""
        try:
            self._file.flush()
        except OSError:
            return

    def fileno(self) -> int:
        """The number of the file."""
        return self._file.fileno()

    def isatty(self) -> bool:
        """Tell whether it was a terminal."""
        return self._file.isatty()
