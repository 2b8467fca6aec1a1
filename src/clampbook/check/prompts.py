"""The questions of a check: a closed union of small frozen values, and which of them is due now.

A face shows one of these and sends an Answer (`answers`); `wording` says each in a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from msgspec import Struct

from clampbook.check.judging import Judgement, judge, units_of
from clampbook.check.plan import PHASES, CheckPlan, Phase, Point, Series, Side
from clampbook.check.planning import held_at
from clampbook.check.progress import Progress, count, deviations
from clampbook.tools.model import Tool


class Where(Struct, frozen=True):
    """The place in a check: pull `number` of `of` in its phase, and which reading of how many at its point."""

    phase: Phase
    series: int
    point: int
    number: int
    of: int
    reading: int
    readings: int
    at: Point
    way: Series


class Temperature(Struct, frozen=True):
    """The question how warm it is: in °C, or not measured."""


class Zero(Struct, frozen=True):
    """Look at the zero of the reference, or of an indicating tool, with no load."""

    phase: Phase
    what: Tool
    is_reference: bool


class Exercise(Struct, frozen=True):
    """Load the tool to its maximum and let it go, `number` of `of`; nothing is typed."""

    phase: Phase
    series: int
    way: Series
    tool: Tool
    number: int
    of: int


class SetTool(Struct, frozen=True):
    """Set a setting tool to the point, then type what its scale shows: number, and unit by its number in `units`."""

    where: Where
    tool: Tool
    to: Decimal
    units: tuple[str, ...]


class Pull(Struct, frozen=True):
    """One pull. `type_what` is the side to be typed, in `unit`; the other one is brought to `bring_to` (its own unit).

    `so_far` are the deviations of this point in this series, in percent.
    """

    where: Where
    tool: Tool
    reference: Tool | None
    type_what: Side
    unit: str
    bring_to: Decimal
    bring_unit: str
    permissible: Decimal
    so_far: tuple[Decimal, ...]
    units: tuple[str, ...]  # in which the point is told


class Adjust(Struct, frozen=True):
    """All was pulled as found, and this is what came of it. Was the tool adjusted?"""

    judgement: Judgement
    tool: Tool


class Finished(Struct, frozen=True):
    """All is done but closing; `as_left` is None where nothing was adjusted."""

    as_found: Judgement | None
    as_left: Judgement | None


class Ended(Struct, frozen=True):
    """Nothing more is asked: closed, abandoned, or paused."""

    outcome: str


Prompt = Temperature | Zero | Exercise | SetTool | Pull | Adjust | Finished | Ended
UNITS = ("N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm", "ozf·in", "cN·m", "kN·m")  # in this order, always


def whose(asked: Pull) -> str:
    """Name what is looked at to read the number that is typed."""
    if asked.type_what == "indicated":
        return asked.tool.name
    return asked.reference.name if asked.reference is not None else "the reference"


def prompt(plan: CheckPlan, progress: Progress) -> Prompt:
    """The one thing that is asked now."""
    if progress.ended is not None:
        return Ended(progress.ended)
    if progress.stopped:
        return Ended("paused")
    if plan.source == "bench":
        if not progress.temperature_asked:
            return Temperature()
        due = _due(plan, progress)
        if due is not None:
            return due
        if not progress.settled:
            return Adjust(judged(plan, progress, "as found"), plan.tool)
    return finished(plan, progress)


def finished(plan: CheckPlan, progress: Progress) -> Finished:
    """Give what all that was pulled comes to."""
    found, left = (judged(plan, progress, phase) for phase in PHASES)
    return Finished(found if found.series else None, left if left.series else None)


def judged(plan: CheckPlan, progress: Progress, phase: Phase) -> Judgement:
    """Judge the readings of a phase so far."""
    judging = [number for number, each in enumerate(plan.series) if each.technique == plan.series[0].technique]
    whole = _pulled(plan, progress, phase, judging)
    return replace(judge(plan, deviations(progress, phase)), whole=whole)


def complete(plan: CheckPlan, progress: Progress, phase: Phase) -> bool:
    """True where every reading of a phase was taken."""
    return _pulled(plan, progress, phase, range(len(plan.series)))


def _pulled(plan: CheckPlan, progress: Progress, phase: Phase, series: Iterable[int]) -> bool:
    return all(
        count(progress, phase, number, point) >= _asked_for(plan)
        for number in series
        for point in range(len(plan.points))
    )


def _asked_for(plan: CheckPlan) -> int:
    """Count the readings of a point that are asked for; a file is read in whole, and nothing more is asked."""
    return 0 if plan.source == "file" else plan.readings


def _due(plan: CheckPlan, progress: Progress) -> Prompt | None:
    """The next act of the phase at hand; None where it is complete."""
    phase = progress.phase
    for series, way in enumerate(plan.series):
        for point in range(len(plan.points)):
            if count(progress, phase, series, point) < _asked_for(plan):
                return _before(plan, progress, series, way) or _at(plan, progress, series, point)
    return None


def _before(plan: CheckPlan, progress: Progress, series: int, way: Series) -> Prompt | None:
    """Zero first, then the exercises of this direction."""
    phase, reference = progress.phase, plan.reference
    if reference is not None and (phase, "reference") not in progress.zeroed:
        return Zero(phase, reference, True)
    if plan.tool.kind == "indicating" and (phase, "tool") not in progress.zeroed:
        return Zero(phase, plan.tool, False)
    done = progress.exercises.get((phase, way.direction), 0)
    if done < plan.exercises:
        return Exercise(phase, series, way, plan.tool, done + 1, plan.exercises)
    return None


def _at(plan: CheckPlan, progress: Progress, series: int, point: int) -> Prompt:
    where, tool = place(plan, progress, series, point), plan.tool
    at = plan.points[point].value
    if tool.kind == "setting" and progress.set_at != (progress.phase, series, point):
        return SetTool(where, tool, at, (tool.unit,) if tool.only_unit else UNITS)
    there = plan.reference.unit if plan.reference is not None else tool.unit
    typed_is_reference = plan.held == "indicated"
    held, held_unit = held_at(plan, plan.points[point])
    found = deviations(progress, progress.phase).get((series, point), [])
    return Pull(
        where=where,
        tool=tool,
        reference=plan.reference,
        type_what="reference" if typed_is_reference else "indicated",
        unit=there if typed_is_reference else tool.unit,
        bring_to=held,
        bring_unit=held_unit,
        permissible=plan.permissible,
        so_far=tuple(found),
        units=units_of(plan),
    )


def place(plan: CheckPlan, progress: Progress, series: int, point: int) -> Where:
    """Give the place of the next reading at a point."""
    phase = progress.phase
    done = sum(pull.phase == phase for pull in progress.pulls)
    return Where(
        phase=phase,
        series=series,
        point=point,
        number=done + 1,
        of=plan.readings * len(plan.points) * len(plan.series),
        reading=count(progress, phase, series, point) + 1,
        readings=plan.readings,
        at=plan.points[point],
        way=plan.series[series],
    )
