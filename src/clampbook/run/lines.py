"""Lines of a daybook, each with the module that left it: what was done in it, and what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clampbook.run import acts, kinds, questions
from clampbook.run.acts.another_position import OUT_OF_ORDER
from clampbook.run.events import Event
from clampbook.run.fold.acts import Act
from clampbook.run.fold.independence import LOOKED_BEFORE
from clampbook.run.fold.line import Line
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress

if TYPE_CHECKING:
    from clampbook.run.kinds.protocol import Leaves

_NOTED = {
    LOOKED_BEFORE: "You were the second person in this run. The record says that you worked on it since.",
    OUT_OF_ORDER: "Done out of order. The record says so.",
}


_LEAVES: dict[type[Event], Leaves[Any]] = {}  # of each class its module, once one of it has come


def leaves(event: Event) -> Leaves[Any]:
    """The module that leaves such lines."""
    found = _LEAVES.get(type(event))
    if found is None:
        found = _LEAVES[type(event)] = _looked_up(event)
    return found


def _looked_up(event: Event) -> Leaves[Any]:
    if isinstance(event, kinds.Written):
        return kinds.of(event)
    return questions.of(event) if isinstance(event, questions.Written) else acts.of(event)


def done(plan: Plan, before: Progress, event: Event, after: Progress) -> tuple[Act, ...]:
    """The acts of one line, from how the walk stood before it and after it; none where nothing was done on the work."""
    return leaves(event).acts(Line(plan, before, event, after), event)


def stored(event: Event, plan: Plan, tools: Tools = ()) -> str:
    """One sentence for a line: said after each answer, and large on a screen until the next one; the outcome first, as
    a word with its mark. `tools` gives the names that stand on the tools; any other is called by its id."""
    told = leaves(event).tell(event, plan, tools)
    return " ".join((told, *(_NOTED[noted] for noted in event.noted if noted in _NOTED)))
