"""Measuring with an instrument: whether its scale reaches, is fine enough, and is known well enough for a window."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, Context, Decimal

from clampbook.statistical import of_step
from clampbook.tools.against import AnotherBefore, LessSure, OffScale, One, TooCoarse, how_wide
from clampbook.tools.certificate import certified_at, not_known
from clampbook.tools.demand import Demand
from clampbook.tools.model import SHOWN_BY, Certified, Tool
from clampbook.units import convert, kind_of, show

FINE = 10  # scale lines in the width of a window that nobody has to think about (common practice, no source)
FINE_ENOUGH = 5  # fewer need a reason (common practice, no source)
_SHORT = Context(prec=3, rounding=ROUND_CEILING)  # an uncertainty never comes out smaller than it is
_TWO = Decimal(2)  # readings, each with its own uncertainty, in a difference (JCGM 100:2008, 5.1.2)


def measures(tool: Tool, unit: str | None) -> bool:
    """True of an instrument whose scale has quantities of this unit's kind."""
    return tool.kind in SHOWN_BY and unit is not None and SHOWN_BY[tool.kind] is kind_of(unit)


def cannot_measure(tool: Tool, demand: Demand) -> str | None:
    """Say why an instrument cannot show it at all; None where it can."""
    if not measures(tool, demand.unit):
        return f"{tool.name}: does not measure this"
    low, high = _on_scale(tool, demand)
    if high is not None and tool.minimum is not None and high < tool.minimum:
        return f"{tool.name}: starts at {show(tool.minimum, tool.unit)}"
    if low is not None and tool.maximum is not None and low > tool.maximum:
        return f"{tool.name}: ends at {show(tool.maximum, tool.unit)}"
    return None


def against_it(tool: Tool, demand: Demand) -> Iterator[One]:
    """Yield what wants a reason: another one took the value before, an end off its scale, lines too far apart, an
    uncertainty that fills the window."""
    if demand.first is not None and demand.first.tool.id != tool.id:
        yield AnotherBefore(demand.first.tool.name, demand.first.what)
    if tool.minimum is not None and tool.maximum is not None:
        for end in _on_scale(tool, demand):
            if end is not None and not tool.minimum <= end <= tool.maximum:
                yield OffScale(end, tool.minimum, tool.maximum, tool.unit)
    width = _width(tool, demand)
    if width is None:
        return
    if tool.resolution is not None and tool.resolution * FINE_ENOUGH > width:
        yield TooCoarse(tool.resolution, width, tool.unit, demand.judges)
    by = uncertainty(tool, demand)
    if by is not None and by > width / 2:
        yield LessSure(by, width / 2, tool.unit, demand.judges)


def coarsest(demand: Demand) -> Decimal | None:
    """Tell how far apart scale lines need no reason, in the demand's unit; None where no width is known."""
    return None if demand.width is None else demand.width / FINE_ENOUGH


def noted(tool: Tool, demand: Demand) -> Iterator[str]:
    """Yield what is only said: that its lines are coarse, as long as they are fine enough."""
    width, step = _width(tool, demand), tool.resolution
    if width is not None and step is not None and step * FINE > width >= step * FINE_ENOUGH:
        apart = f"scale lines {show(step, tool.unit)} apart"
        yield f"{tool.name}: {apart}, just fine enough for {how_wide(show(width, tool.unit), demand.judges)}"


def uncertainty(tool: Tool, demand: Demand) -> Decimal | None:
    """The expanded uncertainty of what is judged, in the tool's unit: its own, by the points of its certificate in the
    middle of the window where that has some; or that of a difference of two readings, in which what it is off by at one
    place is taken off again. None where its certificate gives none."""
    point = _certified(tool, demand)
    plainly = tool.uncertainty if point is None else point.uncertainty
    if plainly is None:
        return None
    if demand.differs:
        return _SHORT.multiply(plainly, _TWO.sqrt())
    return plainly if point is None else not_known(point, tool.coverage)


def _certified(tool: Tool, demand: Demand) -> Certified | None:
    low, high = _on_scale(tool, demand)
    return None if low is None or high is None else certified_at(tool, (low + high) / 2)


def within(tool: Tool, demand: Demand) -> float | None:
    """The probability that what is found in the middle of the window lies in it (JCGM 106:2012, 7.2 to 7.4), by its
    certificate and its resolution; None where either is not known."""
    width, by = _width(tool, demand), uncertainty(tool, demand)
    if width is None or by is None or tool.resolution is None:
        return None
    from clampbook.statistical import combined
    from clampbook.tools.uncertainty import probability_within  # loads the normal distribution

    step = of_step(float(tool.resolution)) * (2**0.5 if demand.differs else 1.0)
    half = float(width) / 2
    return probability_within(0.0, (-half, half), combined(float(by / tool.coverage), step))


def margin(tool: Tool, demand: Demand) -> tuple[Decimal, Decimal] | None:
    """The uncertainty of its reading, and what the window leaves either way of its middle, in the tool's unit."""
    width, by = _width(tool, demand), uncertainty(tool, demand)
    return None if width is None or not by else (by, width / 2)


def finer(tool: Tool, shown: Decimal) -> bool:
    """True where a number, in the unit of its scale, lies between two of its lines."""
    return bool(tool.resolution) and shown % (tool.resolution or 1) != 0


def off_scale(tool: Tool, shown: Decimal) -> bool:
    """True where it cannot show this number, which is in the unit of its scale."""
    beyond = tool.maximum is not None and shown > tool.maximum
    return beyond or (tool.minimum is not None and shown < tool.minimum)


def _on_scale(tool: Tool, demand: Demand) -> tuple[Decimal | None, Decimal | None]:
    """The window as its scale has it."""
    low, high = (None if end is None else convert(end, demand.unit or tool.unit, tool.unit) for end in demand.window)
    return low, high


def _width(tool: Tool, demand: Demand) -> Decimal | None:
    return None if demand.width is None else convert(demand.width, demand.unit or tool.unit, tool.unit)
