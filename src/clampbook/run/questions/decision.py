"""A decision: something is not to the procedure, and there are ways to go on."""

from __future__ import annotations

from decimal import Decimal

from clampbook import text as foreign
from clampbook.figures import beside, judge, narrowed, plain, show_exactly, step_of
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Measure
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, GiveUp, Hold, Refused, Resolve
from clampbook.run.fold.adjusting import ADJUST, gone_back, times
from clampbook.run.fold.independence import CONCESSION
from clampbook.run.fold.verdict import Judged
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.aim import figures
from clampbook.run.kinds.kind import Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import rounded
from clampbook.run.plan import Plan
from clampbook.run.progress import (
    COUNT_DIFFERS,
    NO_ONE_POSITION,
    NOT_NEW,
    OF_PARTS,
    TOO_FEW,
    Progress,
    Question,
    Why,
    standing,
)
from clampbook.run.prompts import Choice, Decide, DecideChoice, Ends
from clampbook.run.questions.causes import NEVER_REACHES, means, sentence, unchecked, ways
from clampbook.run.questions.mistyped import value_put_right
from clampbook.run.questions.resolutions import asked_for, missing
from clampbook.run.session import Session
from clampbook.run.told.places import where
from clampbook.run.told.torques import WINDOW, window_line
from clampbook.run.told.words import Band, Facts, Read, Words, window_in
from clampbook.units import Kind, convert, kind_of, show, show_window

_TERMS_OF_PARTS: dict[Why, tuple[str, ...]] = {
    COUNT_DIFFERS: ("at hand", "on hold"),
    TOO_FEW: ("needed", "on hold"),
    NOT_NEW: ("one-use", "on hold"),
}


def ask(plan: Plan, progress: Progress, question: Question) -> Decide:
    """Ask what is to be decided, with the window that judged it."""
    position = question.positions[0] if question.positions else None
    step = plan.steps[question.step]
    window, unit = (step.window, step.unit) if question.cause not in OF_PARTS else (None, None)
    if question.judged is not None:
        window, unit = question.judged.window, question.judged.unit
    return Decide(
        where=where(plan, progress, question.step, position if position in plan.group_of else None),
        cause=question.cause,
        about=question.about,
        position=position if position in plan.group_of else None,
        found=_found(plan, question),
        choices=ways(plan, progress, question),
        window=window,
        unit=unit,
        judged=question.judged,
        target=_target(plan, progress, question, position),
        over=_told_over(progress, question),
        gate=_gate(plan, question),
        left_by_you=_left_by_you(progress, position),
        adjusted=times(plan, progress, question.step, position if position in plan.group_of else None),
        unchecked=unchecked(plan, question),
    )


def _found(plan: Plan, question: Question) -> str | None:
    """Tell what was found; of a time limit how long it is, of spent tightenings how many are allowed."""
    group = plan.group_of.get(question.positions[0]) if question.positions else None
    if question.cause == "limit run out" and group is not None and group.finish_within is not None:
        return show(group.finish_within.value, group.finish_within.unit)
    if question.cause == "budget used up" and group is not None and group.tightenings_at_most is not None:
        return f"{group.tightenings_at_most} of its tightenings"
    return question.found


def _target(plan: Plan, progress: Progress, question: Question, position: str | None) -> Decimal | None:
    """Give what was aimed at, prevailing torque added, where a line of this step was judged."""
    if question.judged is None:
        return None
    step = plan.steps[question.step]
    if kind_of(question.judged.unit) is not kind_of(step.unit or plan.unit):
        return None  # a stretch, or the torque at the end of a turn: the step aims at something else
    return figures(plan, standing(progress, position or ""), step)[0]


def _gate(plan: Plan, question: Question) -> str | None:
    stage = plan.stage_of(plan.steps[question.step])
    return stage.what if isinstance(stage, Measure) and not question.positions else None


def _left_by_you(progress: Progress, position: str | None) -> bool:
    left_by = standing(progress, position).left_by if position is not None else None
    return left_by is None or left_by == (progress.hands or progress.by)


def _told_over(progress: Progress, question: Question) -> str | None:
    """Tell what a fastener that is asked about has, where that is over its window: not what its tool showed,
    but what that is worth there.
    """
    told = (standing(progress, position).fastener.over for position in question.positions)
    over = next((over for over in told if over is not None), None)
    if over is None or over.judged is None:
        return None if over is None else over.found
    judged = over.judged
    as_read = judged.typed is not None and (judged.typed, judged.typed_unit) == (judged.shown, judged.unit)
    shown = judged.typed if as_read and judged.typed is not None else judged.shown
    return beside(shown, judged.window, judged.unit, typed=as_read)[0]


