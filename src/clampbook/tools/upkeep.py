"""The word of a tools file on a tool beside its scale: standard, calibration, lever, and whether it is in use at
all.
"""

from __future__ import annotations

from decimal import Decimal

from msgspec import UNSET, UnsetType

from clampbook.text import quoted
from clampbook.tools.codes import Code
from clampbook.tools.model import SHOWN_BY, WORKING, Certified, Withdrawn
from clampbook.tools.permitted import WRITTEN
from clampbook.tools.slot import Slot
from clampbook.tools.standard import CLASSES, STANDARD, TYPE_OF, IsoType, permissible, type_and_class
from clampbook.tools.tables import CertifiedTable, ToolTable
from clampbook.units import Kind, Quantity, convert, show

_OF_TORQUE_TOOLS = ("iso_6789", "permissible_deviation", "lever", "wound_down_to")
_OF_SCALES = ("working_range", "uncertainty", "coverage")


def of_its_kind(slot: Slot, row: ToolTable) -> None:
    """Keys that say nothing of a tool of this kind are slips: they were meant for another one."""
    strange = () if row.kind in WORKING else _OF_TORQUE_TOOLS
    if row.kind == "marks":
        strange = (*strange, *_OF_SCALES)
    if row.kind in SHOWN_BY:
        strange = (*strange, "working_range")
    if row.kind != "setting":
        strange = (*strange, "gives")
    if row.kind not in (*WORKING, *SHOWN_BY):
        strange = (*strange, "certified")
    for key in strange:
        if getattr(row, key) not in (None, []):
            told = f'{key} does not go with kind = "{row.kind}"'
            slot.add(Code.NOT_OF_THIS_KIND, key, told, found=key, hint=f"remove {key}, or correct the kind")


def standard(slot: Slot, row: ToolTable) -> tuple[IsoType, str] | tuple[None, None]:
    """Type and class; the type is the one of its kind."""
    if row.iso_6789 is None or row.kind not in WORKING:
        return None, None
    found = type_and_class(row.iso_6789)
    wanted = TYPE_OF[row.kind]
    allowed = f"type {wanted}, class {CLASSES[wanted][0]} to {CLASSES[wanted][-1]}"
    if found is None or found[0] != wanted:
        what = (
            "is not a type and class of ISO 6789"
            if found is None
            else f"is not for {'an' if row.kind == 'indicating' else 'a'} {row.kind} tool"
        )
        told = f"{quoted(row.iso_6789)} {what}"
        hint = f'use type {wanted}, class {CLASSES[wanted][0]} to {CLASSES[wanted][-1]}, like "{wanted} A"'
        slot.add(Code.STANDARD, "iso_6789", told, found=row.iso_6789, allowed=allowed, hint=hint)
        return None, None
    return found


def deviation(
    slot: Slot, row: ToolTable, iso: tuple[IsoType, str] | tuple[None, None], maximum: Decimal | None, unit: str
) -> tuple[Decimal | None, str | None]:
    """Permissible deviation of the tool, in percent, and where that comes from; as written, or by type and class."""
    if row.permissible_deviation is not None:
        written = slot.percent("permissible_deviation", row.permissible_deviation)
        return written, None if written is None else WRITTEN
    if iso[0] is None or maximum is None:
        return None, None
    return permissible(iso[0], iso[1], convert(maximum, unit, "N·m")), STANDARD


def coverage(slot: Slot, row: ToolTable) -> Decimal:
    """The coverage factor of the certificate's uncertainty."""
    if row.coverage is None:
        return Decimal(2)
    if row.uncertainty is None:
        example = "0.002 mm" if row.kind in SHOWN_BY else "0.5 %"
        hint = f'add a line like uncertainty = "{example}", or remove coverage'
        slot.add(Code.PERCENT, "coverage", "a coverage factor needs an uncertainty", hint=hint)
    return Decimal(f"{row.coverage:g}")


