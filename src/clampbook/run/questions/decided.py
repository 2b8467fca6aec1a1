"""The effect of a decision: start over by scope, accept by concession, go back, go on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from msgspec.structs import replace

from clampbook.procedure.model import Align, Turn
from clampbook.run import events as e
from clampbook.run.fold.acts import LEFT_BLANK, UNKNOWN, Act
from clampbook.run.fold.adjusting import ADJUST, adjust, counted, gone_back, loop_at
from clampbook.run.fold.again import (
    all_points_again,
    do_again,
    go_back,
    last_point,
    revisit,
    revisit_gate,
    start_over,
    take_up_aside,
)
from clampbook.run.fold.counts import held_against, item_at
from clampbook.run.fold.fastener import NOT_SNUG, accepted, snugged
from clampbook.run.fold.frames import advance, at_hand, finish_work, pass_gate
from clampbook.run.fold.line import Line
from clampbook.run.fold.passes import begin_pass, close_pass
from clampbook.run.fold.pulls import (
    ANOTHER_WASHER,
    NOT_ALIGNED,
    OUT_OF_TURN,
    PREVAILING_CAUSES,
    THIRD_UNDER,
    ends_in_a_torque,
    settle,
)
from clampbook.run.fold.trouble import zero_is_borne
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import (
    LOOKING_BACK,
    MEASURED_BEFORE,
    OF_PARTS,
    TOO_FEW,
    Frame,
    Pass,
    Progress,
    Question,
    Work,
    standing,
)
from clampbook.run.questions import on_paper
from clampbook.run.told.marks import marked
from clampbook.run.told.places import bolt_at
from clampbook.text import started

# what a concession about one of these accepts is not how tight the fastener is
_BESIDE_ITS_PULL = frozenset({"budget used up", *PREVAILING_CAUSES.values()})
_OF_A_TURN = ("over", "mark lost")  # found at the turn itself, before its last torque is read
_NOT_THE_METAL = frozenset({"budget used up", "skipped", *PREVAILING_CAUSES.values()})


def fold(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    """Carry out what was decided; the question it answers is closed."""
    question, progress = _take(progress, event)
    if event.choice == "concession":
        progress = _remembered(plan, progress, event, question)
    progress = replace(progress, found=None)
    match event.choice:
        case "from the beginning" | "new fastener" | "another washer":
            return _from_the_beginning(plan, progress, event, question)
        case on_paper.NOTHING_WRITTEN:
            return close_pass(plan, _left(plan, progress, event, question), event.seq, _index(plan, event))
        case "leave" if event.cause == MEASURED_BEFORE:
            return _all_points_left(plan, progress, _index(plan, event))
        case "concession" | "leave" | "go on early":
            return close_pass(plan, _accepted(plan, progress, event, question), event.seq, _index(plan, event))
        case "pull again" if event.cause == THIRD_UNDER:
            return advance(plan, progress)
        case "pull again":
            return _pull_again(plan, progress, event)
        case "another tool" if event.cause == NOT_ALIGNED:
            return _read_at_the_slot(plan, progress, event)
        case "another tool" if event.cause == THIRD_UNDER:
            held = progress.hand.get(progress.last_reading[0]) if progress.last_reading is not None else None
            return put_away(progress, held.tool.name if held is not None else None)
        case "adjust":
            return _adjusted(plan, progress, event)
        case "go back":
            return _gone_back(plan, progress, event)
        case "do it now":
            return take_up_aside(plan, progress, event.position or "")
        case "do again":
            everywhere = event.cause == MEASURED_BEFORE
            return do_again(plan, progress, progress.frames[-1].next, all_points=everywhere)
        case "one more pass":
            return _one_more_pass(plan, progress, event)
        case "another tool":
            return put_away(progress, question.found if question else None)
        case "ask again":
            return replace(progress, items=progress.items.discard(item_at(progress, event.about)))
        case "go on" | "explain" if event.cause in OF_PARTS:
            told = replace(progress, deviations=progress.deviations + 1)
            name = item_at(progress, event.about).partition(":")[2]
            return held_against(plan, told, name) if event.cause == TOO_FEW else told
        case "go on":
            return _go_on(plan, progress, event, question)
        case "the whole joint again":
            return replace(progress, not_accepted=True, frames=(_at_the_end(plan, progress),), questions=())
        case "measure again" if plan.steps[_index(plan, event)].position is None:
            return revisit_gate(plan, progress, _index(plan, event))
        case "measure all points again":
            return all_points_again(plan, progress, _index(plan, event))
        case _:  # measure again, look again, zero again: the prompt below is simply asked again
            return advance(plan, progress)


def _all_points_left(plan: Plan, progress: Progress, first: int) -> Progress:
    """A measurement that is met again stays as it was at every point."""
    for index in range(first, last_point(plan, progress, first) + 1):
        if progress.frames[-1].next == index:
            progress = pass_gate(plan, progress)
    return progress


def _adjusted(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    loop = loop_at(plan, progress, _index(plan, event), event.position)
    return advance(plan, progress) if loop is None else adjust(plan, progress, loop)


def _gone_back(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    stage, index = event.back_to or 1, _index(plan, event)
    loop = gone_back(plan, progress, index, event.position, stage)
    return go_back(plan, progress if loop is None else counted(progress, loop), stage, index)


def _index(plan: Plan, event: e.Decided) -> int:
    return plan.index_of[event.step] if event.step else 0


def _take(progress: Progress, event: e.Decided) -> tuple[Question | None, Progress]:
    """The open question that the event answers, and the state without it; derived questions are not in the list."""
    for place in range(len(progress.questions) - 1, -1, -1):
        question = progress.questions[place]
        if question.about == event.about and question.cause == event.cause:
            rest = progress.questions[:place] + progress.questions[place + 1 :]
            return question, replace(progress, questions=rest)
    return None, replace(progress, deviations=progress.deviations + 1)


def _positions(event: e.Decided, question: Question | None) -> tuple[str, ...]:
    """The positions that were decided about."""
    return question.positions if question else ((event.position,) if event.position else ())


def _remembered(plan: Plan, progress: Progress, event: e.Decided, question: Question | None) -> Progress:
    """A concession stays with its positions whatever is pulled later, until they are taken from the beginning; one
    about the fastener itself accepts it as it is, over or not. One about no position stays with its step."""
    positions, about, index = progress.positions, _positions(event, question), _index(plan, event)
    if event.step is not None and plan.group_of.keys().isdisjoint(about):
        progress = replace(progress, conceded=progress.conceded | {event.step})
    for position in about:
        if position in plan.group_of:
            state = standing(progress, position)
            fastener = state.fastener if event.cause in _NOT_THE_METAL else accepted(state.fastener, event.seq)
            first = index if state.conceded_at is None else min(index, state.conceded_at)
            positions = positions.insert(position, replace(state, conceded_at=first, fastener=fastener))
    return replace(progress, positions=positions)


def members(plan: Plan, position: str, scope: str | None) -> tuple[str, ...]:
    """The positions of a scope around one position."""
    group = plan.group_of.get(position)
    if group is None or scope in (None, "fastener"):
        return (position,)
    if scope == "neighbours":
        return (position, *group.neighbours.get(position, ()))
    if scope == "group":
        return group.order
    joint = plan.joint_of.get(position)
    there = plan.groups if joint is None else (plan.group_named[name] for name in joint.groups)
    return tuple(each for one in there for each in one.order)


def _from_the_beginning(plan: Plan, progress: Progress, event: e.Decided, question: Question | None) -> Progress:
    top = progress.frames[-1]
    if question is not None and _in_prologue(progress, event, question.positions):
        fitted = (Work("new fastener", top.prologue[0].position), *top.prologue[1:])
        return replace(progress, frames=(*progress.frames[:-1], replace(top, prologue=fitted)))
    named: Iterable[str] = question.positions if question and question.positions else (event.position or "",)
    named = tuple(position for position in named if position in plan.group_of)
    chosen = dict.fromkeys(each for position in named for each in members(plan, position, event.scope))
    renew = set(named) if event.choice == "new fastener" else set()
    return start_over(
        plan,
        progress,
        chosen,
        _index(plan, event),
        renew=frozenset(renew),
        joint=event.scope == "joint",
    )


def _accepted(plan: Plan, progress: Progress, event: e.Decided, question: Question | None) -> Progress:
    """Stays as it is, by concession or with a reason: the step counts as finished."""
    index = _index(plan, event)
    step = plan.steps[index]
    positions = _positions(event, question)
    if event.cause == "budget used up":
        return _waive(plan, progress, positions, budget=True)
    if _in_prologue(progress, event, positions):
        return finish_work(plan, progress)
    if event.cause == "over" and question is None:  # asked before a later step, which is still to be done
        return advance(plan, progress)
    if event.cause in PREVAILING_CAUSES.values():  # the nut is accepted; its pull is still to be made
        return advance(plan, progress)
    if event.cause == "skipped":
        return _aside_accepted(plan, progress, positions, index)
    if event.cause in OUT_OF_TURN:
        return _out_of_turn_accepted(plan, progress, positions, index)
    for position in positions:
        if position in plan.group_of:
            conceded = replace(standing(progress, position), outcome="concession", awaiting=None)
            progress = replace(progress, positions=progress.positions.insert(position, conceded))
    if step.position is None:
        top = progress.frames[-1]
        passed = pass_gate(plan, progress) if top.next == index and not top.prologue else advance(plan, progress)
        return replace(passed, conceded=progress.conceded)
    if event.cause in ("not as I left it", "still moving"):
        return advance(plan, progress)
    state = standing(progress, step.position)
    if event.cause == "over" and isinstance(plan.stage_of(step), Align):  # what locks it is still to be fitted
        return settle(plan, progress, index, replace(state, awaiting="lock"), state.outcome, finished=False)
    return settle(plan, progress, index, state, "concession" if step.position in positions else state.outcome)


def _left(plan: Plan, progress: Progress, event: e.Decided, question: Question | None) -> Progress:
    """Nothing about it stands on the form: it stays as it is, accepted by nobody, and the next row comes."""
    index, positions = _index(plan, event), _positions(event, question)
    if event.cause in OF_PARTS:
        told = replace(progress, deviations=progress.deviations + 1)
        name = item_at(progress, event.about).partition(":")[2]
        return held_against(plan, told, name) if event.cause == TOO_FEW else told
    if event.cause == "skipped":
        return _aside_left(plan, progress, positions, index)
    if event.cause == "limit run out":
        return _waive(plan, progress, positions, budget=False)
    if event.cause in _BESIDE_ITS_PULL or _in_prologue(progress, event, positions):
        return _accepted(plan, progress, event, question)
    step = plan.steps[index]
    if step.position is None:
        top = progress.frames[-1]
        return pass_gate(plan, progress) if top.next == index and not top.prologue else advance(plan, progress)
    state = standing(progress, step.position)
    if event.cause in OUT_OF_TURN or state.through >= index:
        return advance(plan, progress)
    if event.cause == "over" and isinstance(plan.stage_of(step), Align):  # what locks it stands there as well
        return settle(plan, progress, index, replace(state, awaiting="lock"), state.outcome, finished=False)
    if event.cause in _OF_A_TURN and ends_in_a_torque(plan, index):  # the form has its own place for it
        awaiting = replace(state, awaiting="final torque")
        return settle(plan, progress, index, awaiting, state.outcome or "unknown", finished=False)
    return settle(plan, progress, index, state, state.outcome or "unknown")


def _aside_left(plan: Plan, progress: Progress, positions: Iterable[str], index: int) -> Progress:
    """All that was skipped stays undone at this step."""
    for position in positions:
        state = standing(progress, position)
        state = replace(state, outcome="skipped", awaiting=None, through=max(state.through, index))
        kept = replace(progress, positions=progress.positions.insert(position, state))
        progress = take_up_aside(plan, kept, position)
    return progress


def _out_of_turn_accepted(plan: Plan, progress: Progress, positions: Iterable[str], index: int) -> Progress:
    """A pull on another position stays as it is, and each step that its fastener has ahead is done all the same. Only a
    turn cannot be made twice: the next one counts as this, and the torque at its end is still read."""
    stage = plan.stage_of(plan.steps[index])
    for position in positions:
        state = replace(standing(progress, position), outcome="concession")
        if not isinstance(stage, Turn) or index <= state.through:
            progress = replace(progress, positions=progress.positions.insert(position, state))
        elif ends_in_a_torque(plan, index):
            state = replace(state, awaiting="final torque")
            progress = settle(plan, progress, index, state, "concession", finished=False)
        else:
            progress = settle(plan, progress, index, state, "concession")
    return advance(plan, progress)


def _aside_accepted(plan: Plan, progress: Progress, positions: Iterable[str], index: int) -> Progress:
    """Leave what was skipped undone at this step; what the position has left in its section is done now."""
    for position in positions:
        state = standing(progress, position)
        state = replace(state, outcome="concession", awaiting=None, through=max(state.through, index))
        kept = replace(progress, positions=progress.positions.insert(position, state))
        progress = take_up_aside(plan, kept, position)
    return progress


def _in_prologue(progress: Progress, event: e.Decided, positions: tuple[str, ...]) -> bool:
    """True where the question came from inserted work, such as an inspection before starting over."""
    top = progress.frames[-1]
    inserted = bool(top.prologue) and top.reason != LOOKING_BACK
    return event.cause == "not as expected" and inserted and (top.prologue[0].position,) == positions


def _waive(plan: Plan, progress: Progress, positions: Iterable[str], *, budget: bool) -> Progress:
    for position in positions:
        state = standing(progress, position)
        state = replace(state, budget_waived=True) if budget else replace(state, limit_waived=True)
        progress = replace(progress, positions=progress.positions.insert(position, state))
    return advance(plan, progress)


def _pull_again(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    if event.position is None:
        return advance(plan, progress)
    return revisit(plan, progress, event.position, _index(plan, event), "pulled again after a bad pull")


def _read_at_the_slot(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    """A nut is turned on once more, with a tool that shows how far its limit is."""
    if event.position is None:
        return advance(plan, progress)
    state = replace(standing(progress, event.position), awaiting="tool that reads")
    return settle(plan, progress, _index(plan, event), state, state.outcome, finished=False)


def _one_more_pass(plan: Plan, progress: Progress, event: e.Decided) -> Progress:
    ends = plan.run_of[_index(plan, event)]
    current = progress.passes.get(ends[0]) or Pass()
    return begin_pass(plan, progress, replace(current, allowed=current.allowed + 1), ends)


def put_away(progress: Progress, name: str | None) -> Progress:
    """The tool of this name no longer serves; another one is asked for."""
    using = progress.using
    for need, tool in progress.using.items():
        held = progress.hand.get(tool)
        if held is not None and held.tool.name == name:
            using = using.remove(need)
    return replace(progress, using=using)


def _go_on(plan: Plan, progress: Progress, event: e.Decided, question: Question | None) -> Progress:
    """Go on with a reason: after a time limit, from where somebody says it is snug, with a tool whose zero is not
    good."""
    if event.cause == "limit run out" and event.position is not None:
        return _waive(plan, progress, (event.position,), budget=False)
    if event.cause == NOT_SNUG and event.position is not None:
        return advance(plan, _taken_as_snug(progress, event.position))
    hand = progress.hand
    for name, held in progress.hand.items():
        if question is not None and held.tool.name == question.found:
            hand = hand.insert(name, replace(held, zeroed=True))
            progress = zero_is_borne(progress, name, event.reason or "")
    return advance(plan, replace(progress, hand=hand))


def _taken_as_snug(progress: Progress, position: str) -> Progress:
    """A fastener that no step of the sheet pulled is snug, by somebody's word; that is one more tightening."""
    state = standing(progress, position)
    snug = replace(state, fastener=snugged(state.fastener), tightenings=state.tightenings + 1)
    return replace(progress, positions=progress.positions.insert(position, snug))


