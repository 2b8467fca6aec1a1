"""The order in which the fasteners of a group are taken, each exactly once, and those that are neighbours."""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Literal, assert_never

from clampbook.procedure.model import Layout, Place

SequenceName = Literal["numbered", "listed", "cross", "spiral", "circle"]
Order = tuple[str, ...]

_TURN = 2 * math.pi
_DIGITS = 9  # angles and distances are compared after rounding, so that mirrored places tie


class OrderFault(ValueError):  # noqa: N818 - the word of the project
    """An explicit order that does not visit each position exactly once."""

    def __init__(self, missing: Order, twice: Order, unknown: Order) -> None:
        self.missing, self.twice, self.unknown = missing, twice, unknown
        parts = (("leaves out", missing), ("names more than once", twice), ("names what is no position here:", unknown))
        told = "; it ".join(f"{what} {', '.join(names)}" for what, names in parts if names)
        self.sentence = f"the order {told}: it must visit each position exactly once"
        super().__init__(self.sentence)


def sequence(name: SequenceName, layout: Layout, positions: Sequence[str], *, reverse: bool = False) -> Order:
    """The named order over `positions`, each of which has a place in the layout; reversed where loosening wants it."""
    match name:
        case "numbered":
            order = numbered(positions)
        case "listed":
            order = listed(positions)
        case "circle":
            order = circle(_around(layout, positions))
        case "cross":
            order = cross(_around(layout, positions))
        case "spiral":
            order = spiral(_places(layout, positions))
        case _:
            assert_never(name)
    return reversed_order(order) if reverse else order


def numbered(positions: Sequence[str]) -> Order:
    """Natural order: 2 before 10, A1 before A2 before B1; labels that differ only in capitals as they are listed."""
    return tuple(sorted(positions, key=_natural))


def listed(positions: Sequence[str]) -> Order:
    """As written."""
    return tuple(positions)


def circle(positions: Sequence[str]) -> Order:
    """Once around, for positions given once around."""
    return tuple(positions)


def reversed_order(order: Sequence[str]) -> Order:
    """From the last to the first."""
    return tuple(reversed(order))


def explicit(order: Sequence[str], positions: Sequence[str]) -> Order:
    """The order as written. Raises OrderFault unless it visits each of `positions` exactly once."""
    counted, known = Counter(order), set(positions)
    missing = tuple(position for position in positions if position not in counted)
    twice = tuple(position for position, count in counted.items() if count > 1)
    unknown = tuple(position for position in counted if position not in known)
    if missing or twice or unknown:
        raise OrderFault(missing, twice, unknown)
    return tuple(order)


