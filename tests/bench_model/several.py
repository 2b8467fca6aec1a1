"""Several joints in one run, as the model expects them: groups and stages once for each, in the order of the walk."""

from dataclasses import replace
from random import Random
from typing import Any

from bench_model.joint import Group, Joint, Stage

NAMES = (("Hub", ("1", "2")), ("Cover", ("front", "rear")), (None, ("Port", "Starboard")))


def in_joints(random: Random, joint: Joint) -> Joint:
    """The same work at two joints of one kind, more often at one alone."""
    if "repeat" in joint.table or random.random() >= 0.25:
        return joint
    one, names = random.choice(NAMES)
    turns = random.random() < 0.5
    walk = {} if turns else {"walk": "interleaved"}
    table = joint.table | {"joints": {"names": list(names)} | walk | ({} if one is None else {"one": one})}
    called = {name: name if one is None else f"{one} {name}" for name in names}
    later = table["follow_up"][0]["stage"] if joint.follow_up else []
    return replace(
        joint,
        groups=tuple(_group(group, name, whole) for name, whole in called.items() for group in joint.groups),
        stages=_stages(joint.stages, table["stage"], called, turns),
        follow_up=_stages(joint.follow_up, later, called, turns),
        table=table,
    )


def joint_of(position: str) -> str:
    """What a position has before its own number; nothing where there is one joint."""
    return position.rpartition(":")[0]


def drawn(position: str | None) -> str:
    """The position as the drawing has it, beside whatever names its joint."""
    return (position or "").rpartition(":")[2]


def _group(group: Group, name: str, whole: str) -> Group:
    positions = tuple(f"{name}:{each}" for each in group.positions)
    return replace(group, name=_at(whole, group.name), positions=positions, written=group.name)


def _at(whole: str, group: str) -> str:
    return f"{whole} {group[0].lower()}{group[1:]}"


def _stages(
    stages: tuple[Stage, ...], tables: list[dict[str, Any]], called: dict[str, str], turns: bool
) -> tuple[Stage, ...]:
    """All stages of a joint before the next, or each entry of the file at all joints; a wait then stands once."""
    entries: list[list[Stage]] = []
    begin = 0
    for table in tables:
        count = len(table.get("steps", [None]))
        entries.append(list(stages[begin : begin + count]))
        begin += count
    found: list[tuple[str, Stage]] = []
    if turns:
        for whole in called.values():
            found += [(whole, stage) for entry in entries for stage in entry]
    else:
        for entry in entries:
            shared = len(entry) == 1 and entry[0].kind == "wait"
            joints = list(called.values())[:1] if shared else list(called.values())
            found += [(whole, stage) for whole in joints for stage in entry]
    numbers = {(whole, stage.number): number for number, (whole, stage) in enumerate(found, 1)}
    return tuple(
        replace(
            _stage(stage, whole),
            number=numbers[whole, stage.number],
            called=stage.number,
            back_to=None if stage.back_to is None else numbers[whole, stage.back_to],
        )
        for whole, stage in found
    )


def _stage(stage: Stage, whole: str) -> Stage:
    return stage if stage.group is None else replace(stage, group=_at(whole, stage.group))
