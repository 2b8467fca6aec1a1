"""What each stage of the plan wants, in the words of a heading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import assert_never

from clampbook.procedure.both_units import torque, window
from clampbook.procedure.model import Apply, Group, Inspect, Loosen, Measure, Recheck, Stage, Tighten, Turn, Wait
from clampbook.run import kinds
from clampbook.tools.aim import loosening, tightening
from clampbook.units import show


def wants(stage: Stage, unit: str) -> str:
    """What is to be done: "Tighten to 40.0 N·m (29.5 lbf·ft)". `unit` is the sheet's torque unit."""
    if isinstance(stage, kinds.Stage):
        return kinds.of(stage).paper(stage).wants
    match stage:
        case Tighten(stretch=stretch) if stretch is not None:
            return f"Tighten until the stretch is {window(stretch.window)}"
        case Tighten(target=target, share=share):
            of = f" ({share})" if share else ""
            return f"Tighten to {torque(target, unit)}{of}" if target is not None else "Tighten"
        case Turn(target=target):
            return f"Turn by {show(target, '°')}"
        case Recheck(target=target):
            return f"Recheck at {torque(target, unit)}"
        case _ as never:
            assert_never(never)


def limits(stage: Stage) -> list[str]:
    """Between what it must lie, and how it is done, in a few words each."""
    if isinstance(stage, kinds.Stage):
        return list(kinds.of(stage).paper(stage).limits)
    match stage:
        case Tighten(stretch=stretch) if stretch is not None:
            return [f"never above {torque(stretch.never_above.value, stretch.never_above.unit)}"]
        case Tighten(window=wanted):
            return [f"window {window(wanted)}"]
        case Turn(window=wanted, final_torque=last):
            return [f"window {window(wanted)}", *([f"last torque {window(last)}"] if last is not None else [])]
        case Recheck(method=method, still=still, window=wanted, back_off=back):
            moved = "no movement before it releases" if still is None else f"still up to {show(still, '°')}"
            if back is not None:
                moved = f"backed off {show(back, '°')}, back at its mark"
            return [method, moved, *([f"window {window(wanted)}"] if wanted is not None else [])]
        case _ as never:
            assert_never(never)


def _direction(stage: Stage) -> str | None:
    """Which way a left-hand fastener goes; None where no hand is laid on it."""
    match stage:
        case Tighten() | Turn() | Recheck():
            return tightening(left_hand=True)
        case Loosen():
            return loosening(left_hand=True)
        case Measure() | Inspect() | Wait() | Apply():
            return None
        case _ as never:
            assert_never(never)


def _moved_by(stage: Stage, group: Group | None, *, guarded: bool) -> Iterator[str]:
    """By what the window that judges a pull differs from the one that is written."""
    if not isinstance(stage, Tighten | Recheck) or stage.window is None:
        return
    if group is not None and group.prevailing is not None and group.prevailing.rule != "included":
        yield "run-down torque comes on top"
    if guarded:
        yield "narrowed for what is not known of the tool"


def rounds(stage: Stage) -> int:
    """How many rounds it has."""
    return stage.rounds if isinstance(stage, Tighten | Turn) else 1


def aside(stage: Stage, groups: Mapping[str, Group], *, guarded: bool) -> str:
    """What stands beside the heading: limits, group, which way round, and where it is in the sheet."""
    group = groups.get(stage.group or "")
    named = list(_moved_by(stage, group, guarded=guarded))
    named += [stage.group] if stage.group else []
    if group is not None and group.left_hand and (direction := _direction(stage)) is not None:
        named.append(f"left-hand: {direction}, seen from the tool")
    sheet = [f"sheet, {stage.sheet}"] if stage.sheet else []
    return " · ".join([*limits(stage), *named, *sheet])
