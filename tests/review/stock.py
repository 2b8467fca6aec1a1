"""A small book of tools, invented."""

from __future__ import annotations

from decimal import Decimal

from clampbook.tools.model import Stock, Tool


def tool(name: str, kind: str, least: str, most: str, step: str, deviation: str = "4") -> Tool:
    """A torque tool in N·m with its scale and what it may deviate, in percent."""
    assert kind in ("setting", "indicating")
    return Tool(
        id=name.lower(),
        name=name,
        kind="setting" if kind == "setting" else "indicating",
        unit="N·m",
        minimum=Decimal(least),
        maximum=Decimal(most),
        resolution=Decimal(step),
        permissible_deviation=Decimal(deviation),
    )


GAUGE = Tool(id="g2", name="G2", kind="angle gauge", unit="°", resolution=Decimal(1))
TOOLS = Stock((tool("W4", "setting", "8", "60", "0.5"), tool("W6", "indicating", "20", "120", "0.5"), GAUGE))
