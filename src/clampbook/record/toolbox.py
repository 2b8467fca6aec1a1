"""Each tool that was taken up: what was known of it then, and all that happened to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import assert_never

from clampbook.record.departures import against
from clampbook.record.figures import plain
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.in_question import suspicion
from clampbook.record.moments import moment
from clampbook.record.paper_times import times_on_form
from clampbook.record.tables import Row, Value
from clampbook.record.wording import written
from clampbook.run.events import (
    Event,
    ToolDropped,
    ToolPassed,
    ToolReturned,
    ToolSet,
    ToolSuspected,
    ToolTaken,
    ToolZeroed,
)
from clampbook.run.fold.tools import ToolEvent
from clampbook.tools.model import SHOWN_BY, Adapter, Certified, LastCheck, Tool
from clampbook.tools.state import due_on
from clampbook.units import Quantity


@dataclass(slots=True)
class _Used:
    """A tool as it was known when it was taken up, and its lines by kind."""

    first: ToolTaken
    pulls: int = 0
    on_form: Mapping[int, Row] = field(default_factory=dict)
    lines: dict[str, list[Row]] = field(default_factory=dict)

    def add(self, kind: str, event: Event, **found: Value | Row | Sequence[Row] | None) -> None:
        row = {"line": event.seq, **found, **written(event), **self.on_form.get(event.seq, {})}
        self.lines.setdefault(kind, []).append(row)


def tools(run: Frozen, history: History) -> list[Row]:
    """One table a tool; two where more was known of it (a calibration, say) when it was taken up again."""
    every: list[_Used] = []
    latest: dict[str, _Used] = {}
    on_form = times_on_form(run)
    for event in run.events:
        if isinstance(event, ToolTaken):
            used = latest.get(event.tool.id)
            if used is None or used.first.tool != event.tool:
                used = latest[event.tool.id] = _Used(event, on_form=on_form)
                every.append(used)
            used.add(
                "taken",
                event,
                needed_for=event.need,
                step=event.step,
                adapter=None if event.adapter is None else _adapter(event.adapter, measured=bool(event.measured)),
                adapter_demanded=event.demanded,
                pulls_since_calibration=event.pulls,
                last_check=_last_check(event.last_check),
                against=against(event),
                reason=event.reason,
                serial_was=event.serial_was,
                same_tool=None if event.same is None else "yes" if event.same else "no",
            )
        elif isinstance(event, ToolEvent):
            _follow(latest, event)
        for row in history.at_line.get(event.seq, ()):
            if row.tool in latest and row.act.used:
                latest[row.tool].pulls += 1
    return [_row(used) for used in every]


def _follow(latest: dict[str, _Used], event: ToolEvent) -> None:
    """A line about a tool that was taken up stands with it; of any other nothing is told here."""
    if isinstance(event, ToolTaken) or event.tool not in latest:
        return
    used = latest[event.tool]
    match event:
        case ToolSet():
            there = event.at_fastener
            used.add("set", event, step=event.step, to=event.value, unit=event.unit, set_to_at_fastener=there)
        case ToolZeroed():
            used.add("zero", event, found=event.state, after=event.after)
        case ToolDropped():
            used.add("dropped", event, gone_on_with=event.going_on is not None, reason=event.going_on)
        case ToolSuspected():
            used.add("suspected", event, **suspicion(event))
        case ToolPassed():
            used.add("passed", event, passed_at=event.passed)
        case ToolReturned():
            used.add("returned", event, wound_down=event.wound_down)
        case _ as never:
            assert_never(never)


def _row(used: _Used) -> Row:
    tool = used.first.tool
    return {
        "tool": tool.id,
        "name": tool.name,
        "kind": tool.kind,
        "unit": tool.unit,
        "minimum": None if tool.minimum is None else plain(tool.minimum),
        "maximum": None if tool.maximum is None else plain(tool.maximum),
        "resolution": None if tool.resolution is None else plain(tool.resolution),
        "serial": tool.serial,
        **calibration(tool, moment(used.first).date().isoformat()),
        "calibrated_on": tool.calibrated_on,
        "calibration_due": tool.calibration_due,
        "iso_type": tool.iso_type,
        "iso_class": tool.iso_class,
        "permissible_deviation_percent": _text(tool.permissible_deviation),
        "permissible_by": tool.permissible_from,
        "certificate": tool.certificate,
        f"certificate_uncertainty{'' if tool.kind in SHOWN_BY else '_percent'}": _text(tool.uncertainty),
        "certified": [_certified(each) for each in tool.points] or None,
        "lever": None if tool.lever is None else f"{plain(tool.lever.value)} {tool.lever.unit}",
        "directions": None if tool.directions == "both" else tool.directions,
        "reads_angle": tool.reads_angle,
        "gives": None if tool.gives == "click" else tool.gives,
        "follower_needle": tool.follower_needle,
        "wants_winding_down": tool.wound_down,
        "wound_down_to": None if tool.wound_down_to is None else plain(tool.wound_down_to),
        "note": tool.note,
        "pulls": used.pulls,
        **{
            kind: used.lines.get(kind)
            for kind in ("taken", "set", "zero", "dropped", "suspected", "passed", "returned")
        },
    }


def _certified(point: Certified) -> Row:
    """A point of its certificate: in percent, of what measures in its unit."""
    return {"point": plain(point.at), "off_by": plain(point.off_by), "uncertainty": plain(point.uncertainty)}


def _text(value: Decimal | None) -> str | None:
    return None if value is None else plain(value)


def _adapter(adapter: Adapter, *, measured: bool) -> Row:
    """Its length and its angle to the lever; those of one that goes by a kind always, for it can be put on either
    way. `measured` where they were typed at the bench."""
    length, angle = adapter.extension, adapter.offset
    return {
        "id": adapter.id,
        "name": adapter.name,
        "is": list(adapter.kinds) if adapter.kinds else None,
        "adds_to_lever": None if length is None else plain(length.value),
        "unit": None if length is None else length.unit,
        "angle_degrees": plain(angle) if angle is not None and (angle or adapter.kinds) else None,
        "measured_at_the_bench": "yes" if measured else None,
        "ratio": _text(adapter.multiplies_by),
        "ratio_uncertainty_percent": plain(adapter.known_to) if adapter.known_to else None,
        **_borne("max_torque", adapter.gives_at_most),
        **_borne("max_torque_in", adapter.takes_at_most),
    }


def _borne(key: str, torque: Quantity | None) -> Row:
    """The greatest torque that a multiplier gives or takes, where its entry says it."""
    return {} if torque is None else {key: plain(torque.value), f"{key}_unit": torque.unit}


def _last_check(check: LastCheck | None) -> Row | None:
    return None if check is None else {"verdict": check.verdict, "phase": check.series, "on": check.on}


def calibration(tool: Tool, day: str) -> Row:
    """The state of its calibration on a day (ISO 8601), as far as it was known when it was taken up, and when that
    ends."""
    due = due_on(tool)
    return {"calibration": "not known" if due is None else "overdue" if due < day else "in date", "due_on": due}
