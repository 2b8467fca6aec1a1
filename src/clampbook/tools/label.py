"""A tool or an adapter in one line: for a list, and for a label that is printed and put on the tool itself."""

from __future__ import annotations

from clampbook.tools.model import WORKING, Adapter, Tool, Use
from clampbook.tools.setting import scale
from clampbook.tools.state import due_on
from clampbook.units import show

WIDTH = 80  # signs on a label: one line of small print (common practice, no source)


def in_a_line(tool: Tool) -> str:
    """What kind of tool it is, and how far its scale reaches."""
    kind = f"{tool.kind} tool" if tool.kind in WORKING else tool.kind
    return kind if tool.maximum is None else f"{kind}, {scale(tool)}"


def adapter_words(adapter: Adapter) -> str:
    """An adapter as people tell it: "A1, 50 mm longer", "A2, 30 mm shorter, at 45°"."""
    length = adapter.extension
    change = f"{show(abs(length.value), length.unit)} {'shorter' if length.value < 0 else 'longer'}"
    return f"{adapter.name}, {change}" + (f", at {show(adapter.offset, '°')}" if adapter.offset else "")


def label(tool: Tool, use: Use | None = None) -> str:
    """What somebody must know who takes the tool off its hook: its name, its reach, until when, or that it is out.

    What does not fit into one line is left out from the end, but never the name or that it is withdrawn.
    """
    if tool.withdrawn is not None:
        return _fitting([tool.name, f"OUT OF USE since {tool.withdrawn.on}", tool.withdrawn.reason])
    check = None if use is None else use.last_check
    if check is not None and check.verdict == "outside":
        return _fitting([tool.name, f"OUT OF USE, failed its check on {check.on}"])
    due = due_on(tool)
    parts = [tool.name] if tool.maximum is None else [tool.name, scale(tool)]
    if due is not None:
        parts.append(f"calibration until {due}")
    if tool.wound_down:
        mark = tool.wound_down_to if tool.wound_down_to is not None else tool.minimum
        parts.append("wind down" if mark is None else f"wind down to {show(mark, tool.unit)}")
    if tool.directions != "both":
        parts.append(f"{tool.directions} only")
    if tool.serial is not None:
        parts.append(f"no. {tool.serial}")
    return _fitting(parts)


def _fitting(parts: list[str]) -> str:
    while len(parts) > 1 and len(" · ".join(parts)) > WIDTH:
        parts = parts[:-1]
    return " · ".join(parts)
