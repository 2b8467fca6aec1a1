"""An earlier value that was mistyped, such as a free length: what was judged less it is judged anew."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.acts.measured_anew import question_about
from clampbook.run.fold.acts import Act, Kind
from clampbook.run.fold.again import revisit
from clampbook.run.fold.differences import Difference, differences
from clampbook.run.fold.fastener import Over, not_over
from clampbook.run.fold.frames import ask
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.measured import keep_measured, kept_at, measured_name
from clampbook.run.fold.pulls import settle
from clampbook.run.kinds.values import ends, kept
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Question, Standing, Why, standing
from clampbook.units import behind, plain


def put_right(plan: Plan, progress: Progress, event: e.Corrected, index: int, less: tuple[Difference, ...]) -> Progress:
    """The earlier value is another one: what comes after it was done all the same, and is judged by the new one."""
    step = plan.steps[index]
    position = step.position or ""
    before = kept_at(plan, progress, step, step.point or "")
    by = None if before is None else before.by
    state = keep_measured(standing(progress, position), measured_name(plan, step), Decimal(event.value), by, event.seq)
    progress = replace(progress, positions=progress.positions.insert(position, state))
    for each in less:
        progress = _judged_anew(plan, progress, position, each)
    if event.verdict in (None, "within"):
        return progress
    return ask(progress, question_about(plan, event, "outside", index, position))


def _judged_anew(plan: Plan, progress: Progress, position: str, each: Difference) -> Progress:
    """Within goes on, a stretch that is short is pulled on, and beyond its window it is decided about as it was."""
    asked = next((one for one in progress.questions if (one.about, one.step) == (each.line, each.index)), None)
    progress = replace(progress, questions=tuple(one for one in progress.questions if one is not asked))
    state = _as_judged(standing(progress, position), each)
    if each.verdict == "within" and state.through < each.index:
        return settle(plan, progress, each.index, state, "within")
    kept_so = replace(progress, positions=progress.positions.insert(position, state))
    if each.verdict == "within":
        return kept_so
    if each.stretch and each.verdict == "under":
        opened = replace(state, outcome="under", awaiting=None)
        kept_so = replace(progress, positions=progress.positions.insert(position, opened))
        return revisit(plan, kept_so, position, each.index, "a corrected value is not within")
    question = _question(position, each)
    if asked is not None:
        return replace(kept_so, questions=(*kept_so.questions, question))
    return ask(revisit(plan, kept_so, position, each.index, "a corrected value is outside"), question)


def _as_judged(state: Standing, each: Difference) -> Standing:
    """The fastener by a stretch between two pulls; a length measured later says nothing of what it holds."""
    if not each.stretch:
        return state
    fastener = not_over(state.fastener, each.line)
    if each.verdict == "over":
        fastener = replace(fastener, over=Over(each.line, each.index, _found(each), each.judged))
    return replace(state, stretched=(state.attempt, each.left.value), fastener=fastener)


def _question(position: str, each: Difference) -> Question:
    cause: Why = "stretch beyond its window" if each.stretch else "outside"
    return Question(
        cause=cause, about=each.line, step=each.index, positions=(position,), found=_found(each), judged=each.judged
    )


def _found(each: Difference) -> str:
    return f"{kept(each.left.value, each.window)}{behind(each.left.unit)}"


def acts(line: Line, event: e.Corrected) -> Iterator[Act]:
    """Each value that is judged anew, in the place of the one that was judged by the mistyped value."""
    if event.what != "measure" or event.step is None:
        return
    for each in differences(line.plan, line.before, line.step(event.step), Decimal(event.value)):
        unit = each.left.unit
        told = judged(each.verdict, ends(each.window), kept(each.left.value, each.window), unit)
        kind: Kind = "stretch" if each.stretch else "measurement"
        name = line.plan.steps[each.index].id
        yield line.act(kind, name, value=plain(each.value), unit=unit, about=each.line, corrects=True, **told)