def _at_the_end(plan: Plan, progress: Progress) -> Frame:
    return replace(progress.frames[0], next=len(plan.steps))


def acts(line: Line, event: e.Decided) -> tuple[Act, ...]:
    """A decision, at each position that it is about; parts that are counted are no work on the joint."""
    if event.cause in OF_PARTS:
        return ()
    here = event.step or line.plan.steps[min(at_hand(line.before), len(line.plan.steps) - 1)].id
    asked = next(
        (each for each in reversed(line.before.questions) if (each.about, each.cause) == (event.about, event.cause)),
        None,
    )
    named = asked.positions if asked is not None and asked.positions else (event.position,)
    more: dict[str, Any] = {"about": event.about or None, "method": event.cause, "work": event.step is None}
    if event.choice == on_paper.NOTHING_WRITTEN and event.cause == "skipped":  # nobody says that it was done later
        return tuple(line.act(LEFT_BLANK, here, UNKNOWN, position=each) for each in named)
    return tuple(line.act("decision", here, event.choice, position=each, **more) for each in named)


_WORDS = {
    on_paper.NOTHING_WRITTEN: "Nothing about it on the form",
    "from the beginning": "Start over",
    "new fastener": "Start over with a new one",
    ANOTHER_WASHER: "Start over with another washer",
    "go on": "Go on",
    "go on early": "Go on early",
    "leave": "Left as it is",
    "explain": "Difference explained",
    "ask again": "Asked again",
    "one more pass": "Recheck all once more",
    "the whole joint again": "Redo the joint",
    "another tool": "Use another tool",
}
_DONE = {  # the same where a form says that it was done
    "from the beginning": "Started over",
    "new fastener": "Started over with a new one",
    ANOTHER_WASHER: "Started over with another washer",
    "go on": "Went on",
    "one more pass": "All rechecked once more",
    "the whole joint again": "Joint redone",
    "another tool": "Another tool used",
}
_STARTS_OVER = {
    "neighbours": " Its neighbours start over too.",
    "group": " The whole group starts over.",
    "joint": " The whole joint starts over.",
}


def tell(event: e.Decided, plan: Plan, tools: Tools) -> str:
    """Tell what was decided, and whom it reaches: what starts over beside the position that was asked about."""
    del tools
    word = _WORDS.get(event.choice, started(event.choice))
    if plan.late:
        word = _DONE.get(event.choice, word)
    if event.choice == "concession":
        word = started(marked("concession"))
    if event.back_to is not None:
        back_to = plan.numbered[event.back_to]
        word = f"Back to stage {back_to}"
        if event.time is not None:
            adjusting = f"Adjusting, time {event.time}, from stage {back_to}"
            word = adjusting if event.choice == ADJUST else f"{word}, adjusting for time {event.time}"
    about = (bolt_at(event.position, plan),) if event.position else ()
    by = (event.person.name,) if event.person is not None and event.choice == "concession" else ()
    named = ", ".join((*about, *by))
    reach = "" if plan.late else _STARTS_OVER.get(event.scope or "", "")
    return f"{word}{f': {named}' if named else ''}.{reach}"
