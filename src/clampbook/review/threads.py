"""Queries about what is on threads and in holes: lubricants, lockers, liquid below a bolt, left-hand threads."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from clampbook.procedure.fastening import kinds
from clampbook.procedure.model import Apply, Group, Inspect, Recheck, Tighten, Turn
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.text import quoted


@dataclass(frozen=True, slots=True)
class _Family:
    """Lubricants that are alike: how they are called, and where the middle of a band lies with them."""

    name: str
    called: re.Pattern[str]
    friction: tuple[float, float]
    nut_factor: tuple[float, float]


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE)


# Nut factors: trade tables (dry 0.20 to 0.25, light oil 0.15 to 0.22, anti-seize 0.10 to 0.15) and Shigley 9th ed.,
# Table 8-15 (black finish 0.30, lubricated 0.18), each a little wider. Frictions: VDI 2230 Part 1:2003, Table A5
# (friction classes), from memory, as wide.
_FAMILIES = (
    _Family("dry threads", _words("dry|unlubricated|degreased"), (0.13, 0.35), (0.16, 0.35)),
    _Family("oil", _words("oil|oiled"), (0.08, 0.17), (0.11, 0.22)),
    _Family(
        "paste or grease",
        _words("anti-?seize|paste|grease|greased|wax|waxed|moly|molybdenum|copper|graphite"),
        (0.04, 0.15),
        (0.07, 0.18),
    ),
)
_NOT = _words("no|not|never|without|free of|clean of")
_LOCKER = _words("lock|locker|locking|threadlocker|threadlock")
_LEFT = _words("LH|left[- ]hand(?:ed)?")
_HOLE = _words("holes?|bores?|below the bolts?|tapped")
_EMPTY = _words("dry|dried|drained?|empty|emptied|blown|liquids?|coolant|standing oil|no oil")


def threads(look: Look) -> Iterator[Raised]:
    """All of them, group by group."""
    for at, group in look.groups:
        stages = look.of(group)
        if any(isinstance(each.stage, Tighten | Turn) for each in stages):
            yield from _lubricant(at, group, stages)
        yield from _blind_hole(look, at, group, stages)
        yield from _locker(look, at, group, stages)
        yield from _left_hand(at, group)
        yield from _used_nut(at, group)


def _lubricant(at: KeyPath, group: Group, stages: Iterable[Placed]) -> Iterator[Raised]:
    if group.lubrication is None:
        if not any(isinstance(each.stage, Apply) for each in stages):
            yield Raised(
                at,
                Code.LUBRICANT_UNSAID,
                f"nothing says what is on the threads of {quoted(group.name)}. Oil on a torque meant for dry threads"
                " gives a fifth to two thirds more clamp load",
                found="no lubrication",
                allowed='what is on thread and under head, "dry" too',
                hint='add a line like lubrication = "engine oil on thread and under head", or "dry"',
            )
        return
    family = _family(group.lubrication)
    if family is not None:
        yield from _does_not_fit(at, group, family, group.lubrication)


def _family(lubrication: str) -> _Family | None:
    """The one family that the words name; None where there is none, or several, or where something is denied."""
    found = [family for family in _FAMILIES if family.called.search(lubrication)]
    return found[0] if len(found) == 1 and not _NOT.search(lubrication) else None


def _does_not_fit(at: KeyPath, group: Group, family: _Family, lubrication: str) -> Iterator[Raised]:
    bands = (
        (("friction", "thread"), group.friction_thread, family.friction),
        (("friction", "head"), group.friction_head, family.friction),
        (("nut_factor",), group.nut_factor, family.nut_factor),
    )
    for key, band, usual in bands:
        if band is None or usual[0] <= sum(band) / 2 <= usual[1]:
            continue
        what = "nut factor" if key == ("nut_factor",) else "friction"
        yield Raised(
            (*at, *key),
            Code.LUBRICANT,
            f"a {what} of {band[0]:g} to {band[1]:g} does not go with {quoted(lubrication)}."
            f" With {family.name} it is usually between {usual[0]:g} and {usual[1]:g}",
            found=f"[{band[0]:g}, {band[1]:g}]",
            allowed=f"a middle between {usual[0]:g} and {usual[1]:g}",
            hint="compare lubricant and friction with the manual",
        )
        return


def _blind_hole(look: Look, at: KeyPath, group: Group, stages: Iterable[Placed]) -> Iterator[Raised]:
    """Liquid below a bolt can split a casting, and takes the torque (general fitting instructions, two sources)."""
    if group.into is None or any(_HOLE.search(text) and _EMPTY.search(text) for text in _said(look, group, stages)):
        return
    yield Raised(
        (*at, "into"),
        Code.BLIND_HOLE,
        f"{quoted(group.name)} goes into tapped holes, and nothing says that they must be empty."
        " Liquid below a bolt splits a casting and makes the torque false",
        found="no caution about the holes",
        allowed="a line in prepare or cautions, unless the holes go through",
        hint='add a line like prepare = ["Holes dry and clean, no liquid below the bolt."]',
    )


def _said(look: Look, group: Group, stages: Iterable[Placed]) -> Iterator[str]:
    yield from look.procedure.cautions
    yield from group.prepare
    for each in stages:
        stage = each.stage
        yield from (text for text in (stage.caution, stage.note) if text is not None)
        if isinstance(stage, Inspect):
            yield stage.ask


def _locker(look: Look, at: KeyPath, group: Group, stages: tuple[Placed, ...]) -> Iterator[Raised]:
    """Thread locker sets from 10 to 20 minutes on, and a later check of the torque breaks its bond (trade guidance)."""
    puts = [each for each in stages if isinstance(each.stage, Apply) and _LOCKER.search(each.stage.what)]
    if not puts and not (group.lubrication and _LOCKER.search(group.lubrication)):
        return
    if group.finish_within is None:
        yield Raised(
            puts[0].at if puts else (*at, "lubrication"),
            Code.LOCKER_TIME,
            f"{quoted(group.name)} gets a locker, and nothing says by when it must be tightened."
            " A locker sets from about 10 to 20 minutes on",
            found="no finish_within",
            allowed="a time from putting it on to the last pull",
            hint='add a line like finish_within = "10 min" to the group, as the instructions of the locker say',
        )
    later = (each for _, _, works in look.follow_ups for each in works if each.stage.group == group.name)
    for each in (*stages, *later):
        if isinstance(each.stage, Recheck):
            yield Raised(
                each.at,
                Code.LOCKER_RECHECK,
                f"{quoted(group.name)} gets a locker and is rechecked. That breaks the bond and says little",
                found='do = "recheck"',
                allowed="no recheck of what a locker secures, unless the manual asks for it",
                hint='remove the stage, and write recheck = "forbidden" in the group',
            )
            return


def _left_hand(at: KeyPath, group: Group) -> Iterator[Raised]:
    for fits in kinds(group):
        if fits is not None and not group.left_hand and _LEFT.search(fits):
            yield Raised(
                (*at, "fits") if group.fits else (*at, "thread"),
                Code.LEFT_HAND,
                f"{quoted(fits)} names a left-hand thread, and the group is tightened clockwise",
                found="left_hand = false",
                allowed="left_hand = true for a left-hand thread",
                hint="add left_hand = true to the group",
            )
            return


def _used_nut(at: KeyPath, group: Group) -> Iterator[Raised]:
    """AC 43.13-1B, Table 7-2: a self-locking nut is used again only above a least prevailing torque."""
    prevailing = group.prevailing
    if prevailing is None or prevailing.least is not None or group.fastener == "new every time":
        return
    yield Raised(
        (*at, "prevailing"),
        Code.USED_NUT,
        f"the locking nuts of {quoted(group.name)} may be used again, and nothing says when one is worn out",
        found="no prevailing_least",
        allowed="the least prevailing torque, or new nuts every time",
        hint='add a line like prevailing_least = "2 N·m", as the manual says',
    )
