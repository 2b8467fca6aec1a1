"""A paper form of the same steps, to fill in by hand where no laptop can go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from clampbook.figures import show_day
from clampbook.procedure.both_units import both, other_unit
from clampbook.procedure.model import Group, Pulled, Stage, Wait
from clampbook.procedure.naming import own
from clampbook.procedure.unfolding import JointPlanned
from clampbook.record.pages import stage_words
from clampbook.record.pages.blocks import Block, Cell, Form, Heading, Map, Plain, Sentences, Title, beside
from clampbook.record.pages.joint_map import HALF, joint_map
from clampbook.run import kinds
from clampbook.run.fold.counts import counted_new
from clampbook.run.plan import DueLater, Plan, Step
from clampbook.units import convert, show, show_duration, side_by_side

_BOX = "□"
_TOOLS = 5  # rows for tools that are picked up
_LINES = 6  # rows for deviations
_ALL = "all"
_HOW = (
    "Write a number only where the tool showed one. For a click draw a ring (○). A click is not a reading.",
    "Write deviations below, with position and time: a bad pull, a value outside its window, a new fastener.",
)
_VERDICTS = "Over its window: never tighten further, never back off to a lower reading. Decide first."


def blocks(plan: Plan) -> Iterator[Block]:
    """Give what stands on the form, in the order of the work."""
    yield _title(plan)
    yield Form(head=("", ""), widths=(2, 5), rows=(*_asked(plan, "start"), *_all_new(plan)))
    states = {own(step.position): "" for step in plan.steps if step.position is not None}
    small = joint_map(plan.layout, states, room=HALF)
    before, picture = tuple(_before(plan)), tuple(_picture(plan, small or joint_map(plan.layout, states)))
    if before and small is not None:
        yield beside(before, picture)
    else:
        yield from (*before, *picture)
    yield Heading("Tools", "as marked on each, and whether it reads zero")
    head = ("Tool", "Serial number", "Unit", "Calibration due", "Zero before", "Zero after")
    yield Form(head=head, widths=(2, 3, 1, 2, 2, 2), rows=(("",) * len(head),) * _TOOLS)
    yield from _adapters(plan)
    yield Heading("The work", counted_steps(plan))
    yield Sentences((*_HOW, _VERDICTS), quiet=True, sticky=True)
    before_it: JointPlanned | None = None
    for steps in _parts(plan):
        joint = plan.joint_at(steps[0].position, steps[0].stage)
        if joint is not None and joint != before_it and not plan.joints_interleaved:
            yield Heading(joint.name, f"joint {plan.joints.index(joint) + 1} of {len(plan.joints)}")
        before_it = joint
        yield from _part(plan, steps)
    yield from _after(plan)


def _adapters(plan: Plan) -> Iterator[Block]:
    """Give room for what an adapter does to a setting, a row for each that the procedure asks for."""
    wanted = dict.fromkeys(each.through for each in plan.stages if isinstance(each, Pulled) and each.through)
    if not wanted:
        return
    yield Heading("Adapters", "length from drive to the middle of the opening, angle to the tool: 0 is straight on")
    head = ("Adapter", "On tool", "Tool’s lever", "Length", "Angle", "Torque", "Set tool to")
    rows = tuple((each, *("",) * (len(head) - 1)) for each in wanted)
    yield Form(head=head, widths=(3, 1, 2, 2, 1, 2, 2), rows=rows)
    yield Sentences(
        ("Set the tool to: torque × lever ÷ (lever + length × cosine of the angle). At 90°, the torque itself.",)
    )


def counted_steps(plan: Plan) -> str:
    """ "54 steps"."""
    return "1 step" if len(plan.steps) == 1 else f"{len(plan.steps)} steps"


def _title(plan: Plan) -> Title:
    draft = "Withdrawn procedure" if plan.status == "withdrawn" else "Draft procedure"
    notices = [f"{draft}: {plan.not_released}." if plan.not_released else f"{draft}."]
    notices = [] if plan.status == "released" else notices
    notices += ["Trial assembly, not final."] if plan.trial else []
    notices += [f"Compare with the manual again by {show_day(plan.look_again_by)}."] if plan.look_again_by else []
    return Title(
        kind="Paper form, to fill in by hand",
        title=plan.title,
        unit=plan.joint or "",
        outcome=f"Revision {plan.revision}, {plan.status}{f' {plan.released}' if plan.released else ''}",
        ended=plan.source or "",
        notices=tuple(notices),
    )


def _asked(plan: Plan, when: str) -> Iterator[tuple[Cell, ...]]:
    """Ask who and when, then the questions of the procedure and its parts, each with a place for the answer."""
    if when == "start":
        yield "Name, day, time", ""
    for ask in plan.asks:
        if ask.when == when:
            unit = f", {ask.unit}" if ask.unit else ""
            answers = ask.choices or (("yes", "no") if ask.answer == "yes" else ())
            yield f"{ask.name}{unit}", "    ".join(f"{_BOX} {each}" for each in answers)
    for part in plan.parts:
        if when == "start" or part.left_over:
            new = when == "start" and bool(counted_new(plan, part))
            what = "left over" if when == "end" else "count of new ones, they are one-use" if new else part.record
            needed = f", {part.needed} needed" if part.needed and when == "start" else ""
            yield f"{part.name}: {what}{needed}", ""


def _all_new(plan: Plan) -> Iterator[tuple[Cell, ...]]:
    """Ask of each group of one-use fasteners whether all are new, unless they are counted or asked for anyway."""
    for group in plan.asked_new or ():
        yield f"{group}: all new? They are one-use.", f"{_BOX} yes    {_BOX} no"


def _before(plan: Plan) -> Iterator[Plain]:
    """Cautions and preparations, each to be ticked."""
    if plan.cautions:
        yield Heading("Cautions")
        yield Sentences(tuple(f"{_BOX} {line}" for line in plan.cautions))
    for name, (group, *_) in plan.alike.items():
        if group.prepare and plan.follow_up is None:
            yield Heading(f"Prepare: {name}")
            yield Sentences(tuple(f"{_BOX} {line}" for line in group.prepare))


def _picture(plan: Plan, drawn: Map | None) -> Iterator[Plain]:
    if drawn is not None:
        yield Heading("The joint" if not plan.joints else f"Each of the {len(plan.joints)} joints")
        yield drawn
    for name, (group, *_) in plan.alike.items():
        yield Sentences((_fastener(name, group),))


def _fastener(name: str, group: Group) -> str:
    fits = ", ".join(sorted(set(group.fits.values()))) or group.thread
    told = [fits, group.property_class, group.lubrication, f"fasteners: {group.fastener}", _prevailing(group)]
    return f"{name}: {'; '.join(part for part in told if part)}"


def _prevailing(group: Group) -> str:
    """Name what is read before the first pull of a locking nut, and between what it is allowed."""
    wanted = group.prevailing
    if wanted is None:
        return ""
    ends = [
        f"{word} {show(end.value, end.unit)}"
        for word, end in (("at least", wanted.least), ("at most", wanted.most))
        if end is not None
    ]
    return ", ".join(("prevailing torque before each first pull, beside its reading", *ends))


def _parts(plan: Plan) -> Iterator[list[Step]]:
    """The steps in their order, cut where a round, a stage or a block of stages ends."""

    def of(step: Step) -> tuple[int, int]:
        block = plan.stage_of(step).block
        return (-block, 0) if block is not None else (step.stage, step.round)

    for _, members in groupby(plan.steps, key=of):
        yield list(members)


def _part(plan: Plan, steps: list[Step]) -> Iterator[Block]:
    """One table: its heading, what to heed, and a row a step."""
    stages = _stages(plan, steps)
    if steps[0].round == 1:
        for stage in stages:
            yield Heading(
                f"{stage.number}  {stage_words.wants(stage, plan.unit)}",
                stage_words.aside(stage, plan),
                level=2,
            )
            heed = [f"Caution: {stage.caution}"] if stage.caution else []
            heed += [stage.note] if stage.note else []
            if heed:
                yield Sentences(tuple(heed), sticky=True)
    rounds = stage_words.rounds(stages[0])
    if rounds > 1 and len(stages) == 1:
        yield Heading(f"Round {steps[0].round} of {rounds}", level=3)
    yield _table(plan, steps, several=len(stages) > 1)


def _stages(plan: Plan, steps: Sequence[Step]) -> list[Stage]:
    return [plan.stages[number - 1] for number in dict.fromkeys(step.stage for step in steps)]


def _table(plan: Plan, steps: list[Step], *, several: bool) -> Form:
    stage = plan.stage_of(steps[0])
    if not several and isinstance(stage, Wait):
        return Form(
            head=("Step", "From", "To", "Initials"), widths=(0, 3, 3, 2), rows=((_number(steps[0]), "", "", ""),)
        )
    what = ("What",) if several else ()
    return Form(
        head=("Step", "Pos.", *what, "Target", "Window", "Reading", "Tool", "Time", "Initials"),
        widths=(0, 0, *((0,) if several else ()), 0, 0, 3, 2, 2, 2),
        rows=tuple(_row(plan, step, several=several) for step in steps),
    )


def _row(plan: Plan, step: Step, *, several: bool) -> tuple[Cell, ...]:
    stage = plan.stage_of(step)
    where = own(step.position or "") or step.set or _ALL
    if step.point is not None:
        where = step.point if step.position is None and step.set is None else f"{where} {step.point}"
    what = (f"{stage.number} {kinds.of(stage).paper(stage, plan.unit).called or step.kind}",) if several else ()
    return (_number(step), where, *what, _target(step), _window(step), _reading(stage, step, plan.unit), "", "", "")


def _number(step: Step) -> str:
    return str(step.number)


def _target(step: Step) -> Cell:
    """In the sheet's unit, and below it in the other one."""
    if step.target is None or step.unit is None:
        return ""
    other = other_unit(step.unit)
    if other is None:
        return show(step.target, step.unit)
    return side_by_side(step.target, step.unit, ()), side_by_side(convert(step.target, step.unit, other), other, ())


