"""A person at the keyboard of the full-screen program, with a clock that stands still between two keys.

Each key is an event of the toolkit with its own time, so that what is quick and what is slow is said by the test.
"""

from __future__ import annotations

import asyncio
import functools
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any, ParamSpec

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from bench import steady
from clampbook.book.book import Book
from clampbook.book.starting.terms import work_named
from clampbook.figures import plain
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.asked import keys
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Prompt
from clampbook.screens.app import Clampbook
from clampbook.screens.at_the_bench import bench
from clampbook.screens.keyboard import NEVER, Hands
from clampbook.screens.opening import Wanted, begin
from clampbook.screens.walk import WalkScreen
from museum import lines_of

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
_PATIENCE = 3000  # milliseconds
_CALM = 10  # looks in a row


@dataclass
class Time:
    """One clock for the walk and for the keys."""

    seconds: float = 100.0

    def now(self) -> datetime:
        """The time of day."""
        return START + timedelta(seconds=self.seconds - 100)

    def stopwatch(self) -> float:
        """Seconds on the clock that keys are stamped with."""
        return self.seconds


@dataclass
class Keyboard:
    """Presses keys. `pressed` holds all that were pressed, in order."""

    pilot: Pilot[Any]
    time: Time
    pressed: list[str] = field(default_factory=list)

    @property
    def app(self) -> Clampbook:
        """The program."""
        assert isinstance(self.pilot.app, Clampbook)
        return self.pilot.app

    @property
    def walk(self) -> WalkScreen:
        """The walk on the screen."""
        assert isinstance(self.app.screen, WalkScreen), self.app.screen
        return self.app.screen

    @property
    def prompt(self) -> Prompt:
        """What is asked."""
        return self.walk.gathering.prompt

    async def press(self, *keys: str, apart: float = 0.25) -> None:
        """Press keys one after the other, as quick as a person, and wait until each has been seen to."""
        for key in keys:
            self.time.seconds += apart
            self._send(key)
            await self.seen_to()
            await self.settle()

    async def type(self, text: str, *, enter: bool = True, apart: float = 0.25) -> None:
        """Type a text."""
        await self.press(*text, *(["enter"] if enter else []), apart=apart)

    async def from_a_tool(self, line: str) -> None:
        """A tool types a line: 2 ms between two signs, Enter at its end, and nothing of it is waited for."""
        self.time.seconds += 0.25
        for key in (*line, "enter"):
            self.time.seconds += 0.002
            self._send(key)
        await self.seen_to()
        await self.settle()

    async def slow_pull(self, seconds: float = 3) -> None:
        """Time passes, as it does while a bolt is pulled."""
        self.time.seconds += seconds
        await self.seen_to()

    async def drawn(self) -> None:
        """All that changed is drawn: nothing is left to be laid out or painted, several looks in a row."""
        calm = 0
        for _ in range(_PATIENCE):
            await asyncio.sleep(0.002)
            screen = self.app.screen
            changing = screen._dirty_widgets or screen._layout_required or screen._callbacks or screen._repaint_required
            calm = 0 if changing or not screen._message_queue.empty() else calm + 1
            if calm == _CALM:
                return
        raise AssertionError("the screen does not come to rest")

    @property
    def runs(self) -> bool:
        """Whether the program goes on."""
        return self.app.return_value is None and not self.app._exit

    async def fitting(self) -> None:
        """An answer that fits, where there is one."""
        gathering = self.walk.gathering
        try:
            keys = keys_for(gathering.prompt, gathering.part)
        except (AssertionError, StopIteration):
            return
        await self.press(*keys)

    async def settle(self) -> None:
        """No further sign comes, so that a single key acts."""
        if self.runs and isinstance(self.app.screen, Hands) and self.app.screen.holds_back:
            self.app.screen.settle()
            await self.seen_to()

    async def seen_to(self) -> None:
        """All that was pressed is seen to, and the question that came of it is painted."""
        for _ in range(_PATIENCE):
            await asyncio.sleep(0.001)
            if not self.runs:
                return
            screen = self.app.screen
            waits = isinstance(screen, Hands) and screen.painted_at == NEVER
            if not waits and all(pump._message_queue.empty() for pump in (self.app, screen)):
                return
        raise AssertionError(
            f"the program does not come to rest: {screen}, {screen.is_running}, {self.app.unforeseen!r}"
        )

    def _send(self, key: str) -> None:
        self.pressed.append(key)
        character = " " if key == "space" else None if len(key) > 1 else key
        event = events.Key(_character_to_key(character) if character is not None else key, character)
        event.time = self.time.seconds
        self.app.post_message(event)


P = ParamSpec("P")


def played(test: Callable[P, Coroutine[Any, Any, None]]) -> Callable[P, None]:
    """A test in which a program runs."""

    @functools.wraps(test)
    def run(*arguments: P.args, **named: P.kwargs) -> None:
        asyncio.run(test(*arguments, **named))

    return run


