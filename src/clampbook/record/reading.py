"""The table of pulls: every one in the order of the daybook, also those that do not count any more."""

from __future__ import annotations

from typing import Any

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.paper_times import times_on_form
from clampbook.record.pull import Pull
from clampbook.record.tables import Row
from clampbook.record.wording import at_step, ends, written
from clampbook.run.events import Applied, Confirmed, Corrected, Measured, Voided
from clampbook.run.fold.acts import DEGREES, Act


def readings(run: Frozen, history: History) -> list[Row]:
    """One row a pull."""
    on_form = times_on_form(run)
    return [_row(run, row, on_form.get(row.line, {})) for row in history.pulls]


def _row(run: Frozen, pull: Pull, on_form: Row) -> Row:
    event = pull.event
    return {
        "line": pull.line,
        **at_step(run.plan, pull.step, pull.position),
        "attempt": pull.attempt,
        "kind": pull.kind,
        "outcome": pull.outcome,
        "standing": pull.standing,
        "verdict": pull.verdict if pull.verdict != pull.outcome else None,
        **_shown(run, pull),
        **ends(pull.window),
        "tool": pull.tool,
        "adapter": pull.act.adapter,
        **written(event),
        **on_form,
        "by_concession_at_line": pull.conceded_at,
        "before_starting_over": True if pull.work else None,
        "unusual": getattr(event, "unusual", None),
        "noted": list(event.noted),
        "late": event.late,
        "in_question_at_lines": sorted(set(pull.questioned)) or None,
    }


def _shown(run: Frozen, pull: Pull) -> Row:
    """Give what was typed and what it comes to; of a release only what the tool was set to, under a name of its own."""
    act, event = pull.act, pull.event
    if isinstance(event, Applied):
        return {"what": event.what, "lot": event.lot}
    first: dict[str, Any] = {}
    if act.kind == "recheck":
        first = {"pass": act.pass_no, "method": act.method, "mark": act.mark, **_unmoved(run, act)}
    if isinstance(event, Corrected):
        first |= {"corrects": pull.corrects, "known": event.known}
    if isinstance(event, Voided):
        first |= {"voids": event.of, "cause": event.cause, "value_seen": event.value}
    last: dict[str, Any] = {}
    if isinstance(event, Measured | Corrected) and not pull.judged_anew:
        last = {"spread_of_points": event.spread, "points_outside": event.outside}
    if isinstance(event, Confirmed):
        last = {"confirmed_from": event.first, "confirmed_to": event.last}
    return {**first, **_value(pull), **_setting(run, act), **last}


def _unmoved(run: Frozen, act: Act) -> Row:
    """Give up to which torque nothing moved, where that at first movement was to be read, and stays unknown."""
    if not act.unmoved:
        return {}
    return {"moved": False, "unmoved_up_to": act.at_fastener, "unmoved_unit": run.plan.unit}


def _setting(run: Frozen, act: Act) -> Row:
    if act.set_to is None:
        return {}
    return {
        "set_to": act.set_to,
        "set_to_unit": act.unit,
        "set_to_at_fastener": act.at_fastener,
        "sheet_unit": run.plan.unit,
    }


_JUDGED = {
    "turn": "sum",
    "pull": "at_fastener",
    "prevailing torque": "at_fastener",
    "recheck": "at_fastener",
    "bad pull": "at_fastener",
    "wrong position": "at_fastener",
}


def _value(pull: Pull) -> Row:
    """As typed, and what is judged: at the fastener, the sum of a turn, or the result of a measurement."""
    act = pull.act
    value = act.value if act.angle is None else act.angle
    if value is None and act.shown is None:
        return {}
    return {
        "typed": None if pull.judged_anew else getattr(pull.event, "typed", None),
        "value": value,
        "unit": act.unit,
        "sum" if act.shown_unit == DEGREES else _JUDGED.get(pull.kind, "result"): act.shown,
        "judged_unit": act.shown_unit,
    }
