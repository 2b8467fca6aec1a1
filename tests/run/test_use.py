"""Use by meters: at how much work is due that is due after so much use."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.run.use import Meter, due_by_use, gone_by, in_unit
from clampbook.units import Quantity

HOURS = Meter("Engine hours", "412", "h")
ODOMETER = Meter("Odometer", "12400", "km")


@pytest.mark.parametrize(
    ("meters", "after", "meter", "at"),
    [
        ((HOURS,), "10 h", "Engine hours", Quantity(Decimal(422), "h")),
        ((HOURS, ODOMETER), "50 km", "Odometer", Quantity(Decimal(12450), "km")),
        ((Meter("Engine hours", "412.5", "h"),), "30 min", "Engine hours", Quantity(Decimal("413.0"), "h")),
    ],
)
def test_use_is_counted_by_the_meter_that_counts_it(
    meters: tuple[Meter, ...], after: str, meter: str, at: Quantity
) -> None:
    """Hours by the hour meter, a distance by the odometer, in the meter's unit."""
    found = due_by_use(meters, after)

    assert found is not None
    assert (meter, at) == (found.meter.name, found.at)


@pytest.mark.parametrize(
    ("meters", "after"),
    [
        ((), "10 h"),
        ((ODOMETER,), "10 h"),
        ((Meter("Hours", "412", ""),), "10 h"),
        ((Meter("Engine hours", "not read", "h"),), "10 h"),
        ((HOURS,), "a while"),
    ],
    ids=["no meter", "another meter", "no unit", "no number", "no use"],
)
def test_what_nobody_wrote_down_is_not_known(meters: tuple[Meter, ...], after: str) -> None:
    """Nothing is guessed from a number without a unit."""
    assert None is due_by_use(meters, after)


@pytest.mark.parametrize(("unit", "then"), [("starts", 120), ("h", None), (None, None)])
def test_a_meter_in_a_unit_of_its_own_is_compared_with_that_unit_alone(unit: str | None, then: int | None) -> None:
    """Starts are not converted to anything."""
    assert then == in_unit(Meter("Starts", "120", "starts"), unit)
    assert None is in_unit(HOURS, "starts")


@pytest.mark.parametrize(
    ("value", "gone"), [("423", 11), ("412", 0), ("42", -370), ("about 423", None), ("423 h", None)]
)
def test_use_since_a_meter_showed_412(value: str, gone: int | None) -> None:
    """What is no number says nothing of it."""
    assert gone == gone_by(value, Decimal(412))
