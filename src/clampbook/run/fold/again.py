"""Work that is done again: from the beginning, back to a stage, one step, what was skipped, another round."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from clampbook.run.fold.fastener import NOT_KNOWN, known_loose, let_down, seated
from clampbook.run.fold.frames import advance, at_hand, lay_on, of_set
from clampbook.run.fold.renewal import spent
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import LOOKING_BACK, NO_ONE_POSITION, Frame, Progress, SkippedAt, Standing, Work, standing


def started(progress: Progress, position: str) -> bool:
    """True where anything was done at a position in its present attempt."""
    state = standing(progress, position)
    return seated(state.fastener) or state.through >= 0 or state.latest_step >= 0


def start_over(
    plan: Plan,
    progress: Progress,
    positions: Iterable[str],
    step: int,
    *,
    renew: frozenset[str] = frozenset(),
    joint: bool = False,
) -> Progress:
    """Take positions from the beginning, at once: loosen fully in reverse order, inspect or renew, and again.

    The frame ends with the step it interrupts, and with what any of them had already behind it. Beside those in
    `renew`, whatever may not be tightened again is renewed.
    """
    chosen = [each for each in positions if each in plan.steps_of and (started(progress, each) or each in renew)]
    order = {position: place for place, position in enumerate(_order(plan))}
    chosen.sort(key=lambda position: order[position])
    renew |= {each for each in chosen if spent(plan, progress, each)}
    interrupted = at_hand(progress)
    reached = [standing(progress, position).through for position in chosen]
    owed = [_owed(plan, progress, position) for position in chosen]
    last = max([*reached, *owed, step if step <= interrupted else -1])
    first = _beginning(plan, frozenset(chosen), step)
    gate = plan.steps[interrupted] if interrupted < len(plan.steps) else None
    frame = Frame(
        reason="from the beginning",
        positions=frozenset(chosen),
        first=first,
        last=last,
        next=first,
        interrupts=interrupted,
        gates_from=interrupted if gate is not None and gate.position is None else last + 1,
        prologue=_before_it_begins(plan, progress, chosen, renew, step, joint=joint),
    )
    return advance(plan, lay_on(plan, _begin_again(progress, chosen), frame))


def _before_it_begins(
    plan: Plan, progress: Progress, chosen: list[str], renew: frozenset[str], step: int, *, joint: bool
) -> tuple[Work, ...]:
    """The work before the first pull: loosen what holds, last to first; settle the joint; inspect or renew each. A new
    one takes the place of one that was only measured so far, and so of one that nothing holds."""
    measured = plan.steps[step].kind == "measure"
    loosened = (
        work
        for each in reversed(chosen)
        for work in _taken_off(standing(progress, each), each)
        if not (measured and each in renew and standing(progress, each).fastener == NOT_KNOWN)
    )
    settled = (Work("settle", NO_ONE_POSITION),) if joint else ()
    return (*loosened, *settled, *(Work("new fastener" if each in renew else "inspect", each) for each in chosen))


def _taken_off(state: Standing, position: str) -> Iterator[Work]:
    """Yield the work that frees a fastener before it starts over: of a stub, of a tensioner, of a wrench."""
    fastener = state.fastener
    if fastener.state == "broken":
        yield Work("stub out", position)
        return
    if fastener.tensioned:
        yield Work("let down", position)
    if not known_loose(let_down(fastener) if fastener.tensioned else fastener):
        yield Work("loosen", position)


def _beginning(plan: Plan, chosen: frozenset[str], step: int) -> int:
    """Place of the first step of these positions, or of what is put on for their whole group before it."""
    first = min((plan.steps_of[position][0] for position in chosen), default=step)
    groups = {plan.group_of[position].name for position in chosen}
    for index, each in enumerate(plan.steps[:first]):
        gate = each.kind == "apply" and each.position is None and each.group in groups
        if gate and (each.set is None or of_set(plan, each, chosen)):
            return index
    return first


def _owed(plan: Plan, progress: Progress, position: str) -> int:
    """Place of the last step of a position that the plan has left behind and that no frame will come to; -1 if none."""
    passed = progress.frames[0].next
    coming = [
        frame
        for frame in progress.frames[1:]
        if frame.positions is not None and position in frame.positions and frame.next <= frame.last
    ]
    for index in reversed(plan.steps_of[position]):
        if index < passed and not any(frame.next <= index <= frame.last for frame in coming):
            return index
    return -1


def _order(plan: Plan) -> Iterable[str]:
    for group in plan.groups:
        yield from group.order


def _begin_again(progress: Progress, chosen: Iterable[str]) -> Progress:
    """Positions that are taken from the beginning keep only what was spent on them."""
    positions, skipped = progress.positions, progress.skipped
    taken = frozenset(chosen)
    for position in taken:
        before = standing(progress, position)
        again = Standing(
            attempt=before.attempt + 1,
            began_with=before.began_with,
            outcome="to do again",
            tightenings=before.tightenings,
            fastener=replace(before.fastener, prevailing=None),
            budget_waived=before.budget_waived,
            left_by=before.left_by,
        )
        positions = positions.insert(position, again)
        if position in skipped:
            skipped = skipped.remove(position)
    questions = tuple(each for each in progress.questions if not taken.intersection(each.positions))
    recent = tuple(each for each in progress.recent if each not in taken)
    frames = tuple(_relieved(frame, taken) for frame in progress.frames)
    return replace(progress, positions=positions, skipped=skipped, questions=questions, recent=recent, frames=frames)


def _relieved(frame: Frame, taken: frozenset[str]) -> Frame:
    """A frame without the inserted work of positions that are taken from the beginning once more."""
    left = tuple(work for work in frame.prologue if work.position not in taken)
    fewer = len(frame.prologue) - len(left)
    return replace(frame, prologue=left, total=frame.total - fewer) if fewer else frame


def starting_over(plan: Plan, progress: Progress, stage: int, gate: int) -> tuple[str, ...]:
    """The positions that start over when a gate sends the work back to a stage: what was pulled between the two cannot
    be pulled once more as it stands. In the order in which they are loosened; none where nothing was pulled there."""
    pulled = {
        step.position
        for step in of_the_joint(plan, plan.first_of_stage.get(stage, gate), gate)
        if step.position is not None and step.kind in ("tighten", "turn", "recheck")
    }
    groups = {plan.group_of[position].name for position in pulled}
    members = [each for each in _order(plan) if plan.group_of[each].name in groups and each in plan.steps_of]
    return tuple(each for each in reversed(members) if started(progress, each))


def of_the_joint(plan: Plan, first: int, last: int) -> Iterator[Step]:
    """The steps from one to another, without those of other joints than that of the last one."""
    joint = plan.joint_at(plan.steps[last].position, plan.steps[last].stage)
    for step in plan.steps[first : last + 1]:
        if joint is None or plan.joint_at(step.position, step.stage) in (joint, None):
            yield step


def starts_at(plan: Plan, positions: Iterable[str]) -> int:
    """The stage at which positions begin when they start over."""
    return plan.steps[_beginning(plan, frozenset(positions), 0)].stage


def go_back(plan: Plan, progress: Progress, stage: int, gate: int) -> Progress:
    """Back from a gate to a stage: its groups from the beginning, or just the gates where nothing was pulled."""
    first = plan.first_of_stage.get(stage, gate)
    progress = points_forgotten(plan, progress, first, gate)
    members = starting_over(plan, progress, stage, gate)
    if members:
        before = start_over(plan, progress, members, gate)
        top = replace(before.frames[-1], gates_from=first, reason="back to an earlier stage", interrupts=gate)
        return replace(before, frames=(*before.frames[:-1], top))
    loosened = frozenset(step.position for step in of_the_joint(plan, first, gate) if step.position is not None)
    reset = progress.positions
    for position in loosened:
        state = standing(progress, position)
        reset = reset.insert(position, replace(state, through=min(state.through, first - 1)))
    frame = Frame(
        reason="back to an earlier stage",
        positions=loosened,
        first=first,
        last=gate,
        next=first,
        interrupts=gate,
        gates_from=first,
    )
    return advance(plan, lay_on(plan, replace(progress, positions=reset), frame))


def revisit(plan: Plan, progress: Progress, position: str, step: int, reason: str) -> Progress:
    """An earlier step of a position is open again: it and what follows from it are done at once."""
    state = standing(progress, position)
    progress = replace(
        progress, positions=progress.positions.insert(position, replace(state, through=min(state.through, step - 1)))
    )
    skipped = progress.skipped.get(position)
    if skipped is not None:  # it is done when the position is taken up again, from here on
        earlier = replace(skipped, step=min(skipped.step, step), section=plan.steps[min(skipped.step, step)].section)
        return advance(plan, replace(progress, skipped=progress.skipped.insert(position, earlier)))
    top = next(frame for frame in reversed(progress.frames) if frame.reason != LOOKING_BACK)
    inside = top.positions is None or position in top.positions
    if not top.prologue and inside and top.next <= step <= top.last:
        return advance(plan, progress)
    last = max(step, _owed(plan, progress, position))
    frame = Frame(
        reason=reason,
        positions=frozenset((position,)),
        first=step,
        last=last,
        next=step,
        interrupts=-1,
        gates_from=last + 1,
    )
    return advance(plan, lay_on(plan, progress, frame))


def revisit_gate(plan: Plan, progress: Progress, gate: int) -> Progress:
    """A gate that is already behind is asked again, alone, before anything else; one that is at hand is simply asked
    again."""
    if at_hand(progress) == gate:
        return advance(plan, progress)
    frame = Frame(
        reason="measured again",
        positions=frozenset(),
        first=gate,
        last=gate,
        next=gate,
        interrupts=-1,
        gates_from=gate,
    )
    return advance(plan, lay_on(plan, progress, frame))


def all_points_again(plan: Plan, progress: Progress, last: int) -> Progress:
    """All points of a measurement once more, from the first to the last, whichever of them it was asked about."""
    here = plan.steps[last]
    first = last
    while first > 0 and same_measurement(plan.steps[first - 1], here):
        first -= 1
    while last + 1 < len(plan.steps) and same_measurement(plan.steps[last + 1], here):
        last += 1
    progress = points_forgotten(plan, progress, first, last)
    if here.position is not None:
        return revisit(plan, progress, here.position, first, "all points again")
    top = progress.frames[-1]
    if top.first <= first <= top.next <= last <= top.last and not top.prologue:
        return replace(progress, frames=(*progress.frames[:-1], replace(top, next=first)))
    frame = Frame(
        reason="all points again",
        positions=frozenset(),
        first=first,
        last=last,
        next=first,
        interrupts=-1,
        gates_from=first,
    )
    return advance(plan, lay_on(plan, progress, frame))


def points_forgotten(plan: Plan, progress: Progress, first: int, last: int) -> Progress:
    """Without the values measured in these steps, so that new ones are not judged beside old ones."""
    gates, positions = progress.gates, progress.positions
    for step in of_the_joint(plan, first, last):
        if step.kind != "measure":
            continue
        stage = plan.stage_of(step)
        if step.position is None:
            gates = gates.discard(step.id)
            continue
        state = standing(progress, step.position)
        kept = tuple(each for each in state.measured if not each.name.startswith(f"{stage.id or stage.number}@"))
        positions = positions.insert(step.position, replace(state, measured=kept))
    return replace(progress, gates=gates, positions=positions)


def same_measurement(step: Step, here: Step) -> bool:
    """True where two steps are points of the same measurement."""
    return (step.stage, step.round, step.position, step.set) == (here.stage, here.round, here.position, here.set)


def last_point(plan: Plan, progress: Progress, gate: int) -> int:
    """The last of the points that are asked about with this one where a measurement at a gate is met again: those
    before the place from which gates are simply done. The gate itself where it has no points behind it."""
    here, end, last = plan.steps[gate], progress.frames[-1].gates_from, gate
    while last + 1 < min(end, len(plan.steps)) and here.point and same_measurement(plan.steps[last + 1], here):
        last += 1
    return last


def do_again(plan: Plan, progress: Progress, gate: int, *, all_points: bool) -> Progress:
    """Do once more what was done at a gate, all points of a measurement without what they were before."""
    top, last = progress.frames[-1], last_point(plan, progress, gate) if all_points else gate
    cleared = replace(progress, frames=(*progress.frames[:-1], replace(top, cleared=last)))
    return points_forgotten(plan, cleared, gate, last) if all_points else cleared


def take_up_aside(plan: Plan, progress: Progress, position: str) -> Progress:
    """Take up now what was skipped: its remaining steps of that section."""
    skipped: SkippedAt = progress.skipped[position]
    taken = replace(progress, skipped=progress.skipped.remove(position))
    own = [index for index in plan.steps_of[position] if plan.steps[index].section == skipped.section]
    last = max(*own, _owed(plan, taken, position), skipped.step)
    frame = Frame(
        reason="skipped before",
        positions=frozenset((position,)),
        first=skipped.step,
        last=last,
        next=skipped.step,
        interrupts=-1,
        gates_from=last + 1,
    )
    return advance(plan, lay_on(plan, taken, frame))


def another_pass(plan: Plan, progress: Progress, first: int, last: int) -> Progress:
    """Every position of a recheck's pass once more."""
    positions = progress.positions
    again: set[str] = set()
    for index in range(first, last + 1):
        position = plan.steps[index].position
        if position is not None:
            again.add(position)
            state = standing(progress, position)
            positions = positions.insert(position, replace(state, through=min(state.through, index - 1)))
    frame = Frame(
        reason="another round",
        positions=frozenset(again),
        first=first,
        last=last,
        next=first,
        interrupts=-1,
        gates_from=last + 1,
    )
    return advance(plan, lay_on(plan, replace(progress, positions=positions), frame))
