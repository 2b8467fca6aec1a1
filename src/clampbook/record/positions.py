"""The standing of each position at the last line: what fits there, what was spent on it, and the outcome of each step.

Attempts, tightenings and what is done are the walk's; the words come from its acts.
"""

from __future__ import annotations

from collections import defaultdict

from clampbook.procedure.model import Group, Measure
from clampbook.record.frozen import Frozen
from clampbook.record.history import History, Outcomes
from clampbook.record.tables import Row
from clampbook.run.fold.acts import (
    AS_EXPECTED,
    AT_THE_SLOT,
    BACKED_OFF,
    BY_CONCESSION,
    CLICKS,
    LEFT_BLANK,
    MOVED,
    NO_MOVEMENT_YET,
    NOT_AS_EXPECTED,
    NOT_DRAWN,
    TOO_FAR_APART,
    UNKNOWN,
    Act,
    Kind,
)
from clampbook.run.fold.fastener import seated
from clampbook.run.progress import Standing, in_sample, standing

TO_DO = "to do"
TO_DO_AGAIN = "to do again"
SKIPPED = "skipped"
FOUND_MOVED, FOUND_UNDER = "found moved", "found under"
UNDONE = (TO_DO, TO_DO_AGAIN)
_UNFINISHED = frozenset(
    {*UNDONE, "under", "over", TOO_FAR_APART, "void", UNKNOWN, SKIPPED, NOT_AS_EXPECTED, BACKED_OFF, NO_MOVEMENT_YET}
)
# Where one step holds several acts that count the gravest is its outcome, and else that of the work itself.
_GRAVEST = ("over", "under", TOO_FAR_APART, "moved", BY_CONCESSION)
_PULLED = ("tighten", "turn", "recheck")
_OF_THE_WORK: tuple[Kind, ...] = (
    "pull",
    *CLICKS,
    "turn",
    "slot",
    "recheck",
    "measurement",
    "loosening",
    "application",
    LEFT_BLANK,  # what was read beside work that is blank on a form does not say how that came out
)
# What says how a step stands until a later act at it says otherwise.
_SAYS: tuple[Kind, ...] = ("bad pull", "wrong position", "look", "skipped", "broken", "mark lost", "decision")


def positions(run: Frozen, history: History) -> list[Row]:
    """One table a position, in the order of the groups."""
    group_of = run.plan.group_of
    return [
        _position(run, history, group_of[position], position, outcomes)
        for position, outcomes in outcome_of_each(run, history)
    ]


def outcome_of_each(run: Frozen, history: History) -> Outcomes:
    """Each position, in the order of the groups, with the outcome of each of its steps; worked out once a history."""
    if history.outcomes is None:
        history.outcomes = _outcome_of_each(run, history)
    return history.outcomes


def _outcome_of_each(run: Frozen, history: History) -> Outcomes:
    at_step = acts_at_steps(run, history)
    looked_at: dict[str, list[str]] = {}
    for (at, step), acts in at_step.items():
        if any(act.kind in ("look", "decision") for act in acts):
            looked_at.setdefault(at, []).append(step)
    found: Outcomes = []
    for group in run.plan.groups:
        for position in group.positions:
            steps = [run.plan.steps[place].id for place in run.plan.steps_of.get(position, ())]
            steps += [step for step in looked_at.get(position, ()) if step not in steps]
            before = _before_this_run(run, position)
            state = standing(history.progress, position)
            words = {step: _outcome(at_step.get((position, step), []), state, before) for step in steps}
            found.append((position, words | dict.fromkeys(_not_drawn(run, history, position), NOT_DRAWN)))
    return found


def _not_drawn(run: Frozen, history: History, position: str) -> list[str]:
    """Steps of a position that no sample took in."""
    steps = [run.plan.steps[place] for place in run.plan.steps_of.get(position, ())]
    return [step.id for step in steps if not in_sample(history.progress, step)]


def acts_at_steps(run: Frozen, history: History) -> dict[tuple[str, str], list[Act]]:
    """By position and step: what was done there in the attempt that the walk ended in, and what was said of it."""
    found: dict[tuple[str, str], list[Act]] = {}
    skipped = history.progress.skipped
    last_look = {act.step: act.line for act in history.acts if act.kind == "look" and not act.work}
    for act in history.acts:
        position = act.position
        if position is None or act.work or act.attempt < standing(history.progress, position).attempt:
            continue
        if act.kind == "skipped" and ((held := skipped.get(position)) is None or held.about != act.line):
            continue
        at_a_gate = run.plan.steps[run.plan.index_of[act.step]].position is None
        if act.kind == "look" and at_a_gate and act.line != last_look[act.step]:
            continue
        if act.kind == "decision" and "concession" not in act.outcome:
            continue
        if act.counts or (act.kind in _SAYS and not act.corrects):
            found.setdefault((position, act.step), []).append(act)
    return found


