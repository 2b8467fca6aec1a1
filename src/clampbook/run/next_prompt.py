"""The next question: `prompt(session)` derives it from plan and progress alone."""

from __future__ import annotations

from typing import assert_never

from msgspec.structs import replace

from clampbook.procedure.model import (
    Recheck,
    Stage,
    Tighten,
    Turn,
    Wait,
)
from clampbook.run import kinds
from clampbook.run import prompts as ask
from clampbook.run.fold.again import last_point
from clampbook.run.fold.fastener import NOT_SNUG, seated
from clampbook.run.fold.frames import at_hand, to_be_drawn
from clampbook.run.fold.passes import round_at
from clampbook.run.fold.renewal import budget_used_up
from clampbook.run.in_hand.ask_for import zero_after
from clampbook.run.kinds.pulls import due
from clampbook.run.last_run import offering
from clampbook.run.plan import Step
from clampbook.run.progress import FINISHED, MEASURED_BEFORE, Question, Standing, Why, by_concession, in_hand, standing
from clampbook.run.questions import decision, sample, state_after_break
from clampbook.run.questions.items import next_item
from clampbook.run.questions.signing import next_sign_off
from clampbook.run.session import Session
from clampbook.run.told.places import kind_of_fastener, where


def prompt(session: Session) -> ask.Prompt:
    """The one thing that is asked now."""
    plan, progress = session.plan, session.progress
    if progress.ended is not None:
        return ask.Ended(progress.ended, progress.ended_reason)
    if progress.stopped is not None:
        held = () if plan.late else in_hand(progress)  # nobody holds what stands on a form
        return ask.Ended(progress.stopped, progress.stop_reason, tuple(each.tool for each in held))
    if progress.questions:
        return decision.ask(plan, progress, progress.questions[-1])
    item = next_item(plan, progress, at_end=False)
    if item is not None:
        return _noticed(session, offering(item, session.last_run))
    if progress.ask_state and at_hand(progress) == progress.state_of:  # what is put right before it is done first
        return state_after_break.ask(session)
    if progress.found == FINISHED:
        return _step(session, at_hand(progress))
    top = progress.frames[-1]
    if top.prologue:
        return _inserted(session)
    if top.next < len(plan.steps):
        return _time_on_form(session, top.next) or _step(session, top.next)
    return _time_on_form(session, top.next) or _at_the_end(session)


def _time_on_form(session: Session, index: int) -> ask.PaperTime | None:
    """At the beginning of a round the time that stands there is asked first, where a form is typed in, and at its end
    the one that stands there."""
    plan, progress = session.plan, session.progress
    if not plan.late:
        return None
    ended = _round_that_ended(session, index)
    if ended is not None and progress.timed is not None:
        return _asked_when(session, ended, progress.timed, until=True)
    if index == len(plan.steps):
        return None
    here = (plan.steps[index].stage, round_at(plan, progress, index))
    if progress.timed == here or isinstance(plan.stage_of(plan.steps[index]), Wait):  # a wait has two times of its own
        return None
    return _asked_when(session, index, here)


def _asked_when(session: Session, index: int, here: tuple[int, int], *, until: bool = False) -> ask.PaperTime:
    """The question for a time of a round; that of a recheck is told by how often it came."""
    plan, progress = session.plan, session.progress
    place, stage = where(plan, progress, index), plan.stage_of(plan.steps[index])
    if isinstance(stage, Recheck) and stage.until_still:
        place = replace(place, round=here[1], rounds=stage.at_most)
    return ask.PaperTime(place, progress.at, progress.offset, until=until)


def _round_that_ended(session: Session, index: int) -> int | None:
    """The last step of a round that has two times on the form, where that is behind and the second was not asked."""
    plan, progress = session.plan, session.progress
    timed = progress.timed
    if index == 0 or timed is None or progress.timed_to == timed:
        return None
    stage = plan.steps[index].stage if index < len(plan.steps) else None
    if timed[0] == stage and timed[1] < round_at(plan, progress, index) and plan.steps[index].kind == "recheck":
        return plan.run_of[index][1]  # all of them are rechecked once more
    last = index - 1
    if len(progress.frames) > 1 or timed != (plan.steps[last].stage, round_at(plan, progress, last)):
        return None
    if not plan.stage_of(plan.steps[last]).at_each:
        return None
    here = (plan.steps[last].stage, plan.steps[last].round)
    return last if all((step.stage, step.round) != here for step in plan.steps[index:]) else None


def _noticed(session: Session, item: ask.StartSheet) -> ask.StartSheet:
    """The first item of the start sheet says what the tools of the book cannot do, before anybody touches a bolt."""
    if session.progress.items or not session.tools_known or session.plan.late:
        return item
    if session.unread is not None:
        return replace(item, notices=(f"The tools cannot be read ({session.unread}).",))
    from clampbook.run.in_hand.outlook import notices  # the ranking of tools waits until one is asked for

    return replace(item, notices=notices(session.plan, session.stock, session.today))


