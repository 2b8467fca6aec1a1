"""Measuring with an instrument: what a step wants of one, and which one serves its stage.

An instrument is asked for once a stage. Where the book has none that could measure it nothing is asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Measure, Tighten
from clampbook.run.fold.measured import taken_off
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress
from clampbook.tools.demand import Demand
from clampbook.tools.model import MEASURING, Tool
from clampbook.units import convert, kind_of

NOT_LISTED = Tool(id="not-listed", name="another one, not in tools.toml", kind="not listed", unit="")
Width = tuple[Decimal, bool]  # of a window, and whether the difference of two readings is held against it


def serving(stage: int) -> str:
    """The need that an instrument serves, as progress keeps it: the measuring of one stage."""
    return f"measure {stage}"


def not_listed(demand: Demand) -> Tool:
    """Whatever measures in this unit and does not stand in tools.toml."""
    return replace(NOT_LISTED, unit=demand.unit or "")


def measured(plan: Plan, step: Step, progress: Progress | None = None) -> Demand | None:
    """Give what a step wants of an instrument; None where nothing is measured, or with none that a book lists.

    Where an earlier value is taken off, what must be on the scale is known once that is (with `progress`); till then it
    is as far as the window of that value tells.
    """
    stage = plan.stage_of(step)
    if isinstance(stage, Measure):
        unit, window, minus = stage.unit, step.window or (None, None), stage.minus
    elif isinstance(stage, Tighten) and stage.stretch is not None:
        unit, minus = stage.stretch.window.unit, stage.stretch.minus
        window = (stage.stretch.window.low, stage.stretch.window.high)
    else:
        return None
    if kind_of(unit) not in MEASURING.values():
        return None
    off = None if progress is None else taken_off(plan, progress, step)
    between = (off, off) if off is not None else _taken_off_later(plan, minus, unit)
    low, high = (None if end is None or more is None else end + more for end, more in zip(window, between, strict=True))
    width, differs = min(_widths(plan, stage, unit), default=(None, minus is not None))
    return Demand(need="measure", window=(low, high), unit=unit, width=width, differs=differs)


def _taken_off_later(plan: Plan, minus: str | None, unit: str) -> tuple[Decimal | None, Decimal | None]:
    """Between what a value will lie that is to be taken off; nothing is where none is."""
    if minus is None:
        return Decimal(0), Decimal(0)
    before = next((each for each in plan.stages if each.id == minus), None)
    if not isinstance(before, Measure) or before.window is None or before.minus is not None:
        return None, None
    low, high = (
        None if end is None else convert(end, before.window.unit, unit)
        for end in (before.window.low, before.window.high)
    )
    return low, high


def _widths(plan: Plan, stage: Measure | Tighten, unit: str) -> Iterator[Width]:
    """Yield the width of each window that a value of the stage is judged by, now or later."""
    if isinstance(stage, Tighten):
        yield from _stretch(stage, unit)
        return
    if stage.window is not None:
        yield from _width(stage.window.low, stage.window.high, stage.minus is not None)
    if stage.spread is not None:
        yield convert(stage.spread.value, stage.spread.unit, unit), True
    for later in plan.stages if stage.id is not None else ():
        if isinstance(later, Measure) and later.minus == stage.id and later.window is not None:
            yield from _in(unit, later.unit, _width(later.window.low, later.window.high, differs=True))
        if isinstance(later, Tighten) and later.stretch is not None and later.stretch.minus == stage.id:
            yield from _in(unit, later.stretch.window.unit, _stretch(later, later.stretch.window.unit))


def _stretch(stage: Tighten, unit: str) -> Iterator[Width]:
    if stage.stretch is not None:
        window = stage.stretch.window
        yield from _in(unit, window.unit, _width(window.low, window.high, stage.stretch.minus is not None))


def _width(low: Decimal | None, high: Decimal | None, differs: bool) -> Iterator[Width]:
    """Yield how wide a window is; one that is open below begins at nothing, but a difference may be less."""
    if high is not None and (low is not None or not differs):
        yield high - (low or Decimal(0)), differs


def _in(unit: str, of: str, widths: Iterator[Width]) -> Iterator[Width]:
    return ((convert(width, of, unit), differs) for width, differs in widths)
