"""One entry of tools.toml as a tool or an adapter, or as all that is wrong with it."""

from __future__ import annotations

from decimal import Decimal

from msgspec import UNSET

from clampbook.procedure.codes import Code as Shared
from clampbook.procedure.slips import KeyPath, Slips, spoken
from clampbook.tools import upkeep
from clampbook.tools.adapting import LONGEST, WIDEST
from clampbook.tools.codes import Code
from clampbook.tools.model import MEASURING, Adapter, Tool
from clampbook.tools.slot import Slot
from clampbook.tools.tables import AdapterTable, ToolTable
from clampbook.units import Kind, Quantity, UnitFault, convert, show, unit_named

_TORQUE = ("setting", "indicating", "reference")
_EXAMPLES = {  # of a unit, a range and a resolution
    Kind.TORQUE: ("N·m", "20", "100", "0.5"),
    Kind.LENGTH: ("mm", "0", "25", "0.01"),
    Kind.PRESSURE: ("bar", "0", "400", "5"),
}


def tool(row: ToolTable, at: KeyPath, slips: Slips, seen: dict[str, str]) -> Tool | None:
    """The tool, None where a slip was added; `seen` holds ids and names so far."""
    slot, before = Slot(at, slips), len(slips.found)
    slot.named_apart(row.id, row.name, seen)
    upkeep.of_its_kind(slot, row)
    unit = _unit(slot, row)
    if unit is None:
        return None
    minimum, maximum = _scale(slot, row, unit)
    iso = upkeep.standard(slot, row)
    allowed, allowed_by = upkeep.deviation(slot, row, iso, maximum, unit)
    calibrated_on, due = upkeep.calibration(slot, row)
    read = Tool(
        id=row.id,
        name=row.name,
        kind=row.kind,
        unit=unit,
        minimum=minimum,
        maximum=maximum,
        resolution=_resolution(slot, row, unit),
        wound_down=row.wound_down,
        wound_down_to=_wound_down_to(slot, row, unit, maximum),
        reads_angle=row.reads_angle or row.kind == "angle gauge",
        gives=row.gives or "click",
        follower_needle=row.follower_needle,
        only_unit=row.only_unit,
        serial=row.serial,
        calibrated_on=calibrated_on,
        calibration_due=due,
        note=row.note,
        iso_type=iso[0],
        iso_class=iso[1],
        permissible_deviation=allowed,
        permissible_from=allowed_by,
        working_range=_working_range(slot, row, unit, minimum, maximum),
        lever=upkeep.lever(slot, row),
        directions="anticlockwise" if row.directions == "counterclockwise" else row.directions,
        interval_months=row.interval_months,
        interval_pulls=row.interval_pulls,
        certificate=row.certificate,
        uncertainty=upkeep.uncertainty(slot, row, unit),
        coverage=upkeep.coverage(slot, row),
        withdrawn=upkeep.withdrawn(slot, row),
        certified=upkeep.certified(slot, row, unit),
    )
    return read if len(slips.found) == before else None


def adapter(row: AdapterTable, at: KeyPath, slips: Slips, seen: dict[str, str]) -> Adapter | None:
    """The adapter, None where a slip was added; its id and name are told apart from those of tools too."""
    slot, before = Slot(at, slips), len(slips.found)
    slot.named_apart(row.id, row.name, seen)
    if row.ratio is not None:
        return _multiplier(slot, row, before)
    if row.ratio_uncertainty is not None:
        told, hint = "ratio_uncertainty has no meaning without a ratio", "add the ratio, or remove ratio_uncertainty"
        slot.add(Code.PERCENT, "ratio_uncertainty", told, found=row.ratio_uncertainty, hint=hint)
    for key in ("max_torque", "max_torque_in"):
        if getattr(row, key) is not None:
            told, hint = f"{key} has no meaning without a ratio", f"add the ratio, or remove {key}"
            slot.add(Code.LEVER, key, told, found=getattr(row, key), hint=hint)
    extension, offset = _extension(slot, row), _offset(slot, row)
    if len(slips.found) > before:
        return None
    kinds = UNSET if row.kinds is None else tuple(row.kinds)
    return Adapter(id=row.id, name=row.name, extension=extension, offset=offset, note=row.note, kinds=kinds)


