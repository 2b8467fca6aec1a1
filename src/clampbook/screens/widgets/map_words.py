"""The joint map in words, for screen readers and for anyone who would rather read it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_places import Spot, edges, turned
from clampbook.screens.widgets.marks import Mark, word
from clampbook.text import printable

_SAME_ROW: Final = 0.5  # units of the layout: positions nearer in height than this stand in one row


def text_equivalent(
    layout: Layout,
    marks: Mapping[str, Mark],
    now: tuple[str, ...] = (),
    quarters: int = 0,
    from_below: bool = False,
    fits: Mapping[str, str] | None = None,
    *,
    on_form: bool = False,
) -> str:
    """The map row by row from the far edge to the person's, each row from the left, edges first, fasteners last.

    `on_form`: it is that of a filled paper form, where nobody stands and what is far is above.
    """
    spots = turned(layout, quarters, from_below)
    lines = [_drawn(layout, quarters, from_below) if on_form else _standing(layout, quarters, from_below)]
    for lead, row in (
        _around(spots, "the top" if on_form else "the far side") if layout.kind == "circle" else _numbered(_rows(spots))
    ):
        lines.append(f"{lead}: {', '.join(_said(spot.position, marks, now) for spot in row)}")
    lines.extend(_fastener_lines(fits or {}))
    return "\n".join(line for line in lines if line)


def _standing(layout: Layout, quarters: int, from_below: bool) -> str:
    names = edges(layout, quarters, from_below)
    sides = {"above": "far side", "left": "on the left", "right": "on the right"}
    told = [f"you stand at the {names['below']}"] if "below" in names else ["you stand at the near side"]
    told += [f"{side}: {names[edge]}" for edge, side in sides.items() if edge in names]
    if from_below:
        told.append("seen from below")
    return "; ".join(told)


def _drawn(layout: Layout, quarters: int, from_below: bool) -> str:
    names = edges(layout, quarters, from_below)
    sides = {"above": "above", "below": "below", "left": "on the left", "right": "on the right"}
    told = ["as on the form", *(f"{side}: {names[edge]}" for edge, side in sides.items() if edge in names)]
    return "; ".join(told)


def _rows(spots: tuple[Spot, ...]) -> list[list[Spot]]:
    rows: list[list[Spot]] = []
    for spot in sorted(spots, key=lambda spot: (spot.y, spot.x)):
        if rows and spot.y - rows[-1][0].y < _SAME_ROW:
            rows[-1].append(spot)
        else:
            rows.append([spot])
    return [sorted(row, key=lambda spot: spot.x) for row in rows]


def _numbered(rows: list[list[Spot]]) -> list[tuple[str, list[Spot]]]:
    if len(rows) == 1:
        return [("from the left", rows[0])]
    return [(f"row {number} from the left", row) for number, row in enumerate(rows, start=1)]


def _around(spots: tuple[Spot, ...], begin: str) -> list[tuple[str, list[Spot]]]:
    """The positions of a circle as the hand of a clock comes by, from the far side on, which is `begin`."""
    if not spots:
        return []
    x, y = (sum(values) / len(spots) for values in zip(*((s.x, s.y) for s in spots), strict=True))
    # rounded, so that what stands exactly at the top does not come last by a hair
    ahead = sorted(spots, key=lambda s: round(math.atan2(s.x - x, y - s.y) % math.tau, 3) % round(math.tau, 3))
    return [(f"around from {begin}, clockwise", ahead)]


def _said(position: str, marks: Mapping[str, Mark], now: tuple[str, ...]) -> str:
    state = word(marks.get(position, "to do"))
    return f"{printable(position)} {state}" + (", the one now" if position in now else "")


def _fastener_lines(fits: Mapping[str, str]) -> list[str]:
    kinds: dict[str, list[str]] = {}
    for position, fit in fits.items():
        kinds.setdefault(fit, []).append(printable(position))
    return [f"{printable(fit)}: {', '.join(positions)}" for fit, positions in kinds.items()] if len(kinds) > 1 else []
