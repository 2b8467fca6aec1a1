"""The decisions, and by whom; each by itself, and beside the line that it is about."""

from __future__ import annotations

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.paper_times import times_on_form, where_it_differs
from clampbook.record.tables import Row
from clampbook.record.wording import named, vouched, written
from clampbook.run.events import Decided, Held


def decisions(run: Frozen, history: History) -> list[Row]:
    """One table a decision, in the order in which they were taken."""
    on_form = times_on_form(run)
    return [
        {
            "line": event.seq,
            "about_line": event.about or None,
            "cause": event.cause,
            "step": event.step,
            "position": event.position,
            **decided(event, history),
            **where_it_differs(event, on_form.get(event.seq, {})),
        }
        for event in run.events
        if isinstance(event, Decided)
    ]


def decided(event: Decided | Held, history: History) -> Row:
    """A decision without what it is about; leaving the run on hold is one as well."""
    if isinstance(event, Held):
        return {"choice": "hold", "reason": event.reason, **written(event)}
    return {
        "choice": event.choice,
        "scope": event.scope,
        "reason": event.reason,
        **named(event.person),
        "meaning": event.meaning,
        **vouched(event.person, event.key, on_form=event.typed_at is not None),
        "back_to_stage": event.back_to,
        "time": event.time,
        "start_over": list(history.started_over.get(event.seq, ())),
        **written(event),
    }
