"""Tools that stand on a form: judged by what was known on its day."""

from __future__ import annotations

from datetime import date

import pytest

from clampbook.run.in_hand.offers import ToolOffer
from clampbook.run.in_hand.on_paper import as_it_was_used
from clampbook.tools.against import Ahead, One, OutOfService, Overdue
from clampbook.tools.model import Tool

W1 = Tool(id="w1", name="W1", kind="setting", unit="N·m")
DAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("against", "then"),
    [
        (Ahead("2026-10-01"), ()),
        (OutOfService("2026-10-01", "damaged"), ()),
        (OutOfService("2026-03-01", "damaged"), (OutOfService("2026-03-01", "damaged"),)),
        (Overdue("2026-02-01"), (Overdue("2026-02-01"),)),
    ],
)
def test_what_came_after_its_day_says_nothing_against_a_tool(against: One, then: tuple[One, ...]) -> None:
    """Calibrated, or taken out of service, after the work that stands on the form."""
    assert then == as_it_was_used(ToolOffer(W1, (against,)), DAY, in_hand=False).against


def test_a_later_calibration_says_nothing_for_it_either() -> None:
    """Nobody knows from tools.toml how it stood then."""
    (note,) = as_it_was_used(ToolOffer(W1, (Ahead("2026-10-01"),)), DAY, in_hand=False).notes

    assert "calibrated since, on 2026-10-01: how it stood is not known" == note
