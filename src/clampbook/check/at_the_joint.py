"""The meaning of a tool's error at the joint, in sentences: the bolts got less, or more, than the tool said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from clampbook.check.judging import Judgement
from clampbook.check.plan import Phase
from clampbook.check.surely_off import SurelyOff, surely_off
from clampbook.tools.model import Tool, way_word
from clampbook.units import show


def sentences(found: Sequence[SurelyOff], kind: str, unit: str, directions: int) -> Iterator[str]:
    """One for each side: "Reads high: the bolts got less than set." Points are named where others read differently,
    directions where there are several. `kind` is the tool's."""
    said = "set" if kind == "setting" else "shown"
    for phase, side in dict.fromkeys((each.phase, each.reads) for each in found):
        mine = [each for each in found if (each.phase, each.reads) == (phase, side)]
        where = " and ".join(filter(None, (_where(each, unit, directions) for each in mine)))
        lead, got = ("As left, reads", "get") if phase == "as left" else ("Reads", "got")
        yield f"{lead} {side}{f' {where}' if where else ''}: the bolts {got} {mine[0].bolts} than {said}."


def _where(each: SurelyOff, unit: str, directions: int) -> str:
    places = "" if each.everywhere else "at " + ", ".join(show(Decimal(point), unit) for point in each.points)
    return " ".join(filter(None, (places, way_word(each.direction) if directions > 1 else "")))


def told_at_the_joint(judgement: Judgement | None, phase: Phase, tool: Tool) -> tuple[str, ...]:
    """The same of a phase that was judged."""
    if judgement is None:
        return ()
    directions = len({each.series.direction for each in judgement.judging})
    return tuple(sentences(surely_off(judgement, phase), tool.kind, tool.unit, directions))
