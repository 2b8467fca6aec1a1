"""The figures of a check as a table for the screen: a row for each point, the series side by side, then their
difference."""

from __future__ import annotations

from decimal import Decimal

from rich.cells import cell_len

from clampbook.check.compared import differs
from clampbook.check.judging import AtPoint, Beside, Judgement, OfSeries
from clampbook.check.percents import percent
from clampbook.check.plan import Point
from clampbook.check.wording import MARKS, marked, told, torque, way
from clampbook.units import show

_GAP = "  "


def table(judgement: Judgement, width: int) -> tuple[str, ...]:
    """The table where it fits into so many columns, else the same series by series."""
    rows = _rows(judgement)
    if not rows:
        return ("no readings",)
    wide = [max(cell_len(row[column]) for row in rows) for column in range(len(rows[0]))]
    if sum(wide) + len(_GAP) * (len(wide) - 1) > width:
        return _narrow(judgement, width)
    return tuple(
        _GAP.join(cell + " " * (wide[n] - cell_len(cell)) for n, cell in enumerate(row)).rstrip() for row in rows
    )


def _narrow(judgement: Judgement, width: int) -> tuple[str, ...]:
    """One line for each series and point; more of it is in the list of all figures."""
    if len(judgement.series) > 1 or width < 30:
        series = tuple(f"{way(each.series)}: {marked(each.verdict)}" for each in judgement.series)
        return (*series, *_apart(judgement))
    points = judgement.series[0].points
    return tuple(f"{show(each.point.value, judgement.units[0])}: {_cell(each)}" for each in points)


def _apart(judgement: Judgement) -> tuple[str, ...]:
    """Tell how far the techniques lie apart, from the least to the most of all points."""
    found: dict[str, list[Decimal]] = {}
    for each in judgement.beside:
        found.setdefault(f"{each.second.technique} against {each.first.technique}", []).append(each.apart.mean)
    return tuple(f"{pair}: {percent(min(apart))} to {percent(max(apart))}" for pair, apart in found.items())


def _rows(judgement: Judgement) -> list[tuple[str, ...]]:
    if not judgement.series:
        return []
    differs = {each.point: _told(each) for each in judgement.beside}
    if len(judgement.beside) > len(differs):  # more than two series: which differs from which is told in full elsewhere
        differs = {}
    head = ["", *(way(each.series) for each in judgement.series)]
    if differs:
        head.append("apart")
    rows = [tuple(head)]
    for point in _points(judgement):
        cells = [_at(each, point) for each in judgement.series]
        rows.append((torque(point.value, judgement.units), *cells, *([differs.get(point, "")] if differs else [])))
    rows.append(("in all", *(marked(each.verdict) for each in judgement.series), *([""] if differs else [])))
    return rows


def _told(each: Beside) -> str:
    """The distance of two techniques; with a mark where no difference can be told."""
    return percent(each.apart.mean) + ("" if differs(each.apart) else f" {MARKS['undecided']}")


def _points(judgement: Judgement) -> tuple[Point, ...]:
    found = {each.point: None for series in judgement.series for each in series.points}
    return tuple(sorted(found, key=lambda point: point.value))


def _at(series: OfSeries, point: Point) -> str:
    return next((_cell(each) for each in series.points if each.point == point), "–")


def _cell(each: AtPoint) -> str:
    if each.figures is None:
        return "–"
    worst = f", worst {percent(each.figures.worst, each.permissible)}" if each.figures.n > 1 else ""
    return f"{MARKS[each.verdict]} {percent(each.figures.mean, each.permissible)}{worst}"


def all_figures(phases: tuple[tuple[str, Judgement | None], ...]) -> tuple[str, ...]:
    """Everything that was found, phase by phase, for a page to read."""
    lines: list[str] = []
    for name, judgement in phases:
        if judgement is not None and judgement.series:
            lines += ["", f"# {name}", *told(judgement)]
    return tuple(lines[1:]) or ("No pulls yet.",)
