"""Readings far from the others of their point, in the order of the pulls: to be looked at, never left out."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from decimal import Decimal

from clampbook.check.progress import Progress
from clampbook.statistical import far_from_the_others

FAR = "far from the others"


def far_among(readings: Iterable[tuple[Hashable, Hashable, Decimal]]) -> frozenset[Hashable]:
    """The names of the readings that lie far from the others of their place; each is a name, a place, a deviation."""
    places: dict[Hashable, list[tuple[Hashable, Decimal]]] = {}
    for name, place, off in readings:
        places.setdefault(place, []).append((name, off))
    return frozenset(
        of_place[at][0] for of_place in places.values() for at in far_from_the_others([off for _, off in of_place])
    )


def far_lines(progress: Progress) -> frozenset[Hashable]:
    """The lines that stored such a reading, of those that count."""
    return far_among((pull.line, (pull.phase, pull.series, pull.point), pull.deviation) for pull in progress.pulls)
