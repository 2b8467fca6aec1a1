"""What stands on the label of a tool, in one line."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from clampbook.tools.label import WIDTH, adapter_words, label
from clampbook.tools.model import Adapter, LastCheck, Tool, Trouble, Use, Withdrawn
from clampbook.units import Quantity

SERIAL = "HM-0118-ALPHA-27-OF-THE-SLIPWAY"


def tool(**more: Any) -> Tool:
    """W1 from 10 to 100 N·m, calibrated until January, wound down to its lowest mark."""
    fields: dict[str, Any] = {"minimum": Decimal(10), "maximum": Decimal(100), "calibration_due": "2027-01-12", **more}
    return Tool(id="w1", name="W1", kind="setting", unit="N·m", resolution=Decimal(1), **fields)


def test_its_number_stays_where_not_all_has_room() -> None:
    """How it is wound down can be looked up; which of two that look alike it is can not."""
    told = label(tool(wound_down=True, directions="clockwise", serial=SERIAL))

    assert len(told) <= WIDTH
    assert told.startswith("W1 10–100 N·m") and told.endswith(f"  no. {SERIAL}")


def test_where_all_has_room_all_stands_there() -> None:
    """The number last."""
    expected = "W1 10–100 N·m  calibration due 2027-01-12  clockwise only  no. HM-7"

    assert expected == label(tool(directions="clockwise", serial="HM-7"))


def test_a_tool_that_is_out_of_use_has_its_number_too() -> None:
    """Somebody must find it, whatever the reason says."""
    out = tool(withdrawn=Withdrawn(on="2026-02-10", reason="bent " * 12), serial=SERIAL)
    failed = Use(last_check=LastCheck(check="20260220-w1-aaaaaaaa", on="2026-02-20", verdict="failed"))

    assert f"W1 OUT OF SERVICE since 2026-02-10  no. {SERIAL}" == label(out)
    assert "W1 OUT OF SERVICE since 2026-02-20: failed its check  no. HM-7" == label(tool(serial="HM-7"), failed)


def test_what_happened_to_it_stands_before_its_scale() -> None:
    """Whoever takes it off its hook sees that it fell, or is suspected, and that nobody has looked since."""
    fell = Trouble(kind="dropped", at="2026-03-02T09:00:00.000Z", on="2026-03-02", run="hub", line=31)
    suspected = Trouble(
        kind="suspect", at="2026-03-03T09:00:00.000Z", on="2026-03-03", run="hub", line=40, why="drifts"
    )

    assert "W1 check before use: dropped on 2026-03-02  no. HM-7" == label(tool(serial="HM-7"), Use(troubles=(fell,)))
    assert "W1 check before use: suspect since 2026-03-03" == label(tool(), Use(troubles=(fell, suspected)))


@pytest.mark.parametrize(
    ("length", "angle", "told"),
    [
        ("160", "45", "A2, 160 mm longer, at 45°"),
        ("160", "180", "A2, lever 160 mm shorter at 180°"),
        ("160", "120", "A2, lever 80.0 mm shorter at 120°"),
        ("-160", "180", "A2, lever 160 mm longer at 180°"),
    ],
)
def test_an_adapter_folded_back_is_told_by_what_it_does(length: str, angle: str, told: str) -> None:
    """What makes a lever longer straight on makes it shorter beyond 90°, by 160 mm × cos 120° at 120°."""
    folded = Adapter(id="a2", name="A2", extension=Quantity(Decimal(length), "mm"), offset=Decimal(angle))

    assert told == adapter_words(folded)