def _inserted(session: Session) -> ask.Prompt:
    """Work that is no step of the plan: loosening, looking, renewing before a position is taken from the beginning."""
    plan, progress = session.plan, session.progress
    work = progress.frames[-1].prologue[0]
    index = min(at_hand(progress), len(plan.steps) - 1)
    place = replace(
        where(plan, progress, index, work.position), note=None, manual=None
    )  # those are of the step at hand
    match work.work:
        case "loosen":
            return ask.Loosen(place, work.position, work=True)
        case "let down":
            return ask.Loosen(place, work.position, work=True, let_down=True)
        case "inspect":
            group = plan.group_of[work.position]
            question = "thread, seat and hole clean and undamaged, fastener good to use again?"
            if group.fastener == "use again if measured":
                question = "fastener measured and within its limit, thread, seat and hole clean and undamaged?"
            elif group.fastener == "new every time":  # it is in its first use, and has none again
                question = "thread, seat, hole and fastener clean and undamaged?"
        case "stub out":
            question = "old one out, thread and hole undamaged?"
        case "new fastener":
            nut = kind_of_fastener(plan, (work.position,)) == "nut"  # it has no length that could be wrong
            question = f"new fastener of the right {'thread' if nut else 'length'} and class fitted by hand?"
        case "settle":
            question = "new consumables fitted, faces clean, parts seated?"
        case "look back":
            question = f"is it as {_who_left(session, work.position)}?"
        case _:
            assert_never(work.work)
    return ask.Inspect(place, question, "yes", work=work.work, position=work.position)


def _who_left(session: Session, position: str) -> str:
    """ "you left it", or the name of the person who laid hands on this position last."""
    progress = session.progress
    left_by = standing(progress, position).left_by
    if left_by is None:
        return "it was left"
    if left_by == (progress.hands or progress.by):
        return "you left it"
    return f"{next((one.name for one in session.people if one.id == left_by), left_by)} left it"


def _at_the_end(session: Session) -> ask.Prompt:
    plan, progress = session.plan, session.progress
    zero = zero_after(session)
    if zero is not None:
        return zero
    item = next_item(plan, progress, at_end=True) if not progress.not_accepted else None
    if item is not None:
        return item
    for held in () if plan.late else in_hand(progress):
        return ask.ReturnTool(held.tool, held.tool.wound_down)
    if not progress.not_accepted:
        role = next_sign_off(plan, progress, session.people)
        if role is not None:
            return role
    outcome = "trial" if plan.trial else ("accepted" if by_concession(progress) else "done")
    if progress.not_accepted:
        return ask.Finished("not accepted", progress.deviations, plan.late)
    return ask.Finished(outcome, progress.deviations, plan.late)  # type: ignore[arg-type]


def _step(session: Session, index: int) -> ask.Prompt:
    """A plan step: what stands before it first, then the step itself."""
    before = _before(session, index)
    if before is not None:
        return before
    stage = session.plan.stage_of(session.plan.steps[index])
    return kinds.of(stage).ask(session, index, stage)


def prompt_at(session: Session, index: int) -> ask.Prompt:
    """The prompt as it would be if this plan step (from 0) were at hand; for a pull that was made out of turn."""
    return _step(session, index)


def _before(session: Session, index: int) -> ask.Prompt | None:
    """Give what must be settled before a step: a gate met again, a caution, a used-up budget, a time limit."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    top = progress.frames[-1]
    if step.position is None and len(progress.frames) > 1 and index < top.gates_from and top.cleared < index:
        cause: Why = "again at a gate" if last_point(plan, progress, index) == index else MEASURED_BEFORE
        return decision.ask(plan, progress, Question(cause=cause, about=0, step=index))
    stage = plan.stage_of(step)
    item = f"caution:{step.stage}"
    if stage.caution and item not in progress.items:
        return ask.Confirm(where(plan, progress, index), cautions=(stage.caution,), item=item)
    to_draw = to_be_drawn(plan, progress, index)
    if to_draw is not None:
        return sample.ask(session, index, stage, to_draw)
    if step.position is None or progress.found == FINISHED:
        return None
    if plan.late:
        return _spent(session, index, stage) or _too_late(session, index, stage)
    state = standing(progress, step.position)
    about = (step.position,)
    if isinstance(stage, Tighten | Turn | Recheck) and (over := state.fastener.over) is not None:
        told = Question(
            cause="over", about=over.line, step=index, positions=about, found=over.found, judged=over.judged
        )
        return decision.ask(plan, progress, told)
    if (spent := _spent(session, index, stage)) is not None:
        return spent
    if isinstance(stage, Turn) and not seated(state.fastener):
        return decision.ask(plan, progress, Question(cause=NOT_SNUG, about=0, step=index, positions=about))
    return _too_late(session, index, stage)


def _spent(session: Session, index: int, stage: Stage) -> ask.Decide | None:
    """All tightenings that a fastener may have are spent."""
    plan, progress = session.plan, session.progress
    position = plan.steps[index].position or ""
    state = standing(progress, position)
    backed_off = isinstance(stage, Recheck) and stage.back_off is not None and state.awaiting is None
    if not (isinstance(stage, Tighten | Turn) or backed_off):
        return None
    if not budget_used_up(plan, progress, position, backed_off=backed_off):
        return None
    found = f"{state.tightenings} tightening{'s' * (state.tightenings != 1)}"
    budget = Question(cause="budget used up", about=0, step=index, positions=(position,), found=found)
    return decision.ask(plan, progress, budget)


def _too_late(session: Session, index: int, stage: Stage) -> ask.Decide | None:
    """The time that sealant or locker allows is over."""
    plan, progress = session.plan, session.progress
    position = plan.steps[index].position or ""
    late = limit_run_out(session, standing(progress, position), plan.steps[index])
    if not (isinstance(stage, Tighten | Turn) and late):
        return None
    return decision.ask(plan, progress, Question(cause="limit run out", about=0, step=index, positions=(position,)))


def limit_run_out(session: Session, state: Standing, step: Step) -> bool:
    """True where the time from applying sealant or locker to the last pull is over, when the prompt is painted."""
    found = due(session, state, step)
    return found is not None and found.left is not None and found.left < 0
