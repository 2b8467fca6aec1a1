"""The record of a check: one text made from its frozen files, the same bytes whenever it is made again."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec import to_builtins

from clampbook.check import events as e
from clampbook.check.compared import differs
from clampbook.check.figures import Figures
from clampbook.check.judging import AtPoint, Judgement
from clampbook.check.plan import Phase
from clampbook.check.rests_on import rests_on
from clampbook.check.surely_off import surely_off
from clampbook.ledger.event import LineBase
from clampbook.ledger.formats import FORMAT, unlike
from clampbook.record import tables
from clampbook.record.checks.frozen import FrozenCheck, read
from clampbook.record.checks.moments import local, written
from clampbook.record.checks.pulls import readings
from clampbook.record.figures import plain, rounded
from clampbook.record.tables import Row
from clampbook.tools.model import Tool
from clampbook.work.frozen import RecordFault


def build(plan: bytes, daybook: bytes, file: bytes | None = None, record: int | None = None) -> bytes:
    """record.toml of a check, from the bytes of plan.json, daybook.jsonl and readings.csv and from nothing else.

    Deviations are in percent of the reference, torques in the tool's unit. Raises RecordFault with one sentence.
    """
    if record is not None and (told := unlike("record.toml", record)) is not None:
        raise RecordFault(f"{told}.")
    return _second(read(plan, daybook, file)).encode()


def _second(check: FrozenCheck) -> str:
    """Format 2."""
    plan = check.plan
    return "".join(
        (
            tables.heading(_heading(check)),
            tables.table("tool", {**_tool(plan.tool), "permissible_percent": plain(plan.permissible)}),
            tables.table("reference", {} if plan.reference is None else _tool(plan.reference)),
            tables.table("rests_on", to_builtins(rests_on(plan))),
            tables.rows("person", _people(check)),
            tables.rows("phase", _phases(check)),
            tables.rows("point", [row for phase, found in check.phases for row in _points(phase, found)]),
            tables.rows("at_the_joint", [row for phase, found in check.phases for row in _joint(phase, found)]),
            tables.rows("beside", [row for phase, found in check.phases for row in _beside(phase, found)]),
            tables.rows("adjustment", _of(check, e.Adjusted, "what")),
            tables.rows("zero", _of(check, e.Zeroed, "phase", "what", "state")),
            tables.rows("note", _of(check, e.Noted, "text")),
            tables.rows("interruption", _of(check, e.Paused, "cause") + _of(check, e.Resumed, "gap")),
            tables.rows("reading", readings(check)),
        )
    )


def _heading(check: FrozenCheck) -> Row:
    opened, ended = check.opened, check.ended
    verdicts = {phase: found.verdict for phase, found in check.phases}
    outcome = "open" if ended is None else "closed" if isinstance(ended, e.Closed) else "abandoned"
    return {
        "record": FORMAT,
        "kind": "verification",
        "check": opened.check,
        "book": opened.book,
        "source": check.plan.source,
        "opened_at": local(opened),
        "closed_at": local(ended) if ended is not None else None,
        "outcome": outcome,
        "reason": ended.reason if isinstance(ended, e.Abandoned) else None,
        "as_found": verdicts.get("as found"),
        "as_left": verdicts.get("as left"),
        "adjusted": check.progress.adjusted,
        "temperature_celsius": check.progress.temperature,
        "clock": "handed in" if opened.clock == "handed in" else None,
        "unit": check.plan.tool.unit,
        "held": check.plan.held,
        "lines": len(check.events),
        "last_line_sha256": check.last_line_sha256,
        "plan_sha256": check.plan_sha256,
        "readings_sha256": check.plan.readings_sha256,
        "log_head": opened.log_head,
        "program": opened.version,
    }


def _tool(tool: Tool) -> Row:
    return {
        "id": tool.id,
        "name": tool.name,
        "kind": tool.kind,
        "iso_type": tool.iso_type,
        "iso_class": tool.iso_class,
        "serial": tool.serial,
        "unit": tool.unit,
        "minimum": None if tool.minimum is None else plain(tool.minimum),
        "maximum": None if tool.maximum is None else plain(tool.maximum),
        "resolution": None if tool.resolution is None else plain(tool.resolution),
        "calibrated_on": tool.calibrated_on,
        "calibration_due": tool.calibration_due,
        "certificate": tool.certificate,
        "uncertainty_percent": None if tool.uncertainty is None else plain(tool.uncertainty),
        "coverage": None if tool.uncertainty is None else plain(tool.coverage),
    }


def _people(check: FrozenCheck) -> list[Row]:
    people = [event.person for event in check.events if isinstance(event, e.Opened | e.Resumed) and event.person]
    return [{"id": person.id, "name": person.name} for person in dict.fromkeys(people)]


def _phases(check: FrozenCheck) -> Iterator[Row]:
    """Each series of each phase, all its points together."""
    for phase, found in check.phases:
        for each in found.series:
            yield {
                "phase": phase,
                "technique": each.series.technique,
                "direction": each.series.direction,
                "verdict": each.verdict,
                **figured(each.figures),
            }


def _points(phase: Phase, found: Judgement) -> Iterator[Row]:
    for series in found.series:
        for point in series.points:
            way = {"phase": phase, "technique": series.series.technique, "direction": series.series.direction}
            yield {**way, **_point(point)}


def _point(point: AtPoint) -> Row:
    return {
        "point": plain(point.point.value),
        "share_of_maximum_percent": None if point.point.share is None else plain(point.point.share),
        "verdict": point.verdict,
        "known_to_percent": None if point.guard is None else rounded(point.guard),
        **figured(point.figures),
    }


def _joint(phase: Phase, found: Judgement) -> list[Row]:
    """The points at which the tool surely reads off, and what the bolts got by it."""
    return [to_builtins(each) for each in surely_off(found, phase)]


def _beside(phase: Phase, found: Judgement) -> Iterator[Row]:
    for each in found.beside:
        yield {
            "phase": phase,
            "technique": each.second.technique,
            "beside": each.first.technique,
            "direction": each.first.direction,
            "point": plain(each.point.value),
            "difference_percent": rounded(each.apart.mean),
            "differs": differs(each.apart) or "not told",
            "interval_from_percent": None if each.apart.low is None else rounded(each.apart.low),
            "interval_to_percent": None if each.apart.high is None else rounded(each.apart.high),
            "degrees_of_freedom": None if each.apart.freedom is None else rounded(Decimal(each.apart.freedom)),
        }


def figured(found: Figures | None) -> Row:
    """Figures of deviations as keys, in percent."""
    if found is None:
        return {"n": 0}
    return {
        "n": found.n,
        "mean_percent": rounded(found.mean),
        "standard_deviation_percent": None if found.scatter is None else rounded(found.scatter),
        "spread_percent": rounded(found.spread),
        "least_percent": rounded(found.least),
        "most_percent": rounded(found.most),
        "worst_percent": rounded(found.worst),
        "first_to_last_percent": rounded(found.drift),
    }


def _of(check: FrozenCheck, kind: type[LineBase], *keys: str) -> list[Row]:
    """The lines of one kind, with some of their fields."""
    return [
        {
            "line": event.seq,
            "what_happened": _tag(event),
            **{key: getattr(event, key) for key in keys},
            **written(event),
        }
        for event in check.events
        if isinstance(event, kind)
    ]


def _tag(event: LineBase) -> str:
    return str(type(event).__struct_config__.tag)
