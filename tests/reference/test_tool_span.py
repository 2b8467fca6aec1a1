"""The working range of a tool, against what was published."""

from decimal import Decimal

import pytest

from clampbook.tools.demand import Demand
from clampbook.tools.fitness import USEFUL_FROM, fitness, middle_half
from clampbook.tools.model import Tool


def tool(minimum: str, maximum: str, unit: str) -> Tool:
    """A setting tool with this scale, in marks of one."""
    return Tool(
        id="w1",
        name="W1",
        kind="setting",
        unit=unit,
        minimum=Decimal(minimum),
        maximum=Decimal(maximum),
        resolution=Decimal(1),
    )


class TestMiddleHalf:
    """Military maintenance advice on the most effective range of torque tools (US Army TB 43-0218)."""

    @pytest.mark.parametrize(
        ("minimum", "maximum", "unit", "low", "high"),
        [("0", "200", "lbf·in", "50", "150"), ("15", "75", "lbf·ft", "30", "60")],
    )
    def test_it_is_the_published_range(self, minimum: str, maximum: str, unit: str, low: str, high: str) -> None:
        """0–200 lbf·in is best from 50 to 150, 15–75 lbf·ft from 30 to 60 (TB 43-0218, table of effective ranges)."""
        assert (Decimal(low), Decimal(high)) == middle_half(tool(minimum, maximum, unit))


class TestUsefulFrom:
    """US Army TM 1-1500-204-23-9, Table 8-1: accuracy is required from 20 % of full scale, not below."""

    def test_accuracy_is_required_from_a_fifth_on(self) -> None:
        """At 20 % of full scale a tool is taken without a reason, just below it is not."""
        hundred = tool("0", "100", "N·m")

        assert Decimal("0.20") == USEFUL_FROM
        assert fitness(
            hundred, Demand(need="torque", target=Decimal(20), window=(Decimal(18), Decimal(22)), unit="N·m")
        ).suits
        assert not fitness(
            hundred, Demand(need="torque", target=Decimal(19), window=(Decimal(17), Decimal(21)), unit="N·m")
        ).suits
