"""What to set on a tool whose lever an adapter changes, against published worked examples."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.tools.lever import Reach, reach_of
from clampbook.units import Quantity


def through(lever: str, extension: str, unit: str = "in", offset: str = "0") -> Reach:
    """The lever and what becomes of it."""
    found = reach_of(Quantity(Decimal(lever), unit), Quantity(Decimal(extension), unit), Decimal(offset))
    assert found is not None
    return found


class TestInLine:
    """Adapters in line with the lever: T_w = T_A × L / (L + A), with A below zero where they point back."""

    @pytest.mark.parametrize(
        ("torque", "lever", "extension", "unit", "printed", "places"),
        [
            ("300", "10", "4", "in", "214", "1"),  # US Army TM 1-1500-204-23-9, page 143 of the copy: 300 lbf·in
            ("100", "12", "6", "in", "66.7", "0.1"),  # US Navy NAVEDTRA 14315, torque wrench extensions: 100 lbf·in
            ("40", "12", "4", "in", "30", "1"),  # US Army TM 9-2350-261-20-1, page 78 of the copy: 40 lbf·ft
            ("135", "10", "1.5", "in", "117", "1"),  # a public maintenance manual of rotorcraft: 135 lbf·in
            ("135", "10", "-1.5", "in", "159", "1"),  # the same manual, the adapter pointing back
        ],
    )
    def test_the_setting_is_the_printed_one(
        self, torque: str, lever: str, extension: str, unit: str, printed: str, places: str
    ) -> None:
        """The setting agrees with the manual to the last digit that it prints."""
        exact = through(lever, extension, unit).on_tool(Decimal(torque))

        assert Decimal(printed) == exact.quantize(Decimal(places))

    def test_what_is_applied_while_the_tool_shows_sixty(self) -> None:
        """US Army TM 9-254, pages 91 and 92 of the copy: 60 lbf·in, 12 in and 2 in give 60 × 14 / 12 = 70 lbf·in."""
        assert Decimal(70) == through("12", "2").at_fastener(Decimal(60))


class TestAtAnAngle:
    """Adapters at an angle: L + A cos θ (US Navy NAVEDTRA 14008), nothing changes at 90°."""

    def test_square_to_the_lever_nothing_changes(self) -> None:
        """At 90° to the lever the tool shows what the fastener gets (US Army TM 1-1500-204-23-9)."""
        assert Decimal(40) == through("12", "4", offset="90").on_tool(Decimal(40))

    def test_at_forty_five_degrees(self) -> None:
        """40 lbf·ft, 12 in and 4 in at 45° are 40 × 12 / (12 + 4 × 0.70710678) = 32.37 (reckoned, not published)."""
        assert Decimal("32.37") == through("12", "4", offset="45").on_tool(Decimal(40)).quantize(Decimal("0.01"))
