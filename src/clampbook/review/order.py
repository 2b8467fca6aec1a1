"""Queries about the order: work that begins at one side of the joint, or pulls that side down first.

A row is pulled from the middle out, a circle crosswise (US Army TM 10-3930); only the picture in the file is gone by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from clampbook.procedure.fastening import kinds
from clampbook.procedure.labels import listed
from clampbook.procedure.model import Group, Place, Tighten, Turn
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.text import quoted

FEW = 4  # fasteners below which there are no sides; common practice, no source
RISES = Decimal("1.2")  # times the torque before: less is a round that only evens out, and may go around
# How far from the middle, as a share of the way to the edge; common practice, no source.
FIRST, HALF_IN_A_ROW, HALF_ON_A_CIRCLE = 0.5, 0.4, 0.5
_SHOWN = 6


@dataclass(frozen=True, slots=True)
class _Spread:
    """Positions along the longer side of the picture: its middle, and how far it reaches to either end."""

    along: Mapping[str, float]
    middle: float
    reach: float

    def off(self, position: str) -> float:
        return abs(self.along[position] - self.middle)


def orders(look: Look) -> Iterator[Raised]:
    """Each order once, where it is first used for a pull that raises the torque; sets are joints of their own."""
    layout = look.procedure.layout
    if layout.kind == "line":
        return  # nothing was drawn
    yield from _mirrored(look)
    places = {place.position: place for place in layout.places}
    for at, group in look.groups:
        looked_at: set[tuple[str, ...]] = set()
        for each in _raising(look, group):
            order = each.stage.positions
            if order in looked_at or len(order) < FEW:
                continue
            looked_at.add(order)
            here = _where(at, group, each)
            drawn = [places[position] for position in order]
            if layout.kind == "rows":
                yield from _in_rows(here, order, drawn)
            else:
                yield from _around(here, order, drawn)


def _mirrored(look: Look) -> Iterator[Raised]:
    """Raised a picture that does not say from where it is seen, where it matters which bolt stands where."""
    layout = look.procedure.layout
    if layout.seen_from is not None or layout.edges:
        return
    for _, group in look.groups:
        if len(kinds(group)) > 1:
            yield Raised(
                ("layout",),
                Code.NO_VIEW,
                f"{quoted(group.name)} has bolts of {len(kinds(group))} kinds, and nothing says from where the picture"
                " is seen. From below it is mirrored",
                found="neither seen_from nor edges",
                allowed="seen_from, or what lies at an edge",
                hint='add seen_from = "above" to [layout]',
            )
            return


def _raising(look: Look, group: Group) -> Iterator[Placed]:
    highest = Decimal(0)
    for each in look.of(group):
        stage = each.stage
        if stage.each == "set":
            continue
        if isinstance(stage, Turn):
            yield each
        elif isinstance(stage, Tighten) and stage.target is not None:
            if stage.target > highest * RISES:
                yield each
            highest = max(highest, stage.target)


def _where(at: KeyPath, group: Group, each: Placed) -> KeyPath:
    """The order stands on the group, unless the stage has its own."""
    chosen = frozenset(each.stage.positions)
    of_group = tuple(position for position in group.order if position in chosen)
    return (*(at if each.stage.positions == of_group else each.at), "sequence")


def _in_rows(here: KeyPath, order: Sequence[str], drawn: Sequence[Place]) -> Iterator[Raised]:
    spread = _spread(order, drawn)
    if spread is None:
        return
    half = order[: math.ceil(len(order) / 2)]
    off = abs(sum(spread.along[position] for position in half) / len(half) - spread.middle)
    if off > HALF_IN_A_ROW * spread.reach:
        yield _one_side(here, order, off / spread.reach)
    elif spread.off(order[0]) > FIRST * spread.reach and min(map(spread.off, order)) <= FIRST * spread.reach:
        nearest = sorted(order, key=spread.off)[:2]
        yield Raised(
            here,
            Code.NOT_FROM_THE_MIDDLE,
            f"the order begins with position {order[0]}, {_share(spread.off(order[0]) / spread.reach)} of the way from"
            " the middle to the end of the rows",
            found=_begins(order),
            allowed=f"from the middle out, such as from position {nearest[0]} or {nearest[1]}",
            hint='compare the order with the manual. Use sequence = "spiral" to go from the middle out',
            or_key="order",
        )


def _spread(order: Sequence[str], drawn: Sequence[Place]) -> _Spread | None:
    """None where there are fewer than three columns (or rows) to have a middle."""
    xs, ys = [place.x for place in drawn], [place.y for place in drawn]
    line = xs if max(xs) - min(xs) >= max(ys) - min(ys) else ys
    if len(set(line)) < 3:
        return None
    middle = (max(line) + min(line)) / 2
    return _Spread(dict(zip(order, line, strict=True)), middle, max(line) - middle)


def _around(here: KeyPath, order: Sequence[str], drawn: Sequence[Place]) -> Iterator[Raised]:
    middle = _centre(drawn)
    radius = sum(math.dist(middle, (place.x, place.y)) for place in drawn) / len(drawn)
    off = math.dist(middle, _centre(drawn[: math.ceil(len(drawn) / 2)]))
    if radius and off > HALF_ON_A_CIRCLE * radius:
        yield _one_side(here, order, off / radius)


def _centre(places: Sequence[Place]) -> tuple[float, float]:
    return sum(place.x for place in places) / len(places), sum(place.y for place in places) / len(places)


def _one_side(here: KeyPath, order: Sequence[str], off: float) -> Raised:
    return Raised(
        here,
        Code.ONE_SIDE_FIRST,
        f"the first half of the order pulls one side down. Its middle is {_share(off)} of the way"
        " from the middle of the joint to its edge",
        found=_begins(order),
        allowed="both sides in turn: from the middle out, or crosswise",
        hint='compare the order with the manual. Use sequence = "cross" or "spiral" to have one worked out',
        or_key="order",
    )


def _begins(order: Sequence[str]) -> str:
    return f"{listed(order[:_SHOWN])}{' …' if len(order) > _SHOWN else ''}"


def _share(off: float) -> str:
    return f"{off * 100:.0f} %"
