"""How an adapter changes the lever of a tool."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.tools.lever import STRAIGHT, NoReach, Reach, cosine, reach
from clampbook.tools.model import Adapter, Tool
from clampbook.tools.setting import CannotHold, Setting, at_fastener, what_to_set, window_on_tool
from clampbook.units import Quantity


def tool(lever: str | None = "400") -> Tool:
    """W2 from 10 to 100 N·m in half newton metres."""
    length = None if lever is None else Quantity(Decimal(lever), "mm")
    return Tool(
        id="w2",
        name="W2",
        kind="setting",
        unit="N·m",
        minimum=Decimal(10),
        maximum=Decimal(100),
        resolution=Decimal("0.5"),
        lever=length,
    )


def adapter(extension: str = "50", offset: str = "0") -> Adapter:
    """A1, this long, at this angle."""
    return Adapter(id="a1", name="A1", extension=Quantity(Decimal(extension), "mm"), offset=Decimal(offset))


def through(one: Tool, other: Adapter) -> Reach:
    """The reach of a tool through an adapter that fits it."""
    found = reach(one, other)
    assert isinstance(found, Reach)
    return found


class TestReach:
    """What becomes of the lever."""

    def test_without_an_adapter_nothing_changes(self) -> None:
        """The tool shows what the fastener gets."""
        assert STRAIGHT == reach(tool(None), None)

    def test_an_adapter_square_to_the_lever_needs_no_lever(self) -> None:
        """At 90° its length does not matter, so the tool's need not be known."""
        assert STRAIGHT == reach(tool(None), adapter(offset="90"))

    def test_without_the_lever_nobody_can_say(self) -> None:
        """The length of the lever is part of the sum."""
        expected = "W2: no lever in tools.toml, so the effect of A1 is not known"

        assert NoReach(expected) == reach(tool(None), adapter())

    def test_an_adapter_that_leaves_no_lever(self) -> None:
        """Pointing back by the whole lever leaves nothing to pull with."""
        assert NoReach("W2: A1 leaves nothing of its lever, 400 mm") == reach(tool(), adapter("-400"))

    @given(st.decimals(1, 1000, places=1), st.decimals(-300, 300, places=1), st.decimals(-90, 90, places=1))
    @settings(max_examples=100, deadline=None)
    def test_there_and_back_is_the_same_torque(self, torque: Decimal, extension: Decimal, offset: Decimal) -> None:
        """What is set for a torque gives that torque at the fastener, to 25 digits."""
        ways = through(tool(), adapter(str(extension), str(offset)))

        assert abs(ways.at_fastener(ways.on_tool(torque)) / torque - 1) < Decimal("1e-25")


class TestCosine:
    """The cosine in decimals."""

    @given(st.decimals(-720, 720, places=2))
    @settings(max_examples=100, deadline=None)
    def test_it_agrees_with_the_floating_point_one(self, degrees: Decimal) -> None:
        """math.cos knows fifteen digits of it."""
        assert math.isclose(math.cos(math.radians(float(degrees))), float(cosine(degrees)), abs_tol=1e-14)

    @pytest.mark.parametrize(("degrees", "exact"), [("0", "1"), ("60", "0.5"), ("-90", "0"), ("240", "-0.5")])
    def test_it_is_exact_where_it_can_be(self, degrees: str, exact: str) -> None:
        """A half and nought are no endless fractions."""
        assert Decimal(exact) == cosine(Decimal(degrees))


class TestSetting:
    """The mark on the tool, through an adapter."""

    def test_the_setting_is_rounded_to_a_mark(self) -> None:
        """80 N·m over 400 mm and 50 mm are 71.1 N·m on the tool; the nearest half is 71.0, 79.9 at the fastener."""
        held = what_to_set(Decimal(80), (Decimal(76), Decimal(84)), "N·m", tool(), adapter())

        assert Setting(Decimal("71.0"), "N·m") == held
        assert Decimal("79.875") == at_fastener(Decimal("71.0"), tool(), through(tool(), adapter()), "N·m")

    def test_off_the_middle_the_mark_lies_towards_it(self) -> None:
        """With +1 −4 N·m the middle lies below the target: 71.0 and not 71.5, although 71.4 would be nearer that."""
        wider = what_to_set(Decimal("80.4"), (Decimal("76.4"), Decimal("81.4")), "N·m", tool(), adapter())

        assert Setting(Decimal("71.0"), "N·m") == wider

    def test_a_rounded_setting_that_leaves_the_window_is_refused(self) -> None:
        """Halves on the tool are 0.5625 N·m at the fastener: between 79.95 and 80.05 there is none."""
        held = what_to_set(Decimal(80), (Decimal("79.95"), Decimal("80.05")), "N·m", tool(), adapter())

        assert isinstance(held, CannotHold)
        assert "too coarse for" in held.sentence

    def test_an_adapter_that_shortens_can_leave_the_scale(self) -> None:
        """80 N·m over 400 mm less 100 mm want 107 N·m on the tool, which ends at 100."""
        held = what_to_set(Decimal(80), (Decimal(76), Decimal(84)), "N·m", tool(), adapter("-100"))

        assert CannotHold("W2: ends at 100 N·m, A1 needs 107 N·m") == held

    @given(st.decimals(20, 90, places=1), st.decimals("0.5", 9, places=1), st.decimals(-150, 300, places=0))
    @settings(max_examples=100, deadline=None)
    def test_whatever_reads_inside_the_shown_window_is_inside(
        self, target: Decimal, half: Decimal, extension: Decimal
    ) -> None:
        """The window on the tool is rounded inwards, through any adapter."""
        one, ways = tool(), through(tool(), adapter(str(extension)))
        window = (target - half, target + half)

        low, high = window_on_tool(window, "N·m", one, ways)

        assert low is not None
        assert high is not None
        assert window[0] <= at_fastener(low, one, ways, "N·m") * (1 + Decimal("1e-25"))
        assert at_fastener(high, one, ways, "N·m") <= window[1] * (1 + Decimal("1e-25"))
