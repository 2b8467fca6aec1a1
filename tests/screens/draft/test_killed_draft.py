"""The real program on a real terminal, killed while somebody types: what was typed is offered once more."""

from __future__ import annotations

import os
import signal
import time
from contextlib import AbstractContextManager
from pathlib import Path

import pexpect

from at_drafts import COVER
from at_terminal import Person, terminal

_SAVED = 1.5  # seconds after the last key in which the copy must be there
F8, ESCAPE = "\x1b[19~", "\x1b"


def opened(path: Path) -> AbstractContextManager[Person]:
    """Somebody at `clampbook draft`, until the program is gone."""
    return terminal(None, "draft", str(path), size=(80, 24))


def test_a_kill_loses_nothing_that_was_typed_before_the_last_moment(cover: Path) -> None:
    """Signal 9 while it is open; the file itself stays as it was, and is what was typed once that is saved."""
    with opened(cover) as person:
        person.wait_for(r"No errors")
        person.program.send("# by Ines")
        person.wait_for(r"# by Ines")
        time.sleep(_SAVED)
        os.kill(person.program.pid, signal.SIGKILL)
        person.program.wait()
    stands = cover.read_text(encoding="utf-8")
    with opened(cover) as person:
        person.wait_for(r"something was typed into cover.toml and not saved")
        person.press("1\r")
        person.wait_for(r"# by Inesformat = 2")
        person.program.send(F8)
        person.wait_for(r"Saved\.")
        person.program.send(ESCAPE)
        person.program.expect(pexpect.EOF)

    assert COVER == stands
    assert f"# by Ines{COVER}" == cover.read_text(encoding="utf-8")


def test_a_closed_window_loses_nothing_at_all(cover: Path) -> None:
    """Not even what was typed a moment before."""
    with opened(cover) as person:
        person.wait_for(r"No errors")
        person.program.send("# by Maud")
        person.wait_for(r"# by Maud")
        person.program.kill(signal.SIGHUP)
        person.program.wait()
    with opened(cover) as person:
        person.wait_for(r"something was typed into cover.toml and not saved")
        person.press("1\r")
        person.wait_for(r"# by Maudformat = 2")

    assert COVER == cover.read_text(encoding="utf-8")
