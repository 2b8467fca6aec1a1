"""A tool's word on a pull that does not count: its number or its click, judged like a reading."""

from __future__ import annotations

from typing import TypedDict

from clampbook import units
from clampbook.run import prompts as ask
from clampbook.run.acts.at_hand import Pull
from clampbook.run.events import Ends, Verdict
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.draft import bare
from clampbook.run.in_hand.aim import judging
from clampbook.run.kinds.values import Wrong, ends, off_scale, rounded, typed_value
from clampbook.run.progress import standing
from clampbook.run.session import Session
from clampbook.tools.aim import Aim
from clampbook.tools.setting import Setting
from clampbook.units import Kind

NO_PULL = "No pull is asked for here."


class Told(TypedDict, total=False):
    """Fields of a voided pull: which tool, and its reading, angle or setting with the window that judged it."""

    tool: str
    adapter: str | None
    typed: str
    value: str
    sum: str
    unit: str
    set_to: str
    at_fastener: str
    window: Ends | None
    verdict: Verdict
    clicked: bool | None


def told(session: Session, pull: Pull, text: str | None, clicked: bool | None, window: ask.Ends | None) -> Told | Wrong:
    """Read what a pull told that does not count, judged by `window` (None: by none); `pull` is the one that
    was asked for.

    With a setting tool `clicked` says whether it gave; only then does the fastener hold its setting.
    """
    if isinstance(pull, ask.Turn):
        return _angle(pull, text, window)
    if pull.reading:
        return (
            Told(tool=pull.tool.id, adapter=pull.aim.adapter_id)
            if text is None
            else _reading(session, pull, text, window)
        )
    if text is not None:
        return Wrong(f"{pull.tool.name} gives no reading. Say if it clicked.")
    if not clicked or pull.set_to is None:
        return Told(tool=pull.tool.id, adapter=pull.aim.adapter_id, clicked=clicked)
    return _setting(pull, pull.set_to, window)


def _angle(pull: ask.Turn, text: str | None, window: ask.Ends | None) -> Told | Wrong:
    if text is None:
        return Told(tool=pull.tool.id)
    if pull.by_marks:
        return Wrong("A turn by the mark has no number. Press - only.")
    read = typed_value(text, Kind.ANGLE, "°", "°", (None, None), with_unit=False)
    if isinstance(read, Wrong):
        return read
    found = Told(tool=pull.tool.id, typed=read.text, value=units.plain(read.exact), unit="°")
    if window is None:
        return found
    total = pull.done + read.exact
    return {**found, "sum": units.plain(total), "window": ends(window), "verdict": judge(total, window)}


def _reading(session: Session, pull: ask.Tighten | ask.Recheck, text: str, window: ask.Ends | None) -> Told | Wrong:
    tool, reach = pull.tool, pull.aim.through
    read = typed_value(
        text, Kind.TORQUE, tool.unit, session.plan.unit, window or (None, None), with_unit=False, through=reach
    )
    if isinstance(read, Wrong):
        return read
    if read.unit != tool.unit:
        return Wrong(f"{tool.name} reads in {tool.unit}, not {read.unit}. Type the number it shows.")
    beyond = off_scale(read, pull.aim) if bare(text) else None
    if beyond is not None:
        return Wrong(beyond)
    found = Told(
        tool=tool.id,
        adapter=pull.aim.adapter_id,
        typed=read.text,
        value=units.plain(read.value),
        unit=read.unit,
        at_fastener=rounded(read.exact, window or (None, None)),
    )
    return found if window is None else {**found, "window": ends(window), "verdict": read.verdict}


def _setting(pull: ask.Tighten | ask.Recheck, mark: Setting, window: ask.Ends | None) -> Told:
    got = pull.aim.there(mark.value)
    found = Told(
        tool=pull.tool.id,
        adapter=pull.aim.adapter_id,
        clicked=True,
        set_to=units.plain(mark.value),
        unit=mark.unit,
        at_fastener=rounded(got, window or (None, None)),
    )
    return found if window is None else {**found, "window": ends(window), "verdict": judge(got, window)}


def told_for(session: Session, position: str, *, turned: bool) -> int:
    """Place of the step that a pull or a turn of this position out of its turn is told for: of its torque steps, or of
    its turns, the latest that it has reached, or else the first; where it has none, the next of its steps, or the last.

    A turn is told for the next of its turns: it went on from the mark that that one counts from.
    """
    plan, through = session.plan, standing(session.progress, position).through
    own = plan.steps_of[position]
    alike = [index for index in own if plan.steps[index].kind == ("turn" if turned else "tighten")]
    reached, ahead = [each for each in alike if each <= through], [each for each in alike if each > through]
    order = (*ahead[:1], *reached[-1:]) if turned else (*reached[-1:], *ahead[:1])
    return next(iter(order), next((index for index in own if index > through), own[-1]))


def window_told_for(session: Session, position: str, index: int, hand: Aim) -> ask.Ends | None:
    """The window of a position's torque step, as it judges a pull with what the hand holds; None where that step pulls
    to no torque."""
    step = session.plan.steps[index]
    if step.kind != "tighten":
        return None
    return judging(session.plan, step, standing(session.progress, position), hand)
