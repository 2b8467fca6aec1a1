"""What a joint is tightened with: a tool of the book as a frozen value, in the unit printed on that very tool.

A run embeds the whole tool in the line of its daybook that says who took it up, so nothing here points elsewhere.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct

ToolKind = Literal["setting", "indicating", "angle gauge", "marks"]


class Tool(Struct, frozen=True, kw_only=True):
    """One tool. `minimum`, `maximum`, `resolution` and `wound_down_to` are in `unit`; dates are ISO 8601.

    Kinds (ISO 6789 tells the first two apart): "setting" lets go at a set torque and gives no reading, "indicating"
    shows a torque, "angle gauge" shows an angle, "marks" is turning from mark to mark with no gauge at all.
    """

    id: str  # lower-case, such as "w2"; never used for another tool
    name: str  # as it stands on the tool, such as "W2"
    kind: ToolKind
    unit: str  # canonical; "°" for gauges and marks
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    resolution: Decimal | None = None
    wound_down: bool = False  # wants winding down after use
    wound_down_to: Decimal | None = None
    reads_angle: bool = False
    follower_needle: bool = False
    serial: str | None = None
    calibrated_on: str | None = None
    calibration_due: str | None = None
    note: str | None = None
