"""Which tool can do a step, which needs a reason, and what is only said."""

from decimal import Decimal

import pytest

from clampbook.tools.against import PullsBeyond, cause, clause
from clampbook.tools.demand import Demand, Need
from clampbook.tools.fitness import Fitness, fitness
from clampbook.tools.model import Tool, ToolKind


def tool(kind: ToolKind = "setting", *, reads_angle: bool = False) -> Tool:
    """W2 from 10 to 100 N·m, or a gauge."""
    if kind in ("angle gauge", "marks"):
        return Tool(id="w2", name="W2", kind=kind, unit="°", resolution=Decimal(1))
    return Tool(
        id="w2",
        name="W2",
        kind=kind,
        unit="N·m",
        minimum=Decimal(10),
        maximum=Decimal(100),
        resolution=Decimal(1),
        reads_angle=reads_angle,
    )


class TestKind:
    """What is asked must be something the tool can give."""

    @pytest.mark.parametrize(
        ("kind", "need"),
        [
            ("setting", "torque"),
            ("indicating", "torque"),
            ("indicating", "reading"),
            ("angle gauge", "angle"),
            ("marks", "angle"),
        ],
    )
    def test_a_tool_that_gives_what_is_needed(self, kind: ToolKind, need: Need) -> None:
        """Either torque tool tightens, an indicating one reads, a gauge or a mark shows a turn."""
        assert Fitness() == fitness(tool(kind), Demand(need=need))

    @pytest.mark.parametrize(
        ("kind", "need", "sentence"),
        [
            ("setting", "reading", "W2: shows no reading"),
            ("setting", "angle", "W2: shows no angle"),
            ("angle gauge", "torque", "W2: not a torque tool"),
            ("marks", "reading", "W2: not a torque tool"),
        ],
    )
    def test_a_tool_of_the_wrong_kind_cannot(self, kind: ToolKind, need: Need, sentence: str) -> None:
        """No reason makes a tool show what it does not show."""
        assert Fitness(cannot=sentence) == fitness(tool(kind), Demand(need=need))

    def test_a_torque_tool_that_reads_angle(self) -> None:
        """Some torque tools count degrees as well."""
        assert Fitness() == fitness(tool("indicating", reads_angle=True), Demand(need="angle"))


class TestScale:
    """Where on its scale a tool is used."""

    def test_the_middle_of_the_scale_needs_no_word(self) -> None:
        """50 N·m on a scale to 100 is what the tool is made for."""
        assert Fitness() == fitness(
            tool(), Demand(need="torque", target=Decimal(50), window=(Decimal(48), Decimal(52)), unit="N·m")
        )

    def test_outside_the_middle_half_it_is_noted(self) -> None:
        """Near the end of the scale the tool may be used; the person is told."""
        noted = fitness(
            tool(), Demand(need="torque", target=Decimal(90), window=(Decimal(86), Decimal(94)), unit="N·m")
        )

        assert Fitness(notes=("W2: 90 N·m is high on its scale (best 32.5–77.5 N·m)",)) == noted
        assert noted.suits

    def test_below_a_fifth_of_its_maximum_a_reason_is_needed(self) -> None:
        """15 N·m on a tool to 100: it can be forced with a reason, and the record keeps that."""
        refused = fitness(
            tool(), Demand(need="torque", target=Decimal(15), window=(Decimal(13), Decimal(17)), unit="N·m")
        )

        (one,) = refused.against
        assert "15 N·m is below its working range (20.0–100.0 N·m)" == clause(one)
        assert ("below its working range", Fitness(against=(one,))) == (cause(one), refused)
        assert not refused.suits

    def test_beyond_its_scale_it_cannot(self) -> None:
        """What is not on the scale cannot be set."""
        beyond = fitness(
            tool(), Demand(need="torque", target=Decimal(120), window=(Decimal(110), Decimal(130)), unit="N·m")
        )

        assert Fitness(cannot="W2: ends at 100 N·m") == beyond

    def test_a_limit_beyond_its_scale_needs_a_reason(self) -> None:
        """Pulled until a stretch is reached, never above 115 N·m: a tool to 100 may not show how far it goes."""
        refused = fitness(tool(), Demand(need="torque", window=(None, Decimal(115)), unit="N·m"))

        one = PullsBeyond(Decimal(115), Decimal(100), "N·m")
        assert Fitness(against=(one,)) == refused
        assert "the pull may reach 115 N·m, above its maximum of 100 N·m" == clause(one)

    def test_without_a_target_the_window_says_where(self) -> None:
        """A final torque between 85 and 95 N·m is looked for at 90."""
        noted = fitness(
            tool("indicating"), Demand(need="reading", target=None, window=(Decimal(85), Decimal(95)), unit="N·m")
        )

        assert ("W2: 90 N·m is high on its scale (best 32.5–77.5 N·m)",) == noted.notes

    def test_another_unit_is_converted_first(self) -> None:
        """10 lbf·ft are 13.6 N·m (NIST SP 811: 1.3558 N·m each), below a fifth of 100 N·m."""
        refused = fitness(
            tool(), Demand(need="torque", target=Decimal(10), window=(Decimal(9), Decimal(11)), unit="lbf·ft")
        )

        assert 1 == len(refused.against)
