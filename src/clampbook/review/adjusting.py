"""Queries about a measurement that leads back to a stage before it: whether going there changes what is measured, and
whether the fasteners bear it once more."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import Align, Apply, Group, Inspect, Loosen, Measure, Tighten, Turn
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.text import quoted

_CHANGES = Loosen | Turn | Align | Inspect | Apply  # where something is moved, exchanged or put on


def adjusting(look: Look) -> Iterator[Raised]:
    """All of them, in the procedure and in its follow-ups."""
    groups = {group.name: group for _, group in look.groups}
    for stages in (look.stages, *(stages for _, _, stages in look.follow_ups)):
        for each in stages:
            if isinstance(each.stage, Measure) and each.stage.adjust:
                back = each.stage.adjust.back_to
                way = [one for one in stages if back <= one.stage.number < each.stage.number]
                yield from _changes_nothing(each, way)
                yield from _on_top(each, way)
                yield from _used_once(each, way, groups)


def _changes_nothing(each: Placed, way: list[Placed]) -> Iterator[Raised]:
    """Pulling once more at the same torque, waiting and measuring move nothing (common practice, no source)."""
    if way and not any(isinstance(one.stage, _CHANGES) for one in way):
        yield Raised(
            (*each.at, "adjust_from"),
            Code.ADJUSTS_NOTHING,
            "nothing is loosened or moved from there on, so the same value is measured again",
            found="no stage that loosens or moves",
            allowed="a stage that loosens, turns or inspects",
            hint="name the stage that loosens, or add one that says what is moved",
        )


def _on_top(each: Placed, way: list[Placed]) -> Iterator[Raised]:
    """A turn made twice is twice the angle, unless the fastener was loosened fully before (common practice, no
    source)."""
    loosened: set[str | None] = set()
    for one in way:
        if isinstance(one.stage, Loosen) and one.stage.by is None:
            loosened.add(one.stage.group)
        elif isinstance(one.stage, Turn) and one.stage.group not in loosened:
            yield Raised(
                (*each.at, "adjust_from"),
                Code.TURNS_ON,
                f"stage {one.stage.number} turns {quoted(one.stage.group or '')} once more each time,"
                " on top of the turn before",
                found=f"stage {one.stage.number}, not loosened before it",
                allowed="full loosening before each turn",
                hint="name a stage that loosens them fully first",
            )


def _used_once(each: Placed, way: list[Placed], groups: dict[str, Group]) -> Iterator[Raised]:
    """Fasteners that are new every time are not tightened again (common practice, no source)."""
    pulled = dict.fromkeys(one.stage.group for one in way if isinstance(one.stage, Tighten | Turn))
    for name in pulled:
        group = groups.get(name or "")
        if group is not None and group.fastener == "new every time":
            yield Raised(
                (*each.at, "adjust_from"),
                Code.ADJUSTS_ONE_USE,
                f"{quoted(group.name)} are new every time, and are tightened again each time",
                found='fastener = "new every time"',
                allowed="fasteners that may be used again",
                hint="compare with the manual whether new ones are fitted each time. Then leave adjust_from out,"
                " and a person starts over with new ones",
            )
