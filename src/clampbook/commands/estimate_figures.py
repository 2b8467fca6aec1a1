"""Figures of an estimate in the units that somebody typed in, with the others beside them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from clampbook.figures import torque_units
from clampbook.joint.band import Band
from clampbook.run.told.clamp_loads import SOME, kilonewtons, pounds
from clampbook.units import convert, plain, side_by_side

MM, INCH = 1e-3, 0.0254
_POUNDS = frozenset({"lbf·ft", "lbf·in", "ozf·in"})


@dataclass(frozen=True, slots=True)
class Spoken:
    """The unit of the torque as typed, and whether the thread is one in inches.

    Loads follow the torque, lengths and areas the thread. Whoever typed nothing of inches reads kN and mm alone.
    """

    unit: str
    inches: bool

    @property
    def _both(self) -> bool:
        return self.inches or self.unit in _POUNDS

    def load(self, newtons: float) -> str:
        """ "24.9 kN", "5600 lbf (24.9 kN)" or "24.9 kN (5600 lbf)"."""
        first, second = self._loads(Band(newtons, newtons, newtons))
        return first[1] + (f" ({second[1]})" if second else "")

    def ends(self, band: Band) -> str:
        """ "21 – 29 kN", and the same in lbf before or behind it."""
        first, second = (f"{each[0].split()[0]} to {each[2]}" if each else "" for each in self._loads(band))
        return first + (f" ({second})" if second else "")

    def band(self, band: Band) -> str:
        """ "24.9 kN (21.0 – 29.1)", and the same in lbf before or behind it."""
        told = (f"{each[1]} ({each[0].split()[0]} to {each[2].split()[0]})" for each in self._loads(band) if each)
        return ", ".join(told)

    def _loads(self, band: Band) -> tuple[tuple[str, str, str], tuple[str, str, str] | None]:
        parts = (band.low, band.likely, band.high, SOME)
        kilos, pound = _with("kN", kilonewtons(*parts)), _with("lbf", pounds(*parts))
        if not self._both:
            return kilos, None
        return (pound, kilos) if self.unit in _POUNDS else (kilos, pound)

    def torque(self, newton_metres: float) -> str:
        """Three digits in the unit as typed, with the other beside it: each converted before it is rounded."""
        exact = Decimal(repr(newton_metres))
        first, *second = (self._torque_in(exact, unit) for unit in torque_units(self.unit))
        return first + (f" ({', '.join(second)})" if second else "")

    def _torque_in(self, newton_metres: Decimal, unit: str) -> str:
        rounded = Decimal(f"{convert(newton_metres, 'N·m', unit):.{SOME}g}")
        return side_by_side(Decimal(plain(rounded)), unit, ())

    def length(self, metres: float) -> str:
        """ "8.838 mm", or "0.3479 in (8.838 mm)"."""
        told = f"{metres / MM:.3f} mm"
        return f"{metres / INCH:.4f} in ({told})" if self.inches else told

    def width(self, metres: float) -> str:
        """ "14.63 mm", or "0.563 in" alone, of what nobody measures to the hundredth."""
        return f"{metres / INCH:.3g} in" if self.inches else f"{metres / MM:.4g} mm"

    def area(self, square_metres: float) -> str:
        """ "56.66 mm²", or "0.0878 in² (56.66 mm²)"."""
        told = f"{plain(Decimal(f'{square_metres / MM**2:.4g}'))} mm²"
        return f"{plain(Decimal(f'{square_metres / INCH**2:.3g}'))} in² ({told})" if self.inches else told


def _with(unit: str, figures: tuple[str, str, str]) -> tuple[str, str, str]:
    low, likely, high = (f"{figure} {unit}" for figure in figures)
    return low, likely, high
