"""The place of a prompt in the work, and how that is named: position, round, set, point, and which way it goes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from clampbook.procedure.model import Group, Measure
from clampbook.procedure.naming import joint_key, own
from clampbook.procedure.naming import within_a_sentence as within_a_sentence
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import LOOKING_BACK, Frame, Progress, Standing, standing
from clampbook.run.prompts import Where
from clampbook.run.told.clamp_loads import planned
from clampbook.run.told.lengths import kind
from clampbook.text import started
from clampbook.tools.aim import Direction, tightening

LEFT_HAND = " (left-hand)"
_LEAST_RUN = 3  # positions that follow each other; two are named as quickly as a range of them


def named(positions: Sequence[str]) -> str:
    """Positions in the order in which they come: "1, 9, 5, 13"; only what counts up by one is a range: "1–4, 9". Those
    of one joint alone are named as its drawing has them."""
    runs: list[list[str]] = []
    for position in at_one_joint(positions):
        if runs and _follows(runs[-1][-1], position):
            runs[-1].append(position)
        else:
            runs.append([position])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) >= _LEAST_RUN else ", ".join(run) for run in runs)


def at_one_joint(positions: Sequence[str]) -> tuple[str, ...]:
    """Positions of one joint by its drawing's labels; those of several joints keep what tells them apart."""
    return tuple(map(own, positions)) if len(set(map(joint_key, positions))) == 1 else tuple(positions)


def _follows(before: str, position: str) -> bool:
    both = before.isdecimal() and position.isdecimal()
    return both and int(position) == int(before) + 1


def where(plan: Plan, progress: Progress, index: int, position: str | None = None) -> Where:
    """The place of a plan step (from 0); `position` is another one than the step's where work is inserted for it."""
    step = plan.steps[min(index, len(plan.steps) - 1)]
    stage = plan.stage_of(step)
    top = _told_of(progress, position)
    inserted = top is not progress.frames[0]
    who = position if position is not None else step.position
    group = plan.group_of.get(who) if who else None
    joint = plan.joint_at(who, step.stage)
    return Where(
        number=step.number,
        of=len(plan.steps),
        id=step.id,
        stage=step.stage,
        round=step.round,
        rounds=getattr(stage, "rounds", 1),
        group=step.group if position is None else (group.name if group else None),
        position=who,
        set=step.set,
        point=step.point if position in (None, step.position) else None,
        again=(min(top.done + 1, max(top.total, top.done + 1)), max(top.total, top.done + 1)) if inserted else None,
        reason=top.reason if inserted else None,
        attempt=standing(progress, who).attempt if who else 1,
        on_form=plan.late,
        begun_again=_begun_again(standing(progress, who)) if who else 0,
        one=group.one if group else None,
        manual=stage.manual,
        note=stage.note,
        fits=group.fits_at(who) if group and who else None,
        kind=kind(group, who) if group and who else "",
        left_hand=_left_hand(plan, step.group, group),
        joint=None if joint is None else joint.name,
        numbered=plan.numbered[step.stage],
        estimate=planned(plan, step) if position is None else None,
        drawn=_drawn(progress, step) if position is None else None,
        left_before=tuple(how for how, positions in progress.left_before.items() if who in positions),
    )


def _drawn(progress: Progress, step: Step) -> tuple[int, int, int] | None:
    """The size of the sample that a step belongs to, of how many positions, and how many of it were added."""
    sample = progress.samples.get(step.stage)
    if sample is None or step.position not in sample.chosen:
        return None
    return sample.size, len(sample.order), sample.added


def _told_of(progress: Progress, position: str | None) -> Frame:
    """The frame that a question belongs to: a look back has only what is asked of the position looked at; what else is
    asked meanwhile, such as how the step at hand was left, is none of the looks."""
    top = progress.frames[-1]
    if top.reason != LOOKING_BACK or any(work.position == position for work in top.prologue[:1]):
        return top
    return next(frame for frame in reversed(progress.frames) if frame.reason != LOOKING_BACK)


def _begun_again(state: Standing) -> int:
    return state.attempt - state.began_with


def fasteners(plan: Plan) -> dict[str, str]:
    """Say what belongs at each label of the drawing: of a group that does not say it the group's name, so that no mark
    on a map means what another group takes; nothing where no group says it."""
    found = {position: group.fits_at(position) for position, group in plan.group_of.items()}
    if not any(found.values()):
        return {}
    return {own(position): fits or plan.group_of[position].name for position, fits in found.items()}


def bolt(where: Where) -> str:
    """The bolt at hand, at its measuring point where it has one: "Head bolt 6 at front"."""
    return bolt_named(where.group, where.position or "", where.one) + (f" at {where.point}" if where.point else "")


def pulled_at(where: Where) -> str:
    """The same of a bolt that is turned, with what its thread wants minded: "Head bolt 12 (left-hand)"."""
    return bolt(where) + (LEFT_HAND if where.left_hand else "")


