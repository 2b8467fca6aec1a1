"""What the error of a tool means at the joint, and readings far from the others: facts, and their sentences."""

from decimal import Decimal
from typing import Any

import pytest

from check.doing import W2, W5, Bench, bench
from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.at_the_joint import told_at_the_joint
from clampbook.check.outlying import far_lines
from clampbook.check.surely_off import SurelyOff, surely_off
from clampbook.check.wording import stored
from clampbook.tools.model import Tool


def pulled(*shown: str, tool: Tool = W2, **wishes: Any) -> Bench:
    """A check at 60 N·m, set there: the reference shows these."""
    checked = bench(tool, targets=(Decimal(60),), readings=len(shown), **wishes)
    for each in shown:
        checked.to(ask.Pull)
        checked.shows(each)
    return checked


def facts(checked: Bench) -> tuple[SurelyOff, ...]:
    """What it surely reads."""
    return surely_off(checked.to(ask.Adjust).judgement, "as found")


class TestReadsHighOrLow:
    """Above zero a tool says more than there is: its bolts got less."""

    @pytest.mark.parametrize(("shown", "reads", "bolts"), [("58.0", "high", "less"), ("62.0", "low", "more")])
    def test_the_bolts_got_the_other_way_round(self, shown: str, reads: str, bolts: str) -> None:
        """Set to 60, the reference shows 58: the tool reads high, and the bolts got 58."""
        (found,) = facts(pulled(shown, shown, shown, shown, shown))

        assert (reads, bolts, ("60",), True) == (found.reads, found.bolts, found.points, found.everywhere)

    def test_within_the_uncertainty_of_the_reference_nothing_is_said(self) -> None:
        """0.5 % of 60 N·m is 0.3 N·m: 59.8 may be right."""
        assert () == facts(pulled(*["59.8"] * 5))

    def test_within_the_scatter_of_its_pulls_nothing_is_said(self) -> None:
        """The mean lies 1 % low, and five pulls that lie 8 % apart do not tell it from nothing."""
        assert () == facts(pulled("58.4", "62.8", "60.0", "58.2", "63.6"))

    def test_against_an_unknown_reference_nothing_is_said(self) -> None:
        """Nobody knows how far the reference itself is off."""
        assert () == facts(pulled(*["58"] * 5, reference=None))

    def test_one_pull_shows_no_scatter(self) -> None:
        """However far it is off."""
        assert () == facts(pulled("50"))

    def test_an_indicating_tool_shows_and_is_not_set(self) -> None:
        """The sentence says which; a tool without a deviation says nothing."""
        of = {tool.name: pulled(*["58.0"] * 5, tool=tool).to(ask.Adjust).judgement for tool in (W2, W5)}

        assert ("Reads high: the bolts got less than set.",) == told_at_the_joint(of["W2"], "as found", W2)
        assert ("Reads high: the bolts got less than shown.",) == told_at_the_joint(of["W5"], "as found", W5)
        assert ("As left, reads high: the bolts get less than set.",) == told_at_the_joint(of["W2"], "as left", W2)
        assert () == told_at_the_joint(None, "as found", W2)

    def test_points_and_directions_that_differ_are_named(self) -> None:
        """Clockwise it reads high at 30 N·m and low at 90, counterclockwise high at both."""
        checked = bench(targets=(Decimal(30), Decimal(90)), directions=("clockwise", "anticlockwise"))
        for _ in range(20):
            place = checked.to(ask.Pull).where
            low = place.way.direction == "clockwise" and place.at.value == 90
            checked.shows(str(place.at.value * Decimal("1.03" if low else "0.97")))
        high, low_one = told_at_the_joint(checked.to(ask.Adjust).judgement, "as found", W2)

        assert "Reads high at 30 N·m clockwise and counterclockwise: the bolts got less than set." == high
        assert "Reads low at 90 N·m clockwise: the bolts got more than set." == low_one


class TestFarFromTheOthers:
    """A reading that lies far from the others of its point is named, and counts like any."""

    def test_it_is_named_as_it_is_stored_and_counts(self) -> None:
        """Four pulls around 60 and one of 66."""
        checked = pulled("60.1", "59.9", "60.0", "60.2", "66.0")
        last = checked.events[-1]

        assert stored(last, checked.plan, checked.progress).endswith("Far from the others.")
        assert {last.seq} == far_lines(checked.progress)
        assert 5 == len(checked.progress.pulls)
        (point,) = checked.to(ask.Adjust).judgement.series[0].points
        assert ((4,), 5) == (point.far, point.figures and point.figures.n)

    def test_a_void_one_is_no_longer_among_them(self) -> None:
        """Its place is pulled again."""
        checked = pulled("60.1", "59.9", "60.0", "60.2", "66.0")
        checked.answer(a.VoidStored("socket slipped"))
        checked.shows("60.1")

        assert frozenset() == far_lines(checked.progress)

    def test_of_four_none_is_called_far(self) -> None:
        """So few lie so far apart by chance."""
        assert frozenset() == far_lines(pulled("60.1", "59.9", "60.0", "66.0").progress)
