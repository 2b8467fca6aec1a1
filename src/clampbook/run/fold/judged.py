"""By what a line was judged, kept with the question that it raised, so that a decision shows what the verdict saw."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.acts import Act
from clampbook.run.fold.done import done
from clampbook.run.plan import Plan
from clampbook.run.progress import Judged, Progress, Question, standing
from clampbook.tools.lever import STRAIGHT


def told_by_what(plan: Plan, before: Progress, event: e.Event, after: Progress) -> Progress:
    """The state after a line, with what it was judged by in each question that the line itself raised."""
    told = [act for act in done(plan, before, event, after) if act.why_not != "from memory alone"]
    acts = [act for act in told if act.shown is not None and act.window is not None]
    if not acts:
        return after
    kept = tuple(_with(after, question, acts[-1], event.seq) for question in after.questions)
    return replace(after, questions=kept)


def _with(after: Progress, question: Question, act: Act, line: int) -> Question:
    low, high = act.window or (None, None)
    if question.about != line or act.shown is None or act.shown_unit is None:
        return question
    typed = act.value if act.value is not None else act.angle
    reach = (
        standing(after, act.position).reach if act.position is not None and act.at_fastener is not None else STRAIGHT
    )
    judged = Judged(
        window=(None if low is None else Decimal(low), None if high is None else Decimal(high)),
        unit=act.shown_unit,
        shown=Decimal(act.shown),
        typed=None if typed is None else Decimal(typed),
        typed_unit=act.unit,
        reach=reach,
    )
    return replace(question, judged=judged)
