"""ISO 6789-1: the types and classes of torque tools, and the deviation that the standard allows each of them."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Literal

IsoType = Literal["I", "II"]

CLASSES: dict[IsoType, str] = {"I": "ABCDE", "II": "ABCDEFG"}
TYPE_OF: dict[str, IsoType] = {"indicating": "I", "setting": "II"}
STANDARD = "ISO 6789-1:2017"
SMALL = Decimal(10)  # N·m: up to this maximum every tool is allowed the wider deviation
WIDEST = Decimal(6)  # percent
_NARROW = Decimal(4)
_NARROW_CLASSES: dict[IsoType, str] = {"I": "BCE", "II": "ABC"}
_WRITTEN = re.compile(r"(?:type\s*)?(II|I)\s*,?\s*(?:class\s*)?([A-G])", re.IGNORECASE)


def type_and_class(written: str) -> tuple[IsoType, str] | None:
    """Type and class from "II A" or "type II, class A"; None where it is neither."""
    found = _WRITTEN.fullmatch(written.strip())
    if found is None:
        return None
    iso_type: IsoType = "II" if found[1].upper() == "II" else "I"
    letter = found[2].upper()
    return (iso_type, letter) if letter in CLASSES[iso_type] else None


def permissible(iso_type: IsoType, letter: str, maximum_nm: Decimal) -> Decimal:
    """The permissible deviation in percent either way, for a tool whose scale ends at `maximum_nm` (N·m).

    Source: ISO 6789-1:2017, the table of permissible deviations, from memory but for type II, class A, which public
    manuals quote from the edition of 2003 (see tests/reference).
    """
    if maximum_nm <= SMALL or letter not in _NARROW_CLASSES[iso_type]:
        return WIDEST
    return _NARROW
