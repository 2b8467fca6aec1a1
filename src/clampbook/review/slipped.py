"""Torques that would be usual for their bolt if the number stood for another unit, or its decimal mark elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from clampbook.joint.tightening import Bolt
from clampbook.joint.torque import Law, preload_of
from clampbook.units import show, si

# What a finished pull usually makes of the proof load, from light joints up to VDI 2230's 90 % of yield with twist;
# common practice, no source.
USUAL = (0.4, 0.9)
_UNITS = ("N·m", "lbf·ft", "lbf·in")
_OLD_UNITS = ("kgf·m", "kgf·cm")  # of older sheets; the second is met beside the first alone
UNITS = _UNITS + _OLD_UNITS
_TEN = Decimal(10)
_SHOWN = 2


def would_fit(target: Decimal, unit: str, bolt: Bolt, law: Law) -> str:
    """A sentence naming what would be usual, the likeliest first: "55 lbf·ft would be 68 %"; "" where nothing is."""
    found = [
        f"{show(number, other)} would be {share * 100:.0f} %"
        for number, other in _read_otherwise(target, unit)
        if USUAL[0] <= (share := preload_of(si(number, other), bolt.thread, law) / bolt.proof_load) <= USUAL[1]
    ]
    return ", and ".join(found[:_SHOWN])


def _read_otherwise(target: Decimal, unit: str) -> Iterator[tuple[Decimal, str]]:
    """The same digits in each other unit of today, then with the decimal mark one place off, then in an older unit."""
    own, older = units_beside(unit)
    yield from ((target, other) for other in own)
    yield target / _TEN, unit
    yield target * _TEN, unit
    yield from ((target, other) for other in older)


def units_beside(unit: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The units that a sheet in this one may be mistaken with: those of today, then those of older sheets."""
    older = _OLD_UNITS if unit in _OLD_UNITS else _OLD_UNITS[:1]
    return tuple(other for other in _UNITS if other != unit), tuple(other for other in older if other != unit)
