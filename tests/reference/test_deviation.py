"""The deviation of a torque tool, its sign and its limits, after ISO 6789-1."""

from decimal import Decimal

import pytest

from clampbook.check.deviation import deviation, true_torque
from clampbook.check.figures import figures
from clampbook.check.judging import verdict_of
from clampbook.check.planning import exercises_of, points_of, readings_of
from clampbook.tools.model import Tool

# ISO 6789-1, evaluation of the deviation, A = (x_a - x_r) · 100 / x_r: 100/96 and 100/104 are the standard's own
# examples (from memory); the others are worked out by hand with the formula.
DEVIATIONS = [
    ("100", "96", "4.1667"),
    ("100", "104", "-3.8462"),
    ("100", "98.5", "1.5228"),
    ("20", "20.9", "-4.3062"),
    ("60", "58.1", "3.2702"),
]


def tool(kind: str, iso_type: str, iso_class: str) -> Tool:
    """A tool of 20 to 100 N·m in steps of 1 N·m."""
    return Tool(
        id="w2",
        name="W2",
        kind=kind,  # type: ignore[arg-type]
        unit="N·m",
        minimum=Decimal(20),
        maximum=Decimal(100),
        resolution=Decimal(1),
        iso_type=iso_type,  # type: ignore[arg-type]
        iso_class=iso_class,
    )


@pytest.mark.parametrize(("indicated", "reference", "percent"), DEVIATIONS)
def test_deviation_is_taken_of_the_reference_and_is_above_zero_where_the_tool_says_too_much(
    indicated: str, reference: str, percent: str
) -> None:
    """Divided by what is indicated instead, the first would be 4.00 and pass a limit of 4 %."""
    assert Decimal(percent) == round(deviation(Decimal(indicated), Decimal(reference)), 4)


@pytest.mark.parametrize(("indicated", "reference", "percent"), DEVIATIONS)
def test_what_the_reference_showed_comes_back_from_the_deviation(indicated: str, reference: str, percent: str) -> None:
    """x_r = x_a / (1 + A/100), to the digits that the deviation was rounded to."""
    assert pytest.approx(float(reference), rel=1e-6) == float(true_torque(Decimal(indicated), Decimal(percent)))


def test_set_to_100_and_96_on_the_reference_is_outside_four_percent() -> None:
    """The reading that both ways of dividing judge differently, with a perfect reference."""
    found = figures([deviation(Decimal(100), Decimal(96))])

    assert "failed" == verdict_of(found, Decimal(4), Decimal(0))


def test_points_are_a_fifth_three_fifths_and_all_of_the_maximum() -> None:
    """ISO 6789, as a public manual quotes the edition of 2003: upwards from the least."""
    assert [Decimal(20), Decimal(60), Decimal(100)] == [p.value for p in points_of(tool("setting", "II", "A"))]


def test_a_setting_tool_of_one_torque_has_that_one_point() -> None:
    """ISO 6789-1, type II, classes B and E are set for good; from memory."""
    assert [Decimal(100)] == [point.value for point in points_of(tool("setting", "II", "B"))]


@pytest.mark.parametrize(
    ("kind", "iso_type", "iso_class", "readings"),
    [("indicating", "I", "B", 5), ("setting", "II", "A", 5), ("setting", "II", "C", 10), ("setting", "II", "F", 10)],
)
def test_readings_a_point_go_by_type_and_class(kind: str, iso_type: str, iso_class: str, readings: int) -> None:
    """ISO 6789-1: five; ten for adjustable tools without a scale. From memory."""
    assert readings == readings_of(tool(kind, iso_type, iso_class))


@pytest.mark.parametrize(("kind", "iso_type", "loads"), [("indicating", "I", 1), ("setting", "II", 5)])
def test_indicating_tools_are_loaded_once_beforehand_and_setting_tools_five_times(
    kind: str, iso_type: str, loads: int
) -> None:
    """ISO 6789:2003, as a public summary gives it."""
    assert loads == exercises_of(tool(kind, iso_type, "A"))
