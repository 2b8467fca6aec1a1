"""The joint as the plan draws it, on paper: where each position stands and how it stands at the end."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from clampbook.procedure.model import Layout, Place
from clampbook.record.pages.blocks import Map, Spot
from clampbook.record.pages.marks import sign
from clampbook.record.pages.telling import listed

WIDTH, HEIGHT = 150.0, 105.0  # millimetres
_EDGE = 13.0  # of the width, for what stands to the left or right of it


class Room(NamedTuple):
    """The room a picture may fill, and how large and small the heads of its bolts may be, all in millimetres."""

    width: float
    height: float
    largest: float
    smallest: float


WHOLE = Room(WIDTH, HEIGHT, 9.0, 3.2)
HALF = Room(84.0, 60.0, 7.5, 4.2)
THIRD = Room(50.0, 36.0, 6.0, 4.2)
_MOST = 1000
_ONE_LINE = 12
_HEAD = 0.56  # of the distance between neighbours; the mark stands in what is left
_MEANING = {
    "within": "within, with a reading",
    "clicked": "clicked or confirmed, no number",
    "by concession": "by concession",
}


def joint_map(
    layout: Layout, states: Mapping[str, str], departed: Collection[str] = (), room: Room = WHOLE
) -> Map | None:
    """The map of the positions in `states` (position: word of its mark); None where they are too many for its room.

    Those in `departed` have a thick ring, and are named below it.
    """
    places = [place for place in layout.places if place.position in states]
    if not places or len(places) > _MOST:
        return None
    points = _wrapped(places) if layout.kind == "line" else [(place.x, place.y) for place in places]
    left, top = min(x for x, _ in points), min(y for _, y in points)
    wide, high = max(x for x, _ in points) - left, max(y for _, y in points) - top
    near = nearest(points)
    between = room.width - _EDGE * sum(edge in layout.edges for edge in ("left", "right"))
    pitch = min(room.largest / _HEAD, between / (wide / near + 1), room.height / (high / near + 1))
    head = pitch * _HEAD
    if head < room.smallest:
        return None
    scale = pitch / near
    named = [place.position for place in sorted(places, key=_by_number) if place.position in departed]
    seen = f"Seen from {layout.seen_from}." if layout.seen_from else ""
    line = "No picture in the procedure. Positions stand in its order."
    return Map(
        width=round(wide * scale + pitch, 2),
        height=round(high * scale + pitch, 2),
        head=round(head, 2),
        spots=tuple(
            Spot(
                round((x - left) * scale + pitch / 2, 2),
                round((y - top) * scale + pitch / 2, 2),
                place.position,
                sign(states[place.position]),
                place.position in departed,
            )
            for place, (x, y) in zip(places, points, strict=True)
        ),
        edges=layout.edges,
        caption=line if layout.kind == "line" else seen,
        legend=explained(states.values()),
        departed=f"Thick ring: deviations at {listed(named)}." if named else "",
    )


def explained(words: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Each mark with what it means, once."""
    return tuple((sign(word), _MEANING.get(word, word)) for word in dict.fromkeys(words))


def _by_number(place: Place) -> tuple[int, str]:
    return (int(place.position), "") if place.position.isdecimal() else (0, place.position)


def _wrapped(places: Sequence[Place]) -> list[tuple[float, float]]:
    wide = math.ceil(math.sqrt(len(places) * WIDTH / HEIGHT)) if len(places) > _ONE_LINE else len(places)
    return [(float(index % wide), float(index // wide)) for index in range(len(places))]


def nearest(points: Sequence[tuple[float, float]]) -> float:
    """The least distance between two points that are not the same, from neighbours by x; 1 for a single point."""
    ordered = sorted(set(points))
    least = math.inf
    for index, one in enumerate(ordered):
        for other in ordered[index + 1 :]:
            if other[0] - one[0] >= least:
                break
            least = min(least, math.dist(one, other))
    return least if least < math.inf else 1.0
