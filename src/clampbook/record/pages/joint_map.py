"""The joint as the plan draws it, on paper: where each position stands and how it stands at the end."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from clampbook.procedure.model import Layout, Place
from clampbook.record.pages.blocks import Map, Spot
from clampbook.record.pages.marks import sign

WIDTH, HEIGHT = 150.0, 105.0  # millimetres
_LARGEST, _SMALLEST = 9.0, 3.2  # of a bolt's head
_MOST = 1000
_ONE_LINE = 12
_HEAD = 0.56  # of the distance between neighbours; the mark stands in what is left
_MEANING = {
    "within": "within, with a reading",
    "released": "released or confirmed: no number exists",
    "by concession": "by concession",
}


def joint_map(layout: Layout, states: Mapping[str, str]) -> Map | None:
    """The map of the positions in `states` (position: word of its mark); None where they are too many for a page."""
    places = [place for place in layout.places if place.position in states]
    if not places or len(places) > _MOST:
        return None
    points = _wrapped(places) if layout.kind == "line" else [(place.x, place.y) for place in places]
    left, top = min(x for x, _ in points), min(y for _, y in points)
    wide, high = max(x for x, _ in points) - left, max(y for _, y in points) - top
    near = nearest(points)
    pitch = min(_LARGEST / _HEAD, WIDTH / (wide / near + 1), HEIGHT / (high / near + 1))
    head = pitch * _HEAD
    if head < _SMALLEST:
        return None
    scale = pitch / near
    seen = f"Seen from {layout.seen_from}." if layout.seen_from else ""
    line = "The sheet draws no picture: the positions stand in the order in which it names them."
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
            )
            for place, (x, y) in zip(places, points, strict=True)
        ),
        edges=layout.edges,
        caption=line if layout.kind == "line" else seen,
        legend=tuple((sign(word), _MEANING.get(word, word)) for word in dict.fromkeys(states.values())),
    )


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
