"""What became of each pull once the last line of the daybook is known: the last one at its step is kept."""

from __future__ import annotations

from clampbook.record.fastener import History
from clampbook.record.pull import KEPT, Kind, Pull

AS_EXPECTED, NOT_AS_EXPECTED = "as expected", "not as expected"
SET_ASIDE = "set aside"
UNKNOWN = "unknown"
VOID = "void"
CORRECTED = "corrected"
EARLIER_ATTEMPT = "earlier attempt"
UNDER_PULLED_AGAIN = "under, pulled again"
_AGAIN: dict[Kind, str] = {
    "pull": "pulled again",
    "turn": "earlier stroke",
    "recheck": "earlier pass",
    "loosening": "loosened again",
    "application": "applied again",
}


def settle(history: History) -> None:
    """Give every pull its standing: kept, or why it does not count any more."""
    kept: set[tuple[str | None, str, Kind]] = set()
    last_at_gate: dict[str, int] = {}
    for row in reversed(history.pulls):
        if row.standing != KEPT:
            continue
        if _of_an_earlier_attempt(history, row, last_at_gate):
            row.standing = EARLIER_ATTEMPT
        elif (key := (row.position, row.step.id, row.kind)) in kept:
            under = row.kind == "pull" and row.outcome == "under"
            row.standing = UNDER_PULLED_AGAIN if under else _AGAIN.get(row.kind, "measured again")
        else:
            kept.add(key)


def _of_an_earlier_attempt(history: History, row: Pull, last_at_gate: dict[str, int]) -> bool:
    if row.position is None:
        return row.attempt < last_at_gate.setdefault(row.step.id, row.attempt)
    fastener = history.fasteners[row.position]
    return row.attempt < fastener.attempt or row.line < fastener.fresh_since
