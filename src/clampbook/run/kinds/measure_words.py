"""The words where something is measured: its window, what it is held against, and the points before it."""

from __future__ import annotations

from dataclasses import replace as with_
from decimal import Decimal

from clampbook import units
from clampbook.figures import Ends, judge, show_judging, show_window
from clampbook.run.kinds import beside
from clampbook.run.kinds.pulls import estimate, position
from clampbook.run.prompts import Measure
from clampbook.run.told.places import place, within_a_sentence
from clampbook.run.told.torques import lever_line, window_line, windows
from clampbook.run.told.words import Band, Facts, Field, Figure, Read, Words, band_of, held, window_in
from clampbook.text import started
from clampbook.tools.aim import Aim
from clampbook.tools.setting import window_on_tool
from clampbook.units import COUNT, Kind


def words(prompt: Measure) -> Words:
    """Show what is measured and where, its window, and what it is held against."""
    lines: list[str] = []
    if prompt.aim is not None:
        lines += [windows(prompt.aim), *lever_line(prompt.aim), *prompt.aim.despite]
    elif prompt.window is not None:
        lines.append(window_line(_typed_window(prompt), prompt.unit))
        lines += _on_its_scale(prompt)
    if prompt.minus is not None:
        lines.append(_more_than_before(prompt, prompt.minus))
    if prompt.may_be_outside is not None:
        few, points = prompt.may_be_outside
        lines.append(f"at most {few} of {points} outside")
    if prompt.apart is not None:
        lines.append(f"points at most {units.show(prompt.apart, prompt.unit)} apart")
    if prompt.so_far:
        so_far = ", ".join(f"{point} {units.show(value, prompt.unit)}" for point, value in prompt.so_far)
        lines.append(f"so far: {so_far}")
    aim, tool = prompt.aim, prompt.tool
    shown_in = tool.unit if tool is not None else prompt.unit
    return Words(
        _sentence(prompt),
        (*lines, *estimate(prompt.where)),
        hand=_between(aim) if prompt.part == "final torque" and aim is not None else None,
        position=position(prompt.where),
        field=Field("counted") if shown_in == COUNT else Field("measured", shown_in),
        band=_band(prompt),
        picture=True,
        facts=with_(_held(prompt), window=window_in(prompt.window, prompt.unit), unit=shown_in),
    )


def _held(prompt: Measure) -> Facts:
    if prompt.aim is not None:
        return held(prompt.aim)
    return Facts() if prompt.instrument is None else Facts(tool=prompt.instrument.id)


def _on_its_scale(prompt: Measure) -> tuple[str, ...]:
    """The window as an instrument with another unit shows it."""
    tool = prompt.instrument
    if tool is None or tool.unit == prompt.unit:
        return ()
    return (f"on {tool.name} {show_window(*window_on_tool(_typed_window(prompt), prompt.unit, tool), tool.unit)}",)


def _typed_window(prompt: Measure) -> Ends:
    """The window of what is typed: of what it is longer, on top of what was measured before."""
    low, high = prompt.window or (None, None)
    off = prompt.minus or Decimal(0)
    return None if low is None else low + off, None if high is None else high + off


def _more_than_before(prompt: Measure, before: Decimal) -> str:
    """ "stretch 0.14 to 0.18 mm, measured before 95.20 mm"."""
    was = f"measured before {units.show(before, prompt.unit)}"
    if prompt.window is None:
        return was
    more = show_judging(*prompt.window, prompt.unit)
    return f"stretch {more}, {was}" if prompt.part == "stretch" else f"{more} more than {was}"


def _band(prompt: Measure) -> Band | None:
    """The window of what is typed, with the points that were measured before. Where something is taken off no reading
    of the round stands in it: each bolt has a length of its own, and so a window of its own.
    """
    if prompt.aim is not None:
        return band_of(prompt.aim)
    if prompt.window is None:
        return None
    window, unit = _typed_window(prompt), prompt.unit
    reads = tuple(Read(point, judge(value, window), units.plain(value), unit, value) for point, value in prompt.so_far)
    own = prompt.where.point is not None or prompt.minus is not None
    return Band(*window, unit, found=reads if own else None)


def _between(aim: Aim) -> Figure | None:
    """Show between what a torque that is only read must lie, in the unit of what the hand holds; None where
    an end is open.
    """
    low, high = aim.on_tool
    if low is None or high is None:
        return None
    return Figure(f"{units.plain(low)}–{units.plain(high)}", f"on {aim.hand}", "must lie between", aim.tool.unit)


def _sentence(prompt: Measure) -> str:
    if prompt.part is not None:
        return beside.sentence(prompt, prompt.part)
    unit = units.spelled(beside.typed_in(prompt))
    at, alone = prompt.where, prompt.where.position is None and prompt.where.set is None
    what = f"{started(prompt.what)}{f' at {at.point}' if at.point else ''}"
    if prompt.unit == COUNT:
        counted = f"count {within_a_sentence(prompt.what)}" if alone else f"count its {within_a_sentence(prompt.what)}"
        here = started(counted) if alone else f"{place(at)}: {counted}"
        return f"{here}{f' at {at.point}' if alone and at.point else ''}. Type the number."
    if units.kind_of(prompt.unit) is Kind.PRESSURE:  # it is read off a gauge, not measured
        named = what if alone else f"{place(at)}, {within_a_sentence(prompt.what)}"
        off = "" if prompt.instrument is None else f" off {prompt.instrument.name}"
        return f"{named}: read its pressure{off}. Type it in {unit}."
    by = "" if prompt.instrument is None else f" with {prompt.instrument.name}"
    if alone:
        return f"{what}: measure{by}, then type it in {unit}."
    return f"{place(at)}: measure its {within_a_sentence(prompt.what)}{by}. Type it in {unit}."
