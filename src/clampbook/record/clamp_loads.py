"""The clamp load that each pull is estimated to have brought: from the figures frozen with the plan, never a reading.

What was read or set at the fastener, less what ran down, times the frozen newtons for each newton metre; the tool's
permissible deviation widens the band. A turn adds what the plan froze for a degree, up to where the bolt yields; one
without a number takes over what the plan worked out for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.left_out import left_out
from clampbook.record.pull import COUNTS, Pull, exact
from clampbook.record.tables import Row
from clampbook.run.events import ToolTaken
from clampbook.run.fold.acts import CLICKS
from clampbook.run.plan import Clamping, StageClamp, Step
from clampbook.units import UnitFault, si

_DIGITS = 3  # significant digits of a load
_STRETCH = 0.05  # how well a stretch tells the clamp load, as a share; a builder keeps its own figures for ever
LOOSENED, TURNED_ON = "loosened", "turned on"
_TAKEN_BACK = ("void", "earlier attempt")


@dataclass(frozen=True, slots=True)
class Load:
    """An estimated clamp load in N, and what it was worked out from; `since`: what was done to the fastener after it,
    of which no estimate is known."""

    low: float
    likely: float
    high: float
    out_of: str
    since: str | None = None


def clamp_loads(run: Frozen, history: History) -> list[Row]:
    """One table for each group, stage and round that left an estimate; none where the plan froze no figures."""
    if not run.plan.clamping:
        return []
    kept = {(row.position, row.step.id, row.kind): row for row in history.pulls if row.standing == COUNTS}
    prevailing, made_at = _ran_down(run, kept), _by_position(history)
    deviations = _deviations(run)
    found: dict[tuple[str, int, int], list[tuple[str, Load]]] = {}
    for group in run.plan.groups:
        for position in group.order:
            clamping = run.plan.clamping_at.get(position)
            if clamping is not None:
                estimates = list(_at(run, clamping, position, kept, prevailing.get(position, 0.0), deviations))
                if estimates and (since := _since(run, made_at[position], estimates[-1][0])) is not None:
                    estimates[-1] = estimates[-1][0], replace(estimates[-1][1], since=since)
                for step, load in estimates:
                    found.setdefault((group.name, step.stage, step.round), []).append((position, load))
    estimated = {place: {position for position, _ in loads} for place, loads in found.items()}
    without: dict[tuple[str, int, int], list[str]] = {}
    for left in left_out(run, history):
        place = (left.step.group or "", left.step.stage, left.step.round)
        if left.position not in estimated.get(place, ()):
            without.setdefault(place, []).append(left.position)
    return [
        _row(run, place, loads, without.get(place))
        for place, loads in sorted(found.items(), key=lambda item: item[0][1:])
    ]


_Kept = dict[tuple[str | None, str, str], Pull]


def _at(
    run: Frozen, clamping: Clamping, position: str, kept: _Kept, prevailing: float, deviations: dict[str, float]
) -> Iterator[tuple[Step, Load]]:
    """Step after step at one position; less torque than before changes nothing, a loosening begins anew."""
    planned = {(stage.stage, stage.round): stage for stage in clamping.stages}
    held: Load | None = None
    for index in run.plan.steps_of.get(position, ()):
        step = run.plan.steps[index]
        if (position, step.id, "loosening") in kept:
            held = None
        pull, turn = kept.get((position, step.id, "pull")), kept.get((position, step.id, "turn"))
        stretch = kept.get((position, step.id, "stretch"))
        length = kept.get((position, step.id, "measurement"))
        if stretch is not None or pull is not None:
            now = _stretched(clamping, stretch) or _pulled(run, clamping, pull, prevailing, deviations)
            held = now if held is None or now is None or now.likely >= held.likely else held
        elif turn is not None:
            ahead = planned.get((step.stage, step.round))
            held = None if held is None or ahead is None else _turned(held, turn, ahead)
        elif length is not None and (step.stage, step.round) in planned:  # the plan takes it for a stretch
            held = _stretched(clamping, length) or held
        else:
            continue
        if held is not None:
            yield step, held


def _by_position(history: History) -> dict[str | None, list[Pull]]:
    """The rows of each position in the order of the daybook, without work before it was started over."""
    found: dict[str | None, list[Pull]] = {}
    for row in history.pulls:
        if not row.work:
            found.setdefault(row.position, []).append(row)
    return found


def _since(run: Frozen, here: list[Pull], last: Step) -> str | None:
    """Tell what a later stage did to a fastener after its last estimate. A loosening that counts no longer was made
    all the same."""
    made = min(row.corrects or row.line for row in here if row.step.id == last.id and row.standing == COUNTS)
    done = None
    for row in here:
        if row.line < made or run.plan.index_of[row.step.id] <= run.plan.index_of[last.id]:
            continue
        if row.kind == "loosening" and row.standing not in _TAKEN_BACK:
            done = LOOSENED
        elif row.kind in ("turn", "pull") and row.standing == COUNTS:
            done = TURNED_ON
    return done


def _ran_down(run: Frozen, kept: _Kept) -> dict[str | None, float]:
    """Give what the nut of each position took beforehand, in N·m; nothing where that was not asked."""
    found: dict[str | None, float] = {}
    for (at, _, kind), row in kept.items():
        if kind == "prevailing torque" and at not in found:
            found[at] = _newton_metres(run, row) or 0.0
    return found


def _stretched(clamping: Clamping, row: Pull | None) -> Load | None:
    """Give the load that a measured stretch means, which torque tells less well; None where the bolt's shape is not
    known."""
    if row is None or row.shown is None or row.shown_unit is None or clamping.each_millimetre is None:
        return None
    try:
        likely = max(0.0, 1000 * si(exact(row.shown, row.line), row.shown_unit)) * clamping.each_millimetre
    except UnitFault:
        return None
    return Load(likely * (1 - _STRETCH), likely, likely * (1 + _STRETCH), "stretch")


def _pulled(
    run: Frozen, clamping: Clamping, pull: Pull | None, prevailing: float, deviations: dict[str, float]
) -> Load | None:
    torque = None if pull is None else _newton_metres(run, pull)
    if pull is None or torque is None:
        return None
    low, likely, high = clamping.each_newton_metre
    off = deviations.get(pull.tool or "", 0.0)
    ends = (max(0.0, torque * share - prevailing) for share in (1 - off, 1.0, 1 + off))
    least, middle, most = ends
    out_of = "setting" if pull.act.kind in CLICKS else "reading"
    return Load(least * low, middle * likely, most * high, out_of)


def _turned(held: Load, turn: Pull, ahead: StageClamp) -> Load:
    """By the angle that was read where the plan froze what a degree adds; else as the plan worked it out."""
    if turn.shown is None or ahead.each_degree is None or ahead.levels_at is None:
        return Load(ahead.low, ahead.likely, ahead.high, "turn")
    rise = max(0.0, float(exact(turn.shown, turn.line))) * ahead.each_degree
    before = (held.low, held.likely, held.high)
    ends = (min(load + rise, max(load, level)) for load, level in zip(before, ahead.levels_at, strict=True))
    low, likely, high = ends
    return Load(low, likely, high, "angle")


def _newton_metres(run: Frozen, pull: Pull) -> float | None:
    """The torque at the fastener, read or set; None where there is none."""
    text = pull.act.at_fastener if pull.act.kind in CLICKS else pull.shown
    if text is None:
        return None
    try:
        return si(exact(text, pull.line), run.plan.unit)
    except UnitFault:
        return None


def _deviations(run: Frozen) -> dict[str, float]:
    """The permissible deviation of each tool, as a share, as it was last known in this run."""
    return {
        event.tool.id: float(event.tool.permissible_deviation) / 100
        for event in run.events
        if isinstance(event, ToolTaken) and event.tool.permissible_deviation is not None
    }


def _row(run: Frozen, place: tuple[str, int, int], loads: list[tuple[str, Load]], without: list[str] | None) -> Row:
    group, stage, round_ = place
    likely = [load.likely for _, load in loads]
    least, most = min(likely), max(likely)
    return {
        "group": group,
        "stage": stage,
        "do": run.plan.steps[run.plan.first_of_stage[stage]].kind,
        "round": round_,
        "rounds": getattr(run.plan.stages[stage - 1], "rounds", 1),
        "positions": len(loads),
        "not_estimated_at": without,
        "unit": "kN",
        "estimated": True,
        "turns": _turns(loads),
        "least": _kilonewtons(least),
        "most": _kilonewtons(most),
        "most_over_least": f"{most / least:.2f}" if least > 0 and len(loads) > 1 else None,
        "at": [
            {
                "position": position,
                "low": _kilonewtons(load.low),
                "likely": _kilonewtons(load.likely),
                "high": _kilonewtons(load.high),
                "out_of": load.out_of,
                "since": load.since,
            }
            for position, load in loads
        ],
    }


def _turns(loads: list[tuple[str, Load]]) -> str | None:
    """Tell what a turn was worked out from: the angle that was read, or what the plan froze for it."""
    found = {load.out_of for _, load in loads}
    return "angle" if "angle" in found else "plan" if "turn" in found else None


def _kilonewtons(newtons: float) -> str:
    """Three significant digits, never an exponent."""
    text = f"{newtons / 1000:.{_DIGITS}g}"
    return f"{float(text):.0f}" if "e" in text else text
