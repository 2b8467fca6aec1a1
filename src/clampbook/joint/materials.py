"""Young's moduli of what is clamped and what clamps, in pascals."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from clampbook.joint.unknown import JointFault, nearest
from clampbook.text import quoted

GPA = 1e9
BOLT_STEEL = 205 * GPA  # VDI 2230 Part 1:2003, Table A9 (8.8 to 12.9), from memory

# Usual values at room temperature, each some ± 3 % (cast iron ± 10 %). VDI 2230 Part 1:2003, Table A9, from memory;
# aluminium and steel also as in textbooks (68.9 and 200 GPa).
MODULUS: Mapping[str, float] = MappingProxyType(
    {
        "steel": 205 * GPA,
        "stainless steel": 195 * GPA,
        "cast iron": 110 * GPA,
        "nodular cast iron": 169 * GPA,
        "aluminium": 70 * GPA,
        "magnesium": 44 * GPA,
        "titanium": 110 * GPA,
        "brass": 100 * GPA,
        "bronze": 105 * GPA,
    }
)
_AUSTENITIC = re.compile(r"\bA[24](?![0-9])", re.IGNORECASE)
_OTHER_NAMES = {"aluminum": "aluminium", "iron": "cast iron", "stainless": "stainless steel"}


def modulus_of(name: str) -> float:
    """Young's modulus in Pa of a material by its plain name. Raises JointFault with the nearest known names."""
    plain = " ".join(name.casefold().split())
    found = MODULUS.get(_OTHER_NAMES.get(plain, plain))
    if found is None:
        raise JointFault(
            f"{quoted(name)} is not a material whose stiffness is known. The nearest are {nearest(plain, MODULUS)}."
        )
    return found


def bolt_modulus(property_class: str | None) -> float:
    """Young's modulus in Pa of a bolt: that of stainless steel for the classes of ISO 3506 (A2-70), else of steel."""
    found = _AUSTENITIC.search(property_class or "")
    return BOLT_STEEL if found is None else MODULUS["stainless steel"]
