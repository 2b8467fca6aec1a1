"""Queries about what stands around the work: where the values come from, what falls due, how often a bolt is pulled."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import assert_never

from clampbook.procedure.model import (
    Align,
    Attested,
    Group,
    Inspect,
    Loosen,
    Measure,
    Recheck,
    Stage,
    Tighten,
    Turn,
)
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code
from clampbook.review.look import Look, Raised
from clampbook.text import quoted

_MEASURED = re.compile(r"\b(?:measured?|lengths?|diameters?|straight)\b", re.IGNORECASE)


def papers(look: Look) -> Iterator[Raised]:
    """All of them."""
    if look.procedure.source is None:
        yield Raised(
            ("source",),
            Code.NO_SOURCE,
            "nothing says where the values come from. Values from memory have broken engines",
            found="no source",
            allowed="the manual, and when it was looked up",
            hint='add a line like source = "Workshop manual, page 12, looked up on 2026-03-02"',
        )
    for at, group in look.groups:
        needed, adjusted = _tightenings(look, group), _adjusted(look, group)
        total = needed + sum(adjusted)
        if group.tightenings_at_most is not None and total > group.tightenings_at_most:
            more = f", {sum(adjusted)} of them by adjusting" if adjusted else ""
            either = ", adjust_at_most as well" if adjusted else ""
            yield Raised(
                (*at, "tightenings_at_most"),
                Code.BUDGET,
                f"the stages tighten {quoted(group.name)} {total} times{more}, "
                f"and a fastener allows {group.tightenings_at_most}",
                found=f"{group.tightenings_at_most}",
                allowed=f"{total} or more",
                hint=f"compare tightenings_at_most with the manual{either}, or remove a loosening",
            )
        yield from _not_measured(look, at, group)
        yield from _prevailing_never_read(look, at, group)
    for at, follow_up, _ in look.follow_ups:
        if follow_up.after is None:
            yield Raised(
                (*at, "or_use"),
                Code.NO_CALENDAR,
                f"{quoted(follow_up.title)} is due by use alone. What is hardly used is then never looked at",
                found="or_use without after",
                allowed="a time as well, whichever comes first",
                hint='add a line like after = "365 d"',
            )


def _tightenings(look: Look, group: Group) -> int:
    """Number of times that the stages tighten from the beginning: a pull after loosening is one more."""
    return _pulled_from_loose((each.stage for each in look.of(group)), loose=True)


def _adjusted(look: Look, group: Group) -> list[int]:
    """The same of each measurement that leads back, as often as it may at most, to stages that loosen the group."""
    found = []
    for each in look.stages:
        if isinstance(each.stage, Measure) and each.stage.adjust:
            loop, here = each.stage.adjust, each.stage.number
            way = (one.stage for one in look.of(group) if loop.back_to <= one.stage.number < here)
            found.append(loop.at_most * _pulled_from_loose(way, loose=False))
    return [each for each in found if each]


def _pulled_from_loose(stages: Iterable[Stage], *, loose: bool) -> int:
    """Count the first pulls since a fastener was loosened, fully or by an angle, as the walk counts tightenings."""
    count = 0
    for stage in stages:
        if isinstance(stage, Attested):  # no wrench is on it
            continue
        match stage:
            case Loosen():
                loose = True
            case Tighten() | Turn() if loose:
                count, loose = count + 1, False
            case Recheck() if stage.back_off is not None:
                count, loose = count + 1, False
            case Tighten() | Turn() | Recheck() | Align() | Measure():
                pass
            case _ as never:
                assert_never(never)
    return count


def _not_measured(look: Look, at: KeyPath, group: Group) -> Iterator[Raised]:
    measured = any(isinstance(each.stage, Measure | Inspect) for each in look.of(group))
    words = " ".join((*group.prepare, *(ask.name for ask in look.procedure.asks)))
    if group.fastener != "use again if measured" or measured or _MEASURED.search(words):
        return
    yield Raised(
        (*at, "fastener"),
        Code.NOT_MEASURED,
        f"{quoted(group.name)} may be used again if measured, and no stage measures it",
        found='fastener = "use again if measured"',
        allowed="a stage that measures or inspects the group",
        hint='add a [[stage]] with do = "measure" and asked = "each", such as the free length',
    )


def _prevailing_never_read(look: Look, at: KeyPath, group: Group) -> Iterator[Raised]:
    """Before a tightening alone it is asked for; what a tensioner holds is never tightened."""
    if group.prevailing is None or any(isinstance(each.stage, Tighten) for each in look.of(group)):
        return
    yield Raised(
        (*at, "prevailing"),
        Code.PREVAILING_NEVER_READ,
        f"prevailing torque is asked for before a tighten stage, and {quoted(group.name)} has none",
        found='prevailing = "measure"',
        allowed="a group with a tighten stage",
        hint='add a [[stage]] with do = "measure" in N·m, at each, or remove prevailing',
    )
