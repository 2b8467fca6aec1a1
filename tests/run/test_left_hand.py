"""A left-hand thread is said, with its direction seen from the tool, wherever a hand is laid on it."""

from __future__ import annotations

from msgspec.structs import replace
from small_joints import SETTING, W7, bench_for, bolts, loosen, recheck, tighten, turn, walk_to

from aims import thirty
from bench import G1, Bench
from clampbook.plain.objects import of_prompt
from clampbook.procedure import model as m
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.tools.model import Tool

HUB = bolts(2, "Hub bolts", left_hand=True)


def run(*stages: m.Stage, tools: tuple[Tool, ...] = SETTING) -> Bench:
    """A hub whose bolts have left-hand threads."""
    return bench_for(HUB, *stages, tools=tools)


def test_a_pull_goes_counterclockwise() -> None:
    """The hand would go the other way by itself."""
    now = walk_to(run(tighten(HUB)), "1.1/1", ask.Tighten)

    assert sentence(now).startswith("Hub bolt 1 (left-hand): pull W8 counterclockwise")
    assert ("counterclockwise", True) == (of_prompt(now)["direction"], of_prompt(now)["left_hand"])


def test_a_reading_is_pulled_the_same_way() -> None:
    """Whatever the tool."""
    now = walk_to(run(tighten(HUB), tools=(W7, G1)), "1.1/1", ask.Tighten)

    assert "Hub bolt 1 (left-hand): pull W7 slowly counterclockwise to 30 N·m" in sentence(now)


def test_a_turn_goes_counterclockwise() -> None:
    """An angle is as wrong the wrong way round."""
    now = walk_to(run(tighten(HUB), turn(HUB, number=2)), "2.1/1", ask.Turn)

    assert "(left-hand)" in sentence(now) and "turn 90° counterclockwise" in sentence(now)
    assert "counterclockwise" == of_prompt(now)["direction"]


def test_it_is_loosened_clockwise() -> None:
    """Loosening is the other way."""
    now = walk_to(run(tighten(HUB), loosen(HUB, number=2)), "2.1/1", ask.Loosen)

    assert "Hub bolt 1 (left-hand): loosen fully clockwise, without a torque tool." == sentence(now)
    assert ("clockwise", True) == (of_prompt(now)["direction"], of_prompt(now)["left_hand"])


def test_a_recheck_goes_counterclockwise() -> None:
    """As its tightening did."""
    now = walk_to(run(tighten(HUB), recheck(HUB, number=2)), "2.1/1", ask.Recheck)

    assert "(left-hand)" in sentence(now) and "pull W8 counterclockwise" in sentence(now)


def test_of_a_right_hand_thread_nothing_is_said() -> None:
    """Only what is unusual is said; scripts are told all the same."""
    head = bolts(2)
    now = walk_to(bench_for(head, tighten(head), tools=SETTING), "1.1/1", ask.Tighten)

    assert "clockwise" not in sentence(now)
    assert ("clockwise", False) == (of_prompt(now)["direction"], of_prompt(now)["left_hand"])


def test_a_tool_that_works_one_way_only_is_not_kept_for_the_other() -> None:
    """A clockwise-only tool that served the head does not serve the hub after it."""
    head = bolts(2)
    one_way = replace(SETTING[0], directions="clockwise")
    both = replace(SETTING[0], id="w9", name="W9")
    hub = bolts(2, "Hub bolts", first=3, left_hand=True)
    joint = bench_for((head, hub), tighten(head), tighten(hub, number=2), tools=(one_way, both))
    now = walk_to(joint, "2.1/3", ask.TakeTool)

    assert {"w8": False, "w9": True} == {offer.tool.id: offer.cannot is None for offer in now.offers}


def test_the_aim_says_it_too() -> None:
    """One value for all."""
    assert thirty(W7, direction="counterclockwise").left_hand