def keys_for(prompt: Prompt, part: Part | None) -> list[str]:
    """The fewest keys with which somebody to whom nothing goes wrong answers, on a numeric pad as far as it goes."""
    if part is not None:
        return _keys_for_part(prompt, part)
    match prompt:
        case ask.StartSheet(required=False, ask=question) if question is not None:
            return ["-", "enter"]
        case ask.StartSheet() if any(choice.key == "1" for choice in keys(prompt).choices):
            return ["1", "enter"]
        case ask.SetTool(to=to):
            return [*plain(to.value), "enter"]
        case ask.TakeTool(offers=offers):
            best = next(n for n, offer in enumerate(offers, 1) if not offer.against and offer.cannot is None)
            return [*str(best), "enter"]
        case ask.Inspect(expect=expect):
            return ["1" if expect == "yes" else "2", "enter"]
        case ask.ReturnTool():
            return ["+"]
        case ask.ZeroTool() | ask.StepState():
            return ["1", "enter"]
        case ask.SignOff(another_person=another):
            return ["3" if another else "1", "enter"]
        case ask.Finished():
            return ["1", "enter"]
        case _:
            return _typed(steady(prompt))


def _keys_for_part(prompt: Prompt, part: Part) -> list[str]:
    match part.name:
        case "unit":
            assert isinstance(prompt, ask.SetTool)
            return [str(prompt.units.index(prompt.to.unit) + 1), "enter"]
        case "person":
            return ["3", "enter"]  # Maud
        case "moved":
            return ["1", "enter"]
        case other:
            raise AssertionError(f"nobody expected to be asked for {other}")


def _typed(answer: a.Answer) -> list[str]:
    match answer:
        case a.Plus() | a.Put():
            return ["+"]
        case a.Value(text=text):
            return [*_short(text), "enter"]
        case a.Still(text=None):
            return ["1", "enter"]
        case a.Still(text=text):
            return [*(text or ""), "enter"]
        case other:
            raise AssertionError(other)


def _short(text: str) -> str:
    try:
        return plain(Decimal(text).quantize(Decimal("0.1"))) if len(text) > 5 else text
    except ArithmeticError:
        return text


async def steadily(keyboard: Keyboard, *, until: type | None = None, most: int = 2000) -> list[tuple[Prompt, int]]:
    """Walk until a prompt of a kind comes, or the run is over: each prompt with the keys it took."""
    taken: list[tuple[Prompt, int]] = []
    for _ in range(most):
        gathering = keyboard.walk.gathering
        prompt = gathering.prompt
        if gathering.over or (until is not None and isinstance(prompt, until)):
            return taken
        if isinstance(prompt, ask.Wait):
            await keyboard.slow_pull(float(prompt.lasts) + 60)
        await keyboard.slow_pull()
        before = len(keyboard.pressed)
        seq = gathering.session.progress.seq
        while gathering.session.progress.seq == seq:
            await keyboard.press(*keys_for(prompt, gathering.part))
            assert len(keyboard.pressed) - before < 60, (prompt, gathering.part, gathering.notice)
        taken.append((prompt, len(keyboard.pressed) - before))
    raise AssertionError("the run does not come to an end")


async def onward(keyboard: Keyboard, until: type, *, times: int = 1) -> None:
    """The work goes well until a prompt of a kind comes for the so-manieth time; answered at once, without keys."""
    screen, met = keyboard.walk, 0
    for _ in range(2000):
        prompt = screen.gathering.prompt
        met += isinstance(prompt, until)
        if met == times:
            break
        keyboard.time.seconds += float(prompt.lasts) + 60 if isinstance(prompt, ask.Wait) else 3
        screen.taken.know_tools()
        assert screen.gathering.answer(steady(prompt)), screen.gathering.notice
    screen.next_question()
    await keyboard.seen_to()


def seen(keyboard: Keyboard) -> str:
    """What stands on the screen, line by line."""
    strips = keyboard.app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


async def shown(keyboard: Keyboard) -> str:
    """What stands on the screen once all of it is drawn."""
    await keyboard.drawn()
    return seen(keyboard)


@asynccontextmanager
async def at_the_bench(
    book: Book, *, size: tuple[int, int] = (80, 24), time: Time | None = None
) -> AsyncIterator[Keyboard]:
    """The program at the bench of a book."""
    time = time or Time()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Hands, "now", staticmethod(time.stopwatch))
        app = Clampbook(lambda app: bench(app, book, time))
        async with app.run_test(size=size) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            yield Keyboard(pilot, time)
            app.leave_run()


@asynccontextmanager
async def walking(
    book: Book, procedure: str, *, by: Person, size: tuple[int, int] = (80, 24), joint: str | None = None
) -> AsyncIterator[Keyboard]:
    """The program walking a procedure of a book."""
    time = Time()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Hands, "now", staticmethod(time.stopwatch))
        wanted = Wanted(work=work_named(book, procedure), person=by, trial=False, joint=joint)
        app = Clampbook(lambda app: begin(app, book, time, wanted))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield Keyboard(pilot, time)
            app.leave_run()


def daybook(book: Book) -> list[dict[str, Any]]:
    """The lines of the only run of a book."""
    (run,) = book.runs()
    return lines_of(run)


def named(book: Book, name: str) -> Person:
    """One of the people of a book."""
    return next(person for person in book.people() if person.name == name)
