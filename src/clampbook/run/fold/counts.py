"""Parts that are counted: what was at hand, against what the work needs, what it used and what is left over."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from clampbook.procedure.model import Group, Part
from clampbook.run.plan import Plan
from clampbook.run.progress import COUNT_DIFFERS, OF_PARTS, TOO_FEW, Progress, Question

AT_HAND, LEFT_OVER = "part:", "left over:"


def counted(
    plan: Plan, progress: Progress, item: str, value: str | None, line: int, needed: int | None = None
) -> Progress:
    """A count was told, in this line: fewer than are `needed` (None: enough) is asked about; so is what does not add
    up once it is known what is left over, whichever of the two counts was told last."""
    if value is None or not value.isdecimal() or not item.startswith((AT_HAND, LEFT_OVER)):
        return progress
    name = item.partition(":")[2]
    rest = tuple(each for each in progress.questions if each.cause not in OF_PARTS)
    progress = replace(progress, counts=progress.counts.insert(item, int(value)), questions=rest)
    if needed is not None:
        few = Question(cause=TOO_FEW, about=line, step=0, found=f"{name}: {value} of {needed} needed")
        return _asked(progress, few)
    return held_against(plan, progress, name)


def held_against(plan: Plan, progress: Progress, name: str) -> Progress:
    """The counts of a part are held against each other; what does not add up is asked about."""
    part = next((each for each in plan.parts if each.name == name), None)
    told = None if part is None else difference(plan, progress, part)
    if told is None:
        return progress
    about = progress.items[LEFT_OVER + name]
    return _asked(progress, Question(cause=COUNT_DIFFERS, about=about, step=len(plan.steps) - 1, found=told))


def _asked(progress: Progress, question: Question) -> Progress:
    """Put the question; it is a deviation once somebody goes on with what was found, and not where it is corrected."""
    return replace(progress, questions=(*progress.questions, question))


def item_at(progress: Progress, line: int) -> str:
    """Name the item of the checklist that this line answers; empty where it answers none."""
    return next((item for item, seq in progress.items.items() if seq == line), "")


def too_few(plan: Plan, item: str, value: str) -> int | None:
    """Tell how many of a counted part are needed, where this count of those at hand is less; else None."""
    part = next((each for each in plan.parts if AT_HAND + each.name == item and each.record == "count"), None)
    needed = None if part is None else needed_of(plan, part)
    return needed if needed is not None and int(value) < needed else None


def needed_of(plan: Plan, part: Part) -> int | None:
    """Count those that the work needs: as the procedure says, else one for each position of the group that they are
    for; None where neither is known."""
    groups = fasteners(plan, part)
    return part.needed if part.needed is not None or not groups else _places(groups)


def difference(plan: Plan, progress: Progress, part: Part) -> str | None:
    """Tell what does not add up, in words; None where it does, or where nobody said how many there were."""
    at_hand, left = progress.counts.get(AT_HAND + part.name), progress.counts.get(LEFT_OVER + part.name)
    count, off = used(plan, progress, part), missing(plan, progress, part)
    if not off:
        return None
    what = f"{off} missing" if off > 0 else f"{-off} too many"
    return f"{part.name}: {at_hand} at hand, {count} used, {left} left over, {what}"


def missing(plan: Plan, progress: Progress, part: Part) -> int | None:
    """Count the missing ones (below 0: too many); None where nobody said how many there were or are."""
    at_hand, left = progress.counts.get(AT_HAND + part.name), progress.counts.get(LEFT_OVER + part.name)
    count = used(plan, progress, part)
    return None if at_hand is None or left is None or count is None else at_hand - count - left


def used(plan: Plan, progress: Progress, part: Part) -> int | None:
    """Count those that the work used: fasteners with each one that was replaced, other parts once more for
    each time that the joint got new consumables; None where the procedure does not say how many it needs.
    """
    groups, needed = fasteners(plan, part), needed_of(plan, part)
    if needed is None or not groups:
        at_one = 0 if needed is None else needed // max(1, len(plan.joints))
        return None if needed is None else needed + at_one * progress.settled
    return needed + sum(progress.fitted.get(position, 0) for group in groups for position in group.positions)


def fasteners(plan: Plan, part: Part) -> tuple[Group, ...]:
    """The groups whose fasteners this part is, one for each joint: its name is that of the group, or begins with it
    ("Coupling bolts and nuts"); or there is one group, and as many are needed as it has positions."""
    name = part.name.casefold()
    named = [group for group in plan.alike if name == group.casefold()]
    named = named or [group for group in plan.alike if name.startswith(group.casefold())]
    if named:
        return plan.alike[named[0]]
    alone = next(iter(plan.alike.values())) if len(plan.alike) == 1 else ()
    return alone if part.needed == _places(alone) else ()


def _places(groups: Sequence[Group]) -> int:
    return sum(len(group.positions) for group in groups)
