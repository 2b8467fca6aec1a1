"""The table of pulls: every one in the order of the daybook, also those that do not count any more."""

from __future__ import annotations

from clampbook.record.fastener import History
from clampbook.record.frozen import Frozen
from clampbook.record.pull import Pull
from clampbook.record.standing import VOID
from clampbook.record.tables import Row
from clampbook.record.wording import at_step, ends, written
from clampbook.run.events import (
    Applied,
    Confirmed,
    Corrected,
    Measured,
    RanDown,
    ReadingTaken,
    Rechecked,
    Released,
    Turned,
    Voided,
)


def readings(run: Frozen, history: History) -> list[Row]:
    """One row a pull."""
    return [_row(run, row) for row in history.pulls]


def _row(run: Frozen, pull: Pull) -> Row:
    event = pull.event
    return {
        "line": pull.line,
        **at_step(pull.step, pull.position),
        "attempt": pull.attempt,
        "kind": pull.kind,
        "outcome": pull.outcome,
        "standing": pull.standing,
        "verdict": pull.verdict if pull.verdict != pull.outcome else None,
        **_shown(run, pull),
        **ends(pull.window),
        "tool": pull.tool,
        **written(event),
        "by_concession_at_line": pull.conceded_at,
        "before_starting_over": True if pull.work else None,
        "doubt": getattr(event, "doubt", None),
        "noted": "; ".join(event.noted) or None,
        "late": event.late,
        "question": "; ".join(pull.questions) or None,
    }


def _shown(run: Frozen, pull: Pull) -> Row:
    """What was typed and what it comes to; of a release only what the tool was set to, under a name of its own."""
    match pull.event:
        case Released() as event:
            return _setting(run, event)
        case Confirmed() as event:
            return {**_setting(run, event), "confirmed_from": event.first, "confirmed_to": event.last}
        case ReadingTaken() | RanDown() as event:
            return _value(pull, event.typed, event.value)
        case Measured() as event:
            return {**_value(pull, event.typed, event.value), "spread_of_points": event.spread}
        case Turned() as event:
            return _value(pull, event.typed, event.value)
        case Rechecked() as event:
            return {"pass": event.pass_no, "method": event.method, **_value(pull, event.typed, event.value)}
        case Corrected() as event:
            return {"corrects": event.of, "known": event.known, **_value(pull, event.typed, event.value)}
        case Voided() as event:
            return {"voids": event.of, "cause": event.cause, "value_seen": event.value}
        case Applied() as event:
            return {"what": event.what, "lot": event.lot}
        case _:
            return {}


def _setting(run: Frozen, event: Released | Confirmed) -> Row:
    return {
        "set_to": event.set_to,
        "set_to_unit": event.unit,
        "set_to_at_fastener": event.at_fastener,
        "sheet_unit": run.plan.unit,
    }


def _value(pull: Pull, typed: str | None, value: str | None) -> Row:
    """As typed, and what is judged: at the fastener, the sum of a turn, or the result of a measurement."""
    judged = {"turn": "sum", "pull": "at_fastener", "run-down": "at_fastener", "recheck": "at_fastener"}
    return {
        "typed": typed,
        "value": value,
        "unit": pull.unit,
        judged.get(pull.kind, "result"): pull.shown,
        "judged_unit": pull.shown_unit,
    }


def counts(pull: Pull) -> bool:
    """Whether a row is a pull that was made, and not a line about another one."""
    return pull.corrects is None and not (pull.kind == "bad pull" and pull.standing == VOID)