def cross(positions: Sequence[str]) -> Order:
    """The star order for positions given once around a circle.

    Four at a time, opposite ones first, then the pair square to them: i, i + n/2, i + n/4, i + 3n/4. For 4 to 24 bolts
    that is the legacy cross pattern of ASME PCC-1 as public programs quote it, and up to 20 what manuals draw. From 28
    on the same rule goes on and stands for no table: printed orders that go so far differ from one another in how their
    groups begin. From five positions on, two in succession lie at least two apart and at least n // 8; within an even
    number that is not a multiple of four at least n / 4.
    """
    count = len(positions)
    if count % 4 == 0:
        order = _by_fours(count // 4)
    elif count % 2 == 0:
        order = _by_pairs(count // 2)
    else:
        even = count - 1
        order = _with_last(_by_fours(even // 4) if even % 4 == 0 else _by_pairs(even // 2), count)
    return tuple(positions[place] for place in order)


def _by_fours(quarter: int) -> list[int]:
    """Places 0 … 4·quarter − 1 in groups of four, each group begun about an eighth of the circle from the last one.

    With an even number of groups their begins alternate between the halves of the quarter (1, 4, 2, 5, 3, 6 of 24
    bolts), with an odd number they step on by half a quarter (1, 3, 5, 2, 4 of 20).
    """
    half = quarter // 2
    if quarter % 2 == 0:
        begins = [begin for first in range(half) for begin in (first, first + half)]
    else:
        begins = [index * half % quarter for index in range(quarter)]
    return [begin + part * quarter for begin in begins for part in (0, 2, 1, 3)]


def _by_pairs(half: int) -> list[int]:
    """Places 0 … 2·half − 1, half odd, in opposite pairs, each pair about square to the one before.

    Stepping by (half − 1)/2 meets every pair once, because that number and `half` have no common factor.
    """
    step, count = (half - 1) // 2, 2 * half
    begins = [index * step % count for index in range(half)]
    return [place for begin in begins for place in (begin, (begin + half) % count)]


def _with_last(order: list[int], count: int) -> list[int]:
    """The order with the last of an odd number of places put in where it lies farthest from both it comes between."""
    last = count - 1

    def room(index: int) -> int:
        beside = order[index - 1 : index + 1]
        return min(_apart(last, place, count) for place in beside)

    if not order:
        return [last]
    best = max(range(1, count), key=lambda index: (room(index), index))
    return [*order[:best], last, *order[best:]]


def _apart(first: int, second: int, count: int) -> int:
    """Count the steps around a circle of `count` places that lie between two, the shorter way."""
    along = (first - second) % count
    return min(along, count - along)


def spiral(places: Sequence[Place]) -> Order:
    """From the middle out, going around in rings of equal distance, against the clock, begun at the top.

    Each ring goes on from the side where the last one ended, so that both sides gain together: a head of two rows
    gives the familiar middle pair, then the pair on one side, then the pair on the other.
    """
    order: list[str] = []
    angle: float | None = None
    for ring in _rings(places):
        for place, heading in sorted(ring, key=lambda member: _onward(member[1], angle)):
            order.append(place.position)
            angle = heading if heading is not None else angle
    return tuple(order)


_Member = tuple[Place, float | None]


def _rings(places: Sequence[Place]) -> list[list[_Member]]:
    """Places by their distance from the middle of the picture, each with its angle against the clock from the top."""
    if not places:
        return []
    xs, ys = [place.x for place in places], [place.y for place in places]
    middle_x, middle_y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    rings: dict[float, list[_Member]] = {}
    for place in places:
        right, down = place.x - middle_x, place.y - middle_y
        distance = round(math.hypot(right, down), _DIGITS)
        heading = math.atan2(-right, -down) % _TURN if distance else None
        rings.setdefault(distance, []).append((place, heading))
    return [rings[distance] for distance in sorted(rings)]


def _onward(heading: float | None, since: float | None) -> float:
    """Give the way around to `heading`: a full turn where one is there already, nothing where no ring came before."""
    if heading is None:
        return 0.0
    if since is None:
        return round(heading, _DIGITS)
    return round((heading - since) % _TURN, _DIGITS) or round(_TURN, _DIGITS)


def nearest_neighbours(layout: Layout, positions: Sequence[str]) -> dict[str, Order]:
    """For each position the ones of `positions` that its loss of clamp load touches first.

    On a circle the two beside it; in rows, and in the one row of a group without a picture, the ones beside it and the
    nearest in the rows above and below; elsewhere the two nearest. Fewer where there are no more. In the order of the
    layout's picture: before, after, above, below.
    """
    match layout.kind:
        case "circle":
            return _beside(_around(layout, positions), positions)
        case "rows" | "line":  # without a picture they stand in one row, as listed: at its ends there is one beside
            return _in_rows(_places(layout, positions))
        case "at":
            return _two_nearest(_places(layout, positions))
        case _:
            assert_never(layout.kind)


def _beside(around: Order, positions: Sequence[str]) -> dict[str, Order]:
    index = {position: place for place, position in enumerate(around)}
    found: dict[str, Order] = {}
    for position in positions:
        beside = (around[index[position] - 1], around[(index[position] + 1) % len(around)])
        found[position] = tuple(dict.fromkeys(other for other in beside if other != position))
    return found


def _in_rows(places: Sequence[Place]) -> dict[str, Order]:
    """Left, right, above, below. Above and below mean the next row that holds any; of two as near, the left one."""
    rows: dict[float, list[Place]] = defaultdict(list)
    for place in sorted(places, key=lambda place: (place.y, place.x)):
        rows[place.y].append(place)
    found: dict[str, Order] = {place.position: () for place in places}
    empty: list[Place] = []
    written = list(rows.values())
    for above, row, below in zip([empty, *written], written, [*written[1:], empty], strict=False):
        for index, place in enumerate(row):
            near = [*row[max(index - 1, 0) : index], *row[index + 1 : index + 2]]
            near += [_closest(place.x, other) for other in (above, below) if other]
            found[place.position] = tuple(other.position for other in near)
    return found


def _closest(x: float, row: Sequence[Place]) -> Place:
    """The place of a row, sorted from left to right, that lies nearest to `x`."""
    index = bisect_left(row, x, key=lambda place: place.x)
    return min(row[max(index - 1, 0) : index + 1], key=lambda place: (abs(place.x - x), place.x))


def _two_nearest(places: Sequence[Place]) -> dict[str, Order]:
    """The two at the least distance, of equal ones those listed first.

    Candidates are met from the place outwards along the longer side of the picture, and the search ends where that
    way alone is longer than both found, so that ten thousand places take a moment and not a minute.
    """
    wide = _extent([place.x for place in places]) >= _extent([place.y for place in places])
    along = sorted((place.x if wide else place.y, listed_as, place) for listed_as, place in enumerate(places))
    found: dict[str, Order] = {place.position: () for place in places}
    for index, (here, _, place) in enumerate(along):
        best: list[tuple[float, int, str]] = []
        for way in (range(index - 1, -1, -1), range(index + 1, len(along))):
            for there, listed_as, other in map(along.__getitem__, way):
                if len(best) == 2 and round(abs(there - here), _DIGITS) > best[1][0]:
                    break
                apart = round(math.hypot(other.x - place.x, other.y - place.y), _DIGITS)
                if len(best) < 2 or (apart, listed_as) < best[1][:2]:
                    best = sorted([*best, (apart, listed_as, other.position)])[:2]
        found[place.position] = tuple(position for _, _, position in best)
    return found


def _extent(values: Sequence[float]) -> float:
    return max(values, default=0.0) - min(values, default=0.0)


def _places(layout: Layout, positions: Sequence[str]) -> list[Place]:
    where = {place.position: place for place in layout.places}
    return [where[position] for position in positions]


def _around(layout: Layout, positions: Sequence[str]) -> Order:
    """The positions once around: as a circle is numbered, as a line is written, else by their angle in the picture.

    A picture is gone around in the sense in which its positions are listed, from the first of them.
    """
    if layout.kind == "line" or len(positions) < 3:
        return tuple(positions)
    if layout.kind == "circle":
        wanted = set(positions)
        return tuple(place.position for place in layout.places if place.position in wanted)
    headings = {
        place.position: heading or 0.0 for ring in _rings(_places(layout, positions)) for place, heading in ring
    }
    start = headings[positions[0]]
    clockwise = sorted(positions, key=lambda position: round((start - headings[position]) % _TURN, _DIGITS) % _TURN)
    if clockwise.index(positions[1]) > len(positions) / 2:
        clockwise = [clockwise[0], *reversed(clockwise[1:])]
    return tuple(clockwise)


def _natural(label: str) -> tuple[tuple[str, int, str], ...]:
    """Letters by letters, numbers by size; a number as its length and digits, because labels may be long."""
    parts = re.findall(r"([^0-9]*)([0-9]*)", label.casefold())
    return tuple((letters, len(digits.lstrip("0")), digits.lstrip("0")) for letters, digits in parts)
