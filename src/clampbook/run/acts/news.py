"""Lines that nobody answers: a run was opened or resumed, and what the book has heard meanwhile."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from msgspec.structs import replace
from rpds import HashTrieMap

from clampbook.procedure.model import Align, Loosen, Recheck, Tighten, Turn, Unmoved
from clampbook.run import events as e
from clampbook.run.acts.hand_over import vouched
from clampbook.run.fold import trouble
from clampbook.run.fold.acts import Act
from clampbook.run.fold.fastener import AT_THE_START, LOOSE, NOT_KNOWN, Fastener, loosened
from clampbook.run.fold.frames import advance, look_back, pull_at_hand
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import fresh, name_of, zero_again
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, Standing
from clampbook.units import show_day

Written = e.Opened | e.Resumed | e.ToolPassed | e.ProcedureWithdrawn


def fold(plan: Plan, progress: Progress, event: Written) -> Progress:
    """Fold each of them into the state of a run."""
    match event:
        case e.Opened():
            return _opened(plan, progress, event)
        case e.Resumed():
            return _resumed(plan, progress, event)
        case e.ToolPassed():
            return fresh(trouble.passed(progress, event), event.tool)
        case e.ProcedureWithdrawn():
            return replace(progress, withdrawn=True, deviations=progress.deviations + 1)
        case _ as never:
            assert_never(never)


def _opened(plan: Plan, progress: Progress, event: e.Opened) -> Progress:
    earlier: HashTrieMap[str, Standing] = HashTrieMap()
    before = {} if event.of_run is None else event.of_run.positions
    for position in plan.group_of:
        attempt, tightenings = before.get(position, (1, 0))
        fastener = left_by_the_run_before(event.of_run, position) or found_at_the_start(plan, position)
        state = Standing(attempt=attempt, began_with=attempt, tightenings=tightenings, fastener=fastener)
        earlier = earlier.insert(position, state)
    return advance(
        plan,
        replace(
            progress,
            run=event.run,
            by=event.by,
            hands=event.done_by_person.id if event.done_by_person else None,
            done_by=_at_its_head(event) if plan.late else (),
            equipment=event.equipment,
            worked_on=event.equipment,
            positions=earlier,
            follows_up=event.of_run is not None,
            meters_before=event.of_run.meters if event.of_run is not None else (),
            due_after=event.of_run.or_use if event.of_run is not None else None,
            left_before=event.of_run.left_open if event.of_run is not None else {},
            from_paper=plan.late,
            deviations=progress.deviations + (event.despite is not None),
        ),
    )


def _at_its_head(event: e.Opened) -> tuple[str, ...]:
    """Those who stand at “Done by” on a form."""
    named = (event.done_by_person, *(event.also_done_by or ()))
    return tuple(each.id for each in named if each is not None)


def left_by_the_run_before(earlier: e.Earlier | None, position: str) -> Fastener | None:
    """Its state as the run that is followed up left it; None where there is none, or it was no position of that run."""
    if earlier is None or position not in earlier.positions:
        return None
    if position not in earlier.loosened:
        return AT_THE_START
    by = earlier.loosened[position]
    return loosened(AT_THE_START, None if by is None else Decimal(by))


def found_at_the_start(plan: Plan, position: str) -> Fastener:
    """Tell how a sheet finds a fastener: one that begins with loosening or rechecking it finds it tight, one
    that begins with pulling it finds it put in by hand, unless it follows a run; of any other nobody can tell.
    """
    for index in plan.steps_of.get(position, ()):
        stage = plan.stage_of(plan.steps[index])
        if isinstance(stage, Unmoved):
            continue
        match stage:
            case Align() | Loosen() | Recheck():
                return AT_THE_START
            case Tighten():
                return NOT_KNOWN if plan.follow_up is not None else LOOSE
            case Turn():
                return NOT_KNOWN
            case _ as never:
                assert_never(never)
    return NOT_KNOWN


def _resumed(plan: Plan, progress: Progress, event: e.Resumed) -> Progress:
    """The program came back: the step at hand is asked about; after a long gap, what was done last too."""
    new_person = event.person is not None and event.person.id != progress.by
    gap = None if event.gap is None else float(event.gap)
    long = gap is None or event.clock == "implausible" or gap > float(plan.pause_limit)
    progress = replace(progress, stopped=None, stop_reason=None, ask_state=pull_at_hand(plan, progress), found=None)
    if event.person is not None:
        progress = replace(
            progress, by=event.person.id, hands=event.done_by_person.id if event.done_by_person else None
        )
    if long or new_person:
        progress = look_back(plan, zero_again(plan, progress))
    return progress


def acts(line: Line, event: Written) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: Written, plan: Plan, tools: Tools) -> str:
    """By whom, or what is heard."""
    del plan
    match event:
        case e.Opened(run=run, person=person):
            return f"Run {run} started by {person.name}."
        case e.Resumed(person=person):
            return f"Resumed{f' by {person.name}' if person is not None else ''}.{vouched(event.looked)}"
        case e.ToolPassed():
            return f"Passed ●: {name_of(event.tool, tools)}. Its pulls from here on are not in question."
        case e.ProcedureWithdrawn(revision=revision, person=person, withdrawn=at, because=because):
            told = f"{person.name} withdrew revision {revision} of this procedure on {show_day(at)}: {because}"
            return f"{told}. Ask before you go on."
        case _ as never:
            assert_never(never)
