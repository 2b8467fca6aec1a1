"""Queries about lengths: a grip too short to be turned by an angle, and too little thread engaged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import DivisionByZero, InvalidOperation

from clampbook.joint.strength import strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.threads import Thread
from clampbook.joint.unknown import JointFault
from clampbook.procedure.fastening import kinds
from clampbook.procedure.model import Group, Turn
from clampbook.procedure.slips import KeyPath
from clampbook.procedure.slips import short as cut
from clampbook.review.codes import Code
from clampbook.review.look import Look, Raised
from clampbook.text import quoted
from clampbook.units import UnitFault, number, si

SHORT = 2.0  # diameters: below it a few degrees are much of the way to yield; common practice, no source
NUT = 0.8  # diameters, about the height of a plain nut (ISO 4032, from memory)
BEYOND_NUT = 2  # threads that stand out of a nut: US Army TB 43-0218
HARD = 800e6  # Pa of proof stress: from class 10.9 on
# Diameters that a thread must be engaged, for classes up to 8.8 and from 10.9 on. Aluminium: 2 d, US Army TM 10-3930;
# the others common practice, no source.
ENGAGED: dict[str, tuple[float, float]] = {
    "steel": (1.0, 1.2),
    "stainless steel": (1.0, 1.2),
    "nodular cast iron": (1.0, 1.2),
    "cast iron": (1.25, 1.4),
    "bronze": (1.25, 1.4),
    "brass": (1.25, 1.4),
    "aluminium": (2.0, 2.0),
    "magnesium": (2.0, 2.5),
}
_OTHER_NAMES = {"aluminum": "aluminium", "iron": "cast iron", "stainless": "stainless steel"}
_ROUNDED = 0.001
_FIGURE = r"(?:[0-9]{1,2}[ -])?[0-9]{1,2}/[0-9]{1,2}|[0-9]+(?:[.,][0-9]+)?"
_LONG = re.compile(rf"[x×*]\s*({_FIGURE})\s*(mm\b|in\b|\")", re.IGNORECASE)


def lengths(look: Look) -> Iterator[Raised]:
    """All queries about lengths; nothing where thread, grip or the length of the bolt is not given."""
    for at, group in look.groups:
        grip = _grip(group)
        if grip is None:
            continue
        turned = any(isinstance(each.stage, Turn) for each in look.of(group))
        threads = {fits: thread for fits in kinds(group) if fits and (thread := _thread(fits)) is not None}
        thickest = max(threads.values(), key=lambda thread: thread.diameter, default=None)
        if turned and thickest is not None and grip < SHORT * thickest.diameter:
            yield _short_grip(at, group, grip, thickest)
        yield from _least_engaged(at, group, grip, threads)


def _grip(group: Group) -> float | None:
    """The grip in metres, as given or as the sum of what is clamped."""
    if group.grip is not None:
        return si(group.grip.value, group.grip.unit)
    return sum(si(each.thickness.value, each.thickness.unit) for each in group.clamped) or None


def _thread(fits: str) -> Thread | None:
    try:
        return thread_named(fits)
    except JointFault:
        return None


def _short_grip(at: KeyPath, group: Group, grip: float, thread: Thread) -> Raised:
    diameters = grip / thread.diameter
    return Raised(
        (*at, "grip"),
        Code.SHORT_GRIP,
        f"{quoted(group.name)} is turned by an angle, and its grip is only {diameters:.1f} diameters."
        " A few degrees more or less change much of its clamp load",
        found=_told(grip, thread),
        allowed=f"{_told(SHORT * thread.diameter, thread)} or more for {thread.name}",
        hint="compare grip and thread with the manual. A torque alone is usual for a short bolt",
        or_key="clamped",
    )


def _least_engaged(at: KeyPath, group: Group, grip: float, threads: dict[str, Thread]) -> Iterator[Raised]:
    """One question a group, about the kind of bolt that lacks most."""
    short = [
        (needs - (long - grip), fits, max(0.0, long - grip), needs)
        for fits, thread in threads.items()
        if (long := length_of(fits)) is not None and (needs := _needs(group, thread)) is not None
    ]
    lack, fits, engaged, needs = max(short, default=(0.0, "", 0.0, 0.0))
    if lack <= needs * _ROUNDED:
        return
    thread = threads[fits]
    where = "beyond what it clamps" if group.into is None else f"into {cut(group.into)}"
    what = "for a nut" if group.into is None else where
    or_hole = '. For a tapped hole add its material, like into = "cast iron"' if group.into is None else ""
    yield Raised(
        (*at, "fits") if group.fits else (*at, "thread"),
        Code.SHORT_ENGAGEMENT,
        f"{quoted(fits)} with a grip of {_told(grip, thread)} reaches {_told(engaged, thread)} {where},"
        f" {engaged / thread.diameter:.2f} diameters",
        found=_told(engaged, thread),
        allowed=f"about {_told(needs, thread)} or more {what}",
        hint=f"compare length and grip with the manual. A thread with too little engaged strips{or_hole}",
    )


def _needs(group: Group, thread: Thread) -> float | None:
    """The least length engaged in metres; None where the material is not known."""
    if group.into is None:
        return NUT * thread.diameter + BEYOND_NUT * thread.pitch
    plain = " ".join(group.into.casefold().split())
    pair = ENGAGED.get(_OTHER_NAMES.get(plain, plain))
    return None if pair is None else pair[int(_hard(group, thread))] * thread.diameter


def _hard(group: Group, thread: Thread) -> bool:
    if group.strength is not None:
        return si(group.strength.proof.value, group.strength.proof.unit) >= HARD
    try:
        return group.property_class is not None and strength_named(group.property_class, thread.diameter).proof >= HARD
    except JointFault:
        return False


def length_of(fits: str) -> float | None:
    """The length of the bolt in metres behind its thread: 91 mm in "M10x1.25 x 91 mm", 1.5 in "3/8-24 x 1 1/2 in"."""
    found = _LONG.findall(fits)
    if not found:
        return None
    figure, unit = found[-1]
    try:
        whole, _, part = figure.replace("-", " ").rpartition(" ")
        above, _, below = part.partition("/")
        value = number(above, decimal_comma=True) / number(below or "1") + number(whole or "0")
        return si(value, "mm" if unit.lower() == "mm" else "in")
    except (UnitFault, DivisionByZero, InvalidOperation):
        return None


def _told(metres: float, thread: Thread) -> str:
    """A length in the unit of the thread."""
    return f"{metres / 0.0254:.3g} in" if thread.system == "unified" else f"{metres * 1000:.3g} mm"
