"""From the bytes of tools.toml to tools, or to all the faults of the file at once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Literal

from pydantic import Field

from clampbook.handwritten import read_rows
from clampbook.procedure.codes import Code as Shared
from clampbook.procedure.sheet_values import Amount, Day, Ends, Table, Text
from clampbook.procedure.slips import KeyPath, Slips, key_text, quoted
from clampbook.slug import is_slug
from clampbook.tools.codes import Code
from clampbook.tools.model import Tool
from clampbook.units import Kind, UnitFault, parse, show, unit_named


class ToolTable(Table):
    """A tool as a person writes it."""

    id: Text = Field(description="Its own for ever: lower-case letters, digits, hyphens.")
    name: Text = Field(description="What stands on it.")
    kind: Literal["setting", "indicating", "angle gauge", "marks"]
    unit: Text | None = Field(None, description="The unit printed on its scale.")
    range: Ends | None = Field(None, description="Where its scale begins and ends.")
    resolution: Amount | None = Field(None, description="How fine its scale is.")
    wound_down: bool = Field(False, description="Whether it is wound down after use.")
    wound_down_to: Amount | None = Field(None, description="How far; the lowest mark where left out.")
    reads_angle: bool = Field(False, description="A torque tool that shows angles too.")
    follower_needle: bool = Field(False, description="A needle that stays where the pull ended.")
    serial: Text | None = None
    calibrated_on: Day | None = None
    calibration_due: Day | None = None
    note: Text | None = None


def read_tools(data: bytes, path: str) -> tuple[Tool, ...]:
    """The tools of a book in the order of the file; `path` stands in the faults. Raises Faulty with all of them."""
    seen: dict[str, str] = {}

    def meaning(row: ToolTable, at: KeyPath, slips: Slips) -> Tool | None:
        return _Reading(row, at, slips).tool(seen)

    return tuple(read_rows(data, path, "tool", ToolTable, meaning))


class _Reading:
    """One table on its way to a tool: every question adds to the slips and goes on as well as it can."""

    def __init__(self, row: ToolTable, at: KeyPath, slips: Slips) -> None:
        self.row = row
        self.at = at
        self.slips = slips
        self.torque = row.kind in ("setting", "indicating")

    def tool(self, seen: dict[str, str]) -> Tool | None:
        """The tool, complete where no slip was added; `seen` holds ids and names so far."""
        row, before = self.row, len(self.slips.found)
        self._name_apart(seen)
        unit = self._unit()
        if unit is None:
            return None
        minimum, maximum = self._scale(unit)
        tool = Tool(
            id=row.id,
            name=row.name,
            kind=row.kind,
            unit=unit,
            minimum=minimum,
            maximum=maximum,
            resolution=self._resolution(unit),
            wound_down=row.wound_down,
            wound_down_to=self._wound_down_to(unit, maximum),
            reads_angle=self._reads_angle(),
            follower_needle=row.follower_needle,
            serial=row.serial,
            calibrated_on=self._day("calibrated_on", row.calibrated_on),
            calibration_due=self._day("calibration_due", row.calibration_due),
            note=row.note,
        )
        return tool if len(self.slips.found) == before else None

    def _add(
        self, code: str, key: str | None, text: str, *, found: str = "", allowed: str = "", hint: str = ""
    ) -> None:
        at = self.at if key is None else (*self.at, key)
        self.slips.add(code, at, text, found=found, allowed=allowed, hint=hint)

    def _name_apart(self, seen: dict[str, str]) -> None:
        """Ids and names are told apart without regard to capitals, as people at the bench do."""
        if not is_slug(self.row.id):
            allowed = "lower-case letters, digits and hyphens, up to 40"
            self._add(Code.ID, "id", f"{quoted(self.row.id)} is no id", found=self.row.id, allowed=allowed)
        for key, name in (("id", f"id {self.row.id}"), ("name", f"name {self.row.name.casefold()}")):
            if name in seen:
                told = f"the {key} {quoted(getattr(self.row, key))} belongs to {seen[name]} already"
                self._add(Shared.NAME_TWICE, key, told, hint=f"give each tool its own {key}")
            seen.setdefault(name, key_text(self.at))

    def _unit(self) -> str | None:
        kind = Kind.TORQUE if self.torque else Kind.ANGLE
        if self.row.unit is None:
            if not self.torque:
                return "°"
            self._add(Shared.MISSING_KEY, "unit", "a torque tool needs the unit printed on its scale", allowed="N·m")
            return None
        try:
            return unit_named(self.row.unit, kind)
        except UnitFault as fault:
            self._add(Shared.NOT_UNDERSTOOD, "unit", fault.sentence, found=self.row.unit, allowed=fault.allowed)
            return None

    def _quantity(self, key: str, written: str, unit: str) -> Decimal | None:
        """A quantity of the scale: always in the unit of the scale itself, never converted."""
        try:
            quantity = parse(written, Kind.TORQUE if self.torque else Kind.ANGLE)
        except UnitFault as fault:
            self._add(Shared.NOT_UNDERSTOOD, key, fault.sentence, found=written, allowed=fault.allowed, hint=fault.hint)
            return None
        if quantity.unit != unit:
            told = f"{quoted(written)} is not in {unit}, the unit of this tool's scale"
            self._add(Code.OTHER_UNIT, key, told, found=quantity.unit, allowed=unit, hint="write what the scale shows")
            return None
        return quantity.value

    def _scale(self, unit: str) -> tuple[Decimal | None, Decimal | None]:
        if self.row.range is None:
            if self.torque:
                told = "a torque tool needs its range: where its scale begins and ends"
                self._add(Code.NO_SCALE, "range", told, hint=f'such as range = ["20 {unit}", "100 {unit}"]')
            return None, None
        low, high = (self._quantity("range", end, unit) for end in self.row.range)
        if low is not None and high is not None and not 0 <= low < high:
            told = f"the range runs from {show(low, unit)} to {show(high, unit)}: it must begin at 0 or above and rise"
            self._add(Code.SCALE, "range", told, allowed="lower end first")
        return low, high

    def _resolution(self, unit: str) -> Decimal | None:
        if self.row.resolution is None:
            if self.torque:
                told = "a torque tool needs its resolution: how fine its scale is"
                self._add(Code.NO_SCALE, "resolution", told, hint=f'such as resolution = "0.5 {unit}"')
            return None
        step = self._quantity("resolution", self.row.resolution, unit)
        if step is not None and step <= 0:
            self._add(Code.SCALE, "resolution", "the resolution must be above 0", found=self.row.resolution)
        return step

    def _wound_down_to(self, unit: str, maximum: Decimal | None) -> Decimal | None:
        if self.row.wound_down_to is None:
            return None
        if not self.row.wound_down:
            told = "wound_down_to says how far, but wound_down does not say that it is"
            self._add(Code.WOUND_DOWN, "wound_down_to", told, hint="add wound_down = true")
        mark = self._quantity("wound_down_to", self.row.wound_down_to, unit)
        if mark is not None and (mark < 0 or (maximum is not None and mark > maximum)):
            told = f"{show(mark, unit)} is not on the scale of this tool"
            self._add(Code.WOUND_DOWN, "wound_down_to", told, found=self.row.wound_down_to)
        return mark

    def _reads_angle(self) -> bool:
        """What measures angles does so anyway; the key is for torque tools that can do both."""
        return self.row.reads_angle or self.row.kind == "angle gauge"

    def _day(self, key: str, written: str | None) -> str | None:
        if written is None:
            return None
        try:
            return date.fromisoformat(written).isoformat()
        except ValueError:
            self._add(
                Shared.DAY, key, f"{quoted(written)} is no day", found=written, allowed="a day such as 2026-03-02"
            )
            return None
