"""A person at a tool check of the full-screen program, who presses the keys of a numeric pad."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from decimal import Decimal
from typing import Any

import pytest

from at_keyboard import Keyboard, Time
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.book.starting.checking import checking as begun
from clampbook.book.starting.checking import conclude, open_check
from clampbook.book.toolbox import references, tool_named
from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.answers import Accepted
from clampbook.check.planning import planned
from clampbook.figures import plain
from clampbook.people import Person
from clampbook.screens.app import Clampbook
from clampbook.screens.check.opening import first
from clampbook.screens.check.screen import CheckScreen
from clampbook.screens.keyboard import Hands
from clampbook.units import convert
from museum import lines_of


def on_it(keyboard: Keyboard) -> CheckScreen:
    """The check on the screen."""
    assert isinstance(keyboard.app.screen, CheckScreen), keyboard.app.screen
    return keyboard.app.screen


def checked(book: Book, time: Time, tool: str, by: Person, **wishes: Any) -> Clampbook:
    """The program with a check that was just opened."""
    plan = planned(tool_named(book, tool), references(book)[0], **wishes)
    check = open_check(book, plan, by, time, "system")
    return Clampbook(lambda app: first(app, book, "Check", lambda _: check, by, time, fresh=True))


@asynccontextmanager
async def checking(
    book: Book, tool: str, *, size: tuple[int, int] = (80, 24), **wishes: Any
) -> AsyncIterator[Keyboard]:
    """The first of the book's people checks a tool."""
    time = Time()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Hands, "now", staticmethod(time.stopwatch))
        app = checked(book, time, tool, book.people()[0], **wishes)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield Keyboard(pilot, time)
            app.leave_run()


def answered_at_once(book: Book, time: Time, tool: str, off: Decimal) -> None:
    """A whole check without any screen: one pull a point, in which the tool says `off` times what there is."""
    plan = planned(tool_named(book, tool), references(book)[0], readings=2)
    person = book.people()[0]
    check = open_check(book, plan, person, time, "system")
    with begun(book, check, clock=time, person=person, fresh=True) as checking:
        while not isinstance(checking.prompt, ask.Ended):
            outcome = checking.answer(_steady(checking.prompt, off))
            assert isinstance(outcome, Accepted), outcome
    conclude(book, check)


def _steady(prompt: ask.Prompt, off: Decimal) -> a.Answer:
    match prompt:
        case ask.Temperature():
            return a.Value("21")
        case ask.Zero():
            return a.ZeroIs("good")
        case ask.Exercise():
            return a.Plus()
        case ask.SetTool():
            return a.ScaleShows(plain(prompt.to), prompt.tool.unit)
        case ask.Pull():
            more = Decimal("0.004") * prompt.where.reading
            return a.Value(plain(round(convert(prompt.bring_to, prompt.bring_unit, prompt.unit) / (off - more), 2)))
        case ask.Adjust():
            return a.NotAdjusted()
        case ask.Finished():
            return a.Finish()
        case ask.Ended():
            raise AssertionError("nothing is asked")


def keys_for(prompt: ask.Prompt, off: str = "1") -> list[str]:
    """The keys of somebody to whom nothing goes wrong; a pull shows the point times `off`."""
    match prompt:
        case ask.Temperature():
            return ["2", "1", "enter"]
        case ask.Zero():
            return ["1", "enter"]
        case ask.Exercise():
            return ["+"]
        case ask.SetTool():
            return [*plain(prompt.to), "enter", str(prompt.units.index(prompt.tool.unit) + 1), "enter"]
        case ask.Pull():
            return [*plain(round(convert(prompt.bring_to, prompt.bring_unit, prompt.unit) / Decimal(off), 2)), "enter"]
        case ask.Adjust() | ask.Finished():
            return ["1", "enter"]
        case ask.Ended():
            raise AssertionError("nothing is asked")


async def pull_on(keyboard: Keyboard, until: type, *, off: str = "1", times: int = 1) -> None:
    """Everything is answered until a prompt of a kind comes for the so-manieth time."""
    met = 0
    for _ in range(400):
        prompt = on_it(keyboard).gathering.prompt
        met += isinstance(prompt, until)
        if met == times:
            return
        keyboard.time.seconds += 3
        await keyboard.press(*keys_for(prompt, off))
    raise AssertionError(f"{until} is never asked")


def daybook(book: Book) -> list[dict[str, Any]]:
    """The lines of the only check."""
    (check,) = checks(book)
    return lines_of(check)


def happened(book: Book) -> list[str]:
    """What happened in the only check."""
    return [line["event"] for line in daybook(book)]
