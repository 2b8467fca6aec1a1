"""Measuring instruments for tests: what they measure, from where to where, and how fine."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from clampbook.tools.model import Tool


def instrument(name: str, kind: str, unit: str, low: str, high: str, step: str, **more: Any) -> Tool:
    """An instrument by the name that is marked on it, its scale in its own unit."""
    scale = {"minimum": Decimal(low), "maximum": Decimal(high), "resolution": Decimal(step)}
    return Tool(id=name.lower(), name=name, kind=kind, unit=unit, **scale, **more)  # type: ignore[arg-type]


D1 = instrument("D1", "dial gauge", "mm", "0", "10", "0.01")
F1 = instrument("F1", "feeler gauges", "mm", "0.05", "1", "0.05")
P1 = instrument("P1", "pressure gauge", "bar", "0", "400", "2")
