"""The bolts of a group as the file tells them for an estimate: their own strength, and what they clamp."""

from __future__ import annotations

import re

from clampbook.procedure.amounts import Reading, above_zero
from clampbook.procedure.codes import Code
from clampbook.procedure.model import Clamped, OwnStrength
from clampbook.procedure.sheet_groups import GroupTable
from clampbook.procedure.slips import KeyPath
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted
from clampbook.units import Kind, convert

_PART = re.compile(r"([0-9.,]+\s*[^\s0-9]+)\s+(\S.*)")


def own_strength(reading: Reading, at: KeyPath, table: GroupTable) -> OwnStrength | None:
    """The strength written out; proof stress, yield and tensile strength grow in this order."""
    own = table.strength
    if own is None:
        return None
    here = (*at, "strength")
    proof = above_zero(reading, (*here, "proof"), own.proof, Kind.PRESSURE)
    yield_ = above_zero(reading, (*here, "yield"), own.yield_, Kind.PRESSURE)
    tensile = above_zero(reading, (*here, "tensile"), own.tensile, Kind.PRESSURE)
    if proof is None or yield_ is None or tensile is None:
        return None
    figures = [convert(each.value, each.unit, "MPa") for each in (proof, yield_, tensile)]
    if figures != sorted(figures):
        reading.slips.add(
            Code.NOT_POSSIBLE,
            here,
            "proof stress, yield and tensile strength do not rise in this order",
            found=f"{own.proof}, {own.yield_}, {own.tensile}",
            allowed="proof up to yield, yield up to tensile",
            hint="compare all three with the source",
        )
    return OwnStrength(proof=proof, yield_=yield_, tensile=tensile, source=own.source)


def clamped(reading: Reading, at: KeyPath, table: GroupTable) -> tuple[Clamped, ...]:
    """The clamped parts, each a thickness and a material; materials are any words, known or not."""
    found: list[Clamped] = []
    for index, text in enumerate(table.clamped):
        if text == UNREAD:
            continue
        here = (*at, "clamped", index)
        part = _PART.fullmatch(text)
        if part is None:
            reading.slips.add(
                Code.NOT_UNDERSTOOD,
                here,
                f"{quoted(text)} is not a thickness and a material",
                found=text,
                allowed="such as 72 mm aluminium",
                hint='write it like "72 mm aluminium"',
            )
            continue
        thickness = above_zero(reading, here, part[1], Kind.LENGTH)
        if thickness is not None:
            found.append(Clamped(thickness=thickness, material=part[2]))
    return tuple(found)
