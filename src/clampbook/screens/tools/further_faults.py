"""The errors of an entry behind what its reader stops at: a kind that is missing hides no other slip."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from clampbook.faults import Fault
from clampbook.procedure.codes import Code as Shared
from clampbook.screens.tools.form_items import ITEMS, KINDS
from clampbook.tools.codes import Code
from clampbook.tools.editing import List
from clampbook.tools.model import MEASURING
from clampbook.units import UNITS_OF, Kind

Faults = dict[str, tuple[Fault, ...]]
_STOPS = (Shared.MISSING_KEY, Shared.WRONG_TYPE, Shared.OUT_OF_RANGE, Shared.NOT_ALLOWED, Shared.WRONG_LENGTH)
_LACKING = (Shared.MISSING_KEY, Code.NO_SCALE)  # said by the first reading already, or of what was taken out here
_ID, _NAME = "stands-in-for-an-id", "stands in for a name"


def faults_behind(read: Callable[[Mapping[str, str]], Faults], values: Mapping[str, str], kind: List) -> Faults:
    """Give what `read` says of the items, and what it would say of the others were those not at fault.

    What is at fault is taken out, or stood in for where an entry needs it. Where the kind is not known, only what is
    wrong with every kind is said.
    """
    first = read(values)
    if not any(fault.code in _STOPS or key == "unit" for key, faults in first.items() for fault in faults):
        return first
    sound = {item.name: values.get(item.name, "") for item in ITEMS[kind] if item.key not in first}
    sound = {"name": _NAME, "id": _ID, **{name: text for name, text in sound.items() if text.strip()}}
    readings = [read({**stands_in, **sound}) for stands_in in _standing_in(sound, kind)]
    possible = [found for found in readings if "unit" not in found]  # no other kind has such a unit
    return {**_agreed(possible or readings, sound, first), **first}


def _standing_in(sound: Mapping[str, str], kind: List) -> tuple[dict[str, str], ...]:
    if kind == "adapter":
        return ({"extension": "1"},)
    kinds = (sound["kind"],) if "kind" in sound else KINDS
    return tuple({"kind": each, "unit": _unit(each)} for each in kinds)


def _unit(kind: str) -> str:
    if kind in ("angle gauge", "marks"):
        return "°"
    return UNITS_OF[MEASURING.get(kind, Kind.TORQUE)][0]


def _agreed(readings: list[Faults], sound: Mapping[str, str], first: Faults) -> Faults:
    """Give what all readings say of keys that stand there; what they say of a unit counts only where one was
    written."""
    typed = {name.split(" ")[0] for name in sound} - {"name", "id"} - set(first)
    unsaid = (*_LACKING, Code.OTHER_UNIT) if "unit" not in sound else _LACKING
    found: Faults = {}
    for key, faults in readings[0].items():
        rest = [{fault.code for fault in reading.get(key, ())} for reading in readings[1:]]
        left = tuple(
            fault for fault in faults if fault.code not in unsaid and all(fault.code in codes for codes in rest)
        )
        if key in typed and left:
            found[key] = left
    return found