def bolt_named(group: str | None, position: str, one: str | None = None) -> str:
    """A position by what its group calls `one` of it, else by its name in the singular: "Head bolt 6"; a name without
    a plural stays, "Row A: 6".
    """
    single = _one_of(group or "Positions", one)
    return f"{group}: {own(position)}" if single is None else f"{single} {own(position)}"


def _one_of(group: str, one: str | None) -> str | None:
    """Name one of a group: as it says itself, else its name in the singular; None for a name without a plural."""
    if one is not None:
        return one
    return group.removesuffix("s") if group.endswith("s") else None


def kind_of_fastener(plan: Plan, positions: Iterable[str]) -> str:
    """The last word of what their group calls one of these: "nut" for hub nuts; where groups say different things, or
    nothing, "fastener"."""
    groups = (plan.group_of[each] for each in positions)
    said = {(_one_of(group.name, group.one) or "fastener").split()[-1] for group in groups}
    return within_a_sentence(said.pop()) if len(said) == 1 else "fastener"


def briefly(where: Where) -> Where:
    """The same place, with its bolt called by the last word of its name: "Bolt 6" for "Head bolt 6". No other group has
    a position 6; one of several joints is named too, "Injector 2 bolt 6". A name without a plural stays."""
    words = (_one_of(where.group or "", where.one) or "").split()
    if not words:
        return where
    return replace(where, one=started(words[-1]) if where.joint is None else f"{where.joint} {words[-1]}")


def bolts_named(group: str | None, positions: Sequence[str], one: str | None = None) -> str:
    """Several positions of a group: "Head bolts 1 to 4"; one alone is named as a bolt is."""
    return bolt_named(group, positions[0], one) if len(positions) == 1 else f"{_several(group)} {in_words(positions)}"


def bolts_in_order(group: str | None, positions: Sequence[str]) -> str:
    """Several positions that are pulled one after the other, each named: "Head bolts 1, 2, 3"."""
    return f"{_several(group)} {', '.join(at_one_joint(positions))}".strip()


def _several(group: str | None) -> str:
    """The name of a group before its positions; one without a plural is set off from them: "Row A:"."""
    name = group or "Positions"
    return name if name.endswith("s") else f"{name}:"


def in_words(positions: Sequence[str]) -> str:
    """Positions for a sentence: "1, 9, 5" in their order, "1 to 4, 9" where they follow each other."""
    return named(positions).replace("–", " to ")


def place(where: Where) -> str:
    """Name the place in the work: "Head bolt 3 (left-hand)", for a gate its point, set or stage."""
    if where.position is not None:
        return pulled_at(where)
    if where.point is not None:
        return started(where.point) if where.joint is None else f"{where.joint} at {where.point}"
    if where.set is not None:
        return started(where.set)
    return f"Stage {where.stage_told}" if where.joint is None else where.joint


def way(direction: Direction, where: Where) -> str:
    """Say which way it goes, in front of a blank; said only where that is not what the hand does by itself."""
    return f" {direction}" if where.left_hand else ""


def position_of(step: str | None, plan: Plan) -> str:
    """The bolt of a step within a sentence, "head bolt 3 at front"; for a gate its set and point, what is measured
    there, or its stage. Of several joints, a point is told with what is measured, which names the joint.
    """
    place = plan.index_of.get(step) if step is not None else None
    if place is None:
        return "the run"
    found = plan.steps[place]
    at = found.set if found.position is None else _bolt_in(plan.group_named.get(found.group or ""), found.position)
    stage = plan.stage_of(found)
    what = within_a_sentence(stage.what) if isinstance(stage, Measure) else None
    if at is None and (found.point is None or found.stage in plan.joint_of_stage):
        at = what
    return " at ".join(part for part in (at, found.point) if part) or stage_at(plan, found.stage)


def stage_at(plan: Plan, number: int) -> str:
    """A stage by the number that its file gives it, and of several joints by its joint: "stage 2, injector 3"."""
    joint = plan.joint_of_stage.get(number)
    return f"stage {plan.numbered[number]}" + ("" if joint is None else f", {within_a_sentence(joint.name)}")


def bolt_at(position: str, plan: Plan) -> str:
    """A bolt within a sentence by its position alone: "head bolt 3"."""
    return _bolt_in(plan.group_of.get(position), position)


def _bolt_in(group: Group | None, position: str) -> str:
    named = bolt_named(None, position) if group is None else bolt_named(group.name, position, group.one)
    return within_a_sentence(named)


def tightened(where: Where) -> str:
    """Say which way it is tightened, in front of a blank."""
    return way(tightening(where.left_hand), where)


def _left_hand(plan: Plan, named: str | None, of_position: Group | None) -> bool:
    """True where the fasteners here have left-hand threads."""
    group = of_position if of_position is not None else plan.group_named.get(named or "")
    return group is not None and group.left_hand
