"""The tools for one demand, best first, with reasons in sentences and numbers."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from scipy.stats import norm

from clampbook.tools.against import clause
from clampbook.tools.demand import Demand
from clampbook.tools.fitness import fitness
from clampbook.tools.model import LastCheck, Stock, Tool, Trouble, Use, Withdrawn
from clampbook.tools.ranking import looked_at, rank, reasons

TODAY = date(2026, 3, 2)
_FELL = Trouble(kind="dropped", at="2026-03-01T10:00:00.000Z", on="2026-03-01", run="20260301-hub-aaaaaaaa", line=31)
DROPPED = Use(troubles=(_FELL,))
THIRTY = Demand(need="torque", target=Decimal(30), window=(Decimal(28), Decimal(32)), unit="N·m")


def tool(id: str = "w1", **more: Any) -> Tool:
    """W1, a setting tool from 4 to 60 N·m in halves, in date, ±4 %."""
    fields: dict[str, Any] = {
        "kind": "setting",
        "unit": "N·m",
        "minimum": Decimal(4),
        "maximum": Decimal(60),
        "resolution": Decimal("0.5"),
        "permissible_deviation": Decimal(4),
        "calibrated_on": "2026-01-12",
        "calibration_due": "2027-01-12",
        **more,
    }
    return Tool(id=id, name=id.upper(), **fields)


def ranked(*tools: Tool, demand: Demand = THIRTY, uses: dict[str, Use] | None = None) -> list[tuple[str, bool]]:
    """Names in order, each with whether it suits."""
    return [(each.tool.name, each.suitable) for each in rank(looked_at(Stock(tools, (), uses or {}), TODAY), demand)]


def told(one: Tool, demand: Demand = THIRTY, use: Use | None = None) -> tuple[str, ...]:
    """All reasons of one tool."""
    stock = Stock((one,), (), {} if use is None else {one.id: use})
    return reasons(rank(looked_at(stock, TODAY), demand)[0], demand)


def against(tool: Tool, demand: Demand) -> list[str]:
    """What wants a reason before the tool is taken."""
    return [clause(one) for one in fitness(tool, demand).against]


class TestOrder:
    """What suits stands first, what cannot stands last."""

    def test_suitable_then_with_a_reason_then_impossible(self) -> None:
        """W3 is past its calibration, W2 ends at 20 N·m, W1 suits; the reference is no tool for work."""
        late, small = tool("w3", calibration_due="2026-02-01"), tool("w2", maximum=Decimal(20))

        assert [("W1", True), ("W3", False), ("W2", False)] == ranked(tool("r1", kind="reference"), small, late, tool())

    def test_of_those_that_need_a_reason_one_out_of_use_comes_last(self) -> None:
        """W2 was put away and W6 dropped: each has one thing against it, W3 past its calibration has two. W4 was found
        off, and is not taken at all."""
        past = tool("w3", calibration_due="2026-02-01", maximum=Decimal(31), working_range=(Decimal(20), Decimal(90)))
        away = tool("w2", withdrawn=Withdrawn(on="2026-02-10", reason="bent"))
        known = {"w4": Use(last_check=LastCheck(check="c", on="2026-02-20", verdict="failed")), "w6": DROPPED}
        small = tool("w5", maximum=Decimal(20))

        assert ["W1", "W3", "W6", "W2", "W5", "W4"] == [
            name for name, _ in ranked(tool("w6"), away, tool("w4"), small, past, tool(), uses=known)
        ]

    def test_the_one_that_holds_the_window_more_surely_stands_before(self) -> None:
        """±1 % before ±4 % where ±1.3 N·m are left, however they stand in the file."""
        close = Demand(need="torque", target=Decimal(30), window=(Decimal("28.7"), Decimal("31.3")), unit="N·m")
        sure = tool("w2", permissible_deviation=Decimal(1))

        assert [("W2", True), ("W1", True)] == ranked(tool(), sure, demand=close)

    def test_else_the_order_of_the_file_stands(self) -> None:
        """Equal tools stay as somebody wrote them down."""
        assert ["W5", "W1", "W3"] == [name for name, _ in ranked(tool("w5"), tool("w1"), tool("w3"))]


class TestReasons:
    """Each with its number."""

    def test_what_speaks_for_a_tool(self) -> None:
        """Where it is set, what it may be off, what is left, how probably it holds, until when it is in date."""
        assert (
            "set to 30 N·m, in its working range (12.0–60.0 N·m)",
            "may be off by 1.2 N·m (±4 %), the window leaves 2 N·m, 1.7 times that",
            "99.5 % likely to be within",
            "calibration due 2027-01-12",
        ) == told(tool())

    def test_a_torque_low_on_the_scale_is_told_once(self) -> None:
        """In the words that the walk has, and beside them nothing says that it is at its best there."""
        low = Demand(need="torque", target=Decimal(14), window=(Decimal(12), Decimal(16)), unit="N·m")
        first, second, *_ = told(tool(), low)

        assert first.startswith("14 N·m is low on its scale (best ")
        assert "set to 14.0 N·m" == second

    def test_the_probability_agrees_with_an_independent_reckoning(self) -> None:
        """Rectangular ±1.2 N·m, a step of 0.5 N·m (JCGM 100, 4.3.7), normal within ±2 N·m (JCGM 106, 7), by scipy."""
        u = ((1.2 / 3**0.5) ** 2 + (0.5 / 12**0.5) ** 2) ** 0.5

        found = rank(looked_at(Stock((tool(),)), TODAY), THIRTY)[0].probability

        assert norm.cdf(2 / u) - norm.cdf(-2 / u) == pytest.approx(found, abs=1e-9)

    def test_what_is_as_good_as_certain_is_told_one_way(self) -> None:
        """However near to one it comes, and also where no number in the computer lies between."""
        wide = Demand(need="torque", target=Decimal(30), window=(Decimal(1), Decimal(59)), unit="N·m")

        assert "more than 99.9 % likely to be within" in told(tool(), wide)

    def test_a_window_narrower_than_the_tool_needs_a_reason(self) -> None:
        """±4 % of 30 are 1.2 N·m, and ±1 N·m is all there is."""
        narrow = Demand(need="torque", target=Decimal(30), window=(Decimal(29), Decimal(31)), unit="N·m")

        assert ["may be off by 1.2 N·m (±4 %), the window leaves 1 N·m"] == against(tool(), narrow)

    def test_a_tool_whose_deviation_nobody_knows(self) -> None:
        """It is not held against it, and not passed over."""
        assert "its permissible deviation is not known" in told(tool(permissible_deviation=None))

    def test_calibration_past_needs_a_reason(self) -> None:
        """The day is named."""
        assert "calibration overdue since 2026-02-01" == told(tool(calibration_due="2026-02-01"))[0]

    def test_withdrawn_needs_a_reason(self) -> None:
        """Since when and why."""
        out = tool(withdrawn=Withdrawn(on="2026-02-10", reason="bent"))

        assert "out of service since 2026-02-10: bent" == told(out)[0]
        assert [("W1", False)] == ranked(out)

    def test_after_a_failed_check_no_reason_is_good_enough(self) -> None:
        """It is out of service for every step, until a check finds it right."""
        check = LastCheck(check="20260301-w1-aaaaaaaa", on="2026-03-01", verdict="failed", worst=Decimal("5.8"))

        expected = ("out of service: failed its check, off by +5.80 %",)
        assert expected == told(tool(), use=Use(last_check=check))
        assert [("W1", False)] == ranked(tool(), uses={"w1": Use(last_check=check)})

    def test_a_dropped_tool_needs_a_reason(self) -> None:
        """Nobody has looked at it since."""
        assert "dropped on 2026-03-01, not checked since" == told(tool(), use=DROPPED)[0]

    def test_a_failed_check_leaves_no_probability(self) -> None:
        """The permissible deviation that it would be reckoned from is just what the tool did not keep."""
        check = LastCheck(check="20260301-w1-aaaaaaaa", on="2026-03-01", verdict="failed", worst=Decimal("5.8"))
        passed = LastCheck(check="20260301-w1-aaaaaaaa", on="2026-03-01", verdict="passed", worst=Decimal("0.8"))

        assert not [each for each in told(tool(), use=Use(last_check=check)) if "likely" in each]
        assert [each for each in told(tool(), use=Use(last_check=passed)) if "likely" in each]

    def test_a_tool_that_works_the_other_way_only(self) -> None:
        """A left-hand thread is tightened anticlockwise."""
        left = Demand(need="torque", target=Decimal(30), window=THIRTY.window, unit="N·m", anticlockwise=True)

        expected = ("clockwise only, this thread is left-hand",)
        assert expected == told(tool(directions="clockwise"), left)

    def test_outside_its_own_useful_span(self) -> None:
        """A span that is written counts instead of a fifth."""
        expected = "30 N·m is above its working range (10.0–25.0 N·m)"

        assert [expected] == against(tool(working_range=(Decimal(10), Decimal(25))), THIRTY)

    def test_steps_too_coarse_for_the_torque_are_noted(self) -> None:
        """Steps of 4 N·m at 30: more than a tenth (US Army TM 1-1500-204-23-9, Table 8-1)."""
        wide = Demand(need="torque", target=Decimal(30), window=(Decimal(24), Decimal(36)), unit="N·m")

        assert "scale lines 4 N·m apart, coarse for 30 N·m" in told(tool(resolution=Decimal(4)), wide)

    def test_the_torque_at_the_end_of_a_turn(self) -> None:
        """A tool to 60 N·m that reads angles must not end a turn at 95."""
        turn = Demand(need="angle", unit="N·m", up_to=Decimal(95))

        expected = "the turn may end at 95 N·m, above its maximum of 60 N·m"
        assert [expected] == against(tool(kind="indicating", reads_angle=True), turn)
