"""The values that somebody types for an estimate, as the mechanics take them; every slip is a sentence."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import click

from clampbook.joint.band import Band, Laws, by_friction, by_nut_factor, plus_minus
from clampbook.joint.bearing import Bearing, Into, bearing_of
from clampbook.joint.bolt_stiffness import Shank, bolt_resilience
from clampbook.joint.clamped_stiffness import Layer, clamped_resilience
from clampbook.joint.estimate import Pull
from clampbook.joint.materials import bolt_modulus, modulus_of
from clampbook.joint.strength import Strength, custom, strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt
from clampbook.joint.torque import Friction, torque_of
from clampbook.joint.turning import Springs
from clampbook.units import Kind, Quantity, UnitFault, convert, number, parse, show, si

Said = dict[str, Any]
_POUNDS = frozenset({"lbf", "kip"})
_BETWEEN = re.compile(r"\s*(?:–|—|…|\bto\b|(?<=[0-9])\s*-\s*(?=[0-9.]))\s*")
_PART = re.compile(r"\s*([0-9.,]+\s*[^\s0-9]+)\s+(.+)")


def thread_of(said: Said) -> Thread:
    """The thread. Raises JointFault."""
    return thread_named(said["thread"])


def target_of(said: Said, thread: Thread, found: Laws, bolt: Bolt | None) -> Quantity:
    """The torque as typed, or the one that brings --clamp-load at likely friction. Raises UsageError, JointFault."""
    if (said["torque"] is None) == (said["clamp_load"] is None):
        raise click.UsageError('Give --torque, such as "30 N·m", or --clamp-load, such as "20 kN".')
    if said["torque"] is not None:
        return _quantity("--torque", said["torque"], Kind.TORQUE)
    share = said["clamp_load"].rstrip().endswith("%")
    read = _quantity("--clamp-load", said["clamp_load"], Kind.SHARE if share else Kind.FORCE)
    if share and bolt is None:
        raise click.UsageError("A share of the proof load needs the class of the bolt. Add --class, such as 8.8.")
    load = si(read.value, read.unit) * (1 if bolt is None or not share else bolt.proof_load)
    if load <= 0:
        raise click.UsageError("--clamp-load: give more than zero.")
    torque = Decimal(repr(torque_of(load, thread, found.likely, _prevailing(said))))
    unit = "lbf·ft" if read.unit in _POUNDS else "N·m"
    return Quantity(convert(torque, "N·m", unit), unit)


def torque_band(said: Said, target: Quantity) -> Band:
    """The window of the torque in N·m: --within "5 %" or "2 N·m", or --between. Raises UsageError."""
    likely = si(target.value, target.unit)
    if likely <= 0:
        raise click.UsageError("--torque: give more than zero.")
    if said["between"] and said["within"]:
        raise click.UsageError("Give --within or --between, not both.")
    if said["between"]:
        low, high = (_si("--between", end, Kind.TORQUE) for end in said["between"])
        if not 0 <= low <= likely <= high:
            told = show(target.value, target.unit)
            raise click.UsageError(f"--between: {told} is not between the two. Give the lower one first.")
        return Band(low, likely, high)
    return plus_minus(likely, 0.0 if said["within"] is None else _within(said["within"], likely))


def _within(text: str, target: float) -> float:
    """The half width of a window as a share of the target."""
    plain = re.sub(r"^\s*(±|\+/-|\+-)\s*", "", text)
    read = _quantity("--within", plain, None)
    share = si(read.value, "%") if read.unit == "%" else _si("--within", plain, Kind.TORQUE) / target
    if not 0 <= share <= 1:
        raise click.UsageError(f"--within: {text} is not possible. Give at most the torque itself.")
    return share


def bearing(said: Said, thread: Thread) -> Bearing:
    """The face that rubs: given, or the usual one for the thread. Raises UsageError, JointFault."""
    if said["bearing"]:
        outer, inner = (_si("--bearing", text, Kind.LENGTH) for text in said["bearing"])
        return Bearing(outer, inner)
    return bearing_of(thread, said["head"], said["seat"])


def laws(said: Said, face: Bearing) -> Laws:
    """Give the laws by which torque becomes clamp load: a nut factor, or two frictions. Raises UsageError,
    JointFault."""
    factor, in_thread, under_head = (said[key] for key in ("nut_factor", "thread_friction", "head_friction"))
    if factor is not None:
        if in_thread is not None or under_head is not None:
            raise click.UsageError("Give --nut-factor, or the two frictions, not both.")
        return by_nut_factor(*_span("--nut-factor", factor))
    if in_thread is None or under_head is None:
        raise click.UsageError(
            "Friction is missing. Add --nut-factor, such as 0.16-0.20, "
            "or --thread-friction and --head-friction, such as 0.10-0.14."
        )
    pairs = _span("--thread-friction", in_thread), _span("--head-friction", under_head)
    return by_friction(*pairs, Friction(1.0, 1.0, face))


def _span(option: str, text: str) -> tuple[float, float]:
    """ "0.2" or "0.16-0.20"."""
    try:
        found = [float(number(part, decimal_comma=True)) for part in _BETWEEN.split(text.strip())]
    except UnitFault as fault:
        raise click.UsageError(f"{option}: {fault.sentence}.") from fault
    if not 1 <= len(found) <= 2:
        raise click.UsageError(f"{option}: give one figure, or the lowest and the highest, such as 0.10-0.14.")
    return found[0], found[-1]


def pull_of(said: Said, torque: Band, found: Laws) -> Pull:
    """The pull with its tool and its prevailing torque. Raises UsageError."""
    tool = 0.0 if said["tool"] is None else _si("--tool", said["tool"].lstrip("± "), Kind.SHARE)
    if not 0 <= tool <= 1:
        raise click.UsageError("--tool: give a deviation of 0 to 100 %.")
    return Pull(torque, found, tool, _prevailing(said))


def _prevailing(said: Said) -> float:
    return 0.0 if said["prevailing"] is None else _si("--prevailing", said["prevailing"], Kind.TORQUE)


def strength(said: Said, thread: Thread) -> Strength | None:
    """Of the class, or of one's own with its source. Raises UsageError, JointFault."""
    if said["strength"]:
        if said["class_"] is not None:
            raise click.UsageError("Give --class or --strength, not both.")
        proof, yields, tensile = (_si("--strength", text, Kind.PRESSURE) for text in said["strength"])
        return custom("this bolt", proof, yields, tensile, said["source"] or "")
    return None if said["class_"] is None else strength_named(said["class_"], thread.diameter)


