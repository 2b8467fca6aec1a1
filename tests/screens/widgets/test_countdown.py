"""Waits that are counted down: in words, once a second, by the clock that was handed in."""

from __future__ import annotations

import asyncio
from datetime import datetime, timedelta

import pytest
from textual.app import ComposeResult

from clampbook.screens.widgets.countdown import Countdown, bar, figures, spoken, told
from screens.widgets.gallery import NINE, Shop

TEN_MINUTES = timedelta(minutes=10)


@pytest.mark.parametrize(
    ("seconds", "words", "large"),
    [
        (0, "0 s", "0:00"),
        (42, "42 s", "0:42"),
        (60, "1 min", "1:00"),
        (552, "9 min 12 s", "9:12"),
        (3600, "1 h", "1:00:00"),
        (3900, "1 h 5 min", "1:05:00"),
    ],
)
def test_spans_are_said_as_people_say_them(seconds: int, words: str, large: str) -> None:
    """In words beside the sentence, and with colons in large figures."""
    span = timedelta(seconds=seconds)

    assert (words, large) == (spoken(span), figures(span))


@pytest.mark.parametrize(
    ("waited", "words"),
    [
        (timedelta(seconds=48), "9 min 12 s left of 10 min"),
        (timedelta(minutes=9, seconds=59, milliseconds=200), "1 s left of 10 min"),
        (TEN_MINUTES, "10 min are over"),
        (timedelta(minutes=12), "10 min are over since 2 min"),
        (timedelta(seconds=-30), "10 min left of 10 min"),
    ],
)
def test_the_wait_is_told_as_a_sentence(waited: timedelta, words: str) -> None:
    """What is left, or since when it is over; a clock set back has waited nothing."""
    assert words == told(NINE, TEN_MINUTES, NINE + waited)


class Waiting(Shop):
    """A countdown on a clock that the test sets."""

    def __init__(self) -> None:
        super().__init__()
        self.time = NINE
        self.overs = 0

    def clock(self) -> datetime:
        return self.time

    def compose(self) -> ComposeResult:
        yield Countdown(self.clock, lead="wait: ")

    def on_countdown_over(self) -> None:
        self.overs += 1


def test_the_end_is_said_once() -> None:
    """The screen hears once that the time is up, however often the clock is looked at."""

    async def wait() -> tuple[str, str, int]:
        app = Waiting()
        async with app.run_test() as pilot:
            countdown = app.query_one(Countdown)
            countdown.count(NINE, TEN_MINUTES)
            before = countdown.told
            app.time = NINE + TEN_MINUTES
            for _ in range(3):
                countdown.look()
            await pilot.pause()
            return before, countdown.told, app.overs

    assert ("wait: 10 min left of 10 min", "wait: 10 min are over", 1) == asyncio.run(wait())


@pytest.mark.parametrize(("seconds", "thick"), [(600, 20), (300, 10), (1, 1), (0, 0), (-9, 0)])
def test_the_bar_is_as_long_as_what_is_left(seconds: int, thick: int) -> None:
    """Something of it is left until nothing is, and never more than all of it."""
    assert ("━" * thick, "─" * (20 - thick)) == bar(timedelta(seconds=seconds), TEN_MINUTES, 20)