def _extension(slot: Slot, row: AdapterTable) -> Quantity | None:
    """The length that it adds to the lever; None where that is asked for when it is picked up."""
    if row.extension is None:
        if row.kinds is None:
            slot.add(
                Shared.MISSING_KEY,
                None,
                f"{spoken(slot.at)} does not say how much it adds to the lever",
                found="nothing",
                allowed="extension, or is",
                hint='add a line like extension = "60 mm", or is = "open end, 19 mm" and it is asked at pick up',
            )
        return None
    extension = slot.quantity("extension", row.extension, Kind.LENGTH)
    if extension is not None and abs(convert(extension.value, extension.unit, "mm")) > LONGEST:
        told = f"an adapter of {show(extension.value, extension.unit)} is not possible"
        slot.add(Code.LEVER, "extension", told, found=row.extension, allowed="up to 10 m", hint="write 10 m or less")
    return extension


def _offset(slot: Slot, row: AdapterTable) -> Decimal | None:
    """Its angle to the lever in degrees, straight on where nothing is said; one that goes by its kind can be put on
    either way, so it is asked for."""
    if row.offset is None or (angle := slot.quantity("offset", row.offset, Kind.ANGLE)) is None:
        return Decimal(0) if row.kinds is None else None
    offset = convert(angle.value, angle.unit, "°")
    if abs(offset) > WIDEST:
        told, hint = (
            f"an offset of {show(offset, '°')} is not possible",
            "write −180° to 180°, where 0° is straight on",
        )
        slot.add(Code.LEVER, "offset", told, found=row.offset, allowed="−180° to 180°", hint=hint)
    return offset


def _multiplier(slot: Slot, row: AdapterTable, before: int) -> Adapter | None:
    """A torque multiplier, which changes no lever; None where a slip was added."""
    assert row.ratio is not None, "only a multiplier has one"
    for key in ("extension", "offset"):
        if getattr(row, key) is not None:
            told, hint = f"a multiplier has no {key}", f"remove {key}, or the ratio"
            slot.add(Code.LEVER, key, told, found=getattr(row, key), hint=hint)
    known = slot.percent("ratio_uncertainty", row.ratio_uncertainty)
    gives, takes = _borne(slot, "max_torque", row.max_torque), _borne(slot, "max_torque_in", row.max_torque_in)
    if len(slot.slips.found) > before:
        return None
    return Adapter(
        id=row.id,
        name=row.name,
        extension=Quantity(Decimal(0), "mm"),
        note=row.note,
        kinds=UNSET if row.kinds is None else tuple(row.kinds),
        ratio=Decimal(repr(row.ratio)).normalize(),
        ratio_uncertainty=UNSET if known is None else known,
        max_torque=UNSET if gives is None else gives,
        max_torque_in=UNSET if takes is None else takes,
    )


def _borne(slot: Slot, key: str, written: str | None) -> Quantity | None:
    """A torque that a multiplier bears."""
    torque = None if written is None else slot.quantity(key, written, Kind.TORQUE)
    if torque is not None and torque.value <= 0:
        told, hint = f"{key} is not above 0", "write the torque on the multiplier, such as 500 N·m"
        slot.add(Code.LEVER, key, told, found=written or "", allowed="above 0", hint=hint)
    return torque


