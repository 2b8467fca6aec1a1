"""A query about a group that says its strength twice: by a class that a table has, and in figures of its own."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.joint.strength import MPA, Strength, strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.unknown import JointFault
from clampbook.procedure.fastening import kinds
from clampbook.procedure.model import Group, OwnStrength
from clampbook.review.codes import Code
from clampbook.review.look import Look, Raised
from clampbook.text import quoted
from clampbook.units import Quantity, convert, show

SAME = 0.02  # figures of one class agree but for rounding between MPa and ksi; common practice, no source


def two_strengths(look: Look) -> Iterator[Raised]:
    """One question a group; a class that no table has says nothing against figures."""
    for at, group in look.groups:
        if group.strength is None:
            continue
        for fits in kinds(group):
            known = _of_its_class(group, fits)
            other = None if known is None else _differs(group.strength, known)
            if known is not None and other is not None:
                what, own, there = other
                yield Raised(
                    (*at, "strength"),
                    Code.TWO_STRENGTHS,
                    f"the {what} of {quoted(group.name)} is {show(own.value, own.unit)},"
                    f" and {known.name} has {there / MPA:.0f} MPa",
                    found=show(own.value, own.unit),
                    allowed=f"{there / MPA:.0f} MPa ({known.source})",
                    hint="compare both with the manual, and remove strength or property_class",
                )
                break


def _of_its_class(group: Group, fits: str | None) -> Strength | None:
    if fits is None or group.property_class is None:
        return None
    try:
        return strength_named(group.property_class, thread_named(fits).diameter)
    except JointFault:
        return None


def _differs(own: OwnStrength, known: Strength) -> tuple[str, Quantity, float] | None:
    """The first figure that is not that of the class: what it is, as written, and the one of the class in Pa."""
    pairs = (
        ("proof stress", own.proof, known.proof),
        ("yield strength", own.yield_, known.yield_),
        ("tensile strength", own.tensile, known.tensile),
    )
    for what, written, there in pairs:
        if abs(float(convert(written.value, written.unit, "MPa")) * MPA - there) > SAME * there:
            return what, written, there
    return None