def _before_this_run(run: Frozen, position: str) -> int:
    """Count the attempts that a position had in the run that this one follows up."""
    earlier = run.opened.of_run
    return earlier.positions.get(position, (0, 0))[0] if earlier is not None else 0


def _position(run: Frozen, history: History, group: Group, position: str, outcomes: dict[str, str]) -> Row:
    state = standing(history.progress, position)
    return {
        "position": position,
        "group": group.name,
        "fits": group.fits_at(position),
        "state": _state(run, history, position, outcomes),
        "attempts": state.attempt,
        "attempts_before_this_run": _before_this_run(run, position) or None,
        "tightenings": state.tightenings,
        **_holds(run, history, position, state),
        "outcome": outcomes,
    }


def _holds(run: Frozen, history: History, position: str, state: Standing) -> Row:
    """The torque that it holds, where a pull told it that does not count: no reading of a step says it then."""
    held = state.fastener.held
    if held is None or not seated(state.fastener):
        return {}
    void = [act for act in history.at_position.get(position, ()) if act.line == held.line and not act.counts]
    if not void:
        return {}
    return {"holds": format(held.torque, "f"), "holds_unit": run.plan.unit, "holds_by_line": held.line}


def _outcome(acts: list[Act], state: Standing, before: int) -> str:
    """The word for one step: the last thing that was said of it in the present attempt."""
    if not acts:
        return TO_DO_AGAIN if state.attempt > max(before, 1) else TO_DO
    last = acts[-1]
    made = [act for act in acts if act.kind not in _SAYS]
    found = {act.outcome for act in made}
    locked = last.kind == "look" and last.outcome == AS_EXPECTED and bool(made)  # a pin says nothing of the nut
    if last.kind in _SAYS and not locked:
        return BY_CONCESSION if last.kind == "decision" else last.outcome
    if last.kind == "backing off":  # whatever was pulled in the pass before
        return last.outcome
    for grave in _GRAVEST:
        if grave in found:
            return grave
    by_kind = {act.kind: act.outcome for act in made}
    if by_kind.get("turn") == AT_THE_SLOT and "final torque" in by_kind:
        return by_kind["final torque"]
    return next((by_kind[kind] for kind in _OF_THE_WORK if kind in by_kind), made[-1].outcome)


def _left_moved(run: Frozen, outcomes: dict[str, str]) -> bool:
    """Tell whether the last pull at it, in the order of the plan, found it moved: nothing after that says that it
    holds."""
    pulls = [word for step, word in outcomes.items() if run.plan.steps[run.plan.index_of[step]].kind in _PULLED]
    return bool(pulls) and pulls[-1] == MOVED


def _found_under(run: Frozen, history: History, position: str) -> bool:
    """Tell whether a follow-up found it under its window: what it was pulled to then does not say how it was found."""
    if run.opened.of_run is None:
        return False
    return any(
        act.kind == "recheck"
        and act.verdict == "under"
        and act.why_not in (None, "under, pulled again", "earlier pass")
        for act in history.at_position.get(position, ())
    )


def _state(run: Frozen, history: History, position: str, outcomes: dict[str, str]) -> str:
    """One word for the position as a whole."""
    broken = _broken(history, position)
    if broken is not None:
        return broken
    if position in history.progress.skipped:
        return SKIPPED
    found = [word for word in outcomes.values() if word != NOT_DRAWN]
    if UNKNOWN in found:
        return UNKNOWN
    if TO_DO_AGAIN in found:
        return TO_DO_AGAIN
    if all(word == TO_DO for word in found):
        return TO_DO if found else "no work in this run"
    allowed = _allowed_outside(run, outcomes)
    if any(word in _UNFINISHED and step not in allowed for step, word in outcomes.items()):
        return "started"
    if _left_moved(run, outcomes):
        return FOUND_MOVED
    if _found_under(run, history, position):
        return FOUND_UNDER
    waived = standing(history.progress, position).budget_waived
    return "done, by concession" if waived or BY_CONCESSION in found else "done"


def _allowed_outside(run: Frozen, outcomes: dict[str, str]) -> frozenset[str]:
    """Steps whose point lies outside its window where so many of them may."""
    outside: dict[int, list[str]] = defaultdict(list)
    for step, word in outcomes.items():
        if word in ("over", "under"):
            outside[run.plan.steps[run.plan.index_of[step]].stage].append(step)
    return frozenset(
        step
        for number, steps in outside.items()
        if isinstance(stage := run.plan.stages[number - 1], Measure)
        and stage.all_but is not None
        and len(steps) <= stage.all_but
        for step in steps
    )


def _broken(history: History, position: str) -> str | None:
    """Tell how it was lost, where it was in the present attempt and nothing has been done with it since."""
    attempt = standing(history.progress, position).attempt
    here = history.at_position.get(position, ())
    own = [act for act in here if act.attempt == attempt and act.counts]
    last = next((act for act in reversed(own) if act.kind != "decision"), None)
    return last.outcome if last is not None and last.kind == "broken" else None