def uncertainty(slot: Slot, row: ToolTable, unit: str) -> Decimal | None:
    """The expanded uncertainty: in percent, of what measures in the unit of its scale."""
    if row.kind in SHOWN_BY:
        return slot.uncertainty("uncertainty", row.uncertainty, unit)
    return slot.percent("uncertainty", row.uncertainty)


def certified(slot: Slot, row: ToolTable, unit: str) -> tuple[Certified, ...] | UnsetType:
    """The points of its certificate."""
    found: list[Certified] = []
    rows = row.certified if row.kind in (*WORKING, *SHOWN_BY) else ()
    for number, each in enumerate(rows):
        point = _point(Slot((*slot.at, "certified", number), slot.slips), row, each, unit)
        if point is not None and found and point.at <= found[-1].at:
            before, here = show(found[-1].at, unit), show(point.at, unit)
            told, hint = f"{here} comes after {before}", "write the points from the lowest up, each once"
            there = Slot((*slot.at, "certified", number), slot.slips)
            there.add(Code.CERTIFIED, "at", told, found=each.at, allowed=f"above {before}", hint=hint)
        elif point is not None:
            found.append(point)
    return tuple(found) or UNSET


def _point(here: Slot, row: ToolTable, each: CertifiedTable, unit: str) -> Certified | None:
    at = here.on_scale("at", each.at, unit)
    if row.kind in SHOWN_BY:
        off, by = here.on_scale("off_by", each.off_by, unit), here.uncertainty("uncertainty", each.uncertainty, unit)
    else:
        off, by = here.off_by("off_by", each.off_by), here.percent("uncertainty", each.uncertainty)
    return None if at is None or off is None or by is None else Certified(at=at, off_by=off, uncertainty=by)


def lever(slot: Slot, row: ToolTable) -> Quantity | None:
    """The length of the lever."""
    if row.lever is None:
        return None
    read = slot.quantity("lever", row.lever, Kind.LENGTH)
    if read is not None and not 0 < convert(read.value, read.unit, "mm") <= 10_000:
        told = f"a lever of {show(read.value, read.unit)} is not possible"
        slot.add(
            Code.LEVER,
            "lever",
            told,
            found=row.lever,
            allowed="above 0, at most 10 m",
            hint="write a length above 0 and up to 10 m",
        )
        return None
    return read


def calibration(slot: Slot, row: ToolTable) -> tuple[str | None, str | None]:
    """The days on which it was calibrated and is due again."""
    on, due = slot.day("calibrated_on", row.calibrated_on), slot.day("calibration_due", row.calibration_due)
    if on is not None and due is not None and due <= on:
        told = f"calibration_due {due} is not after calibrated_on {on}"
        slot.add(Code.CALIBRATION, "calibration_due", told, found=due, allowed=f"after {on}", hint="check both days")
    for key in ("interval_months", "interval_pulls"):
        if getattr(row, key) is not None and row.calibrated_on is None:
            told = f"{key} counts from a calibration, and its day is missing"
            slot.add(Code.CALIBRATION, key, told, hint=f"add a line like calibrated_on = 2026-03-02, or remove {key}")
    return on, due


def withdrawn(slot: Slot, row: ToolTable) -> Withdrawn | None:
    """Since when and why it is out of use."""
    on = slot.day("withdrawn_on", row.withdrawn_on)
    if row.withdrawn_on is None and row.withdrawn_because is None:
        return None
    for key, other in (("withdrawn_on", "withdrawn_because"), ("withdrawn_because", "withdrawn_on")):
        if getattr(row, key) is None:
            hint = "withdrawn_on = 2026-03-02" if key == "withdrawn_on" else 'withdrawn_because = "dropped"'
            hint = f"add a line like {hint}, or remove {other}"
            slot.add(Code.WITHDRAWN, other, f"{other} needs {key}", hint=hint)
    if on is None or row.withdrawn_because is None:
        return None
    return Withdrawn(on=on, reason=row.withdrawn_because)
