"""Whether a torque would be usual for its bolt if its number stood for another unit, or its decimal mark elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from clampbook.joint.tightening import Bolt
from clampbook.joint.torque import Law, preload_of
from clampbook.units import show, si

# What a finished pull usually makes of the proof load, from light joints up to VDI 2230's 90 % of yield with twist;
# common practice, no source.
USUAL = (0.4, 0.9)
UNITS = ("N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm")
_TEN = Decimal(10)
_SHOWN = 2


def would_fit(target: Decimal, unit: str, bolt: Bolt, law: Law) -> str:
    """A sentence naming what would be usual, the likeliest first: "55 lbf·ft would be 68 %"; "" where nothing is."""
    found = [
        f"{show(number, other)} would be {share * 100:.0f} %"
        for number, other in _read_otherwise(target, unit)
        if USUAL[0] <= (share := preload_of(si(number, other), bolt.thread, law) / bolt.proof_load) <= USUAL[1]
    ]
    return " and ".join(found[:_SHOWN])


def _read_otherwise(target: Decimal, unit: str) -> Iterator[tuple[Decimal, str]]:
    """The same digits in each other unit, then with the decimal mark one place off."""
    for other in UNITS:
        if other != unit:
            yield target, other
    yield target / _TEN, unit
    yield target * _TEN, unit
