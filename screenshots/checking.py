"""Checks of a tool for the pictures: earlier ones at once, and one that is done by keys."""

from __future__ import annotations

from decimal import Decimal

from clampbook.book.book import Book
from clampbook.book.starting.checking import checking, conclude, open_check
from clampbook.book.toolbox import references, tool_named
from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.planning import planned
from clampbook.figures import plain
from clampbook.people import Person
from clampbook.screens.check.screen import CheckScreen
from clampbook.units import convert
from keyboard import Clock, Keyboard

PULLS = ("0.3", "-0.2", "0.1", "0.4", "-0.1")  # how far pulls lie beside their mean, in percent
MOST = 200  # prompts of a check
_WORK = 9.0  # seconds for a pull


def earlier(book: Book, clock: Clock, tool: str, person: Person, percent: str) -> None:
    """A whole check in which the tool is off by so many percent."""
    plan = planned(tool_named(book, tool), references(book)[0], today=clock.now().date())
    check = open_check(book, plan, person, clock, "system")
    with checking(book, check, clock=clock, person=person, fresh=True) as now:
        while not isinstance(now.prompt, ask.Ended):
            clock.seconds += _WORK
            now.answer(_answer(now.prompt, Decimal(percent)))
    conclude(book, check)


def _answer(prompt: ask.Prompt, percent: Decimal) -> a.Answer:
    match prompt:
        case ask.Temperature():
            return a.Value("19.5")
        case ask.Zero():
            return a.ZeroIs("good")
        case ask.Exercise():
            return a.Plus()
        case ask.SetTool():
            return a.ScaleShows(plain(prompt.to), prompt.tool.unit)
        case ask.Pull():
            return a.Value(_shown(prompt, percent))
        case ask.Adjust():
            return a.NotAdjusted()
        case _:
            return a.Finish()


def _shown(prompt: ask.Pull, percent: Decimal) -> str:
    """What the reference shows where the tool is off by so many percent, give or take."""
    off = percent + Decimal(PULLS[prompt.where.number % len(PULLS)])
    there = convert(prompt.bring_to, prompt.bring_unit, prompt.unit)
    return plain(round(there * 100 / (100 + off), 2))


async def pull_on(keyboard: Keyboard, number: int, percents: dict[str, str]) -> None:
    """Keys up to the pull of this number; each way of pulling has its own percent."""
    for _ in range(MOST):
        screen = keyboard.pilot.app.screen
        assert isinstance(screen, CheckScreen), screen
        prompt = screen.gathering.prompt
        if isinstance(prompt, ask.Pull) and prompt.where.number == number:
            return
        await keyboard.work(*_keys(prompt, percents))
    raise AssertionError("that pull is never asked for")


def _keys(prompt: ask.Prompt, percents: dict[str, str]) -> tuple[str, ...]:
    match prompt:
        case ask.Temperature():
            return (*"19.5", "enter")
        case ask.Zero():
            return ("1", "enter")
        case ask.Exercise():
            return ("+",)
        case ask.Pull():
            return (*_shown(prompt, Decimal(percents[prompt.where.way.technique])), "enter")
        case _:
            raise AssertionError(prompt)
