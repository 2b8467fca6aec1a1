"""Judging a value, and finding it unusual: honest readings are left alone, slips are asked again."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest

from clampbook.run.fold.verdict import first_two_swapped, judge, middle, slip
from clampbook.units import Kind

TARGET = Decimal(30)
WINDOW = (Decimal(28), Decimal(32))
SPREAD = 0.06
DRAWS = 10_000
SEED = 20260302


def honest(draws: int = DRAWS) -> list[Decimal]:
    """Readings of a careful person: 30 N·m with 6 % spread, to a tenth."""
    dice = Random(SEED)
    return [Decimal(f"{dice.gauss(float(TARGET), SPREAD * float(TARGET)):.1f}") for _ in range(draws)]


def unusual(value: Decimal) -> str | None:
    """The unusual about a torque typed in the sheet's own unit."""
    return slip(value, value, TARGET, WINDOW, Kind.TORQUE)


def well_off(value: Decimal) -> bool:
    """Further from its target than a fifth."""
    return abs(value / TARGET - 1) > Decimal("0.2")


class TestJudge:
    """Under, within, over; both ends belong to the window."""

    @pytest.mark.parametrize(
        ("value", "verdict"),
        [("27.999", "under"), ("28", "within"), ("32", "within"), ("32.001", "over")],
    )
    def test_both_ends_are_within(self, value: str, verdict: str) -> None:
        """28 to 32 N·m, to the last digit."""
        assert verdict == judge(Decimal(value), WINDOW)

    @pytest.mark.parametrize(
        ("window", "value", "verdict"),
        [
            ((None, Decimal(95)), "1", "within"),
            ((None, Decimal(95)), "96", "over"),
            ((Decimal(95), None), "500", "within"),
            ((Decimal(95), None), "94", "under"),
            ((None, None), "7", "within"),
        ],
    )
    def test_an_open_end_is_never_passed(
        self, window: tuple[Decimal | None, Decimal | None], value: str, verdict: str
    ) -> None:
        """`never_above` has no lower end, a least torque no upper one."""
        assert verdict == judge(Decimal(value), window)

    def test_what_a_value_should_be_near(self) -> None:
        """Its target; without one the middle of the window; with one end only, that end."""
        found = [
            middle(TARGET, WINDOW),
            middle(None, WINDOW),
            middle(None, (None, Decimal(95))),
            middle(None, (None, None)),
        ]

        assert [Decimal(30), Decimal(30), Decimal(95), None] == found


class TestHonestReadings:
    """A unusual that cries wolf is typed away by habit."""

    def test_fewer_than_two_percent_are_unusual(self) -> None:
        """Ten thousand draws of 30 N·m with 6 % spread."""
        raised = sum(unusual(value) is not None for value in honest())

        assert raised < DRAWS * 0.02

    @pytest.mark.parametrize("target", ["8.5", "12", "55", "110", "250"])
    def test_at_other_torques_too(self, target: str) -> None:
        """Digits swap differently at each of them."""
        aim, dice = Decimal(target), Random(SEED)
        window = (aim * Decimal("0.95"), aim * Decimal("1.05"))
        values = [Decimal(f"{dice.gauss(float(aim), SPREAD * float(aim)):.1f}") for _ in range(DRAWS)]

        raised = sum(slip(value, value, aim, window, Kind.TORQUE) is not None for value in values)

        assert raised < DRAWS * 0.02

    def test_what_lies_within_is_never_unusual(self) -> None:
        """However wide the window is."""
        wide = (Decimal(10), Decimal(60))

        assert None is slip(Decimal("22.1"), Decimal("22.1"), TARGET, wide, Kind.TORQUE)

    def test_what_lies_near_its_target_is_taken_as_it_is(self) -> None:
        """A real over of 15 % must not be talked away."""
        assert None is unusual(Decimal("34.5"))


class TestSlips:
    """Each named slip is caught where its result lies well off the target."""

    @pytest.mark.parametrize("factor", ["1.3558179", "12", "8.8507458", "10"])
    @pytest.mark.parametrize("upwards", [True, False])
    def test_a_value_in_another_unit_or_with_a_lost_place_is_unusual(self, factor: str, upwards: bool) -> None:
        """lbf·ft for N·m, lbf·in for lbf·ft, lbf·in for N·m, the decimal point (NIST SP 811): 19 of 20 and more."""
        by = Decimal(factor)
        wrong = [value * by if upwards else value / by for value in honest(2_000)]
        told = [value for value in wrong if well_off(value)]

        caught = sum(unusual(value) is not None for value in told)

        assert len(told) > 1_000
        assert caught > 0.95 * len(told)

    def test_two_digits_swapped_are_unusual(self) -> None:
        """31.2 typed as 13.2, 29.4 as 92.4."""
        swapped = [first_two_swapped(value) for value in honest(2_000)]
        told = [value for value in swapped if value is not None and well_off(value)]

        caught = sum(unusual(value) is not None for value in told)

        assert len(told) > 1_000
        assert caught > 0.95 * len(told)

    @pytest.mark.parametrize(
        ("typed", "code"),
        [("22.1", "unit"), ("300", "decimal place"), ("3", "decimal place"), ("92.5", "digits swapped")],
    )
    def test_what_is_unusual_has_a_code(self, typed: str, code: str) -> None:
        """It is kept beside the value once that was confirmed."""
        assert code == unusual(Decimal(typed))

    def test_an_angle_is_not_converted(self) -> None:
        """66° of 90° is a short turn, no other unit; 900 is a lost place."""
        quarter = (Decimal(90), Decimal(94))
        found = [slip(Decimal(value), Decimal(value), Decimal(90), quarter, Kind.ANGLE) for value in ("66.4", "900")]

        assert [None, "decimal place"] == found

    def test_without_anything_to_be_near_nothing_is_unusual(self) -> None:
        """A prevailing torque can be what it is."""
        assert None is slip(Decimal(400), Decimal(400), None, (None, None), Kind.TORQUE)


class TestSwapping:
    """The first two digits exchanged."""

    @pytest.mark.parametrize(
        ("value", "swapped"),
        [
            ("31.5", "13.5"),
            ("3.15", "1.35"),
            ("250", "520"),
            ("0.15", "0.51"),
            ("0.052", "0.025"),
            ("33.1", None),
            ("7", None),
            ("0.05", None),
        ],
    )
    def test_wherever_the_decimal_point_stands(self, value: str, swapped: str | None) -> None:
        """Two equal digits, or one digit alone, change nothing."""
        assert (None if swapped is None else Decimal(swapped)) == first_two_swapped(Decimal(value))
