"""One table of tools.toml on its way to a value: where its slips go, and how quantities, days and shares are read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clampbook.procedure.codes import Code as Shared
from clampbook.procedure.slips import KeyPath, Slips, spoken
from clampbook.slug import is_slug
from clampbook.text import quoted
from clampbook.tools.codes import Code
from clampbook.units import Kind, Quantity, UnitFault, kind_of, parse, show

MOST_PERCENT = Decimal(50)
_SMALL = Decimal("0.002")


@dataclass(frozen=True, slots=True)
class Slot:
    """The place of one table in the file; every question adds its slips and goes on as well as it can."""

    at: KeyPath
    slips: Slips

    def add(self, code: str, key: str | None, text: str, *, found: str = "", allowed: str = "", hint: str = "") -> None:
        """One more slip at a key of this table, or at the table itself."""
        at = self.at if key is None else (*self.at, key)
        self.slips.add(code, at, text, found=found, allowed=allowed, hint=hint)

    def named_apart(self, id: str, name: str, seen: dict[str, str]) -> None:
        """Ids and names are told apart without regard to capitals, as people at the bench do; `seen` grows."""
        if not is_slug(id):
            allowed = "up to 40 small letters, digits and hyphens"
            self.add(Code.ID, "id", f"{quoted(id)} is not an id", found=id, allowed=allowed, hint=f"use {allowed}")
        for key, written in (("id", id), ("name", name)):
            mark = f"{key} {written.casefold()}"
            if mark in seen:
                told = f"{seen[mark]} already has the {key} {quoted(written)}"
                self.add(Shared.NAME_TWICE, key, told, hint=f"use another {key}")
            seen.setdefault(mark, spoken(self.at))

    def quantity(self, key: str, written: str, kind: Kind) -> Quantity | None:
        """A quantity of this kind as written."""
        try:
            return parse(written, kind)
        except UnitFault as fault:
            self.add(Shared.NOT_UNDERSTOOD, key, fault.sentence, found=written, allowed=fault.allowed, hint=fault.hint)
            return None

    def on_scale(self, key: str, written: str, unit: str) -> Decimal | None:
        """A quantity of the scale: always in the unit of the scale itself, never converted."""
        read = self.quantity(key, written, kind_of(unit))
        if read is not None and read.unit != unit:
            told = f"{quoted(written)} is not in {unit}, the unit of the scale"
            self.add(Code.OTHER_UNIT, key, told, found=written, allowed=unit, hint="write what the scale shows")
            return None
        return None if read is None else read.value

    def percent(self, key: str, written: str | None) -> Decimal | None:
        """A share in percent, with or without a leading ±, above 0 and at most half."""
        if written is None:
            return None
        read = self.quantity(key, written.strip().removeprefix("±").removeprefix("+/-").strip(), Kind.SHARE)
        if read is None:
            return None
        if not 0 < read.value <= MOST_PERCENT:
            told, hint = (
                f"{quoted(written)} is not possible for {key}",
                f'write above 0 and up to {MOST_PERCENT} %, like "4 %"',
            )
            self.add(Code.PERCENT, key, told, found=written, allowed=f"above 0, at most {MOST_PERCENT} %", hint=hint)
            return None
        return read.value

    def off_by(self, key: str, written: str) -> Decimal | None:
        """The deviation of a tool, in percent of the torque, of either sign."""
        read = self.quantity(key, written, Kind.SHARE)
        if read is not None and abs(read.value) > MOST_PERCENT:
            told, hint = f"{quoted(written)} is not possible for {key}", f"write at most {MOST_PERCENT} % either way"
            self.add(Code.PERCENT, key, told, found=written, allowed=f"at most ±{MOST_PERCENT} %", hint=hint)
            return None
        return None if read is None else read.value

    def uncertainty(self, key: str, written: str | None, unit: str) -> Decimal | None:
        """An uncertainty in the unit of the scale, with or without a leading ±, above 0."""
        if written is None:
            return None
        read = self.on_scale(key, written.strip().removeprefix("±").removeprefix("+/-").strip(), unit)
        if read is not None and read <= 0:
            told, hint = f"{quoted(written)} is not possible for {key}", f"write it above 0, like {show(_SMALL, unit)}"
            self.add(Code.PERCENT, key, told, found=written, allowed="above 0", hint=hint)
            return None
        return read

    def day(self, key: str, written: str | None) -> str | None:
        """A day of the calendar in ISO 8601."""
        if written is None:
            return None
        try:
            return date.fromisoformat(written).isoformat()
        except ValueError:
            told, allowed = f"{quoted(written)} is not a day of the calendar", "a day such as 2026-03-02"
            self.add(Shared.DAY, key, told, found=written, allowed=allowed, hint="write it like 2026-03-02")
            return None
