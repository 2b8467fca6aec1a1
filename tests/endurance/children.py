"""Something done in a process of its own, which may be killed; what went wrong there is told here."""

from __future__ import annotations

import os
import signal
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Child:
    """A process that was begun; it is waited for by `ended`."""

    process: int
    told: int  # the end of a pipe

    def ended(self) -> str | None:
        """What went wrong, "" where it got through, None where a signal ended it."""
        with os.fdopen(self.told, "rb") as pipe:
            wrong = pipe.read().decode(errors="replace")
        _, status = os.waitpid(self.process, 0)
        return wrong if wrong or os.WIFEXITED(status) else None


def begun(what: Callable[[], object]) -> Child:
    """Begin something in a process of its own.

    The typesetter outlives no fork; here it begins in the child.
    """
    told, tell = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            what()
        except BaseException:
            os.write(tell, traceback.format_exc()[-3000:].encode())
        finally:
            os._exit(0)
    os.close(tell)
    return Child(process, told)


def in_a_child(what: Callable[[], object], killed_after: float | None = None) -> str | None:
    """Do something in a process of its own, and wait for it, or kill it after so many seconds; how it ended."""
    child = begun(what)
    if killed_after is not None:
        time.sleep(killed_after)
        os.kill(child.process, signal.SIGKILL)
    return child.ended()
