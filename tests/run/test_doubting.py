"""A tool that a check found off: what an open run does about it, from the moment it hears of it."""

from __future__ import annotations

from decimal import Decimal

from small_joints import SETTING, bench_for, bolts, tighten, walk_to

from bench import START, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.doubting import Suspect, first_use, suspected

OFF = Suspect(tool="w7", check="20260303-w7-aaaaaaaa", why="check 20260303-w7-aaaaaaaa found it off by +7 %")


def begun() -> Bench:
    """Two of three bolts are tightened with W7."""
    bench = bench_for(bolts(), tighten(bolts()))
    walk_to(bench, "1.1/3", ask.Tighten)
    return bench


def doubt(bench: Bench, withdrawn: bool = True) -> None:
    """The run hears of the failed check."""
    ((suspect, since),) = suspected(bench.events, [OFF])
    at = bench.events[-1].at
    bench.store(
        e.ToolDoubted(
            at=at,
            offset="+00:00",
            by="ines",
            tool=suspect.tool,
            why=suspect.why,
            since=since,
            check=suspect.check,
            withdrawn=withdrawn,
        )
    )


def test_a_run_that_used_the_tool_since_it_was_good_is_told_from_which_line_on() -> None:
    """From the line that took it up."""
    bench = begun()
    taken = next(event.seq for event in bench.events if isinstance(event, e.ToolTaken))

    assert ((OFF, taken),) == suspected(bench.events, [OFF])


def test_a_run_that_never_had_the_tool_hears_nothing() -> None:
    """Another tool's failure is none of its business."""
    assert () == suspected(begun().events, [Suspect(tool="w99", check="x", why="off")])


def test_what_was_pulled_before_its_last_passed_check_is_not_in_question() -> None:
    """The tool was found good after all these lines."""
    assert first_use(begun().events, "w7", "2027-01-01T00:00:00.000Z") is None


def test_a_failure_is_told_once() -> None:
    """The daybook holds it, and the next start says no more of it."""
    bench = begun()
    doubt(bench)

    assert () == suspected(bench.events, [OFF])


def test_a_tool_that_was_found_off_serves_no_further_pull() -> None:
    """Another one is asked for at the same position."""
    bench = begun()
    doubt(bench)
    now = bench.prompt

    assert isinstance(now, ask.TakeTool)
    assert "3" == now.where.position


def test_put_right_since_it_is_zeroed_again_when_it_is_taken_up() -> None:
    """Nobody knows whether it is the same tool in the hand."""
    bench = begun()
    doubt(bench, withdrawn=False)
    bench.answer(a.TakeUp("w7", "passed as left"))

    assert isinstance(bench.prompt, ask.ZeroTool)


def test_a_doubt_by_hand_leaves_the_tool_in_hand() -> None:
    """As it always did: whoever doubts it decides what to do."""
    bench = begun()
    bench.answer(a.DoubtTool("w7", "readings drift"))

    assert isinstance(bench.prompt, ask.Tighten)


def test_releases_of_a_setting_tool_are_in_question_too() -> None:
    """It let go at another torque than it was set to."""
    bench = bench_for(bolts(), tighten(bolts()), tools=SETTING)
    walk_to(bench, "1.1/2", ask.Tighten)
    released = next(event for event in bench.events if isinstance(event, e.Released))

    assert Decimal(released.set_to) > 0
    assert first_use(bench.events, "w8", START.isoformat()) is not None
