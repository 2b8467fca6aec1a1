"""A question about gaskets: whether a joint with one is tightened in one go and never looked at again.

A question and no rule: published investigations know joints where several steps were worse than one pull.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from clampbook.procedure.model import Group, Inspect, Recheck, Tighten, Turn
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code
from clampbook.review.look import Look, Raised
from clampbook.text import quoted

MANY = 4  # fasteners from which on one pull can lift the other side; common practice, no source
_GASKET = re.compile(r"\bgaskets?\b", re.IGNORECASE)


def rounds(look: Look) -> Iterator[Raised]:
    """For the group that presses a gasket: US Army TM 10-3930 has two rounds from 41 N·m on, ASME PCC-1 three."""
    found = _presses(look)
    if found is None:
        return
    at, group = found
    passes = _passes(look, group)
    later = [each.stage for _, _, stages in look.follow_ups for each in stages]
    checked = any(
        isinstance(stage, Recheck) and stage.group == group.name
        for stage in (*(each.stage for each in look.of(group)), *later)
    )
    if passes != 1 or checked:
        return
    yield Raised(
        next((each.at for each in look.of(group) if isinstance(each.stage, Tighten | Turn)), at),
        Code.ONE_ROUND,
        f"{quoted(group.name)} presses a gasket, is tightened in one round and never rechecked."
        " A gasket gives, and the first bolts lose clamp load",
        found="1 round, no recheck",
        allowed="several rounds or a recheck, unless the manual asks for a single pull",
        hint="compare the rounds with the manual. If one is right, answer this in accepted",
    )


def _presses(look: Look) -> tuple[KeyPath, Group] | None:
    """The group whose own words name a gasket, else the largest where the procedure has one."""
    many = [(at, group) for at, group in look.groups if len(group.positions) >= MANY]
    own = [each for each in many if _named((each[1].name, *each[1].prepare))]
    if own:
        return own[0]
    procedure = look.procedure
    parts = (part.name for part in procedure.parts)
    if not many or not _named((procedure.title, *procedure.cautions, *parts, *_beside_stages(look))):
        return None
    return max(many, key=lambda each: len(each[1].positions))


def _beside_stages(look: Look) -> Iterator[str]:
    for each in look.stages:
        stage = each.stage
        yield from (text for text in (stage.note, stage.caution) if text is not None)
        if isinstance(stage, Inspect):
            yield stage.ask


def _named(texts: tuple[str, ...]) -> bool:
    return any(_GASKET.search(text) for text in texts)


def _passes(look: Look, group: Group) -> int:
    """Number of times that a position is pulled or turned in rounds; bolt by bolt, a block is one."""
    blocks: set[int] = set()
    count = 0
    for each in look.of(group):
        stage = each.stage
        if not isinstance(stage, Tighten | Turn):
            continue
        if stage.block is None:
            count += stage.rounds
        elif stage.block not in blocks:
            blocks.add(stage.block)
            count += 1
    return count
