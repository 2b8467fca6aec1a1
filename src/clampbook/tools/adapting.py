"""The adapter that a procedure asks for by its kind, such as "open end, 19 mm": which of the book's is one.

Two texts are the same kind only where they differ in nothing but capitals, spaces and commas. No size is ever guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from msgspec.structs import replace

from clampbook.text import as_sentence
from clampbook.tools.model import Adapter
from clampbook.units import Kind, Quantity, UnitFault, convert, parse

LONGEST = Decimal(10_000)  # mm
WIDEST = Decimal(180)  # degrees
_BETWEEN_NUMBER_AND_UNIT = re.compile(r"(?<=\d)(?=[^\W\d_])|(?<=[^\W\d_])(?=\d)")
_NO_DECIMAL_COMMA = re.compile(r",(?!\d)|(?<!\d),")


def serves(adapter: Adapter, wanted: str) -> bool:
    """True where an adapter is of the kind that is asked for."""
    return bool(adapter.kinds) and _plain(wanted) in map(_plain, adapter.kinds or ())


def of_kind(adapters: Iterable[Adapter], wanted: str) -> tuple[Adapter, ...]:
    """Those that are of this kind, in the order of the file."""
    return tuple(each for each in adapters if serves(each, wanted))


def _plain(kind: str) -> str:
    """A kind without what people write one way or the other: "Open end 19mm" for "open end, 19 mm"."""
    apart = _BETWEEN_NUMBER_AND_UNIT.sub(" ", _NO_DECIMAL_COMMA.sub(" ", kind.casefold()))
    return " ".join(apart.replace(",", ".").split())


def measured(adapter: Adapter, length: str | None, angle: str | None) -> Adapter | str:
    """An adapter with what was typed of it where its entry does not say it; a sentence where that is not possible."""
    extension = adapter.extension if adapter.extension is not None else _length(length or "")
    offset = adapter.offset if adapter.offset is not None else _angle(angle or "")
    if isinstance(extension, str):
        return extension
    return offset if isinstance(offset, str) else replace(adapter, extension=extension, offset=offset)


def _length(text: str) -> Quantity | str:
    """The length of an adapter, as typed, in mm where no unit was; a sentence where it is none."""
    found = _read(text, "mm", Kind.LENGTH)
    if isinstance(found, Quantity) and abs(convert(found.value, found.unit, "mm")) > LONGEST:
        return "An adapter is 10 m long or less. Type its length again."
    return found


def _angle(text: str) -> Decimal | str:
    """Its angle to the lever, as typed, in degrees; a sentence where it is none."""
    found = _read(text, "°", Kind.ANGLE)
    if isinstance(found, str):
        return found
    degrees = convert(found.value, found.unit, "°")
    return degrees if abs(degrees) <= WIDEST else "An angle is −180° to 180°, 0 straight on. Type it again."


def _read(text: str, unit: str, kind: Kind) -> Quantity | str:
    try:
        return parse(text, kind, unit=unit)
    except UnitFault as fault:
        return as_sentence(fault.sentence)
