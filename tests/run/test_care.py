"""Reminders that fit the tool and do not nag."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace
from small_joints import W7, W8, asked, bench_for, bolts, tighten, window

from bench import G1, Bench
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence
from clampbook.tools.model import Tool

STORED = "after storage: click W8 a few times first, not on this joint"


def with_tool(tool: Tool) -> Bench:
    """Two bolts, and this tool just taken up."""
    head = bolts(2)
    run = bench_for(
        head, tighten(head), tighten(head, 2, target=Decimal(40), window=window("38", "42")), tools=(tool, G1)
    )
    run.answer(a.TakeUp(tool.id))
    return run


class TestAfterStorage:
    """The first pulls of a setting tool that lay unused are often high (common practice, no source)."""

    def test_it_is_said_when_the_tool_was_just_taken_up(self) -> None:
        """Where it is set for the first time."""
        assert STORED in details(asked(with_tool(W8), ask.SetTool))

    def test_it_is_not_said_again_at_the_next_setting(self) -> None:
        """Nobody is nagged."""
        run = with_tool(W8)
        for answer in (a.ScaleShows("30", "N·m"), a.Plus(), a.Plus()):
            run.answer(answer)

        assert STORED not in details(asked(run, ask.SetTool))

    def test_an_indicating_tool_hears_nothing_of_it(self) -> None:
        """It has its zero looked at instead."""
        assert not any("storage" in line for line in details(asked(with_tool(W7), ask.ZeroTool)))


class TestFollowerNeedle:
    """It stays where the last pull ended."""

    def test_before_each_pull_it_goes_back(self) -> None:
        """Else it shows the pull before."""
        run = with_tool(replace(W7, follower_needle=True))
        run.answer(a.Zero("good"))

        assert "reset the follower needle" in details(asked(run, ask.Tighten))

    def test_a_tool_without_one_hears_nothing_of_it(self) -> None:
        """There is nothing to set back."""
        run = with_tool(W7)
        run.answer(a.Zero("good"))

        assert not any("needle" in line for line in details(asked(run, ask.Tighten)))


class TestBeforeALongPause:
    """A spring that is left wound up sets."""

    def test_a_tool_that_wants_it_is_wound_down(self) -> None:
        """As far as it says, or to its lowest mark."""
        run = with_tool(replace(W8, wound_down=True))
        run.answer(a.Pause())

        expected = "Run paused. Resume it from the bench. Wind W8 down to 5 N·m before a long break."
        assert expected == sentence(asked(run, ask.Ended))

    def test_one_that_must_not_be_is_left_alone(self) -> None:
        """Some tools are harmed by it."""
        run = with_tool(W8)
        run.answer(a.Pause())

        assert "Run paused. Resume it from the bench." == sentence(asked(run, ask.Ended))
