"""By what a line was judged, kept with the question that it raised, so that a decision shows what the verdict saw."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.acts import Act
from clampbook.run.fold.verdict import Judged
from clampbook.run.lines import done
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, standing
from clampbook.tools.lever import STRAIGHT


def told_by_what(plan: Plan, before: Progress, event: e.Event, after: Progress) -> Progress:
    """The state after a line, with what it was judged by in each question that the line itself raised, and with each
    fastener that it told over. What one person remembers does not count: there what was told over still judges."""
    if isinstance(event, e.Corrected) and not event.counts:
        return replace(after, questions=tuple(_as_it_was(after, each, event.seq) for each in after.questions))
    acts = [
        act
        for act in done(plan, before, event, after)
        if act.window is not None and (act.shown or act.at_fastener) is not None and _of_its_own(event, act)
    ]
    if not acts:
        return after
    kept = tuple(_with(plan, after, question, acts[-1], event.seq) for question in after.questions)
    positions = after.positions
    for position in {each for question in kept if question.about == event.seq for each in question.positions}:
        state = standing(after, position)
        over = state.fastener.over
        if over is not None and over.line == event.seq:
            judged = replace(over, judged=_judged(plan, after, acts[-1]))
            positions = positions.insert(position, replace(state, fastener=replace(state.fastener, over=judged)))
    return replace(after, questions=kept, positions=positions)


def _of_its_own(event: e.Event, act: Act) -> bool:
    """True but for what is judged less a value that is put right: its question has what judges it already."""
    return not isinstance(event, e.Corrected) or act.about == event.of


def _as_it_was(after: Progress, question: Question, line: int) -> Question:
    over = standing(after, question.positions[0]).fastener.over if question.positions else None
    return question if question.about != line or over is None else replace(question, judged=over.judged)


def _with(plan: Plan, after: Progress, question: Question, act: Act, line: int) -> Question:
    return question if question.about != line else replace(question, judged=_judged(plan, after, act))


def _judged(plan: Plan, after: Progress, act: Act) -> Judged | None:
    """Give what an act was judged by; a click shows nothing, but what it is worth at the fastener is known."""
    low, high = act.window or (None, None)
    shown, unit = (act.shown, act.shown_unit) if act.shown is not None else (act.at_fastener, plan.unit)
    if shown is None or unit is None:
        return None
    typed = act.value if act.value is not None else act.angle
    reach = (
        standing(after, act.position).reach if act.position is not None and act.at_fastener is not None else STRAIGHT
    )
    return Judged(
        window=(None if low is None else Decimal(low), None if high is None else Decimal(high)),
        unit=unit,
        shown=Decimal(shown),
        typed=None if typed is None else Decimal(typed),
        typed_unit=act.unit,
        reach=reach,
    )
