"""Parts before and after the work: what was at hand against what is needed, used and left over; one-use ones new."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from clampbook.procedure.model import Align, FastenerUse, Group, Part
from clampbook.run.plan import Plan
from clampbook.run.progress import COUNT_DIFFERS, NOT_NEW, OF_PARTS, TOO_FEW, Progress, Question

AT_HAND, LEFT_OVER, NEW = "part:", "left over:", "new:"
FAR_MORE = "far more than needed"  # the code of such a count
ONE_USE: FastenerUse = "new every time"
_NEVER_REUSE = "Never reuse one-use fasteners"


def answered(
    plan: Plan, progress: Progress, item: str, value: str | None, line: int, needed: int | None = None
) -> Progress:
    """An item of the checklist was answered, in this line. Asked about are one-use fasteners that are not all new, a
    count below what is `needed` (None: enough), and what does not add up once it is known what is left over."""
    name = item.partition(":")[2]
    rest = tuple(each for each in progress.questions if each.cause not in OF_PARTS)
    if item.startswith(NEW):
        old = Question(cause=NOT_NEW, about=line, step=0, found=f"{name}: not all new. {_NEVER_REUSE}")
        told = replace(progress, questions=rest)
        return told if value == "yes" else _asked(told, old)
    if value is None or not value.isdecimal() or not item.startswith((AT_HAND, LEFT_OVER)):
        return progress
    progress = replace(progress, counts=progress.counts.insert(item, int(value)), questions=rest)
    if needed is None:
        return held_against(plan, progress, name)
    never = f". {_NEVER_REUSE}" if one_use(plan, item) else ""
    few = f"{name}: {value} of {needed} needed{never}"
    return _asked(progress, Question(cause=TOO_FEW, about=line, step=0, found=few))


def all_new(answer: str | None) -> str:
    """Tell what was answered of one-use fasteners."""
    return "all new" if answer == "yes" else "not all new"


def one_use(plan: Plan, item: str) -> bool:
    """True where this item counts fasteners that are used once."""
    return any(AT_HAND + each.name == item and bool(counted_new(plan, each)) for each in plan.parts)


def counted_new(plan: Plan, part: Part) -> tuple[Group, ...]:
    """The groups of one-use fasteners that this part counts; none where it counts nothing, or something else."""
    groups = _named_like(plan, part) if part.record == "count" else ()
    return tuple(group for group in groups if group.fastener == ONE_USE)


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


def far_more(needed: int | None, counted: int) -> bool:
    """True where ten times as many as are needed were counted: a digit too many, as a rule."""
    return bool(needed) and counted >= 10 * (needed or 0)


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
    """Count those that the work used: fasteners with each one that was replaced, what locks nuts with each one that was
    fitted where one had been in before, other parts once more for each time that the joint got new consumables; None
    where the procedure does not say how many it needs."""
    groups, needed, lock = fasteners(plan, part), needed_of(plan, part), _locked_by(plan, part)
    if needed is not None and lock:
        return needed + sum(max(0, progress.locked.get(position, 0) - 1) for position in lock)
    if needed is None or not groups:
        at_one = 0 if needed is None else needed // max(1, len(plan.joints))
        return None if needed is None else needed + at_one * progress.settled
    return needed + sum(progress.fitted.get(position, 0) for group in groups for position in group.positions)


def fasteners(plan: Plan, part: Part) -> tuple[Group, ...]:
    """The groups whose fasteners this part is, one for each joint: its name is that of the group, or begins with it
    ("Coupling bolts and nuts"); or there is one group, and as many are needed as it has positions."""
    if named := _named_like(plan, part):
        return named
    alone = next(iter(plan.alike.values())) if len(plan.alike) == 1 else ()
    return alone if part.needed == _places(alone) else ()


def _locked_by(plan: Plan, part: Part) -> frozenset[str]:
    """The positions that a part locks at their slots, as its name has what locks them: "Split pins"."""
    name = part.name.casefold()
    stages = (each for each in plan.stages if isinstance(each, Align) and each.lock.casefold() in name)
    return frozenset(position for each in stages for position in each.positions)


def _named_like(plan: Plan, part: Part) -> tuple[Group, ...]:
    """The groups whose name the part has: no washer is a bolt because there are as many."""
    name = part.name.casefold()
    named = [group for group in plan.alike if name == group.casefold()]
    named = named or [group for group in plan.alike if name.startswith(group.casefold())]
    return plan.alike[named[0]] if named else ()


def _places(groups: Sequence[Group]) -> int:
    return sum(len(group.positions) for group in groups)
