"""How a screen looks: a picture that was approved, and the words that must stand on it; with names and clocks fixed."""

from __future__ import annotations

import time as machine_time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest
from textual.pilot import Pilot

from at_keyboard import Keyboard, Time, shown
from clampbook.screens.app import Clampbook
from clampbook.screens.keyboard import Hands

SIZES = [(40, 15), (80, 24), (120, 36)]
Scene = Callable[[Keyboard], Awaitable[None]]
Compare = Callable[..., bool]


@dataclass(frozen=True)
class Look:
    """A scene of the program and words that must stand on its screen at every size."""

    scene: Scene
    words: tuple[str, ...]


@contextmanager
def in_utc() -> Iterator[pytest.MonkeyPatch]:
    """A place whose clocks show UTC."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "UTC")
        machine_time.tzset()
        yield patch
    machine_time.tzset()


def one_clock(patch: pytest.MonkeyPatch) -> Time:
    """The one clock of the work and of the keys."""
    time = Time()
    patch.setattr(Hands, "now", staticmethod(time.stopwatch))
    return time


def compared(compare: Compare, app: Clampbook, time: Time, size: tuple[int, int], scene: Scene) -> tuple[bool, str]:
    """Whether the picture is the one that was approved, and the words on it."""
    words: list[str] = []

    async def play(pilot: Pilot[None]) -> None:
        await app.workers.wait_for_complete()
        await pilot.pause()
        keyboard = Keyboard(pilot, time)
        await scene(keyboard)
        words.append(" ".join((await shown(keyboard)).split()))

    alike = compare(app, terminal_size=size, run_before=play)
    app.leave_run()
    return alike, "\n".join(words)
