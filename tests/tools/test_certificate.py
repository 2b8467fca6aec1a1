"""The points of a certificate: off by and uncertainty at one place of a scale, and what comes of them."""

from __future__ import annotations

import math
from decimal import Decimal

import msgspec
import pytest
from msgspec.structs import replace

from clampbook.tools.against import LessSure, MayBeOff
from clampbook.tools.certificate import certified_at, not_known
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import fitness
from clampbook.tools.model import Certified, Tool
from clampbook.tools.ranking import ranked, reasons
from clampbook.tools.reader import read_tools
from clampbook.tools.uncertainty import applied


def point(at: str, off_by: str, uncertainty: str) -> Certified:
    """A point from text."""
    return Certified(at=Decimal(at), off_by=Decimal(off_by), uncertainty=Decimal(uncertainty))


W2 = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="N·m",
    minimum=Decimal(20),
    maximum=Decimal(100),
    resolution=Decimal(1),
    permissible_deviation=Decimal(4),
    certified=(point("20", "2.0", "1.2"), point("60", "1.0", "0.8"), point("100", "-0.5", "0.6")),
)
M1 = Tool(
    id="m1",
    name="M1",
    kind="micrometer",
    unit="mm",
    minimum=Decimal(75),
    maximum=Decimal(100),
    resolution=Decimal("0.001"),
    uncertainty=Decimal("0.003"),
    certified=(point("80", "0.004", "0.003"), point("90", "0.004", "0.003")),
)
WRITTEN = """\
[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "N·m"
range = ["20 N·m", "100 N·m"]
resolution = "1 N·m"
permissible_deviation = "4 %"

[[tool.certified]]
at = "20 N·m"
off_by = "+2,0 %"
uncertainty = "1.2 %"

[[tool.certified]]
at = "100 N·m"
off_by = "−0.5 %"
uncertainty = "±0.6 %"
"""


class TestRead:
    """A table of points below its tool."""

    def test_of_a_torque_tool(self) -> None:
        """In percent, with their signs."""
        assert (point("20", "2.0", "1.2"), point("100", "-0.5", "0.6")) == read_tools(WRITTEN.encode(), "t")[0].points

    def test_a_tool_without_any_is_stored_as_before(self) -> None:
        """What nobody wrote stands in no daybook."""
        assert "certified" not in msgspec.to_builtins(replace(W2, certified=msgspec.UNSET))
        assert W2 == msgspec.json.decode(msgspec.json.encode(W2), type=Tool)


class TestAtOnePlace:
    """Between two points a straight line, and the worse uncertainty."""

    @pytest.mark.parametrize(
        ("at", "expected"),
        [
            ("20", ("2.0", "1.2")),
            ("40", ("1.5", "1.2")),
            ("60", ("1.0", "0.8")),
            ("80", ("0.25", "0.8")),
            ("100", ("-0.5", "0.6")),
        ],
    )
    def test_between(self, at: str, expected: tuple[str, str]) -> None:
        """Half way between 2.0 and 1.0 % lie 1.5 %."""
        found = certified_at(W2, Decimal(at))

        assert found is not None
        assert (Decimal(expected[0]), Decimal(expected[1])) == (found.off_by, found.uncertainty)

    @pytest.mark.parametrize("at", ["19", "101"])
    def test_outside_it_says_nothing(self, at: str) -> None:
        """Nobody draws a line on beyond the last point."""
        assert certified_at(W2, Decimal(at)) is None

    def test_what_is_not_known_of_a_reading(self) -> None:
        """Off by 3 with nothing corrected and an uncertainty of 8 (k = 2): √(8² + 6²) is 10."""
        assert Decimal(10) == not_known(point("1", "-3", "8"), Decimal(2))


class TestTorque:
    """It stands for the permissible deviation where it has points on both sides."""

    def test_the_uncertainty_of_a_pull(self) -> None:
        """At 40 N·m: 1.5 % off, 0.6 % standard uncertainty, a step of 1 N·m (1/√12 of 40 N·m)."""
        found = applied(W2, 40.0)

        assert found is not None
        assert math.hypot(1.5, 0.6, 100 / math.sqrt(12) / 40) == pytest.approx(found.percent)

    def test_it_rules_whether_a_tool_suits(self) -> None:
        """At 40 N·m √(1.2² + 3²) are 3.24 % of 40 N·m, 1.296 N·m: the window leaves 1.3 N·m, then 1.2 N·m."""
        wide = Demand(need="torque", target=Decimal(40), window=(Decimal("38.7"), Decimal("41.3")), unit="N·m")
        tight = Demand(need="torque", target=Decimal(40), window=(Decimal("38.8"), Decimal("41.2")), unit="N·m")

        assert fitness(W2, wide).suits
        assert (MayBeOff(Decimal("1.296"), Decimal("1.2"), "N·m", Decimal("3.24")),) == fitness(W2, tight).against
        assert any(", by its certificate)" in each for each in reasons(ranked(W2, wide, Circumstances()), wide))

    def test_outside_its_points_the_permissible_deviation_rules(self) -> None:
        """As for a tool that has none."""
        low = replace(W2, certified=(point("60", "1.0", "0.8"), point("100", "-0.5", "0.6")))

        assert applied(replace(W2, certified=msgspec.UNSET), 40.0) == applied(low, 40.0)


class TestLength:
    """The same of what measures, in its own unit."""

    def test_off_by_counts_in_full(self) -> None:
        """Off by 0.004 mm at ±0.003 mm (k = 2): √(0.003² + 0.008²) are 0.00854 mm."""
        wanted = Demand(need="measure", window=(Decimal(85), Decimal("85.01")), unit="mm", width=Decimal("0.01"))

        assert (LessSure(Decimal("0.00855"), Decimal("0.005"), "mm"),) == fitness(M1, wanted).against

    def test_outside_its_points_the_plain_uncertainty_rules(self) -> None:
        """±0.003 mm in a window of 0.01 mm."""
        wanted = Demand(need="measure", window=(Decimal(95), Decimal("95.01")), unit="mm", width=Decimal("0.01"))

        assert fitness(M1, wanted).suits

    def test_of_a_difference_it_falls_out(self) -> None:
        """Both readings are off by the same: √2 times 0.003 mm are left, 0.00425 mm."""
        wanted = Demand(
            need="measure", window=(Decimal(85), Decimal("85.01")), unit="mm", width=Decimal("0.008"), differs=True
        )

        assert (LessSure(Decimal("0.00425"), Decimal("0.004"), "mm"),) == fitness(M1, wanted).against
