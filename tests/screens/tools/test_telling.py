"""What the page of a tool says of it."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.screens.tools.telling import facts
from clampbook.tools.model import Tool, Use

TOOL = Tool(id="k1", name="K1", kind="setting", unit="N·m", minimum=Decimal(15), maximum=Decimal(100))


def test_a_day_until_which_it_is_calibrated_is_told() -> None:
    """Also where nobody wrote when it was calibrated: it is no tool without a calibration."""
    assert "calibration due 2027-03-01" in facts(replace(TOOL, calibration_due="2027-03-01"), Use())
    assert "no calibration known" in facts(TOOL, Use())


def test_one_pull_is_one() -> None:
    """And two are two."""
    told = [facts(TOOL, Use(pulls=many)) for many in (1, 2)]

    assert ["1 pull", "2 pulls"] == [next(each for each in told_of if "pull" in each) for told_of in told]
