"""The items of a tool's or an adapter's entry as a person fills them in, and the entry that comes of them.

No rule of the file stands here: what is wrong is said by the reader of tools.toml.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.check.prompts import UNITS
from clampbook.slug import slug
from clampbook.tools.editing import List, Value
from clampbook.tools.model import MEASURING, SHOWN_BY
from clampbook.units import UNITS_OF

Shape = Literal[
    "text", "texts", "choice", "yes", "torque", "ends", "percent", "length", "angle", "day", "count", "factor"
]
YES, NO = "yes", "no"
BETWEEN = " / "  # several texts in one line
_NUMBER = re.compile(r"[-−+±]?\s*\d+(?:[.,]\d+)?")


class FormItem(Struct, frozen=True):
    """One line of the form: the key that it writes, its label, and what is typed. `end` tells the two ends
    of a span apart; a number alone gets its unit by itself."""

    key: str
    words: str
    shape: Shape = "text"
    choices: tuple[str, ...] = ()
    end: int = 0

    @property
    def name(self) -> str:
        """Its own name in the form."""
        return f"{self.key} {self.end}" if self.shape == "ends" else self.key


KINDS = ("setting", "indicating", "angle gauge", "marks", "reference", *MEASURING)
_TOOL = (
    FormItem("name", "name"),
    FormItem("id", "id"),
    FormItem("kind", "kind", "choice", KINDS),
    FormItem("unit", "unit of its scale", "text", UNITS),
    FormItem("range", "scale from", "ends", end=0),
    FormItem("range", "scale to", "ends", end=1),
    FormItem("resolution", "scale lines every", "torque"),
    FormItem("working_range", "working range from", "ends", end=0),
    FormItem("working_range", "working range to", "ends", end=1),
    FormItem("iso_6789", "ISO 6789 type and class"),
    FormItem("permissible_deviation", "permissible deviation", "percent"),
    FormItem("lever", "lever", "length"),
    FormItem("directions", "works", "choice", ("both", "clockwise", "anticlockwise")),
    FormItem("wound_down", "wind down after use", "yes", (YES, NO)),
    FormItem("wound_down_to", "wind down to", "torque"),
    FormItem("reads_angle", "shows angle too", "yes", (YES, NO)),
    FormItem("gives", "gives by", "choice", ("click", "slip", "break")),
    FormItem("follower_needle", "follower needle", "yes", (YES, NO)),
    FormItem("only_unit", "no other unit", "yes", (YES, NO)),
    FormItem("serial", "serial number"),
    FormItem("calibrated_on", "calibrated on", "day"),
    FormItem("calibration_due", "due on", "day"),
    FormItem("interval_months", "after months", "count"),
    FormItem("interval_pulls", "after pulls", "count"),
    FormItem("certificate", "certificate"),
    FormItem("uncertainty", "uncertainty", "percent"),
    FormItem("coverage", "coverage factor k", "factor"),
    FormItem("note", "note"),
)
_ADAPTER = (
    FormItem("name", "name"),
    FormItem("id", "id"),
    FormItem("extension", "adds to lever", "length"),
    FormItem("offset", "angle to lever", "angle"),
    FormItem("ratio", "ratio", "factor"),
    FormItem("ratio_uncertainty", "uncertainty of ratio", "percent"),
    FormItem("max_torque", "gives at most", "torque"),
    FormItem("max_torque_in", "takes at most", "torque"),
    FormItem("is", "what it is", "texts"),
    FormItem("note", "note"),
)
ITEMS: dict[List, tuple[FormItem, ...]] = {"tool": _TOOL, "adapter": _ADAPTER}
_OF_TORQUE_TOOLS = (
    "working_range",
    "iso_6789",
    "permissible_deviation",
    "lever",
    "directions",
    "wound_down",
    "wound_down_to",
    "reads_angle",
    "gives",
    "follower_needle",
)


def items(values: Mapping[str, str], kind: List) -> tuple[FormItem, ...]:
    """The lines of a form: of an instrument only those that say something of one, or that have something in them, and
    with the units that it may have."""
    shows = MEASURING.get(values.get("kind", ""))
    if kind == "adapter" or shows is None:
        return ITEMS[kind]
    kept = (item for item in ITEMS[kind] if item.key not in _OF_TORQUE_TOOLS or values.get(item.name))
    return tuple(replace(item, choices=UNITS_OF[shows]) if item.key == "unit" else item for item in kept)


def typed(row: Mapping[str, Any], kind: List) -> dict[str, str]:
    """Give the content of an entry, item by item, as it would be typed."""
    found = {}
    for item in ITEMS[kind]:
        value = row.get(item.key)
        if item.shape == "ends":
            ends = value if isinstance(value, list) else []
            value = ends[item.end] if item.end < len(ends) else None
        if value is not None:
            found[item.name] = _as_typed(value)
    return found


def _as_typed(value: object) -> str:
    match value:
        case bool():
            return YES if value else NO
        case date():
            return value.isoformat()
        case float():
            return f"{value:g}"
        case list():
            return BETWEEN.join(map(str, value))
        case _:
            return str(value)


def entry(values: Mapping[str, str], kind: List) -> dict[str, Value]:
    """The entry as it is written, in the order of the items; what is empty is left out."""
    unit = _unit(values)
    found: dict[str, Value] = {}
    for item in ITEMS[kind]:
        text = values.get(item.name, "").strip()
        if not text or (item.shape == "yes" and text == NO) or (item.key == "directions" and text == "both"):
            continue
        if item.shape == "ends":
            before = found.get(item.key, [])
            found[item.key] = [*(before if isinstance(before, list) else []), _with(text, unit)]
        else:
            in_unit = item.key == "uncertainty" and values.get("kind") in SHOWN_BY
            found[item.key] = _with(text, unit) if in_unit else _value(item, text, unit)
    if "id" not in found and isinstance(name := found.get("name"), str) and slug(name, ""):
        found = {"id": slug(name, ""), **found}
    return found


def _unit(values: Mapping[str, str]) -> str:
    unit = values.get("unit", "").strip()
    return unit or ("°" if values.get("kind") in ("angle gauge", "marks") else "")


def _value(item: FormItem, text: str, unit: str) -> Value:
    match item.shape:
        case "texts":
            several = [each.strip() for each in text.split(BETWEEN)]
            return text if len(several) == 1 else several
        case "yes":
            return text == YES
        case "torque":
            return _with(text, unit)
        case "percent":
            return _with(text, "%")
        case "length":
            return _with(text, "mm")
        case "angle":
            return _with(text, "°")
        case "count":
            return int(text) if text.isdecimal() and len(text) < 10 else text
        case "factor":
            with contextlib.suppress(InvalidOperation):
                return float(Decimal(text.replace(",", ".")))
            return text
        case "day":
            with contextlib.suppress(ValueError):
                return date.fromisoformat(text)
            return text
        case _:
            return text


def _with(text: str, unit: str) -> str:
    """A number alone with its unit behind it."""
    return f"{text} {unit}".strip() if _NUMBER.fullmatch(text) else text


def changes(before: Mapping[str, Any], after: Mapping[str, Value], kind: List) -> dict[str, Value | None]:
    """Give what is different in an entry; None takes a key away. Keys that the form does not have stay as they are."""
    keys = dict.fromkeys(item.key for item in ITEMS[kind])
    flags = ("wound_down", "reads_angle", "follower_needle", "only_unit")
    stand_for_nothing: dict[str, object] = {**dict.fromkeys(flags, False), "directions": "both", "gives": "click"}
    found: dict[str, Value | None] = {}
    for key in keys:
        if key in after and before.get(key) != after[key]:
            found[key] = after[key]
        elif key not in after and key in before and before[key] != stand_for_nothing.get(key):
            found[key] = None
    return found