def waist(said: Said) -> float | None:
    """The waist of the shank in m."""
    return None if said["waist"] is None else _si("--waist", said["waist"], Kind.LENGTH)


def angle(said: Said) -> Band | None:
    """The turn in rad."""
    return None if said["angle"] is None else plus_minus(_si("--angle", said["angle"], Kind.ANGLE, "°"))


def springs(said: Said, thread: Thread, face: Bearing) -> Springs:
    """Bolt and clamped parts as springs. Raises UsageError, JointFault."""
    if not said["parts"]:
        raise click.UsageError(
            'A turn needs the clamped parts, from the head on. Add --part "72 mm aluminium" for each.'
        )
    layers = [_layer(text) for text in said["parts"]]
    grip = sum(layer.thickness for layer in layers)
    plain = 0.0 if said["shank"] is None else _si("--shank", said["shank"], Kind.LENGTH)
    tapped = None if said["into_material"] is None else modulus_of(said["into_material"])
    into: Into = "nut" if tapped is None else "tapped hole"
    # Parts are taken as three faces wide where nobody says so: that is about where a cone of pressure ends.
    wide = 3 * face.outer if said["width"] is None else _si("--width", said["width"], Kind.LENGTH)
    shank = Shank(plain, waist(said))
    steel = bolt_modulus(said["class_"])
    own = bolt_resilience(thread, grip, shank, head=said["head"], into=into, modulus=steel, counterpart=tapped)
    return Springs(own, clamped_resilience(layers, face, wide, into))


def _layer(text: str) -> Layer:
    found = _PART.fullmatch(text)
    if found is None:
        raise click.UsageError(f"--part: “{text}” is not a thickness and a material. Write it like 12 mm steel.")
    return Layer(_si("--part", found[1], Kind.LENGTH), modulus_of(found[2]))


def _si(option: str, text: str, kind: Kind, unit: str | None = None) -> float:
    read = _quantity(option, text, kind, unit)
    return si(read.value, read.unit)


def _quantity(option: str, text: str, kind: Kind | None, unit: str | None = None) -> Quantity:
    try:
        return parse(text, kind, unit=unit)
    except UnitFault as fault:
        raise click.UsageError(f"{option}: {fault.sentence}.") from fault
