"""A tool or an adapter in one line: for a list, and for a label that is printed and put on the tool itself."""

from __future__ import annotations

from collections.abc import Iterable

from clampbook.tools.model import WORKING, Adapter, Tool, Trouble, Use
from clampbook.tools.setting import scale
from clampbook.tools.state import due_on, unchecked
from clampbook.units import show

_LONGEST = 24  # columns that a name may take from all the others
_NAMES = 6  # columns that names have at the least, where they stand below each other
_OUT_OF_USE = "OUT OF USE"
_CHECK_FIRST = "CHECK BEFORE USE"
WIDTH = 80  # signs on a label: one line of small print (common practice, no source)


def names_across(things: Iterable[Tool | Adapter]) -> int:
    """In how many columns the names of these stand, so that what follows them begins below each other."""
    return max((_NAMES, *(len(thing.name) for thing in things if len(thing.name) <= _LONGEST)))


def in_a_line(tool: Tool) -> str:
    """Kind of the tool, and the reach of its scale."""
    kind = f"{tool.kind} tool" if tool.kind in WORKING else tool.kind
    return kind if tool.maximum is None else f"{kind}, {scale(tool)}"


def adapter_words(adapter: Adapter) -> str:
    """An adapter as people tell it: "A1, 50 mm longer", "A2, 30 mm shorter, at 45°"."""
    length = adapter.extension
    change = f"{show(abs(length.value), length.unit)} {'shorter' if length.value < 0 else 'longer'}"
    return f"{adapter.name}, {change}" + (f", at {show(adapter.offset, '°')}" if adapter.offset else "")


def label(tool: Tool, use: Use | None = None) -> str:
    """Label for whoever takes the tool off its hook: its name, its reach, until when, or that it is out.

    What does not fit into one line is left out from the end, but never the name, its number, that it is withdrawn or
    that something happened to it.
    """
    if tool.withdrawn is not None:
        return _fitting([tool.name, f"{_OUT_OF_USE} since {tool.withdrawn.on}", tool.withdrawn.reason], tool.serial)
    failed = None if use is None else use.failed
    if failed is not None:
        return _fitting([tool.name, f"{_OUT_OF_USE}, failed its check on {failed.on}"], tool.serial)
    happened = () if use is None else unchecked(tool, use.troubles)
    if happened:
        return _fitting([tool.name, f"{_CHECK_FIRST}, {_in_short(happened[-1])}"], tool.serial)
    due = due_on(tool)
    parts = [tool.name] if tool.maximum is None else [tool.name, scale(tool)]
    if due is not None:
        parts.append(f"calibration until {due}")
    if tool.wound_down:
        mark = tool.wound_down_to if tool.wound_down_to is not None else tool.minimum
        parts.append("wind down" if mark is None else f"wind down to {show(mark, tool.unit)}")
    if tool.directions != "both":
        parts.append(f"{tool.directions} only")
    return _fitting(parts, tool.serial)


def _in_short(trouble: Trouble) -> str:
    """Without the reason, for which a label has no room."""
    return f"{'dropped on' if trouble.kind == 'dropped' else 'suspect since'} {trouble.on}"


def _fitting(parts: list[str], serial: str | None) -> str:
    """In one line with the number at its end: it is what tells this tool from one that looks alike."""
    number = [] if serial is None else [f"no. {serial}"]
    kept = 2 if len(parts) > 1 and parts[1].startswith((_OUT_OF_USE, _CHECK_FIRST)) else 1
    while len(parts) > kept and len(" · ".join((*parts, *number))) > WIDTH:
        parts = parts[:-1]
    return " · ".join((*parts, *number))
