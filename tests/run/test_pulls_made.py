"""How often each tool was pulled in a run."""

from __future__ import annotations

from small_joints import SETTING, W7, W8, bench_for, bolts, tighten, turn

from bench import G1, Bench
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.in_hand.pulls_made import pulls
from clampbook.tools.pull_counts import Pulls, since, summed


def counted(run: Bench) -> Pulls:
    """The pulls of a run."""
    return {tool: days for (tool, _), days in pulls(run.plan, run.events).items()}


def test_readings_and_turns_count_for_the_tool_they_were_made_with() -> None:
    """Three bolts to a torque and by an angle: three pulls of W7, three turns with the gauge."""
    head = bolts(3)
    run = bench_for(head, tighten(head), turn(head), tools=(W7, G1))
    run.steadily()

    assert {"w7": {"2026-03-02": 3}, "g1": {"2026-03-02": 3}} == counted(run)


def test_a_pull_that_stayed_under_counts_too() -> None:
    """The tool does not know that it was not enough."""
    head = bolts(1)
    run = bench_for(head, tighten(head), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    run.answer(a.Value("27"))
    run.answer(a.Value("30"))

    assert {"w7": {"2026-03-02": 2}} == counted(run)


def test_pulls_confirmed_together_count_each() -> None:
    """One answer, three clicks."""
    head = bolts(3)
    run = bench_for(head, tighten(head, confirm="round"), tools=SETTING)
    run.steadily()

    assert {W8.id: {"2026-03-02": 3}} == counted(run)


def test_three_of_a_block_that_spans_others_count_three() -> None:
    """Eight bolts, five pulled one by one before: one answer confirms the three that are left."""
    head = bolts(8)
    run = bench_for(head, tighten(head, confirm="round"), tools=SETTING)
    run.steadily(until=ask.Confirm)
    for position in ("2", "3", "5", "6", "7"):
        run.answer(a.PulledAnother(position))
    before = counted(run)[W8.id]["2026-03-02"]

    assert ("1", "4", "8") == run.prompt.positions  # type: ignore[union-attr]
    run.answer(a.Plus())

    assert (5, 8) == (before, counted(run)[W8.id]["2026-03-02"])


def test_a_bad_pull_and_one_that_was_voided_later_were_pulls_of_the_tool() -> None:
    """What was wrong with a pull is no matter to the spring of the tool; a correction is none."""
    head = bolts(2, after_bad_pull="pull again")
    run = bench_for(head, tighten(head), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    run.answer(a.BadPull("it slipped", "20"))
    run.answer(a.Value("30"))
    run.answer(a.Value("31"))
    run.answer(a.Correct("30", "the tool still shows it"))
    run.answer(a.VoidStored("the socket had slipped"))

    assert {"w7": {"2026-03-02": 3}} == counted(run)


def test_only_what_came_after_the_calibration_counts() -> None:
    """The day itself counts; without a day all do."""
    days = {"2026-01-11": 5, "2026-01-12": 7, "2026-02-01": 1}

    assert (8, 13) == (since(days, "2026-01-12"), since(days, None))


def test_counts_are_added_up_by_day() -> None:
    """Two runs on one day are one number."""
    assert {"w2": {"2026-03-02": 5}, "w5": {"2026-03-02": 1}} == summed(
        {"w2": {"2026-03-02": 2}}, {"w2": {"2026-03-02": 3}, "w5": {"2026-03-02": 1}}
    )