def _unit(slot: Slot, row: ToolTable) -> str | None:
    shows = _shows(row)
    if row.unit is None:
        if shows is Kind.ANGLE:
            return "°"
        example = _EXAMPLES[shows][0]
        hint = f'add a line like unit = "{example}", or what is printed on its scale'
        slot.add(Shared.MISSING_KEY, "unit", f"{_named(row)} needs its unit", allowed=example, hint=hint)
        return None
    try:
        return unit_named(row.unit, shows)
    except UnitFault as fault:
        slot.add(Shared.NOT_UNDERSTOOD, "unit", fault.sentence, found=row.unit, allowed=fault.allowed)
        return None


def _shows(row: ToolTable) -> Kind:
    """The kind of quantity that stands on its scale."""
    return Kind.TORQUE if row.kind in _TORQUE else MEASURING.get(row.kind, Kind.ANGLE)


def _named(row: ToolTable) -> str:
    """The tool in a sentence: "a torque tool", "a micrometer"."""
    if row.kind in _TORQUE:
        return "a torque tool"
    return f"a set of {row.kind}" if row.kind.endswith("s") else f"a {row.kind}"


def _scale(slot: Slot, row: ToolTable, unit: str) -> tuple[Decimal | None, Decimal | None]:
    if row.range is None:
        if (shows := _shows(row)) in _EXAMPLES:
            _, least, most, _ = _EXAMPLES[shows]
            hint = f'add a line like range = ["{least} {unit}", "{most} {unit}"], both ends of its scale'
            slot.add(Code.NO_SCALE, "range", f"{_named(row)} needs its range", hint=hint)
        return None, None
    low, high = (slot.on_scale("range", end, unit) for end in row.range)
    if low is not None and high is not None and not 0 <= low < high:
        told = f"the range {show(low, unit)} to {show(high, unit)} does not rise from 0 or more"
        slot.add(Code.SCALE, "range", told, allowed="lower end first", hint="write the lower end first")
    return low, high


def _resolution(slot: Slot, row: ToolTable, unit: str) -> Decimal | None:
    if row.resolution is None:
        if (shows := _shows(row)) in _EXAMPLES:
            hint = f'add a line like resolution = "{_EXAMPLES[shows][3]} {unit}", the distance between two scale lines'
            slot.add(Code.NO_SCALE, "resolution", f"{_named(row)} needs its resolution", hint=hint)
        return None
    step = slot.on_scale("resolution", row.resolution, unit)
    if step is not None and step <= 0:
        told, hint = "the resolution is not above 0", "write the distance between two scale lines"
        slot.add(Code.SCALE, "resolution", told, found=row.resolution, hint=hint)
    return step


def _working_range(
    slot: Slot, row: ToolTable, unit: str, minimum: Decimal | None, maximum: Decimal | None
) -> tuple[Decimal, Decimal] | None:
    if row.working_range is None:
        return None
    low, high = (slot.on_scale("working_range", end, unit) for end in row.working_range)
    if low is None or high is None or minimum is None or maximum is None:
        return None
    if not minimum <= low < high <= maximum:
        told = f"the working range {show(low, unit)} to {show(high, unit)} is not on the scale"
        hint = f"write a part of {show(minimum, unit)} to {show(maximum, unit)}, the lower end first"
        slot.add(
            Code.SCALE, "working_range", told, allowed=f"{show(minimum, unit)} to {show(maximum, unit)}", hint=hint
        )
    return low, high


def _wound_down_to(slot: Slot, row: ToolTable, unit: str, maximum: Decimal | None) -> Decimal | None:
    if row.wound_down_to is None:
        return None
    if not row.wound_down:
        told = "wound_down_to has no meaning without wound_down"
        slot.add(Code.WOUND_DOWN, "wound_down_to", told, hint="add wound_down = true, or remove wound_down_to")
    mark = slot.on_scale("wound_down_to", row.wound_down_to, unit)
    if mark is not None and (mark < 0 or (maximum is not None and mark > maximum)):
        told = f"{show(mark, unit)} is not on the scale of this tool"
        hint = "write the lowest scale line"
        slot.add(Code.WOUND_DOWN, "wound_down_to", told, found=row.wound_down_to, hint=hint)
    return mark
