"""The names of what belongs to one of several joints: "Injector 2 clamp bolts", and its positions "2:1", "2:2"."""

from __future__ import annotations

from clampbook.text import started

ALL = "all"  # typed for all joints, or all positions
OF_JOINT = ":"  # between a joint and a position; no label of a file has it


def key_of(name: str) -> str:
    """The name of a joint as its positions begin with it: without blanks, as steps are named by positions."""
    return "-".join(name.split())


def called(one: str | None, name: str) -> str:
    """The whole name of a joint: what one of them is, if the file says it, before its own."""
    return name if one is None else f"{one} {name}"


def of_joint(joint: str, name: str) -> str:
    """A name of the procedure at one joint: "Injector 2 clamp bolts"."""
    return f"{joint} {within_a_sentence(name)}"


def of_file(name: str, joint: str) -> str:
    """The name as the procedure has it, without the joint that it is at."""
    return started(name.removeprefix(f"{joint} "))


def own(position: str) -> str:
    """The label of a position at its joint, as the drawing has it: "1" for "2:1"."""
    return position.rpartition(OF_JOINT)[2]


def joint_key(position: str) -> str:
    """The part of a position's label that names its joint: "2" for "2:1"; nothing where a run does one joint."""
    return position.rpartition(OF_JOINT)[0]


def within_a_sentence(name: str) -> str:
    """A name without its capital, unless it is written in capitals."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
