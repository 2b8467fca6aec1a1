"""The picture of the joint on the form: where each position stands, where to start, what is left-hand."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from clampbook.procedure.model import Group
from clampbook.procedure.naming import own
from clampbook.record.form.parts import parts
from clampbook.record.pages.blocks import Map
from clampbook.record.pages.joint_map import Room, joint_map
from clampbook.run.plan import Plan

_WIDTH, _HEIGHT, _TALLEST, _LARGEST = 84.0, 50.0, 120.0, 6.0  # millimetres
_EACH = 1.8  # millimetres of a head for each sign in it, so that a third copy still shows them
_FIRST = 3


def picture(plan: Plan) -> Map | None:
    """Give the picture; None where the positions are too many for it. An L stands at what is left-hand, and a thick
    ring around the first position of each group."""
    states = {own(step.position): "" for step in plan.steps if step.position is not None}
    first = {own(group.order[0]) for group in plan.groups}
    smallest = _EACH * max(2, *map(len, states)) if states else _EACH
    rooms = (Room(_WIDTH, height, max(_LARGEST, smallest), smallest) for height in (_HEIGHT, _TALLEST))
    found = next(filter(None, (joint_map(plan.layout, states, first, room) for room in rooms)), None)
    if found is None:
        return None
    left = {own(position) for group in plan.groups if group.left_hand for position in group.positions}
    spots = tuple(replace(spot, look="L" if spot.label in left else "") for spot in found.spots)
    return replace(found, spots=spots, legend=(), departed="")


def captions(plan: Plan) -> tuple[str, ...]:
    """Say from where it is seen, where each group starts, and which threads are left-hand."""
    return tuple(_captions(plan))


def _captions(plan: Plan) -> Iterator[str]:
    if plan.layout.kind == "line":
        yield "No picture in the procedure. Positions stand in its order."
    elif plan.layout.seen_from:
        yield f"Seen from {plan.layout.seen_from}."
    if plan.joints:
        yield f"The same at each of the {len(plan.joints)} joints."
    for name, (group, *_) in plan.alike.items():
        yield _start(plan, name, group)


def _start(plan: Plan, name: str, group: Group) -> str:
    order = [own(each) for each in group.order]
    left = " Left-hand (L): counterclockwise tightens." if group.left_hand else ""
    if len(order) == 1:
        return f"{name}: {order[0]} alone.{left}"
    then = ", ".join(order[1 : _FIRST + 1])
    begun = f"{name}: start at {order[0]}, then {then}{' and so on' if len(order) > _FIRST + 1 else ''}."
    return f"{begun}{_otherwise(plan, group)}{left}"


def _otherwise(plan: Plan, group: Group) -> str:
    """Name the stages that go over its bolts in another order; nothing where none does."""
    at: dict[int, dict[str, None]] = {stage.number: {} for stage in plan.stages if stage.group == group.name}
    for step in plan.steps:
        if step.position is not None and step.stage in at:
            at[step.stage][step.position] = None
    other = [number for number, found in at.items() if list(found) != [each for each in group.order if each in found]]
    boxed = {stage.number for part in parts(plan) if part.boxed for stage in part.stages}
    named = ((what, [each for each in other if (each in boxed) is (what == "boxes")]) for what in ("table", "boxes"))
    return "".join(
        f" Stage{'s' * (len(found) > 1)} {', '.join(str(plan.numbered[each]) for each in found)}: "
        f"in the order of the {what}."
        for what, found in named
        if found
    )
