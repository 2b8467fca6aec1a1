"""The ending of a run: who vouched for it, what falls due later, and what nobody measured."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from clampbook.record.figures import plain
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.left_out import NAMED, left_out
from clampbook.record.moments import later
from clampbook.record.slots import without_torque
from clampbook.record.tables import Row
from clampbook.record.wording import named, vouched, written
from clampbook.run.events import Closed, SignedOff, Voided
from clampbook.run.fold.acts import CLICKS, LEFT_BLANK, UNKNOWN, Act, Kind
from clampbook.run.questions.typed_in import WHO_TYPED

FALLS_DUE = ("done", "accepted")


def sign_offs(run: Frozen) -> list[Row]:
    """Each role that was signed for, and at the end those of the sheet that were not."""
    given = [event for event in run.events if isinstance(event, SignedOff)]
    found: list[Row] = [
        {
            "line": event.seq,
            "role": event.role,
            **named(event.person),
            "meaning": event.meaning,
            **vouched(event.person, event.key, on_form=run.plan.late and event.role != WHO_TYPED),
            "reason": event.reason,
            **written(event),
            "no_time_on_form": event.undated,
        }
        for event in given
    ]
    roles = {event.role for event in given}
    for wanted in run.plan.sign_off:
        if wanted.role not in roles:
            found.append({"role": wanted.role, "left_open": True, "required": wanted.required})
    return found


def follow_ups(run: Frozen) -> list[Row]:
    """Give what falls due after this run, counted from its closing; nothing where the joint was not finished."""
    ended = run.ended
    if ended is not None and not (isinstance(ended, Closed) and ended.outcome in FALLS_DUE):
        return []
    return [
        {
            "title": due.title,
            "after_seconds": None if due.after is None else plain(due.after),
            "counted_from": "closing",
            "due_at": later(ended, due.after) if ended is not None and due.after is not None else None,
            "or_use": due.or_use,
        }
        for due in run.plan.due_later
    ]


_LOST: tuple[Kind, ...] = ("bad pull", "wrong position")


def _gave(act: Act) -> bool:
    """Tell whether a setting tool let go: also on a bad pull, or on another position than asked."""
    clicked = act.kind in CLICKS and not _only_ticked(act)
    return clicked or (act.kind in _LOST and act.set_to is not None and act.at_fastener is not None)


def _only_ticked(act: Act) -> bool:
    """Tell whether a form has a ring or a tick there, of a tool or at a setting that nobody knows."""
    return act.kind in CLICKS and act.outcome == UNKNOWN


def _unsure(act: Act, run: Frozen) -> bool:
    """Tell whether nobody is sure that it did."""
    event = run.events[act.line - 1]
    return isinstance(event, Voided) and event.clicked is None and act.set_to is not None and act.at_fastener is None


def _by_the_mark(act: Act, run: Frozen) -> bool:
    """Tell whether a turn by an angle was judged by the mark; on to a slot nobody turns by one."""
    by_an_angle = run.plan.steps[run.plan.index_of[act.step]].kind == "turn"
    return act.kind == "turn" and act.angle is None and by_an_angle


def not_measured(run: Frozen, history: History) -> Row:
    """Count what gave no number, so that nobody takes a setting for a reading; clamp load is never measured."""
    made = [act for act in history.acts if act.about is None]
    kinds = Counter(act.kind for act in made)
    missing = Counter(NAMED[kind] for each in left_out(run, history) for kind in each.kinds)
    return {
        "clicks": sum(_gave(act) for act in made) or None,
        "clicks_on_bad_pulls_or_other_bolts": sum(_gave(act) for act in made if act.kind in _LOST) or None,
        "clicks_not_known": sum(_unsure(act, run) for act in made) or None,
        "clicks_confirmed_together": kinds["confirmation"] or None,
        "turns_by_the_mark": sum(_by_the_mark(act, run) for act in made) or None,
        "rechecks_without_torque": sum(act.kind == "recheck" and act.value is None and act.mark is None for act in made)
        or None,
        "accepted_without": dict(missing) or None,
        "slots_without_torque": without_torque(run, history),
        **_on_paper(run, made),
    }


def _on_paper(run: Frozen, made: Iterable[Act]) -> Row:
    """Of a run that was typed in from a paper form, how many places of it say nothing."""
    return (
        {"on_paper": True, "left_blank": sum(act.kind == LEFT_BLANK or _only_ticked(act) for act in made) or None}
        if run.plan.late
        else {}
    )
