"""Queries about what a bolt bears: pulls, turns and stretches beyond yield, and torques far below what is usual."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

from clampbook.joint.band import Laws
from clampbook.joint.stretch import preload_of_stretch, stretch_of_preload
from clampbook.joint.tightening import Bolt, preload_at_yield, share_of_yield
from clampbook.joint.torque import preload_of, torque_of
from clampbook.procedure.clamping import stretch_window
from clampbook.procedure.fastening import Fastening, kinds, known_of
from clampbook.procedure.model import Group, Tighten, Turn, Window
from clampbook.procedure.slips import KeyPath
from clampbook.review.assumed_friction import with_any_friction
from clampbook.review.codes import Code
from clampbook.review.loads import Load, loads
from clampbook.review.look import Look, Placed, Raised
from clampbook.review.slipped import USUAL, would_fit
from clampbook.text import quoted
from clampbook.units import Kind, convert, parse, show, si

# Of the grip: well below the elongation after fracture of 9 % that ISO 898-1:2013, Table 3 wants of 10.9, since a bolt
# stretches most in its thread; common practice, no source.
MOST_LASTING = 0.04
FAR_BELOW = 0.12  # of the proof load holds next to nothing; common practice, no source
SNUG_FROM = 0.03  # of the proof load: less does not even bring the parts together; common practice, no source
SURELY = 1.15  # how far beyond the latest angle of yield is certain: springs scatter some 15 %; no source


def strength(look: Look) -> Iterator[Raised]:
    """All queries about strength, group by group; one a group of each kind, at the stage where it is worst."""
    for at, group in look.groups:
        known = tuple(loads(look, group))
        pulls = [each for each in known if each.turn is None]
        too_far = tuple(_pulled_too_far(look, at, pulls))
        yield from too_far
        if not too_far:  # else a turn from there goes too far as well, which is the same mistake
            turns = [each for each in known if each.turn is not None]
            to_break = tuple(_turned_to_break(group, turns))
            yield from to_break or _turned_too_far(group, turns)
        yield from _stretched_too_far(look, group)
        yield from _far_off(look, at, group)


def _pulled_too_far(look: Look, at: KeyPath, pulls: list[Load]) -> Iterator[Raised]:
    worst: tuple[float, Load, Bolt] | None = None
    for load in pulls:
        bolt = load.fastening.bolt
        if bolt is None or load.pulled is None:
            continue
        most = max(load.pulled.high / bolt.proof_load, _of_yield(load, bolt))
        if most > 1 and (worst is None or most > worst[0] * 1.001):
            worst = most, load, bolt
    if worst is not None:
        yield _too_far(look, _torque_at(at, worst[1].placed), worst[1], worst[2])


def _of_yield(load: Load, bolt: Bolt) -> float:
    return 0.0 if load.pulled is None else share_of_yield(load.pulled.high, bolt, load.fastening.laws.low)


def _too_far(look: Look, at: KeyPath, load: Load, bolt: Bolt) -> Raised:
    stage, laws, unit = load.placed.stage, load.fastening.laws, look.procedure.unit
    assert isinstance(stage, Tighten) and stage.target is not None and load.pulled is not None
    most = stage.window.high if stage.window.high is not None else stage.target
    bears = min(preload_at_yield(bolt, laws.low), bolt.proof_load)
    limit = show(in_unit(torque_of(bears, bolt.thread, laws.low), unit), unit)
    text = (
        f"up to {show(most, unit)} is allowed. At the lowest friction that is {_kn(load.pulled.high)},"
        f" {_percent(load.pulled.high / bolt.proof_load)} of the proof load of {_named(bolt)},"
        f" and with the twist {_percent(_of_yield(load, bolt))} of its yield"
    )
    fits = ""
    if load.pulled.likely / bolt.proof_load > USUAL[1]:
        fits = would_fit(stage.target, unit, bolt, laws.likely)
    return Raised(
        at,
        Code.BEYOND_YIELD,
        text,
        found=show(most, unit),
        allowed=f"up to {limit}, where this bolt reaches proof load or yield at the lowest friction",
        hint="compare torque, unit, property class and friction with the manual"
        + (f". {fits} of the proof load" if fits else ""),
    )


def _turned_too_far(group: Group, turns: list[Load]) -> Iterator[Raised]:
    """A turn that certainly goes beyond yield spends the bolt, which is then not to be used again."""
    if group.fastener != "use again":
        return
    for load in turns:
        turn, stage = load.turn, load.placed.stage
        if turn is None or not isinstance(stage, Turn) or not turn.surely:
            continue
        least, earliest, latest = _least(stage), math.degrees(turn.earliest), math.degrees(turn.latest)
        if least <= latest * SURELY:
            continue
        yield Raised(
            (*load.placed.at, "by"),
            Code.TURN_BEYOND_YIELD,
            f"a turn of {least:.0f}° certainly goes beyond yield, which begins after {earliest:.0f}° to {latest:.0f}°,"
            f" and {quoted(group.name)} is used again",
            found=f"{least:.0f}°",
            allowed=f"up to about {latest:.0f}° for what is used again",
            hint='compare angle, grip and clamped with the manual, or write fastener = "new every time"'
            ' or "use again if measured"',
        )
        return


def _turned_to_break(group: Group, turns: list[Load]) -> Iterator[Raised]:
    """Turns that together lengthen a bolt beyond yield by more than the weakest of its class are sure to bear."""
    grip = sum(si(each.thickness.value, each.thickness.unit) for each in group.clamped)
    beyond: dict[str | None, float] = {}
    for load in turns:
        turn, stage = load.turn, load.placed.stage
        if turn is None or not isinstance(stage, Turn):
            continue
        most = math.radians(float(stage.target if stage.window.high is None else stage.window.high))
        past = max(0.0, most - turn.latest) * load.fastening.thread.pitch / (2 * math.pi)
        beyond[load.fits] = beyond.get(load.fits, 0.0) + past
        share = beyond[load.fits] / grip
        if share > MOST_LASTING:
            yield Raised(
                (*load.placed.at, "by"),
                Code.TURN_TO_BREAK,
                f"this turn makes a bolt of {quoted(group.name)} {beyond[load.fits] * 1000:.1f} mm longer beyond yield,"
                f" {share * 100:.1f} % of its grip, and it may break",
                found=show(stage.target, "°"),
                allowed=f"a lasting stretch of up to about {MOST_LASTING * 100:.0f} % of the grip",
                hint="compare angle, rounds and grip with the manual",
            )
            return


def _least(stage: Turn) -> float:
    return float(stage.target if stage.window.low is None else stage.window.low)


def _stretched_too_far(look: Look, group: Group) -> Iterator[Raised]:
    """A stretch that takes a bolt beyond its proof load leaves it longer than it was."""
    for fits in kinds(group):
        known = known_of(group, fits).fastening
        if known is None or known.bolt is None or known.springs is None:
            continue
        for each in look.of(group):
            window = stretch_window(each.stage)
            if window is not None and window.high is not None:
                yield from _stretched(each, known, window, window.high)


def _stretched(each: Placed, known: Fastening, window: Window, high: Decimal) -> Iterator[Raised]:
    if known.bolt is None or known.springs is None:
        return
    share = preload_of_stretch(si(high, window.unit), known.springs.bolt) / known.bolt.proof_load
    if share <= 1:
        return
    limit = stretch_of_preload(known.bolt.proof_load, known.springs.bolt) * 1000
    yield Raised(
        (*each.at, "stretch_between" if isinstance(each.stage, Tighten) else "between"),
        Code.STRETCH_BEYOND_PROOF,
        f"a stretch of {show(high, window.unit)} is {_percent(share)} of the proof load of {_named(known.bolt)}",
        found=show(high, window.unit),
        allowed=f"up to about {limit:.2f} mm",
        hint="compare stretch, grip and property class with the manual",
    )


def _far_off(look: Look, at: KeyPath, group: Group) -> Iterator[Raised]:
    """The last torque of a group where it holds next to nothing, or, where a turn follows, makes nothing snug."""
    stages = look.of(group)
    pulls = [each for each in stages if isinstance(each.stage, Tighten)]
    by_stretch = any(getattr(each.stage, "stretch", None) for each in stages)
    if not pulls or by_stretch or group.prevailing is not None:
        return
    turned = any(isinstance(each.stage, Turn) for each in stages)
    final = max(pulls, key=lambda each: _target(each) or Decimal(0))
    target = _target(final)
    if target is None:
        return
    for fits in kinds(group):
        found = _bolt(group, fits)
        if found is None:
            continue
        bolt, laws = found
        share = preload_of(si(target, look.procedure.unit), bolt.thread, laws.likely) / bolt.proof_load
        if share < (SNUG_FROM if turned else FAR_BELOW):
            yield _far_below(look, _torque_at(at, final), target, share, bolt, laws, turned=turned)
            return


def _far_below(
    look: Look, at: KeyPath, target: Decimal, share: float, bolt: Bolt, laws: Laws, *, turned: bool
) -> Raised:
    unit = look.procedure.unit
    would = "" if turned else would_fit(target, unit, bolt, laws.likely)
    end = "too little for a snug joint before the turn" if turned else "far below what is usual"
    usual = f"{_percent(SNUG_FROM)} or more" if turned else f"{_percent(USUAL[0])} to {_percent(USUAL[1])}"
    return Raised(
        at,
        Code.FAR_OFF,
        f"{show(target, unit)} is {_percent(share)} of the proof load of {_named(bolt)}, {end}",
        found=show(target, unit),
        allowed=f"usually {usual} of the proof load",
        hint="compare torque and unit with the manual" + (f". {would} of the proof load" if would else ""),
    )


def _torque_at(group: KeyPath, each: Placed) -> KeyPath:
    """Give the place of the figure of a pull: at the stage, or on the group whose target it takes the whole
    or a part of.
    """
    share = each.stage.share if isinstance(each.stage, Tighten) else None
    whole = None if share is None else parse(share, Kind.SHARE)
    return (*each.at, "to") if whole is None or si(whole.value, whole.unit) > 1 else (*group, "target")


def _target(each: Placed) -> Decimal | None:
    return each.stage.target if isinstance(each.stage, Tighten) and each.stage.stretch is None else None


def _bolt(group: Group, fits: str | None) -> tuple[Bolt, Laws] | None:
    """The bolt and its friction; where no friction is given, whatever friction there is."""
    known = known_of(with_any_friction(group), fits).fastening
    return None if known is None or known.bolt is None else (known.bolt, known.laws)


def in_unit(newton_metres: float, unit: str) -> Decimal:
    """A torque in the sheet's unit with three significant digits."""
    value = float(convert(Decimal(repr(newton_metres)), "N·m", unit))
    return Decimal(f"{value:.3g}")


def _named(bolt: Bolt) -> str:
    return f"{bolt.thread.name}, {bolt.strength.name}"


def _kn(newtons: float) -> str:
    return f"{newtons / 1000:.1f} kN"


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %" if share >= 0.095 else f"{share * 100:.1f} %"
