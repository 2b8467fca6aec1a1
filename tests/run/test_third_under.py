"""A pull that stays under is asked about at the third time in a row, not asked for without end."""

from __future__ import annotations

from decimal import Decimal

from small_joints import READING, asked, at, at_first_pull, bolts, stored, tighten

from bench import Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence


def under(times: int) -> Bench:
    """A bolt that was pulled so often and read 25 N·m each time, where 28 to 32 is wanted."""
    run = at_first_pull(bolts(), tighten(bolts()), tools=READING)
    for _ in range(times):
        run.answer(a.Value("25"))
    return run


def test_twice_it_is_simply_pulled_again() -> None:
    """Under is no fault: the hand was too careful."""
    assert isinstance(under(2).prompt, ask.Tighten)


def test_the_third_time_it_is_asked_what_is_wrong() -> None:
    """Pull again, it does not reach the torque, another tool, or hold."""
    now = asked(under(3), ask.Decide)

    assert "Head bolt 1 is still under after 3 pulls." == sentence(now)
    assert ["pull again", "never reaches the torque", "another tool", "hold"] == [way.choice for way in now.choices]


def test_pulled_again_it_is_asked_after_three_more() -> None:
    """Three pulls more are no question each."""
    run = under(3)
    run.answer(a.Resolve("pull again"))
    for _ in range(2):
        run.answer(a.Value("26"))

    assert isinstance(run.prompt, ask.Tighten)
    run.answer(a.Value("26"))
    assert "6" == asked(run, ask.Decide).found


def test_a_reading_within_ends_the_count() -> None:
    """Two under, then within: the next bolt begins anew."""
    run = under(2)
    run.answer(a.Value("30"))
    run.answer(a.Value("25"))

    assert (1, "2") == (at(run, "2").unders, asked(run, ask.Tighten).where.position)


def test_what_does_not_reach_its_torque_is_lost() -> None:
    """The line keeps what it reached, and a new fastener is asked about."""
    run = under(3)
    broken = stored(run.answer(a.Resolve("never reaches the torque")), e.Broken)

    assert ("never reaches the torque", "25 N·m") == (broken.how, broken.reached)
    assert "never reaches the torque" == asked(run, ask.Decide).cause
    assert 1 == len(run.session.progress.questions)


def test_another_tool_is_asked_for() -> None:
    """It may be the tool that does not get there."""
    run = under(3)
    run.answer(a.Resolve("another tool"))

    assert isinstance(run.prompt, ask.TakeTool)


def test_a_decision_shows_the_window_that_judged() -> None:
    """33 N·m on a window of 28 to 32: what was read stands beside what it is held against."""
    run = at_first_pull(bolts(), tighten(bolts()), tools=READING)
    run.answer(a.Value("33"))
    now = asked(run, ask.Decide)

    assert (Decimal(28), Decimal(32)) == now.window
