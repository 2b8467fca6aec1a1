"""The words of what is due: one line for a list, and the same as data for JSON."""

from __future__ import annotations

from typing import Any, assert_never

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.entries import Comparison, Due
from clampbook.run.use import parsed
from clampbook.tools.state import Due as OfTool
from clampbook.units import Quantity, show


def line(entry: Due) -> str:
    """One entry on one line: what, of which work on what, and since or until when."""
    match entry.what:
        case FollowUp(title=title, of=of, done=done):
            parts = (title, of, entry.equipment)
            told = " · ".join(filter(None, parts)) + (f", done {done}" if done else "")
            return f"{told} · {_state(entry)}"
        case OfTool(says=says):
            return says
        case Comparison(title=title, revision=revision):
            return f"Compare again: {title}, revision {revision} · {_state(entry)}"
        case _ as never:
            assert_never(never)


def _state(entry: Due) -> str:
    gone = entry.crossed_off
    if gone is not None:
        return f"crossed off by {gone.name} on {gone.on}: {gone.reason}"
    return when(entry)


def when(entry: Due) -> str:
    """Say when it is due: "due since 2026-03-14", "due 2026-03-16 or after 10 h of use, at 422 h"."""
    use = _by_use(entry.what) if isinstance(entry.what, FollowUp) else ""
    if entry.on is None:
        return f"due {use}" if use else "due"
    day = f"{'due since' if entry.past else 'due'} {entry.on}"
    return f"{day} or {use}" if use else day


def _by_use(found: FollowUp) -> str:
    if not found.or_use:
        return ""
    at = f", at {show(found.by_use.at.value, found.by_use.at.unit)}" if found.by_use is not None else ""
    return f"after {found.or_use} of use{at}"


def as_data(entry: Due) -> dict[str, Any]:
    """One entry for JSON; what does not go with it is null."""
    gone = entry.crossed_off
    about: dict[str, Any] = dict.fromkeys(("run", "follow_up", "or_use", "due_at_use", "tool", "procedure"))
    return {
        **about,
        **_about(entry.what),
        "on": entry.on,
        "past": entry.past,
        "equipment": (entry.what.equipment or None) if isinstance(entry.what, FollowUp) else None,
        "joint": (entry.what.joint or None) if isinstance(entry.what, FollowUp) else None,
        "person": entry.person or None,
        "crossed_off": None if gone is None else {"by": gone.name, "at": gone.at, "reason": gone.reason},
        "text": line(entry),
    }


def _about(what: FollowUp | OfTool | Comparison) -> dict[str, Any]:
    match what:
        case FollowUp(run=run, title=title, or_use=or_use, by_use=by_use):
            told = {"what": "follow_up", "run": run, "follow_up": title, "or_use": _quantity(parsed(or_use))}
            return {**told, "due_at_use": _quantity(None if by_use is None else by_use.at)}
        case OfTool(tool=tool, kind=kind):
            return {"what": kind, "tool": tool.id}
        case Comparison(path=path):
            return {"what": "comparison", "procedure": path.stem}
        case _ as never:
            assert_never(never)


def _quantity(found: Quantity | None) -> dict[str, Any] | None:
    return None if found is None else {"value": float(found.value), "unit": found.unit}
