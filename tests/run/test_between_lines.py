"""A reading finer than its tool's lines, where the window ends between two of them: it is asked once more, beside the
window as finely as it was typed, and then judged by what is true."""

from __future__ import annotations

import pytest
from small_joints import (
    asked,
    at_first_pull,
    bench_for,
    bolts,
    recheck,
    stored,
    tighten,
    turn,
    unusual,
    value,
    walk_to,
    window,
)

from bench import G1, W5, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.recount import recounted

# 28 and 32 N·m are 20.6517 and 23.6020 lbf·ft (÷ 1.35581795, NIST SP 811): on lines of 0.1 that is 20.7 to 23.6.
FINELY = "20.66 lbf·ft is between two scale lines of W5, the window is 20.66 to 23.60 lbf·ft."


def at_the_pull() -> Bench:
    """The first of two bolts, to 30 N·m with W5, which shows lbf·ft in steps of 0.1."""
    head = bolts(2)
    return at_first_pull(head, tighten(head), tools=(W5, G1))


def test_what_lies_outside_the_window_as_shown_is_not_taken_at_once() -> None:
    """Shown are 20.7 to 23.6; 20.66 is 28.01 N·m: what is asked again shows to which hundredth that is within."""
    run = at_the_pull()
    before = len(run.events)

    assert "window 20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)" in details(run.prompt)
    assert f"{FINELY} Type it again." == unusual(run.answer(a.Value("20.66"))).unusual
    assert before == len(run.events)


def test_typed_again_it_is_judged_by_what_is_true() -> None:
    """A number alone is enough, and nothing departs from the sheet."""
    run = at_the_pull()
    run.answer(a.Value("20.66"))
    taken = stored(run.answer(a.Value("20.66")), e.ReadingTaken)

    assert ("20.66", "within", ("28", "32")) == (taken.value, taken.verdict, taken.window)
    assert [] == list(recounted(run.plan, run.events))


@pytest.mark.parametrize(("typed", "verdict"), [("20.7", "within"), ("20.65", "under"), ("23.59", "within")])
def test_where_the_window_as_shown_says_the_same_nothing_is_asked(typed: str, verdict: str) -> None:
    """20.65 is 27.998 N·m: under, and outside what is shown."""
    taken = stored(at_the_pull().answer(a.Value(typed)), e.ReadingTaken)

    assert verdict == taken.verdict


def test_a_slip_typed_instead_is_asked_about_as_ever() -> None:
    """2.066 after 20.66: ten times too little."""
    run = at_the_pull()
    run.answer(a.Value("20.66"))

    assert "decimal place" == unusual(run.answer(a.Value("2.066"))).code


def test_a_recheck_asks_the_same() -> None:
    """And then whether it moved."""
    head = bolts(1)
    again = recheck(head, window=window("28", "32"), until_still=False)
    run = bench_for(head, tighten(head), again, tools=(W5, G1))
    walk_to(run, "2.1/1", ask.Recheck)

    assert FINELY in unusual(run.answer(a.Still(moved=False, text="20.66"))).unusual
    assert "within" == stored(run.answer(a.Still(moved=False, text="20.66")), e.Rechecked).verdict


def test_a_final_torque_asks_the_same() -> None:
    """In the words for what is read after a turn."""
    head = bolts(1)
    run = bench_for(head, tighten(head), turn(head, final_torque=window("28", "32")), tools=(W5, G1))
    walk_to(run, "2.1/1", ask.Turn)
    value(run, "92")
    walk_to(run, "2.1/1", ask.Measure)

    assert FINELY in unusual(run.answer(a.Value("20.66"))).unusual
    run.answer(a.Value("20.66"))
    assert not isinstance(run.prompt, ask.Measure | ask.Decide)


def test_in_the_sheet_s_own_unit_the_window_stands_as_written() -> None:
    """28.05 to 32 N·m on a tool with lines of 0.1 N·m: 28.05 lies on the limit as it is shown, and is within."""
    from small_joints import W7

    head = bolts(1)
    run = at_first_pull(head, tighten(head, window=window("28.05", "32")), tools=(W7, G1))

    assert "window 28.05 to 32.00 N·m" in details(asked(run, ask.Tighten))
    assert "within" == stored(run.answer(a.Value("28.05")), e.ReadingTaken).verdict
