"""Quantities as people write them: torque, angle, length, force, time (placeholder signatures, see below)."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the canonical name of its unit, the number kept exactly as it was typed."""

    value: Decimal
    unit: str
