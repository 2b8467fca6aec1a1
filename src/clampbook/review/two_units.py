"""Queries about units: a number that the words beside it give another unit, and a torque in the other system."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from clampbook.procedure.model import Group, Recheck, Tighten
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.review.slipped import UNITS
from clampbook.units import Kind, Quantity, UnitFault, convert, parse, show

SAME = Decimal("0.005")  # two numbers are the same but for rounding
_AGREES = Decimal("0.03")  # two figures of one torque agree but for rounding
_NAMED = re.compile(r"[0-9]+(?:[.,][0-9]+)?\s*(?:N\s?[·.]?\s?m|(?:lbf?|kgf?|ft|in)[·.\-\s]?(?:lbf?|ft|in|c?m))\b")
_TYPED = 4  # digits of a number that somebody typed; a converted one has more
_BACK = Decimal("0.00001")


def two_units(look: Look) -> Iterator[Raised]:
    """Both, stage by stage."""
    for _, group in look.groups:
        yield from _other_unit(look, group)
    yield from _mixed(look)


def _other_unit(look: Look, group: Group) -> Iterator[Raised]:
    """The words beside a stage, or the group's target, name its number in another unit."""
    unit = look.procedure.unit
    of_group = [] if group.target is None else [group.target]
    for each in look.of(group):
        stage, target = each.stage, _typed_target(each)
        if target is None:
            continue
        beside = [torque for text in (stage.manual, stage.note, stage.caution) if text for torque in torques_in(text)]
        if any(_agrees(target, unit, torque) for torque in (*beside, *of_group)):
            continue
        for torque in (*beside, *of_group):
            if (other := _same_number(target, unit, torque)) is not None:
                yield _in_two_units(each, target, unit, other, torque)
                of_group = []  # a target that does not fit is one slip, however many stages it touches
                break


def torques_in(text: str) -> Iterator[Quantity]:
    """The torques that a text names, such as "55 lbf·ft" in "step 4: 55 lbf·ft, oiled"."""
    for found in _NAMED.findall(text[:2000]):
        try:
            yield parse(found, Kind.TORQUE)
        except UnitFault:
            continue


def _agrees(target: Decimal, unit: str, named: Quantity) -> bool:
    there = convert(named.value, named.unit, unit)
    return abs(there - target) <= target * _AGREES


def _same_number(target: Decimal, unit: str, named: Quantity) -> str | None:
    """The unit, other than the named one, in which the target has the very number that is named."""
    for other in dict.fromkeys((unit, *UNITS)):
        number = convert(target, unit, other)
        if other != named.unit and abs(number - named.value) <= named.value * SAME:
            return other
    return None


def _in_two_units(each: Placed, target: Decimal, unit: str, other: str, named: Quantity) -> Raised:
    there = convert(named.value, named.unit, other)
    written = f"{named.value} {named.unit}"
    share = there / convert(target, unit, other)
    return Raised(
        (*each.at, "to" if isinstance(each.stage, Tighten) else "at"),
        Code.OTHER_UNIT,
        f"the stage says {show(named.value, other)}, and the words beside it {written}, which is"
        f" {show(Decimal(f'{there:.3g}'), other)}, {float(share):.3g} times as much",
        found=show(named.value, other),
        allowed="one torque, in whichever unit",
        hint="compare the unit of the number with the manual",
    )


def _mixed(look: Look) -> Iterator[Raised]:
    """Torques in newton metres where the sheet speaks pounds, or the other way; not where most of them are."""
    unit = look.procedure.unit
    pulls = [(each, target) for each in look.stages if (target := _typed_target(each)) is not None]
    odd = [(each, other) for each, target in pulls if (other := _other_system(target, unit)) is not None]
    shares = sum(isinstance(each.stage, Tighten | Recheck) and each.stage.share is not None for each in look.stages)
    if len(odd) * 2 > len(pulls) + shares:
        return
    for each, other in odd:
        target = convert(_typed_target(each) or Decimal(0), unit, other)
        number = Decimal(f"{target:.{_TYPED}g}").normalize()
        yield Raised(
            (*each.at, "to" if isinstance(each.stage, Tighten) else "at"),
            Code.MIXED_UNITS,
            f"{show(number, other)} is not in {unit}, the unit of the rest of the procedure",
            found=show(number, other),
            allowed=f"a torque in {unit}",
            hint=f"compare it with the manual. Is {show(number, unit)} meant? If not, write the torque in {unit}",
        )


def _typed_target(each: Placed) -> Decimal | None:
    """The target that the stage itself writes, in the sheet's unit; a share is none."""
    stage = each.stage
    return stage.target if isinstance(stage, Tighten | Recheck) and stage.share is None else None


def _other_system(target: Decimal, unit: str) -> str | None:
    """The unit of the other system in which the target is a number that somebody types, where here it is none."""
    if _is_typed(target):
        return None
    pounds = unit.startswith("lbf")
    others = (other for other in UNITS if other.startswith("lbf") != pounds)
    return next((other for other in others if _is_typed(convert(target, unit, other))), None)


def _is_typed(value: Decimal) -> bool:
    rounded = Decimal(f"{value:.{_TYPED}g}")
    return abs(value - rounded) <= value * _BACK * _BACK
