"""What a check is going to do: points, readings, and what does not go together."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from check.doing import R1, W2, W5
from clampbook.check import rests_on
from clampbook.check.plan import decode, encode
from clampbook.check.planning import NoCheck, planned


def test_a_check_goes_to_the_works_targets_where_they_are_named() -> None:
    """The joint's own torques stand in place of the points of the standard."""
    plan = planned(W5, R1, targets=(Decimal(30), Decimal("44.5")))

    assert [Decimal(30), Decimal("44.5")] == [point.value for point in plan.points]


def test_a_point_below_the_lowest_mark_moves_up_to_it() -> None:
    """A fifth of 100 N·m is 20, but this scale begins at 25."""
    plan = planned(replace(W2, minimum=Decimal(25)), R1)

    assert Decimal(25) == plan.points[0].value


def test_a_lowest_mark_that_no_step_hits_moves_up_to_the_next() -> None:
    """In steps of 2 a scale from 25 on begins at 26; 24 is no mark of it."""
    plan = planned(replace(W2, minimum=Decimal(25), resolution=Decimal(2)), R1)

    assert [Decimal(26), Decimal(60), Decimal(100)] == [point.value for point in plan.points]


def test_the_last_point_is_the_last_mark_and_never_beyond_the_scale() -> None:
    """In steps of 2 a scale that ends at 107 has 106 as its last mark, though 108 is as near."""
    plan = planned(replace(W2, maximum=Decimal(107), resolution=Decimal(2)), R1)

    assert Decimal(106) == plan.points[-1].value


def test_points_that_fall_on_one_mark_are_pulled_once() -> None:
    """A scale from 80 to 100 has neither a fifth nor three fifths of its maximum: both move to 80."""
    plan = planned(replace(W2, minimum=Decimal(80)), R1)

    assert [Decimal(80), Decimal(100)] == [point.value for point in plan.points]


def test_each_technique_in_each_direction_is_a_series_of_its_own() -> None:
    """Two ways of pulling, two directions: four series."""
    plan = planned(W2, R1, techniques=("slow", "quick"), directions=("clockwise", "anticlockwise"))

    assert 4 == len(plan.series)


def test_what_the_plan_rests_on_is_said() -> None:
    """Limit, certificate and uncertainty stand in sentences beside the plan."""
    told = " ".join(rests_on.told(planned(W2, R1)))

    assert "4 %" in told and "V-17" in told and "0.5 %" in told


def test_a_reference_that_is_too_coarse_is_told() -> None:
    """More than a quarter of what the tool may deviate."""
    told = " ".join(rests_on.told(planned(W2, replace(R1, uncertainty=Decimal("1.5")))))

    assert "more than a quarter" in told


def test_a_frozen_plan_reads_back_as_it_was() -> None:
    """plan.json holds all of it."""
    plan = planned(W5, R1, techniques=("slow", "quick"), held="reference")

    assert plan == decode(encode(plan))


@pytest.mark.parametrize(
    ("tool", "wishes", "told"),
    [
        (replace(W2, permissible_deviation=None), {}, "no permissible deviation"),
        (replace(W2, kind="angle gauge"), {}, "not a torque tool"),
        (W2, {"targets": (Decimal(120),)}, "off the scale"),
        (W2, {"targets": (Decimal("30.5"),)}, "scale lines"),
        (W2, {"held": "reference"}, "setting tool"),
        (W2, {"readings": 0}, "not possible"),
        (W2, {"techniques": ("slow", "slow")}, "twice"),
        (W2, {"techniques": ("slow", " slow ")}, "twice"),
        (W2, {"techniques": ("",)}, "no name"),
        (W2, {"techniques": ("slow\x1b[2J",)}, "the technique"),
        (W2, {"techniques": ("x" * 61,)}, "the technique"),
        (replace(W2, directions="clockwise"), {"directions": ("anticlockwise",)}, "clockwise only"),
    ],
)
def test_what_does_not_go_together_is_refused_in_a_sentence(tool: object, wishes: dict, told: str) -> None:  # type: ignore[type-arg]
    """The sentence names the tool and what to do."""
    with pytest.raises(NoCheck) as refused:
        planned(tool, R1, **wishes)  # type: ignore[arg-type]

    assert told in refused.value.sentence


def test_exercises_never_overload_the_reference() -> None:
    """The tool is loaded to its maximum first, wherever the points lie; 200 N·m are 147.5 lbf·ft."""
    with pytest.raises(NoCheck, match=r"R1 ends at 200 N·m. Exercising W9 at 300 N·m"):
        planned(replace(W2, name="W9", maximum=Decimal(300)), R1, targets=(Decimal(60),))
    with pytest.raises(NoCheck, match="148 lbf·ft"):
        planned(replace(W2, unit="lbf·ft", maximum=Decimal(148)), R1)

    assert Decimal(147) == planned(replace(W2, unit="lbf·ft", maximum=Decimal(147)), R1).points[-1].value


def test_only_a_reference_can_be_the_reference() -> None:
    """Another workshop tool would add its own error unseen."""
    with pytest.raises(NoCheck, match="not a torque reference"):
        planned(W2, W5)
