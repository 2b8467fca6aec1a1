"""What to set on a tool in its own unit."""

from decimal import Decimal
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.tools.model import Tool
from clampbook.tools.setting import CannotHold, Setting, what_to_set
from clampbook.units import convert


def tool(
    least: str = "20",
    most: str = "100",
    step: str | None = "1",
    unit: str = "N·m",
    kind: Literal["setting"] = "setting",
) -> Tool:
    """A setting tool W2 with this scale."""
    resolution = None if step is None else Decimal(step)
    return Tool(
        id="w2", name="W2", kind=kind, unit=unit, minimum=Decimal(least), maximum=Decimal(most), resolution=resolution
    )


def window(low: str, high: str) -> tuple[Decimal, Decimal]:
    """A window with both ends."""
    return Decimal(low), Decimal(high)


class TestMark:
    """The mark nearest to the target that lies in the window."""

    def test_in_the_unit_of_the_sheet_the_target_is_the_setting(self) -> None:
        """30 N·m on a tool in N·m is 30."""
        assert Setting(Decimal("30"), "N·m") == what_to_set(Decimal(30), window("28", "32"), "N·m", tool())

    def test_in_another_unit_it_is_the_nearest_mark(self) -> None:
        """30 N·m is 22.127 lbf·ft (1 lbf·ft = 1.3558 N·m, NIST SP 811 B.8), so a tool in tenths is set to 22.1."""
        held = what_to_set(Decimal(30), window("28", "32"), "N·m", tool("10", "80", "0.1", "lbf·ft"))

        assert Setting(Decimal("22.1"), "lbf·ft") == held

    def test_a_mark_outside_a_one_sided_window_is_passed_over(self) -> None:
        """With "+0 −3 N·m" the nearest quarter above the target would be over, so the one below is set."""
        held = what_to_set(Decimal(30), window("27", "30"), "N·m", tool("10", "80", "0.25", "lbf·ft"))

        assert Setting(Decimal("22.00"), "lbf·ft") == held

    def test_of_two_marks_equally_near_the_one_towards_the_middle_is_set(self) -> None:
        """32.5 N·m on a tool in steps of five: 30 where the window reaches further down, 35 where further up."""
        coarse = tool(step="5")

        assert Setting(Decimal(30), "N·m") == what_to_set(Decimal("32.5"), window("25", "37"), "N·m", coarse)
        assert Setting(Decimal(35), "N·m") == what_to_set(Decimal("32.5"), window("28", "40"), "N·m", coarse)

    def test_an_open_end_draws_the_mark_to_its_side(self) -> None:
        """Where only the least is given it is the mark above, where only the most, the one below."""
        coarse = tool(step="5")

        assert Setting(Decimal(35), "N·m") == what_to_set(Decimal("32.5"), (Decimal(30), None), "N·m", coarse)
        assert Setting(Decimal(30), "N·m") == what_to_set(Decimal("32.5"), (None, Decimal(35)), "N·m", coarse)

    @settings(max_examples=200, deadline=None)
    @given(
        st.decimals(5, 500, places=1),
        st.decimals("0.1", 20, places=1),
        st.decimals(0, 20, places=1),
        st.sampled_from(["N·m", "lbf·ft", "kgf·cm"]),
        st.sampled_from(["0.1", "0.25", "0.5", "1", "2", "5"]),
    )
    def test_what_is_set_lies_in_the_window_and_on_the_scale(
        self, target: Decimal, below: Decimal, above: Decimal, unit: str, step: str
    ) -> None:
        """Whatever the units, the setting is a mark of the scale and its exact value at the fastener is within."""
        held = what_to_set(target, (target - below, target + above), "N·m", tool("2", "300", step, unit))

        if isinstance(held, Setting):
            assert target - below <= convert(held.value, unit, "N·m") <= target + above
            assert Decimal(2) <= held.value <= Decimal(300)
            assert 0 == held.value % Decimal(step)


class TestCannotHold:
    """A tool that has no fitting mark says why."""

    def test_the_target_lies_outside_the_scale(self) -> None:
        """A tool that ends at 100 N·m is not set to 120."""
        held = what_to_set(Decimal(120), window("110", "130"), "N·m", tool())

        assert CannotHold("W2: ends at 100 N·m") == held

    def test_the_steps_are_too_coarse_for_the_window(self) -> None:
        """Steps of five and a window from 31 to 33 have nothing in common."""
        held = what_to_set(Decimal(32), window("31", "33"), "N·m", tool(step="5"))

        expected = "W2: scale lines 5 N·m apart, too coarse for 31.0 to 33.0 N·m"
        assert CannotHold(expected) == held

    def test_the_resolution_is_not_known(self) -> None:
        """Nobody can round to marks that are not known."""
        held = what_to_set(Decimal(32), window("31", "33"), "N·m", tool(step=None))

        assert CannotHold("W2: tools.toml does not say how far apart its scale lines are") == held

    @pytest.mark.parametrize("kind", ["angle gauge", "marks"])
    def test_a_gauge_is_no_torque_tool(self, kind: Literal["angle gauge", "marks"]) -> None:
        """Torque is not set on what measures an angle."""
        gauge = Tool(id="g1", name="G1", kind=kind, unit="°", resolution=Decimal(1))

        assert CannotHold("G1: not a torque tool") == what_to_set(Decimal(30), window("28", "32"), "N·m", gauge)
