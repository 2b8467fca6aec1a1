"""What to do at a recheck, in one sentence: pull and watch, pull and read, or back off, pull, and look at the mark."""

from __future__ import annotations

from clampbook.figures import show_exactly
from clampbook.run.fold.rechecks import FIRST_MOVEMENT
from clampbook.run.places import bolt
from clampbook.run.prompts import BackAtMark, BackOff, Recheck
from clampbook.tools.aim import Aim
from clampbook.units import show


def recheck(prompt: Recheck) -> str:
    """ "Head bolt 6: pull W2 to one click. Watch for movement." """
    aim, here = prompt.aim, bolt(prompt.where) + (" (left-hand)" if prompt.aim.left_hand else "")
    way = " counterclockwise" if aim.left_hand else ""
    mark = "" if aim.mark is None else show_exactly(aim.mark, aim.tool.unit)
    if prompt.finished_before:
        told = f"type what {aim.hand} showed" if prompt.reading else f"did it move at {aim.hand}'s click?"
        return f"{here}: rechecked before the break, {told}" + ("." if prompt.reading else "")
    if not prompt.reading:
        asked = "Watch for movement." if prompt.still is None else f"Moved more than {show(prompt.still, '°')}?"
        return f"{here}: pull {aim.hand}{way} to one click. {asked}"
    if prompt.method == FIRST_MOVEMENT:
        return f"{here}: pull {aim.hand}{way} slowly. Type its reading at first movement."
    if prompt.last_value is not None:
        return f"{here}: under. Pull {aim.hand}{way} up to {mark}. Type its reading."
    return f"{here}: pull {aim.hand}{way} slowly to {mark}. Type its reading."


def not_above(aim: Aim) -> str | None:
    """Where to stop though nothing moved yet; None where nothing is said of it."""
    high = aim.on_tool[1]
    return None if high is None else f"not above {show_exactly(high, aim.tool.unit)}"


def back_off(prompt: BackOff | BackAtMark) -> str:
    """ "Head bolt 6: mark it, back off 30° without a torque tool." and what comes after the pull."""
    here = bolt(prompt.where)
    if isinstance(prompt, BackAtMark):
        return f"{here}: is it back at its mark?"
    hand = " (left-hand)" if prompt.left_hand else ""
    way = " clockwise" if prompt.left_hand else ""
    return f"{here}{hand}: mark it, back off {show(prompt.by, '°')}{way} without a torque tool."
