"""What was done to the fasteners of a run: what each position has spent, and every pull in the order of the daybook."""

from __future__ import annotations

from dataclasses import dataclass, field

from clampbook.record.pull import Pull
from clampbook.run.events import Broken, SetAside
from clampbook.run.plan import Plan


@dataclass(slots=True)
class Fastener:
    """What was spent on one position: attempts from the beginning, tightenings of the fastener that is in it now."""

    attempt: int = 1
    tightenings: int = 0
    tight: bool = False
    begun: bool = False  # anything was done in this attempt
    aside: SetAside | None = None
    broken: Broken | None = None
    fresh_since: int = 0  # line that began the present attempt
    attempts_before: int = 0  # in the run that this one follows up


@dataclass(slots=True)
class History:
    """Every pull (a block that was confirmed in one answer is one a position), by line, and the positions."""

    pulls: list[Pull] = field(default_factory=list)
    at_line: dict[int, list[Pull]] = field(default_factory=dict)
    fasteners: dict[str, Fastener] = field(default_factory=dict)
    said: dict[str, dict[str, tuple[int, str]]] = field(default_factory=dict)  # position, step: line, what it is


def within_scope(plan: Plan, position: str, scope: str | None) -> tuple[str, ...]:
    """What is taken from the beginning with a position: itself alone, its neighbours, its group, or the joint."""
    group = plan.group_of.get(position)
    match scope:
        case "neighbours" if group is not None:
            return (position, *group.neighbours.get(position, ()))
        case "group" if group is not None:
            return group.positions
        case "joint":
            return tuple(plan.group_of)
        case _:
            return (position,)
