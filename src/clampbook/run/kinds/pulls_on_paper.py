"""Pulls on the form: to a torque, to a stretch, and again to see whether anything moves."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure.both_units import torque as in_both_units
from clampbook.procedure.both_units import window as window_in_both_units
from clampbook.procedure.model import Recheck, Stretch, Tighten
from clampbook.run.kinds.kind import READ, Column, Paper
from clampbook.run.told.samples import limits
from clampbook.units import show


def tightening(stage: Tighten, unit: str) -> Paper:
    """To which torque, or until which stretch, and its window."""
    stretch = stage.stretch
    if stretch is not None:
        never = f"never above {in_both_units(stretch.never_above.value, stretch.never_above.unit)}"
        first = "pull a little" if stage.target is None else f"pull to {in_both_units(stage.target, unit)}"
        does = f"{first}, measure, and pull on until the stretch is there. Write every torque and length"
        wants = f"Tighten until the stretch is {window_in_both_units(stretch.window)}"
        return Paper(wants, (never,), does, ("Tool", "Instrument"), _stretched(stretch))
    of = f" ({stage.share})" if stage.share else ""
    wants = f"Tighten to {in_both_units(stage.target, unit)}{of}" if stage.target is not None else "Tighten"
    does = "pull slowly to one click, or to the target on the scale"
    return Paper(wants, (f"window {window_in_both_units(stage.window)}",), does, ("Tool", "Set to"), READ)


def _stretched(stretch: Stretch) -> tuple[Column, ...]:
    """Length before and after and their difference; the stretch alone where that is read."""
    if stretch.minus is None:
        return Column("Torques", wide=30), Column(f"Stretches, {stretch.window.unit}", wide=30)
    lengths = (Column("Before"), Column("After", wide=18), Column("Difference", wide=18))
    return Column("Torques", wide=22), *lengths


def rechecking(stage: Recheck, unit: str) -> Paper:
    """At which torque, by which method, and how far it may move."""
    still, back = stage.still, stage.back_off
    still_is = "no movement up to the target" if still is None else f"still up to {show(still, '°')}"
    moved = () if still is None and stage.method == "first movement" else (still_is,)  # there it is to move
    if back is not None:
        moved = (f"backed off {show(back, '°')}, back at its mark",)
    window = (f"window {window_in_both_units(stage.window)}",) if stage.window is not None else ()
    found = (stage.method, *moved, *window, *limits(stage.sample))
    repeats = stage.at_most if stage.until_still else 1
    wants = f"Recheck at {in_both_units(stage.target, unit)}"
    return Paper(wants, found, _does(stage), ("Tool", "Set to"), _columns(stage), repeats=repeats)


def _does(stage: Recheck) -> str:
    """Say how it is pulled, and what is written of it."""
    match stage.method:
        case "tighten on":
            return "pull slowly to one click, or to the target on the scale, and watch for movement"
        case "back off and tighten again":
            return "mark it, back it off without a torque tool, then pull to one click, or to the target on the scale"
        case "first movement":
            return "pull slowly and write the reading at first movement"
        case _ as never:
            assert_never(never)


def _columns(stage: Recheck) -> tuple[Column, ...]:
    if stage.method == "first movement":
        return (Column("At first movement", "□ none", 30, written=True),)
    if stage.back_off is not None:
        return READ[0], Column("Back at its mark", "□ yes  □ short  □ past", 33)
    if stage.until_still:
        return (Column("Moved", "□", 14, written=True),)
    return READ[0], Column("Movement", "□ none  □ moved", 30)
