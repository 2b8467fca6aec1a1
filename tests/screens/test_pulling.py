"""The number for the hand and the place it is for, as figures."""

from __future__ import annotations

from msgspec.structs import replace
from small_joints import SETTING, bench_for, bolts, measure, tighten, turn, value, walk_to, window

from bench import Bench
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.lines import stored as told
from clampbook.screens.asking import of_prompt


def shown(run: Bench) -> tuple[str, ...]:
    """Number, its unit and caption, then the same of the place."""
    of_it = of_prompt(run.prompt, run.session)
    figures = (of_it.hand, of_it.position)
    return tuple(part for each in figures if each is not None for part in (each.text, each.unit, each.caption))


def test_a_remainder_is_two_numbers_with_their_unit() -> None:
    """What is left of a turn, from the same mark."""
    head = bolts(1)
    run = bench_for(head, turn(head, 1, in_strokes=True))
    walk_to(run, "1.1/1", ask.Turn)
    value(run, "46")

    assert ("44–48", "degrees", "turn more", "1", "", "position") == shown(run)


def test_a_torque_after_a_turn_shows_where_it_must_lie() -> None:
    """There is nothing to stop at: the window stands in its place."""
    head = bolts(1)
    run = bench_for(head, turn(head, 1, final_torque=window("55", "95")))
    walk_to(run, "1.1/1", ask.Turn)
    value(run, "92")
    walk_to(run, "1.1/1", ask.Measure)

    assert ("55.0–95.0", "N·m", "must lie between") == shown(run)[:3]


def test_the_place_of_a_gate_is_a_measuring_point() -> None:
    """It is no position, and nothing is aimed at."""
    head = bolts(1)
    run = bench_for(head, tighten(head), measure(2, points=("front",)))
    walk_to(run, "2.1/front", ask.Measure)

    assert ("front", "", "measuring point") == shown(run)


def test_several_positions_stand_in_the_order_in_which_they_are_pulled() -> None:
    """1, 9, 5 and 13 are no range, and nobody is told to pull those between."""
    head = replace(bolts(4), positions=("1", "9", "5", "13"), order=("1", "9", "5", "13"))
    run = bench_for(head, tighten(head, confirm="round"), tools=SETTING, exempt=True)
    walk_to(run, "1.1/1", ask.Confirm)

    assert ("1, 9, 5, 13", "", "positions") == shown(run)[-3:]
    run.answer(a.Plus())

    assert "bolts 1, 9, 5, 13." in told(run.events[-1], run.plan)