def _window(step: Step) -> Cell:
    if step.window is None or step.unit is None or step.window == (None, None):
        return ""
    first, second = both(step.window, step.unit, cell=True)
    return (first, second) if second else first


def _reading(stage: Stage, step: Step, unit: str) -> Cell:
    """Give what there is to tick or to write at a step."""
    paper = kinds.of(stage).paper(stage, unit)
    last = paper.at_the_end is not None and step.round == stage_words.rounds(stage)
    return paper.at_the_end if last and paper.at_the_end is not None else paper.box


def _after(plan: Plan) -> Iterator[Block]:
    """Give places for deviations, the questions at the end, and the names."""
    yield Heading("Deviations and decisions", "interruptions too, and tools changed or dropped")
    head = ("Pos.", "Time", "What, and what was decided", "Initials")
    yield Form(head=head, widths=(1, 1, 8, 2), rows=(("",) * len(head),) * _LINES)
    rows = tuple(_asked(plan, "end"))
    if rows:
        yield Heading("At the end")
        yield Form(head=("", ""), widths=(2, 5), rows=rows)
    yield Heading("Sign-offs")
    roles = [f"{each.role}{', another person' if each.another_person else ''}" for each in plan.sign_off]
    signed = tuple((role, "", "", "") for role in roles or ["done by"])
    yield Form(head=("As", "Name", "Day, time", "Signature"), widths=(2, 3, 2, 4), rows=signed)
    if plan.due_later:
        yield Sentences((f"Follow-up: {'; '.join(map(_due, plan.due_later))}.",))


def _due(later: DueLater) -> str:
    when = [show_duration(later.after)] if later.after is not None else []
    when += [f"{later.or_use} of use"] if later.or_use else []
    return f"{later.title}, after {' or '.join(when)}"
