"""A remark about an answer that is taken: a thread or a class that no table here has is told at once."""

from __future__ import annotations

from clampbook.joint.strength import is_a_class
from clampbook.joint.thread_names import thread_named
from clampbook.joint.unknown import JointFault
from clampbook.procedure.guided.answers import Answers


def remark(name: str, answers: Answers) -> str:
    """A sentence about the answer to the question of this name; empty where nothing is to be said."""
    answer = answers.of(name)
    if not isinstance(answer, str):
        return ""
    try:
        if name == "thread":
            thread_named(answer)
        elif name == "property_class":
            is_a_class(answer)
    except JointFault as fault:
        return f"{fault.sentence} {_TAKEN}"
    return ""


_TAKEN = "Taken as typed, without an estimate."
