"""A person who walks the demo head by keys, and the clock on the wall while they do."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from clampbook.demo import PEOPLE
from clampbook.figures import plain
from clampbook.run import prompts as ask
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Prompt
from clampbook.screens.keyboard import Hands
from clampbook.screens.walk import WalkScreen

SHEET = {  # what is typed on the start sheets
    "Engine serial number": "C-0417",
    "Work order": "HM 26-011",
    "Engine hours": "412",
    "Hull": "Whinchat",
    "Bearing shells": "2",
    "Head gasket": "G-88",
    "Head bolts": "11",
    "Engine oil for the threads": "can 4",
    "Assembly oil": "can 7",
    "Coupling bolts and nuts": "12",
}
_APART = 0.25  # seconds between two keys
_WORK = 14.0  # seconds for a pull or a look
_COARSE, _FINE = Decimal(5), Decimal("0.05")  # the same for degrees and for millimetres
_SHOWN = ("0.1", "-0.2", "0.0", "0.3", "-0.1", "0.2")  # how far readings lie beside the target, one after the other


def _step(prompt: Prompt) -> str:
    where = getattr(prompt, "where", None)
    return where.id if isinstance(where, ask.Where) else ""


def _signer(prompt: ask.SignOff) -> str:
    """The name of somebody who did the work, or of somebody who did not where another person is asked for."""
    did = prompt.not_by if prompt.another_person else prompt.did
    return next(name for name in PEOPLE if (name.casefold() in did) != prompt.another_person)


@dataclass
class Clock:
    """Stands still unless somebody does something."""

    begun: datetime
    seconds: float = 0.0

    def now(self) -> datetime:
        """The time of day."""
        return self.begun + timedelta(seconds=self.seconds)

    def stopwatch(self) -> float:
        """Seconds as keys are stamped with them."""
        return self.seconds


@dataclass
class Keyboard:
    """Presses keys, each with its own time."""

    pilot: Pilot[Any]
    clock: Clock
    readings: int = field(default=0)

    @property
    def walks(self) -> bool:
        """Whether a walk is on the screen."""
        return isinstance(self.pilot.app.screen, WalkScreen)

    @property
    def walk(self) -> WalkScreen:
        """The walk on the screen."""
        screen = self.pilot.app.screen
        assert isinstance(screen, WalkScreen), screen
        return screen

    @property
    def prompt(self) -> Prompt:
        """What is asked."""
        return self.walk.gathering.prompt

    async def press(self, *keys: str) -> None:
        """Keys one after the other."""
        for key in keys:
            self.clock.seconds += _APART
            single = len(key) == 1
            event = events.Key(_character_to_key(key) if single else key, key if single else None)
            event.time = self.clock.seconds
            self.pilot.app.post_message(event)
            await self.pilot.pause()
            screen = self.pilot.app.screen
            if isinstance(screen, Hands) and screen.holds_back:
                screen.settle()
                await self.pilot.pause()

    async def work(self, *keys: str) -> None:
        """Pull or look as long as it takes, then press keys."""
        await self.wait(_WORK)
        await self.press(*keys)

    async def wait(self, seconds: float) -> None:
        """Time goes by at the bench."""
        self.clock.seconds += seconds
        await self.pilot.pause()

    async def size(self, columns: int, rows: int) -> None:
        """Another size of the terminal."""
        await self.pilot.resize_terminal(columns, rows)
        await self.pilot.pause()
        await asyncio.sleep(0.05)
        await self.pilot.pause()

    async def until(self, kind: type, step: str = "") -> None:
        """Walk on as one does to whom nothing goes wrong, up to a question of this kind, and step if one is named."""
        for _ in range(1000):
            prompt = self.prompt
            if isinstance(prompt, kind) and step in ("", _step(prompt)):
                return
            await self.answer()
        raise AssertionError(f"nothing of the kind {kind} comes")

    async def to_the_end(self) -> None:
        """Walk on until the run is closed and its report is printed."""
        while not self.walk.gathering.over:
            await self.answer()
        await self.pilot.app.workers.wait_for_complete()
        await self.pilot.pause()

    async def almost(self) -> None:
        """Answer the question at hand, all but Enter."""
        await self.wait(_WORK)
        *keys, enter = self._keys(self.prompt, self.walk.gathering.part)
        assert enter == "enter", keys
        await self.press(*keys)

    async def answer(self) -> None:
        """Answer the question at hand, as well as it can be answered."""
        prompt, gathering = self.prompt, self.walk.gathering
        await self.wait(float(prompt.lasts) + 20 if isinstance(prompt, ask.Wait) else _WORK)
        seq = gathering.session.progress.seq
        for _ in range(6):
            await self.press(*self._keys(prompt, gathering.part))
            if gathering.session.progress.seq != seq:
                return
        raise AssertionError((prompt, gathering.part, gathering.notice))

    def _keys(self, prompt: Prompt, part: Part | None) -> list[str]:
        if part is not None:
            return self._of_part(prompt, part)
        match prompt:
            case ask.StartSheet(ask=question) if question is not None and question.answer in ("text", "number"):
                return [*SHEET[question.name], "enter"]
            case ask.StartSheet(part=item) if item is not None and prompt.when == "start":
                return [*SHEET[item.name], "enter"]
            case ask.StartSheet(part=item) if item is not None:
                return ["0", "enter"]
            case ask.StartSheet(ask=question) if question is not None:
                return ["1", "enter"]
            case ask.Recheck(stop_at=stop_at):
                return ["1", "enter"] if stop_at is None else [*self._beside(stop_at, "0.1"), "enter"]
            case ask.TakeTool(offers=offers):
                best = next(n for n, o in enumerate(offers, 1) if not o.against and o.cannot is None)
                return [*str(best), "enter"]
            case ask.SetTool(to=to):
                return [*plain(to.value), "enter"]
            case ask.ZeroTool() | ask.StepState():
                return ["1", "enter"]
            case ask.Tighten(reading=True, stop_at=stop_at) if stop_at is not None:
                return [*self._beside(stop_at, "0.1"), "enter"]
            case ask.Turn(by_marks=False, target=target, done=done):
                return [*self._beside(target - done + 2, "1", _COARSE), "enter"]
            case ask.Measure(tool=tool, window=window):
                return [*self._measured(tool is not None, window), "enter"]
            case ask.Inspect():
                return ["1", "enter"]
            case ask.SignOff():
                return [*_signer(prompt), "enter"]
            case ask.Finished():
                return ["1", "enter"]
            case _:
                return ["+"]

    def _of_part(self, prompt: Prompt, part: Part) -> list[str]:
        match part.name:
            case "unit":
                assert isinstance(prompt, ask.SetTool)
                return [str(prompt.units.index(prompt.to.unit) + 1), "enter"]
            case "person":
                return ["4", "enter"]
            case "moved":
                return ["1", "enter"]
            case other:
                raise AssertionError(f"nobody expected to be asked for {other}: {part.text} {prompt}")

    def _beside(self, value: Decimal, step: str, share: Decimal = Decimal(1)) -> str:
        """A value as it is read: near what was wanted, on a scale with such a step."""
        self.readings += 1
        off = Decimal(_SHOWN[self.readings % len(_SHOWN)]) * share
        return plain((value + off.quantize(Decimal(step))).quantize(Decimal(step)))

    def _measured(self, by_tool: bool, window: ask.Ends | None) -> str:
        if by_tool or window is None:
            return self._beside(Decimal(52), "0.1", _COARSE)
        low, high = window
        middle = ((low or Decimal(0)) + (high or Decimal(0))) / 2
        return self._beside(middle.quantize(Decimal("0.01")), "0.01", _FINE)
