"""A group's bolts as the mechanics take them, and which keys of the file are missing for an estimate."""

from __future__ import annotations

from msgspec import Struct

from clampbook.joint.band import Laws, by_friction, by_nut_factor
from clampbook.joint.bearing import Into, bearing_of
from clampbook.joint.bolt_stiffness import Shank, bolt_resilience
from clampbook.joint.clamped_stiffness import Layer, clamped_resilience
from clampbook.joint.materials import bolt_modulus, modulus_of
from clampbook.joint.strength import Strength, StrengthNeeded, custom, is_a_class, strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.threads import Thread
from clampbook.joint.tightening import Bolt
from clampbook.joint.torque import Friction
from clampbook.joint.turning import Springs
from clampbook.joint.unknown import JointFault
from clampbook.procedure.model import Group
from clampbook.units import Quantity, si

CLAMP, SHARE, TURN = "clamp load", "share of the proof load", "clamp load after a turn"
WIDE = 3.0  # faces wide are parts taken as, which is about where a cone of pressure ends; common practice, no source


class Lack(Struct, frozen=True):
    """Something missing for an estimate: the key of the group that would bring it, and why in a sentence."""

    key: str
    gives: str
    why: str


class Fastening(Struct, frozen=True):
    """A bolt of a group: thread and laws always, its strength and its springs where the file gives what they need."""

    thread: Thread
    laws: Laws
    bolt: Bolt | None = None
    springs: Springs | None = None


class Known(Struct, frozen=True):
    """The known facts of a bolt, and what is lacking for more; `fastening` None: no clamp load can be estimated."""

    fastening: Fastening | None
    lacks: tuple[Lack, ...] = ()


def known_of(group: Group, fits: str | None) -> Known:
    """Give what is known of a bolt of this group for an estimate; `fits` is what belongs there, such as "M10x1.25 x
    91 mm"."""
    lacks: list[Lack] = []
    thread = _thread(fits, lacks)
    if thread is None:
        _class(group, lacks)
    laws = None if thread is None else _laws(group, thread, lacks)
    if thread is None or laws is None:
        return Known(None, tuple(lacks))
    strength = _strength(group, thread, lacks)
    bolt = None if strength is None else _bolt(group, thread, strength, lacks)
    springs = _springs(group, thread, lacks)
    return Known(Fastening(thread, laws, bolt, springs), tuple(lacks))


def kinds(group: Group) -> dict[str | None, tuple[str, ...]]:
    """The group's positions by what fits there, in their order."""
    found: dict[str | None, list[str]] = {}
    for position in group.positions:
        found.setdefault(group.fits_at(position), []).append(position)
    return {fits: tuple(positions) for fits, positions in found.items()}


def _thread(fits: str | None, lacks: list[Lack]) -> Thread | None:
    if fits is None:
        lacks.append(Lack("thread", CLAMP, "The thread is not given."))
        return None
    try:
        return thread_named(fits)
    except JointFault as fault:
        lacks.append(Lack("thread", CLAMP, fault.sentence))
        return None


def _laws(group: Group, thread: Thread, lacks: list[Lack]) -> Laws | None:
    """Whatever friction the reader let pass can be taken, but for a thread that would lock."""
    try:
        if group.nut_factor is not None:
            return by_nut_factor(*group.nut_factor)
        if group.friction_thread is not None and group.friction_head is not None:
            like = Friction(1.0, 1.0, bearing_of(thread, group.head, group.seat))
            return by_friction(group.friction_thread, group.friction_head, like)
    except JointFault as fault:
        lacks.append(Lack("friction", CLAMP, fault.sentence))
        return None
    lacks.append(Lack("friction", CLAMP, "Neither friction nor a nut factor is given."))
    return None


def _strength(group: Group, thread: Thread, lacks: list[Lack]) -> Strength | None:
    own = group.strength
    try:
        if own is not None:
            proof, yields, tensile = (_si(each) for each in (own.proof, own.yield_, own.tensile))
            return custom(group.property_class or group.name, proof, yields, tensile, own.source)
        if group.property_class is not None:
            return strength_named(group.property_class, thread.diameter)
    except JointFault as fault:
        lacks.append(Lack(_key_for(fault), SHARE, fault.sentence))
        return None
    lacks.append(Lack("property_class", SHARE, "The property class is not given."))
    return None


def _class(group: Group, lacks: list[Lack]) -> None:
    """Of a bolt whose thread is not known: its class, where no table has that either."""
    try:
        if group.strength is None and group.property_class is not None:
            is_a_class(group.property_class)
    except JointFault as fault:
        lacks.append(Lack(_key_for(fault), SHARE, fault.sentence))


def _key_for(fault: JointFault) -> str:
    """The key that would bring the strength of a bolt."""
    return "strength" if isinstance(fault, StrengthNeeded) else "property_class"


def _bolt(group: Group, thread: Thread, strength: Strength, lacks: list[Lack]) -> Bolt | None:
    try:
        return Bolt(thread, strength, None if group.waist is None else _si(group.waist))
    except JointFault as fault:
        lacks.append(Lack("waist", SHARE, fault.sentence))
        return None


def _springs(group: Group, thread: Thread, lacks: list[Lack]) -> Springs | None:
    """Bolt and clamped parts; a turn cannot be estimated without what is clamped."""
    if not group.clamped:
        lacks.append(Lack("clamped", TURN, "What is clamped is not given, so a turn says nothing of the clamp load."))
        return None
    try:
        layers = [Layer(_si(part.thickness), modulus_of(part.material)) for part in group.clamped]
        tapped = None if group.into is None else modulus_of(group.into)
        into: Into = "nut" if tapped is None else "tapped hole"
        shank = Shank(
            0.0 if group.shank is None else _si(group.shank), None if group.waist is None else _si(group.waist)
        )
        grip = sum(layer.thickness for layer in layers)
        face = bearing_of(thread, group.head, group.seat)
        steel = bolt_modulus(group.property_class)
        own = bolt_resilience(thread, grip, shank, head=group.head, into=into, modulus=steel, counterpart=tapped)
        return Springs(own, clamped_resilience(layers, face, WIDE * face.outer, into))
    except JointFault as fault:
        lacks.append(Lack("clamped", TURN, fault.sentence))
        return None


def _si(quantity: Quantity) -> float:
    return si(quantity.value, quantity.unit)
