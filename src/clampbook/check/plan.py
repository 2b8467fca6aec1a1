"""The plan of a check, frozen before its first line: tool, reference, points, series, and the limit."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import Literal

import msgspec
from msgspec import Struct

from clampbook.tools.model import Tool

Direction = Literal["clockwise", "anticlockwise"]
Phase = Literal["as found", "as left"]
Side = Literal["indicated", "reference"]
PHASES: tuple[Phase, ...] = ("as found", "as left")
PLAIN = "slow"  # the technique that goes without saying


class Point(Struct, frozen=True):
    """A torque at which the tool is checked, in the tool's unit; `share` in percent of its maximum where it is one."""

    value: Decimal
    share: Decimal | None = None


class Series(Struct, frozen=True):
    """Readings that were all pulled in one way and one direction."""

    technique: str
    direction: Direction = "clockwise"


class CheckPlan(Struct, frozen=True, kw_only=True):
    """The whole plan. Points are in the tool's unit, `permissible` is in percent either way.

    `held` is the side that is brought to the point and not typed: for a setting tool always "indicated". A check that
    was read from a file has `phase`, and its readings lie beside the plan; one at the bench begins as found.
    `planned_on` is the day (ISO 8601), and `rows` counts the readings of a file.
    """

    plan: int
    tool: Tool
    reference: Tool | None
    points: tuple[Point, ...]
    series: tuple[Series, ...]
    readings: int
    exercises: int
    permissible: Decimal
    held: Side = "indicated"
    source: Literal["bench", "file"] = "bench"
    phase: Phase = "as found"
    readings_sha256: str | None = None
    planned_on: str | None = None
    rows: int | None = None


@cache
def _decoder() -> msgspec.json.Decoder[CheckPlan]:
    """Made at the first plan that is read: whoever only writes one need not wait for it."""
    return msgspec.json.Decoder(CheckPlan)


def encode(plan: CheckPlan) -> bytes:
    """The plan as it is frozen."""
    return msgspec.json.format(msgspec.json.encode(plan), indent=1) + b"\n"


def decode(data: bytes) -> CheckPlan:
    """The plan that was frozen. Raises msgspec.MsgspecError where it is none."""
    return _decoder().decode(data)