def keys(prompt: Decide) -> Keys:
    """The ways to go on."""
    own = (
        Choice(str(n), way.text, way.value, Resolve(way.choice), costs=way.costs)
        for n, way in enumerate(prompt.choices, 1)
    )
    return Keys(tuple(own), deliberate=True)


def words(prompt: Decide) -> Words:
    """Show what is not as it should be, and the window that judged it."""
    return Words(
        sentence(prompt),
        (*_window(prompt), *_adjusted(prompt), *_unchecked(prompt), *means(prompt.cause)),
        about=() if prompt.position in (None, NO_ONE_POSITION) else (prompt.position,),
        band=_band(prompt),
        picture=prompt.cause not in OF_PARTS,
        terms=_TERMS_OF_PARTS.get(prompt.cause, ("start over", "concession", "on hold")),
        facts=Facts(window=window_in(prompt.window, prompt.unit or "")),
    )


def _adjusted(prompt: Decide) -> tuple[str, ...]:
    """ "adjusted 2 of 3 times"; nothing before the first."""
    if prompt.adjusted is None or not prompt.adjusted[0]:
        return ()
    so_far, most = prompt.adjusted
    return (f"adjusted {so_far} of {most} {'time' if most == 1 else 'times'}",)


def _unchecked(prompt: Decide) -> tuple[str, ...]:
    return () if prompt.unchecked is None else (f"limit of {prompt.unchecked} not checked: no tool showed torque",)


def _window(prompt: Decide) -> tuple[str, ...]:
    """The window that judged, first in the unit of what was found, so that the two can be compared."""
    judged = prompt.judged
    if judged is None:
        return () if prompt.window is None or prompt.unit is None else (window_line(prompt.window, prompt.unit),)
    typed, unit = judged.typed, judged.typed_unit
    as_read = (typed, unit) == (judged.shown, judged.unit)
    shown, window = beside(judged.shown, judged.window, judged.unit, typed=as_read)
    if as_read:
        return (f"{WINDOW} {window}",)
    if unit == judged.unit == "°":  # the stroke was typed, all of the turn is judged
        return (f"{WINDOW} {window}", f"turned in all {shown}")
    if typed is None or unit is None:  # a click: nothing was read, but that is what it is worth
        return (f"{WINDOW} {window}", f"at the fastener {shown}")
    if kind_of(judged.unit) is not Kind.TORQUE:  # a length, from which the one before is taken off
        return (f"{WINDOW} {window}", f"measured {show_exactly(typed, unit)}")
    return (f"{WINDOW} {_where_read(judged, typed, unit)} ({window})", f"at the fastener {shown}")


def _where_read(judged: Judged, typed: Decimal, unit: str) -> str:
    """The window in the unit that was read, with as many digits as the reading has, so that they can be compared."""
    return show_window(*_ends_where_read(judged, typed, unit), unit, exact=True)


def _ends_where_read(judged: Judged, typed: Decimal, unit: str) -> Ends:
    reach = judged.reach
    low, high = (None if end is None else convert(reach.on_tool(end), judged.unit, unit) for end in judged.window)
    step = step_of(low, high, unit, Decimal(1).scaleb(int(typed.as_tuple().exponent)))

    def there(value: Decimal) -> Decimal:
        return reach.at_fastener(convert(value, unit, judged.unit))

    return narrowed(judged.window, (low, high), there, step)


def _band(prompt: Decide) -> Band | None:
    """Draw what was read against its window, on the scale where it was read: of a click nothing was. A turn is drawn
    by all of it, and a length by what it is longer than the one before."""
    judged = prompt.judged
    if judged is None or judged.typed is None or judged.typed_unit is None:
        return None
    value, unit, target = judged.typed, judged.typed_unit, prompt.target
    ends: Ends = judged.window
    if kind_of(judged.unit) is not Kind.TORQUE:
        value, unit = judged.shown, judged.unit
    elif (value, unit) != (judged.shown, judged.unit):
        ends = _ends_where_read(judged, value, unit)
        target = None if target is None else _where_aimed_at(judged, target, value, unit)
    read = Read(prompt.position or "", judge(judged.shown, judged.window), plain(value), unit, value)
    return Band(*ends, unit, target, found=(read,))


