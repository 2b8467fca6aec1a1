"""A tool or an adapter in one line: for a list, and for a label that is printed and put on the tool itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from clampbook.tools.lever import turned_back
from clampbook.tools.model import WORKING, Adapter, Tool, Trouble, Use, way_word
from clampbook.tools.setting import scale
from clampbook.tools.state import due_on, state, unchecked
from clampbook.units import plain, show

_LONGEST = 24  # columns that a name may take from all the others
_SCALES = 15  # columns of scales in a list
_NAMES, _KINDS = 6, 11  # columns that names and kinds have at the least, where they stand below each other
_OUT_OF_SERVICE = "OUT OF SERVICE"
_CHECK_FIRST = "check before use"
_APART = "  "
WIDTH = 80  # characters on a label: one line of small print (common practice, no source)


def names_across(things: Iterable[Tool | Adapter]) -> int:
    """In how many columns the names of these stand, so that what follows them begins below each other."""
    return max((_NAMES, *(len(thing.name) for thing in things if len(thing.name) <= _LONGEST)))


def kinds_across(things: Iterable[Tool | Adapter]) -> int:
    """The same of their kinds."""
    return max((_KINDS, *(len(thing.kind) for thing in things if isinstance(thing, Tool))))


def in_a_line(tool: Tool) -> str:
    """Kind of the tool, and the reach of its scale."""
    kind = f"{tool.kind} tool" if tool.kind in WORKING else tool.kind
    return kind if tool.maximum is None else f"{kind}, {scale(tool)}"


def in_the_list(tool: Tool, use: Use, today: date, names: int, kinds: int) -> str:
    """One line of a list of tools, name and kind in so many columns: name, kind, reach of the scale, state."""
    reach = "" if tool.maximum is None else scale(tool)
    return f"{tool.name:<{names}} {tool.kind:<{kinds}} {reach:<{_SCALES}} {state(tool, today, use).told}"


def adapter_in_the_list(adapter: Adapter, names: int, kinds: int) -> str:
    """The same of an adapter."""
    told = f"{adapter.name:<{names}} {'adapter':<{kinds}} {of_the_lever(adapter)}"
    return told + kinds_in_brackets(adapter)


def adapter_words(adapter: Adapter) -> str:
    """An adapter as people tell it: "A1, 50 mm longer", "A2, 30 mm shorter, at 45°"."""
    return f"{adapter.name}{kinds_in_brackets(adapter)}, {of_the_lever(adapter)}"


def kinds_in_brackets(adapter: Adapter) -> str:
    """ " (open end, 19 mm)", as procedures call it; nothing where its entry says none."""
    return f" ({' / '.join(adapter.kinds)})" if adapter.kinds else ""


def of_the_lever(adapter: Adapter) -> str:
    """Tell what an adapter does to the lever, or what is asked for first; of a multiplier its ratio."""
    if (ratio := adapter.multiplies_by) is not None:
        known = f" ±{plain(adapter.known_to)} %" if adapter.known_to else ""
        gives, takes = adapter.gives_at_most, adapter.takes_at_most
        ends = "" if gives is None else f", gives at most {show(gives.value, gives.unit)}"
        ends += "" if takes is None else f", takes at most {show(takes.value, takes.unit)}"
        return f"multiplies by {plain(ratio)}{known}{ends}"
    length, angle = adapter.extension, adapter.offset
    if length is None:
        return "length and angle asked at pick up" if angle is None else f"length asked at pick up{_at(angle)}"
    if (back := turned_back(adapter)) is not None and angle is not None:
        return f"lever {show(abs(back.value), back.unit)} {'shorter' if back.value < 0 else 'longer'}{_at(angle)[1:]}"
    change = f"{show(abs(length.value), length.unit)} {'shorter' if length.value < 0 else 'longer'}"
    return f"{change}, angle asked at pick up" if angle is None else change + _at(angle)


def _at(angle: Decimal) -> str:
    return f", at {show(angle, '°')}" if angle else ""


def label(tool: Tool, use: Use | None = None) -> str:
    """Label for whoever takes the tool off its hook: its name, its reach, until when, or that it is out.

    What does not fit into one line is left out from the end, but never the name, its number, that it is out or
    that something happened to it.
    """
    if tool.withdrawn is not None:
        return _fitting(f"{tool.name} {_OUT_OF_SERVICE} since {tool.withdrawn.on}", tool, why=tool.withdrawn.reason)
    failed = None if use is None else use.failed
    if failed is not None:
        return _fitting(f"{tool.name} {_OUT_OF_SERVICE} since {failed.on}", tool, why="failed its check")
    happened = () if use is None else unchecked(tool, use.troubles)
    if happened:
        return _fitting(f"{tool.name} {_CHECK_FIRST}: {_in_short(happened[-1])}", tool)
    due = due_on(tool)
    parts = [] if due is None else [f"calibration due {due}"]
    if tool.wound_down:
        line = tool.wound_down_to if tool.wound_down_to is not None else tool.minimum
        parts.append("wind down" if line is None else f"wind down to {plain(line)}")
    if tool.directions != "both":
        parts.append(f"{way_word(tool.directions)} only")
    if tool.maximum is None:
        return _fitting(tool.name, tool, parts)
    named = f"{tool.name} {scale(tool)}"
    return _fitting(named, tool, parts) if _room(named, tool) else _fitting(tool.name, tool, parts)


def _in_short(trouble: Trouble) -> str:
    """Without the reason, for which a label has no room."""
    return f"{'dropped on' if trouble.kind == 'dropped' else 'suspect since'} {trouble.on}"


def _fitting(first: str, tool: Tool, parts: Sequence[str] = (), *, why: str = "") -> str:
    """In one line with the number at its end: it is what tells this tool from one that looks alike."""
    told = list(parts)
    if why and _room(f"{first}: {why}", tool):
        first = f"{first}: {why}"
    while told and not _room(_APART.join((first, *told)), tool):
        told.pop()
    return _APART.join((first, *told, *_number(tool)))


def _number(tool: Tool) -> tuple[str, ...]:
    return () if tool.serial is None else (f"no. {tool.serial}",)


def _room(told: str, tool: Tool) -> bool:
    return len(_APART.join((told, *_number(tool)))) <= WIDTH
