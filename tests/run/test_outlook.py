"""What is said of the tools before anybody touches a bolt."""

from __future__ import annotations

import dataclasses
from datetime import date
from decimal import Decimal

from msgspec.structs import replace
from small_joints import (
    W7,
    W8,
    amount,
    asked,
    bench_for,
    bolts,
    procedure,
    recheck,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import G1
from clampbook.procedure.model import Group, Joints, Prevailing, Stage
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.in_hand.demands import demands
from clampbook.run.in_hand.outlook import notices, outlook
from clampbook.run.plan import Plan
from clampbook.run.planning import plan
from clampbook.tools.model import Stock, Tool

TODAY = date(2026, 3, 2)


def of(head: Group, *stages: Stage) -> Plan:
    """The plan of one group and these stages."""
    return plan(procedure((head,), stages), "invented")


def said(made: Plan, *tools: Tool) -> tuple[str, ...]:
    """What is said of these tools."""
    return notices(made, Stock(tools), TODAY)


class TestDemands:
    """What a plan wants of tools, each thing once."""

    def test_a_pull_a_turn_and_the_torque_at_its_end(self) -> None:
        """Three demands, the last of them a reading."""
        head = bolts(3)
        made = of(head, tighten(head), turn(head, rounds=2, final_torque=window("55", "95")))

        assert [(1, "tighten", "torque"), (2, "turn", "angle"), (2, "final torque", "reading")] == [
            (each.stage, each.what, each.demand.need) for each in demands(made)
        ]
        assert Decimal(95) == demands(made)[1].demand.up_to
        assert ("1", "2", "3") == demands(made)[0].positions

    def test_by_the_mark_no_tool_is_wanted(self) -> None:
        """The sheet asks for marks."""
        head = bolts(2)

        assert () == demands(of(head, turn(head, 1, judged_by="mark")))

    def test_locking_nuts_want_a_tool_that_reads(self) -> None:
        """Their prevailing torque is measured first."""
        nuts = bolts(2, prevailing=Prevailing(rule="always"))

        assert [("prevailing torque", "reading"), ("tighten", "torque")] == [
            (each.what, each.demand.need) for each in demands(of(nuts, tighten(nuts)))
        ]

    def test_the_least_that_a_locking_nut_must_run_down_with_is_added(self) -> None:
        """As the walk adds what is read: 30 N·m from 28 to 32, and 2 N·m at least."""
        nuts = bolts(2, prevailing=Prevailing(rule="always", least=amount("2", "N·m")))
        pull = demands(of(nuts, tighten(nuts)))[1].demand

        assert (Decimal(32), (Decimal(30), Decimal(34))) == (pull.target, pull.window)

    def test_left_hand_threads_are_tightened_anticlockwise(self) -> None:
        """Some tools work one way only."""
        left = bolts(2, left_hand=True)

        assert demands(of(left, tighten(left)))[0].demand.anticlockwise


class TestNotices:
    """Only what somebody has to know."""

    def test_two_tools_that_fit_are_no_news(self) -> None:
        """One can break, and the other is there."""
        head = bolts(2)

        assert () == said(of(head, tighten(head)), W7, W8)

    def test_none_in_reserve(self) -> None:
        """A tool that breaks half way must not lead anybody to take a bad one."""
        head = bolts(2)

        assert ("Only W8 suits stage 1. There is no spare.",) == said(of(head, tighten(head)), W8)

    def test_stages_of_which_the_same_is_said_stand_together(self) -> None:
        """One line for all of them."""
        head = bolts(2)
        made = of(head, tighten(head), recheck(head), tighten(head, 3))

        assert ("Only W8 suits stages 1, 2 and 3. There is no spare.",) == said(made, W8)

    def test_no_tool_can_hold_the_window(self) -> None:
        """Steps of 5 N·m never hit 31 to 34."""
        head = bolts(2)
        narrow = tighten(head, target=Decimal(32), window=window("31", "34"))
        coarse = replace(W8, resolution=Decimal(5))

        assert ("No tool suits stage 1 (31.0 to 34.0 N·m). Add one first.",) == said(of(head, narrow), coarse)

    def test_one_that_could_with_a_reason(self) -> None:
        """Past its calibration: possible, and somebody has to answer for it."""
        head = bolts(2)
        late = replace(W8, calibration_due="2026-02-01")

        expected = "No tool suits stage 1 (28.0 to 32.0 N·m) without a reason."
        assert (expected,) == said(of(head, tighten(head)), late)

    def test_a_guard_that_a_locking_nut_uses_up_is_told_before_the_first_is_run_down(self) -> None:
        """60 N·m ± 2.5, guarded, with ± 3 % in steps of 0.1: twice 1.7325 % of what is aimed at passes 2.5 N·m above
        72.15 N·m, 12.15 more than the sheet's 60 (by hand)."""
        nuts = bolts(2, prevailing=Prevailing(rule="always"))
        stage = tighten(nuts, target=Decimal(60), window=window("57.5", "62.5"))
        made = plan(procedure((nuts,), (stage,), accept="guarded"), "invented")
        exact = replace(W7, permissible_deviation=Decimal(3))

        assert said(made, exact, replace(exact, id="w9", name="W9")) == (
            "No tool suits stage 1 above 12.1 N·m of prevailing torque.",
        )
        for typed, fits in (("12.1", True), ("12.2", False)):
            run = bench_for(nuts, stage, tools=(exact, G1), accept="guarded")
            walk_to(run, "1.1/1", ask.Measure)
            value(run, typed)
            assert fits == (asked(run, ask.TakeTool).offers[0].cannot is None)

    def test_a_locking_nut_with_more_than_a_tool_is_exact_enough_for(self) -> None:
        """± 4 % of more than 50 N·m is more than the 2 N·m that the window leaves: 30 and 20 of prevailing torque."""
        nuts = bolts(2, prevailing=Prevailing(rule="always"))
        clicking, reading = (replace(tool, permissible_deviation=Decimal(4), minimum=Decimal(1)) for tool in (W8, W7))

        assert said(of(nuts, tighten(nuts)), clicking, reading, replace(W7, id="w9", name="W9")) == ()
        assert said(of(nuts, tighten(nuts)), clicking, reading, replace(reading, id="w9", name="W9")) == (
            "No tool suits stage 1 above 19.9 N·m of prevailing torque.",
        )

    def test_one_gauge_is_enough(self) -> None:
        """Where it breaks there are the marks."""
        head = bolts(2)

        assert () == said(of(head, turn(head, 1)), G1)

    def test_the_ranking_stands_behind_it(self) -> None:
        """Every tool with its place, for each demand."""
        head = bolts(2)
        (pull,) = outlook(of(head, tighten(head)), Stock((G1, W8, W7)), TODAY)

        assert ["W8", "W7", "G1"] == [each.tool.name for each in pull.ranking]
        assert ["W8", "W7"] == [each.tool.name for each in pull.suitable]


class TestOnTheStartSheet:
    """Said beside the first item, and not again."""

    def test_the_first_item_says_it(self) -> None:
        """Before the first bolt, while another tool can still be fetched."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W8, G1), cautions=("Engine cold.", "Eye protection on."))

        first = asked(run, ask.StartSheet)
        assert ("Only W8 suits stage 1. There is no spare.",) == first.notices

    def test_the_next_one_does_not(self) -> None:
        """Nobody is nagged."""
        head = bolts(2, prepare=("Holes dry.",))
        run = bench_for(head, tighten(head), tools=(W8, G1), cautions=("Engine cold.",))
        run.answer(a.Plus())

        assert () == asked(run, ask.StartSheet).notices

    def test_while_nobody_has_read_the_tools_nothing_is_said(self) -> None:
        """The sheet is on the screen before the tools are read."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(), cautions=("Engine cold.",))
        run.session = dataclasses.replace(run.session, tools_known=False)

        assert () == asked(run, ask.StartSheet).notices

    def test_tools_that_cannot_be_read_are_said_too(self) -> None:
        """With the line of the first fault."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(), cautions=("Engine cold.",))
        run.session = dataclasses.replace(run.session, unread="tools.toml, line 7, no number")

        expected = "The tools cannot be read (tools.toml, line 7, no number)."
        assert (expected,) == asked(run, ask.StartSheet).notices


def test_of_several_joints_a_stage_is_told_once_for_all() -> None:
    """Six injectors are one kind: its two stages are named, and that the others are like it."""
    clamp = bolts(2, "Clamp bolts")
    six = Joints(one="Injector", names=tuple("123456"), walk="one after the other")
    made = plan(procedure((clamp,), (tighten(clamp), tighten(clamp, 2)), joints=six), "invented")

    assert ("Only W7 suits stages 1 and 2. There is no spare.",) == said(made, W7)
