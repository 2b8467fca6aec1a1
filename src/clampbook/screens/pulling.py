"""A pull on the screen: the number for the hand and the position, equally large, then target and window."""

from __future__ import annotations

from datetime import datetime, timedelta

from clampbook.figures import plain
from clampbook.run import places
from clampbook.run.acts.at_hand import is_pull
from clampbook.run.asked import details, keys, sentence, step_line
from clampbook.run.kinds.pulls import FINISH_WITHIN
from clampbook.run.prompts import BackOff, Confirm, Loosen, Measure, Recheck, SetTool, Tighten, Turn, Where
from clampbook.screens.hinting import CHOOSE_THEN_ENTER, KEEP
from clampbook.screens.shown import Figure, Shown, Waiting, hints
from clampbook.tools.aim import Aim

Pull = Tighten | Turn | Recheck | BackOff | Confirm | Loosen | Measure | SetTool
_NOBODY = "-"
_IN_FIGURES = ("set ", "stop ", FINISH_WITHIN)  # lines about what stands there in large figures, or is counted


def pull(prompt: Pull) -> Shown:
    """What is pulled, turned, loosened, measured or set."""
    label, unit = _field(prompt)
    own = keys(prompt).choices
    listed = tuple(choice for choice in own if choice.key.isdecimal())
    typed = CHOOSE_THEN_ENTER if listed else KEEP
    return Shown(
        sentence(prompt),
        hand=_hand(prompt),
        position=_position(prompt),
        lines=_lines(prompt),
        choices=listed,
        field=label,
        unit=unit,
        keys=(*((typed,) if label is not None else ()), *hints(own)),
        picture=True,
        pulls=is_pull(prompt),
        waiting=_until(prompt),
    )


def _hand(prompt: Pull) -> Figure | None:
    """The number for the hand, in the unit of what the hand holds."""
    match prompt:
        case SetTool(finished_before=True):
            return None
        case SetTool(aim=aim) | Tighten(aim=aim) | Recheck(aim=aim) if aim.mark is not None:
            return Figure(plain(aim.mark), f"{aim.tool.unit} on {aim.hand}", "stop at" if aim.reading else "set to")
        case Turn():
            return _turn(prompt)
        case Confirm(pull=first) if first is not None:
            return _hand(first)
        case BackOff(by=by):
            return Figure(f"{plain(by)}°", "", "back off by")
        case Loosen(by=by, already=False) if by is not None:
            return Figure(f"{plain(by)}°", "", "loosen by")
        case Measure(part="final torque", aim=aim) if aim is not None:
            return _between(aim)
        case _:
            return None


def _between(aim: Aim) -> Figure | None:
    """Where a torque that is only read must lie, in the unit of what the hand holds; None where an end is open."""
    low, high = aim.on_tool
    if low is None or high is None:
        return None
    return Figure(f"{plain(low)}–{plain(high)}", f"{aim.tool.unit} on {aim.hand}", "must lie between")


def _turn(prompt: Turn) -> Figure:
    low, high = prompt.left
    if not prompt.done or low is None or high is None:
        return Figure(f"{plain(prompt.target)}°", "", "turn by")
    return Figure(f"{plain(low)}–{plain(high)}", "degrees", "turn on by")


def _position(prompt: Pull) -> Figure | None:
    left_hand = ", left-hand" if prompt.where.left_hand else ""
    match prompt:
        case Loosen(position=position):
            named = position
        case Confirm(positions=positions) if positions:
            return Figure(places.named(positions), "", f"position{'s' if len(positions) > 1 else ''}{left_hand}")
        case Confirm() | SetTool():
            return None
        case _:
            named = prompt.where.position or prompt.where.point or ""
    return (
        Figure(named, "", f"position{left_hand}" if prompt_has_position(prompt) else "measuring point")
        if named not in ("", _NOBODY)
        else None
    )


def prompt_has_position(prompt: Pull) -> bool:
    """Whether the place is a position, not a measuring point."""
    return isinstance(prompt, Loosen) or prompt.where.position is not None


def _field(prompt: Pull) -> tuple[str | None, str]:
    """What stands before the field, and behind it."""
    match prompt:
        case Tighten(reading=True, tool=tool) | Recheck(reading=True, tool=tool):
            return "reading", tool.unit
        case Turn(by_marks=False):
            return "angle", "°"
        case Measure(unit=unit, tool=tool):
            return "measured", tool.unit if tool is not None else unit
        case SetTool(tool=tool, units=units):
            return f"scale of {tool.name}", units[0] if len(units) == 1 else ""
        case Recheck():
            return "number", ""
        case _:
            return None, ""


def _until(prompt: Pull) -> Waiting | None:
    """The time that sealant or locker allows, counted down while it is pulled."""
    due = prompt.due if isinstance(prompt, Tighten | Turn) else None
    if due is None:
        return None
    since = datetime.fromisoformat(due.since)
    return Waiting(since, timedelta(seconds=float(due.lasts)), f"{FINISH_WITHIN}: ")


def _lines(prompt: Pull) -> tuple[str, ...]:
    """The target as the sheet has it, the window, and the rest; the setting is the large number itself."""
    lines = without_step(details(prompt), prompt.where)
    return tuple(line for line in lines if not line.startswith(_IN_FIGURES))


def without_step(lines: tuple[str, ...], where: Where) -> tuple[str, ...]:
    """Short lines without the one that says which step it is."""
    return tuple(line for line in lines if line != step_line(where))
