"""Demand of what a stage measures on an instrument: what must be on its scale, and how wide the narrowest window is
that a value of it is judged by.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from clampbook.procedure.model import Measure, Stage, Tighten
from clampbook.tools.demand import Demand
from clampbook.tools.model import SHOWN_BY, Judges
from clampbook.units import convert, kind_of

# of a window, whether the difference of two readings is held against it, and what it is of
Width = tuple[Decimal, bool, Judges | None]


def demanded(stages: Sequence[Stage], stage: Stage, off: Decimal | None = None) -> Demand | None:
    """Give what a stage demands of an instrument; None where it measures nothing, or nothing that one of a book does.

    Where an earlier value is taken off, what must be on the scale is known once that is (`off`); till then it is as far
    as the window of that value tells.
    """
    if isinstance(stage, Measure):
        unit, window, minus = stage.unit, stage.window, stage.minus
    elif isinstance(stage, Tighten) and stage.stretch is not None:
        unit, window, minus = stage.stretch.window.unit, stage.stretch.window, stage.stretch.minus
    else:
        return None
    if kind_of(unit) not in SHOWN_BY.values():
        return None
    ends = (None, None) if window is None else (window.low, window.high)
    between = (off, off) if off is not None else _taken_off_later(stages, minus, unit)
    low, high = (None if end is None or more is None else end + more for end, more in zip(ends, between, strict=True))
    widths = sorted(_widths(stages, stage, unit), key=lambda each: each[:2])
    width, differs, judges = widths[0] if widths else (None, minus is not None, None)
    return Demand(need="measure", window=(low, high), unit=unit, width=width, differs=differs, judges=judges)


def _taken_off_later(stages: Sequence[Stage], minus: str | None, unit: str) -> tuple[Decimal | None, Decimal | None]:
    """Between what a value will lie that is to be taken off; nothing is where none is."""
    if minus is None:
        return Decimal(0), Decimal(0)
    before = next((each for each in stages if each.id == minus), None)
    if not isinstance(before, Measure) or before.window is None or before.minus is not None:
        return None, None
    low, high = (
        None if end is None else convert(end, before.window.unit, unit)
        for end in (before.window.low, before.window.high)
    )
    return low, high


def _widths(stages: Sequence[Stage], stage: Measure | Tighten, unit: str) -> Iterator[Width]:
    """Yield the width of each window that a value of the stage is judged by, now or later."""
    if isinstance(stage, Tighten):
        yield from _stretch(stage, unit)
        return
    if stage.window is not None:
        yield from _width(stage.window.low, stage.window.high, stage.minus is not None)
    if stage.spread is not None:
        yield convert(stage.spread.value, stage.spread.unit, unit), True, "spread"
    for later in stages if stage.id is not None else ():
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
        yield high - (low or Decimal(0)), differs, "difference" if differs else None


def _in(unit: str, of: str, widths: Iterator[Width]) -> Iterator[Width]:
    return ((convert(width, of, unit), differs, judges) for width, differs, judges in widths)
