"""Tools that type like a keyboard: signs that come faster than a person types, and end in Enter, are one line.

Also what is no answer at all: a key that is held down, and several keys at once.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from msgspec import Struct

FASTER_THAN_A_PERSON = 0.030  # seconds between two signs
HELD = 0.150  # seconds; a key that comes again sooner is held down, or bounces
HELD_DELIBERATE = 0.700  # seconds; a keyboard takes as long until it begins to repeat the key that is held
REPEATED = 0.120  # seconds between two signs of a key that is held; the slowest consoles take 92 ms
_DELIBERATE = frozenset({"plus", "+", "space"})
LEAST_LINE = 3  # signs; fewer may be two fingers at once


class ToolLine(Struct, frozen=True):
    """A line that a tool typed, and when its first sign came."""

    text: str
    began: float


@dataclass(slots=True)
class Bursts:
    """Watches the times of keys; all times in seconds of one clock that only grows.

    `run` are the signs of the present burst, each less than 30 ms behind the one before.
    """

    run: list[str] = field(default_factory=list)
    _began: float = 0.0
    _last: float = float("-inf")
    _pressed: dict[str, float] = field(default_factory=dict)
    _soon: bool = False

    def sign(self, character: str, at: float) -> None:
        """A sign was typed."""
        if at - self._last >= FASTER_THAN_A_PERSON:
            self.run = []
            self._began = at
        self.run.append(character)
        self._last = at

    def quick(self) -> bool:
        """True where the last sign belongs to several that came too fast for a person."""
        return len(self.run) > 1

    def one_press(self) -> bool:
        """True where the burst is one sign again and again, as of a key that bounces."""
        return len(set(self.run)) == 1

    def line(self, at: float, least: int = LEAST_LINE) -> ToolLine | None:
        """The line that a tool typed, if the Enter at this moment ends one; the burst is over then."""
        run, self.run = self.run, []
        if at - self._last >= FASTER_THAN_A_PERSON or len(run) < least:
            return None
        return ToolLine("".join(run), self._began)

    def held(self, key: str, at: float, *, copying: bool = False) -> bool:
        """Tell whether this key is the same press going on: it came again sooner than a person presses twice. Whoever
        is `copying` rings from paper presses the deliberate key as quickly as any other."""
        gap = at - self._pressed.get(key, float("-inf"))
        self._pressed[key] = at
        held = gap < (HELD_DELIBERATE if key in _DELIBERATE and not copying else HELD)
        if not held:
            self._soon = key in _DELIBERATE and gap < HELD_DELIBERATE
        return held

    def may_repeat(self) -> bool:
        """True where the last press of the deliberate key came so soon that it may be the first sign of a held one."""
        return self._soon
