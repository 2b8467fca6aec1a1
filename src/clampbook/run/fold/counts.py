"""Parts that are counted: what was at hand, against what the work used and what is left over."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.procedure.model import Part
from clampbook.run.fold.frames import ask
from clampbook.run.plan import Plan
from clampbook.run.progress import COUNT_DIFFERS, Progress, Question

AT_HAND, LEFT_OVER = "part:", "left over:"


def counted(plan: Plan, progress: Progress, item: str, value: str | None, line: int) -> Progress:
    """A count was told; one of what is left over is held against the others, and a difference is asked about."""
    if value is None or not value.isdecimal() or not item.startswith((AT_HAND, LEFT_OVER)):
        return progress
    progress = replace(progress, counts=progress.counts.insert(item, int(value)))
    if not item.startswith(LEFT_OVER):
        return progress
    part = next((each for each in plan.parts if each.name == item.removeprefix(LEFT_OVER)), None)
    told = None if part is None else difference(plan, progress, part)
    if told is None:
        return progress
    return ask(progress, Question(cause=COUNT_DIFFERS, about=line, step=len(plan.steps) - 1, found=told))


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
    positions = _fasteners(plan, part)
    if positions is None:
        at_one = None if part.needed is None else part.needed // max(1, len(plan.joints))
        return None if part.needed is None or at_one is None else part.needed + at_one * progress.settled
    needed = part.needed if part.needed is not None else len(positions)
    return needed + sum(progress.fitted.get(position, 0) for position in positions)


def _fasteners(plan: Plan, part: Part) -> tuple[str, ...] | None:
    """The positions whose fasteners this part is: its name is that of their group, or begins with it ("Coupling bolts
    and nuts"); or there is one group, and as many are needed as it has positions. Of several joints those of all."""
    name = part.name.casefold()
    named = [group for group in plan.alike if name == group.casefold()]
    named = named or [group for group in plan.alike if name.startswith(group.casefold())]
    if named:
        return _of_all(plan, named[0])
    alone = _of_all(plan, next(iter(plan.alike))) if len(plan.alike) == 1 else None
    return alone if alone is not None and part.needed == len(alone) else None


def _of_all(plan: Plan, name: str) -> tuple[str, ...]:
    return tuple(position for group in plan.alike[name] for position in group.positions)