def _where_aimed_at(judged: Judged, target: Decimal, typed: Decimal, unit: str) -> Decimal:
    """The target on the scale that was read, with as many digits as the reading has."""
    return convert(judged.reach.on_tool(target), judged.unit, unit).quantize(typed)


def complete(prompt: Decide, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Ask for what the way needs; a mistyped value is put right by an answer of its own."""
    if not isinstance(begun, Resolve):
        return begun
    way = next(way for way in prompt.choices if way.choice == begun.choice)
    if way.choice == "correct":
        return value_put_right(prompt, session, draft)
    for need in way.needs:
        if not draft.has(need) and (need != "scope" or way.scope is None):
            return asked_for(need, way, session, _about(prompt, session))
    if way.choice == "hold":
        return Hold(draft.text("reason"))
    if way.choice == "abandon":
        return GiveUp(draft.text("reason"))
    back_to = int(draft.text("back to")) if draft.has("back to") else None
    scope = way.scope or draft.text("scope") or None
    return Resolve(way.choice, scope, draft.text("reason") or None, draft.person("person"), back_to)


def parts_of(prompt: Decide, session: Session, way: DecideChoice, need: str) -> Part:
    """The question for one part of a way."""
    return asked_for(need, way, session, _about(prompt, session))


def _about(prompt: Decide, session: Session) -> Question:
    """The open question that is decided; one that follows from how things stand is in no list."""
    found = (each for each in session.progress.questions if (each.about, each.cause) == (prompt.about, prompt.cause))
    step = session.plan.index_of[prompt.where.id]
    positions = (prompt.position,) if prompt.position is not None else ()
    return next(found, Question(cause=prompt.cause, about=prompt.about, step=step, positions=positions))


def decide(session: Session, prompt: Decide, answer: Answer, stamp: Stamp) -> Outcome:
    """One of the ways to go on, with all its parts."""
    if not isinstance(answer, Resolve):
        return Refused(_choose(prompt))
    way = next((each for each in prompt.choices if each.choice == answer.choice), None)
    if way is None:
        return Refused(_choose(prompt))
    if way.choice in ("correct", "hold", "abandon"):
        return Refused(f"{way.text}: give {', '.join(way.needs)}.")
    if way.choice == NEVER_REACHES:
        return Accepted(_never_reaches(session, prompt, stamp))
    lacking = missing(session, way, answer)
    if lacking is not None:
        return Refused(lacking)
    conceded = way.choice == "concession"
    return Accepted(
        e.Decided(
            **common(session, stamp, prompt),
            about=prompt.about,
            cause=prompt.cause,
            choice=way.choice,
            step=prompt.where.id,
            position=prompt.position,
            scope=answer.scope if "scope" in way.needs else None,
            reason=foreign.clean(answer.reason, what="the reason") if answer.reason else None,
            person=answer.person if "person" in way.needs else None,
            meaning=CONCESSION if conceded else None,
            key=session.keys.get(answer.person.id) if conceded and answer.person is not None else None,
            back_to=(back_to := _back_to(way, answer)),
            time=_time(session, prompt, back_to),
        )
    )


def _back_to(way: DecideChoice, answer: Resolve) -> int | None:
    if "back to" in way.needs:
        return answer.back_to
    return way.back_to[0][0] if way.choice == ADJUST else None


def _time(session: Session, prompt: Decide, back_to: int | None) -> int | None:
    """Tell which time of adjusting it is, by its own way or by going back as far."""
    if back_to is None:
        return None
    index = session.plan.index_of[prompt.where.id]
    loop = gone_back(session.plan, session.progress, index, prompt.position, back_to)
    return None if loop is None else loop.time


def _choose(prompt: Decide) -> str:
    return f"Choose {', '.join(each.choice for each in prompt.choices)}."


def _never_reaches(session: Session, prompt: Decide, stamp: Stamp) -> e.Broken:
    """After several readings that stayed under: the last one is what it reached."""
    state = standing(session.progress, prompt.position or "")
    value, unit, latest = state.last_value, state.shown_in or session.plan.unit, session.progress.last_reading
    there = None if value is None else state.reach.at_fastener(convert(Decimal(value), unit, session.plan.unit))
    return e.Broken(
        **common(session, stamp, prompt),
        step=prompt.where.id,
        position=prompt.position or "",
        attempt=prompt.where.attempt,
        how=NEVER_REACHES,
        reached=None if value is None else f"{value} {unit}",
        value=value,
        unit=None if value is None else unit,
        tool=None if latest is None else latest[0],
        at_fastener=None if there is None else rounded(there),
    )
