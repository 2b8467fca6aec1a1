"""What a pull aims at, written down by hand: 30 N·m within 28 to 32, which is 22.1 lbf·ft within 20.7 to 23.6."""

from __future__ import annotations

from decimal import Decimal

from clampbook.tools.aim import Aim, Direction
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.model import Tool

WINDOW = (Decimal(28), Decimal(32))
ON_TOOL = (Decimal("20.7"), Decimal("23.6"))


def thirty(tool: Tool, *, judged: bool = True, direction: Direction = "clockwise") -> Aim:
    """A pull to 30 N·m with a tool in lbf·ft; without a window where none judges it."""
    return Aim(
        unit="N·m",
        target=Decimal(30),
        allowed=WINDOW if judged else (None, None),
        window=WINDOW if judged else (None, None),
        tool=tool,
        adapter=None,
        through=STRAIGHT,
        on_tool=ON_TOOL if judged else (None, None),
        mark=Decimal("22.1"),
        applied=Decimal("29.964"),
        direction=direction,
    )
