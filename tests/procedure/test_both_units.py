"""Torques of the report in both systems, whatever the sheet speaks."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure.both_units import both, torque, window
from clampbook.procedure.model import Window


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        ("30", "N·m", "30.0 N·m (22.1 lbf·ft)"),
        ("22", "lbf·ft", "22.0 lbf·ft (29.8 N·m)"),
        ("90", "lbf·in", "90.0 lbf·in (10.2 N·m)"),
        ("90", "°", "90°"),
    ],
)
def test_a_torque_stands_in_both(value: str, unit: str, expected: str) -> None:
    """1 lbf·ft is 1.355818 N·m, 1 lbf·in a twelfth of it (NIST SP 811, B.8); an angle stands alone."""
    assert expected == torque(Decimal(value), unit)


def test_the_other_window_is_rounded_inwards() -> None:
    """28 N·m are 20.652 lbf·ft and 32 N·m 23.602: what reads inside the second lies inside the first."""
    written = Window(low=Decimal("28.0"), high=Decimal("32.0"), unit="N·m")

    assert "28.0 to 32.0 N·m (20.7 to 23.6 lbf·ft)" == window(written)


def test_an_angle_has_one_window() -> None:
    """Nothing stands beside it."""
    assert ("90 to 94°", "") == both((Decimal(90), Decimal(94)), "°")
