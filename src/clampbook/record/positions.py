"""How each position stands at the last line: what fits there, what was spent on it, and the outcome of each step."""

from __future__ import annotations

from clampbook.procedure.model import Group
from clampbook.record.fastener import Fastener, History
from clampbook.record.frozen import Frozen
from clampbook.record.pull import BY_CONCESSION, KEPT, Pull
from clampbook.record.standing import NOT_AS_EXPECTED, SET_ASIDE, UNKNOWN, VOID
from clampbook.record.tables import Row

TO_DO = "to do"
TO_DO_AGAIN = "to do again"
_UNFINISHED = frozenset({TO_DO, TO_DO_AGAIN, "under", "over", VOID, UNKNOWN, SET_ASIDE, NOT_AS_EXPECTED})
# Where one step holds several kept rows the gravest is its outcome, and else that of the work itself.
_GRAVEST = ("over", "under", "moved", BY_CONCESSION)
_OF_THE_WORK = ("pull", "turn", "recheck", "measurement", "loosening", "application")

Kept = dict[tuple[str, str], list[Pull]]


def positions(run: Frozen, history: History) -> list[Row]:
    """One table a position, in the order of the groups."""
    group_of = run.plan.group_of
    return [
        _position(history, group_of[position], position, outcomes)
        for position, outcomes in outcome_of_each(run, history)
    ]


def outcome_of_each(run: Frozen, history: History) -> list[tuple[str, dict[str, str]]]:
    """Each position, in the order of the groups, with the outcome of each of its steps."""
    kept: Kept = {}
    for row in history.pulls:
        if row.standing == KEPT and row.position is not None and not row.work:
            kept.setdefault((row.position, row.step.id), []).append(row)
    found: list[tuple[str, dict[str, str]]] = []
    for group in run.plan.groups:
        for position in group.positions:
            steps = [run.plan.steps[place].id for place in run.plan.steps_of.get(position, ())]
            steps += _looked_at_elsewhere(history, position, steps)
            found.append((position, {step: outcome(history, kept, position, step) for step in steps}))
    return found


def _looked_at_elsewhere(history: History, position: str, own: list[str]) -> list[str]:
    """Gates that said something of this position, such as a look at all of them that found it not as expected."""
    since = history.fasteners.get(position, Fastener()).fresh_since
    said = history.said.get(position, {})
    return [step for step, (line, _) in said.items() if step not in own and line >= since]


def _position(history: History, group: Group, position: str, outcomes: dict[str, str]) -> Row:
    fastener = history.fasteners.get(position) or Fastener()
    return {
        "position": position,
        "group": group.name,
        "fits": group.fits.get(position) or group.thread,
        "state": _state(fastener, outcomes),
        "attempts": fastener.attempt,
        "attempts_before_this_run": fastener.attempts_before or None,
        "tightenings": fastener.tightenings,
        "outcome": outcomes,
    }


def outcome(history: History, kept: Kept, position: str, step: str) -> str:
    """The word for one step: the last thing that was said of it in the present attempt."""
    fastener = history.fasteners.get(position) or Fastener()
    rows = kept.get((position, step), [])
    line, word = history.said.get(position, {}).get(step, (0, ""))
    if word and line >= fastener.fresh_since and all(row.line < line for row in rows):
        return word
    if not rows:
        again = fastener.attempt > max(fastener.attempts_before, 1)
        return TO_DO_AGAIN if again else TO_DO
    found = {row.outcome for row in rows}
    for grave in _GRAVEST:
        if grave in found:
            return grave
    by_kind = {row.kind: row.outcome for row in rows}
    return next((by_kind[kind] for kind in _OF_THE_WORK if kind in by_kind), rows[-1].outcome)


def _state(fastener: Fastener, outcomes: dict[str, str]) -> str:
    """One word for the position as a whole."""
    if fastener.broken is not None:
        return fastener.broken.how
    if fastener.aside is not None:
        return SET_ASIDE
    found = list(outcomes.values())
    if UNKNOWN in found:
        return UNKNOWN
    if TO_DO_AGAIN in found:
        return TO_DO_AGAIN
    if all(word == TO_DO for word in found):
        return TO_DO if found else "no work in this run"
    if any(word in _UNFINISHED for word in found):
        return "begun"
    return "done, by concession" if BY_CONCESSION in found else "done"
