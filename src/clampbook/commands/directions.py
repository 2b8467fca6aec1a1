"""The direction in which a tool is checked, as people say it on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from clampbook.check.plan import Direction
    from clampbook.tools.model import Tool

_WAYS: dict[str, tuple[Direction, ...]] = {
    "clockwise": ("clockwise",),
    "counterclockwise": ("anticlockwise",),
    "both": ("clockwise", "anticlockwise"),
}


class Way(click.Choice[str]):
    """Clockwise, counterclockwise or both. Files say anticlockwise, so that is read too."""

    def __init__(self) -> None:
        super().__init__(list(_WAYS))

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Take either word for the same direction."""
        return super().convert("counterclockwise" if value == "anticlockwise" else value, param, ctx)


def directions_of(said: str | None, tool: Tool) -> tuple[Direction, ...]:
    """Give the directions that a check's plan holds; where nothing is said, clockwise or the one way the tool works."""
    if said is None:
        return ("clockwise",) if tool.directions == "both" else (tool.directions,)
    return _WAYS[said]
