"""The first tools of a new book: the few items of the tool form that a tool cannot do without, asked one by one.

What is wrong with an item is said by the reader of tools.toml, as on the form itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from clampbook.faults import Fault
from clampbook.screens.tools.filling import Filling
from clampbook.screens.tools.live_faults import said
from clampbook.text import as_sentence, quoted

NAME, KIND, UNIT, START, END, DUE = "name", "kind", "unit", "range 0", "range 1", "calibration_due"
ITEMS = (NAME, KIND, UNIT, START, END, "resolution", DUE)
KINDS = {
    "setting": "setting: it clicks, slips or breaks at the torque that is set",
    "indicating": "indicating: it shows the torque",
}
_SOUND = {KIND: "setting", UNIT: "N·m", START: "1", END: "2", "resolution": "1"}  # while only its name is known
_ENDLESS = "1000000"  # while only the start of its scale is known
_WHICH = {1: "first", 2: "second"}


def sentence(filling: Filling, number: int, item: str) -> str:
    """Ask for one item of a tool, by its name once that is known."""
    unit = filling.values.get(UNIT, "")
    tool = filling.title
    match item:
        case "kind":
            return f"{tool}: which kind of torque tool?"
        case "unit":
            return f"{tool}: which unit is on its scale?"
        case "range 0":
            return f"{tool}: where does its scale start, in {unit}?"
        case "range 1":
            return f"{tool}: where does its scale end, in {unit}?"
        case "resolution":
            return f"{tool}: how far apart are its scale lines, in {unit}?"
        case "calibration_due":
            return f"{tool}: on which day is its calibration due? Type it like 2027-03-02."
        case _:
            return f"Your {_WHICH[number]} torque tool: type the name marked on it."


def refused(filling: Filling, name: str, text: str) -> str:
    """Say what is wrong with the text of an item; empty where it can stand, or a tool is left out."""
    if name == NAME:
        return _refused_name(filling, text) if text else ""
    if name == START and text:
        return _told(_with(filling, {START: text, END: _ENDLESS}).faults.get("range", ()))
    filled = _with(filling, {name: text})
    item = next(each for each in filled.items if each.name == name)
    return _told(filled.faults_at(item)) or (_told(_all(filled)) if name == ITEMS[-1] else "")


def _refused_name(filling: Filling, text: str) -> str:
    """Say what is wrong with a name, before the rest of the tool is known: as of a tool with nothing else wrong."""
    filled = _with(filling, {**_SOUND, NAME: text})
    if not filled.values.get("id"):
        return f"{quoted(text)} has no letter or digit. Type the name marked on the tool."
    return _told(filled.faults.get(NAME, ())) or _told(_all(filled))


def _with(filling: Filling, texts: Mapping[str, str]) -> Filling:
    items = {item.name: item for item in filling.items}
    for name, text in texts.items():
        filling = filling.with_value(items[name], text)
    return filling


def _all(filled: Filling) -> tuple[Fault, ...]:
    return tuple(fault for faults in filled.faults.values() for fault in faults)


def _told(faults: Sequence[Fault]) -> str:
    return " ".join(dict.fromkeys(as_sentence(said(fault, "tool")) for fault in faults))


def in_short(filling: Filling) -> str:
    """The tool in one line: "W2 · setting · 20 N·m to 100 N·m · calibration due 2027-03-02"."""
    values, ends = filling.values, filling.entry.get("range", [])
    due = values.get(DUE, "")
    scale = " to ".join(ends) if isinstance(ends, list) and len(ends) == 2 else ""
    parts = (values.get(NAME, ""), values.get(KIND, ""), scale, f"calibration due {due}" if due else "")
    return " · ".join(part for part in parts if part)
