"""Figures of deviations in the order in which they were taken: those of any sample, and worst and drift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from clampbook import statistical
from clampbook.statistical import Sample


@dataclass(frozen=True, slots=True)
class Figures(Sample):
    """Of at least one deviation, in percent. `worst` is the one farthest from zero with its sign, the earlier of two
    that are equally far."""

    worst: Decimal
    first: Decimal
    last: Decimal

    @property
    def drift(self) -> Decimal:
        """The last deviation minus the first."""
        return self.last - self.first


def figures(values: Sequence[Decimal]) -> Figures | None:
    """Figures of these deviations; None where there is none."""
    found = statistical.sample(values)
    if found is None:
        return None
    return _taken(found, _worst(values, found.least, found.most), values[0], values[-1])


def together(parts: Sequence[Figures]) -> Figures | None:
    """Figures of several lots of deviations as of one, in the order of the lots; None where there is none."""
    found = statistical.together(parts)
    if found is None:
        return None
    return _taken(found, max((part.worst for part in parts), key=abs), parts[0].first, parts[-1].last)


def _taken(of: Sample, worst: Decimal, first: Decimal, last: Decimal) -> Figures:
    return Figures(of.n, of.mean, of.scatter, of.least, of.most, worst, first, last)


def _worst(values: Sequence[Decimal], least: Decimal, most: Decimal) -> Decimal:
    if -least == most:
        return values[min(values.index(least), values.index(most))]
    return most if most > -least else least
