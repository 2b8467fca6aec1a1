"""Queries about torques and windows: what falls, what begins from nothing, what is tighter than can be read."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import assert_never

from clampbook.procedure.model import Align, Group, Loosen, Recheck, Tighten, Turn, Unmoved, Window
from clampbook.procedure.slips import short
from clampbook.review.codes import Code
from clampbook.review.look import Look, Placed, Raised
from clampbook.review.slipped import units_beside
from clampbook.units import convert, show, show_window

READABLE = 2  # steps that a window is wide at least, so that it holds three readings; common practice, no source
FALLS_BY = Decimal("0.99")  # of the torque before: less is no rounding


def torques(look: Look) -> Iterator[Raised]:
    """All queries about torques, group by group, then the windows of all stages."""
    for _, group in look.groups:
        yield from _falling(look, group)
    yield from _too_tight(look)


def _falling(look: Look, group: Group) -> Iterator[Raised]:
    """Query a pull to less than one before, which changes nothing; a loosening begins anew."""
    highest: dict[str, Decimal] = {}
    turned: set[str] = set()
    unit = look.procedure.unit
    for each in look.of(group):
        stage = each.stage
        if isinstance(stage, Unmoved):
            continue
        match stage:
            case Tighten(stretch=None) if stage.target is not None:
                before = max((highest[at] for at in stage.positions if at in highest), default=None)
                if before is not None and stage.target < before * FALLS_BY:
                    yield _falls(each, stage.target, before, unit)
                highest.update(dict.fromkeys(stage.positions, stage.target))  # one slip is told once
            case Loosen():
                for position in stage.positions:
                    highest.pop(position, None)
                    turned.discard(position)
            case Recheck():
                before = min((highest[at] for at in stage.positions if at in highest), default=None)
                if before is not None and stage.target < before * FALLS_BY and stage.method != "first movement":
                    yield _low_recheck(each, stage, before, unit)
            case Turn():
                yield from _turn(each, stage, highest, turned, unit)
                turned.update(stage.positions)
            case Align():
                before = max((highest[at] for at in stage.positions if at in highest), default=None)
                yield from _limit_at_a_slot(each, stage, before, unit)
            case Tighten():
                pass
            case _ as never:
                assert_never(never)


def _falls(each: Placed, target: Decimal, before: Decimal, unit: str) -> Raised:
    own, older = units_beside(unit)
    meant = " or ".join(
        show(target, other) for other in own + older if before < convert(target, other, unit) <= before * 3
    )
    return Raised(
        (*each.at, "to"),
        Code.FALLS,
        f"{show(target, unit)} after {show(before, unit)} does nothing to a bolt that is tighter",
        found=show(target, unit),
        allowed=f"{show(before, unit)} or more, or a stage that loosens before it",
        hint="compare the order of the stages, and the unit, with the manual"
        + (f". Is {meant} meant?" if meant else ""),
    )


def _limit_at_a_slot(each: Placed, stage: Align, before: Decimal | None, unit: str) -> Iterator[Raised]:
    """A nut that is turned on to a slot goes above its torque, to a limit (common practice, no source)."""
    if stage.at_most is None:
        yield Raised(
            each.at,
            Code.NO_SLOT_LIMIT,
            f"no torque limits the turn to the next slot, which is up to {show(stage.slot, '°')}",
            found="no at_most",
            allowed="the highest torque of the manual",
            hint="compare with the manual, and add at_most with the highest torque that it allows",
        )
    elif before is not None and stage.at_most < before:
        yield Raised(
            (*each.at, "at_most"),
            Code.LOW_SLOT_LIMIT,
            f"at most {show(stage.at_most, unit)} at the slot is less than the {show(before, unit)} before it",
            found=show(stage.at_most, unit),
            allowed=f"{show(before, unit)} or more",
            hint="compare at_most, and the torque before it, with the manual",
        )


def _low_recheck(each: Placed, stage: Recheck, before: Decimal, unit: str) -> Raised:
    return Raised(
        (*each.at, "at"),
        Code.LOW_RECHECK,
        f"a recheck at {show(stage.target, unit)} after {show(before, unit)} moves no bolt,"
        " even one that has lost torque",
        found=show(stage.target, unit),
        allowed=f"{show(before, unit)}, the torque of the last stage",
        hint="compare the torque of the recheck with the manual",
    )


def _turn(each: Placed, stage: Turn, highest: dict[str, Decimal], turned: set[str], unit: str) -> Iterator[Raised]:
    """An angle means nothing before a snug torque, and a turn never lowers it."""
    if any(position not in highest and position not in turned for position in stage.positions):
        yield Raised(
            (*each.at, "by"),
            Code.NO_SNUG,
            f"a turn of {show(stage.target, '°')} begins from no torque, so its start is left to chance",
            found="no stage that tightens before it",
            allowed="a snug torque before the turn",
            hint='add a [[stage]] with do = "tighten" before it, as the manual says',
        )
    final, snug = stage.final_torque, max((highest[at] for at in stage.positions if at in highest), default=None)
    if final is not None and final.high is not None and snug is not None and final.high <= snug:
        yield Raised(
            (*each.at, "final_torque"),
            Code.FINAL_TORQUE,
            f"at most {show(final.high, unit)} is allowed after the turn, and {show(snug, unit)} was pulled before it",
            found=show_window(final.low, final.high, unit),
            allowed=f"more than {show(snug, unit)}",
            hint="compare final_torque with the manual",
        )


def _too_tight(look: Look) -> Iterator[Raised]:
    """A window in which hardly a reading can lie, by the last digit that a torque or an angle is read to."""
    for each in look.stages:
        stage = each.stage
        if isinstance(stage, Align | Loosen | Unmoved):
            continue
        match stage:
            case (
                Tighten(stretch=None, target=target) | Turn(target=target) | Recheck(target=target, as_tightened=False)
            ):
                window: Window | None = stage.window
            case Tighten() | Recheck():
                continue
            case _ as never:
                assert_never(never)
        if window is None or target is None or window.low is None or window.high is None:
            continue
        step, wide = step_of(target, window.unit), window.high - window.low
        if wide < READABLE * step:
            yield Raised(
                (*each.at, "within"),
                Code.ROUNDING,
                f"the window {short(show_window(window.low, window.high, window.unit))} is"
                f" {show(wide, window.unit)} wide, and such a value is read to {show(step, window.unit)}",
                found=show(wide, window.unit),
                allowed=f"{show(READABLE * step, window.unit)} or more",
                hint="compare the allowed deviation with the manual",
                or_key="between",
            )


def step_of(target: Decimal, unit: str) -> Decimal:
    """The last digit that is read: whole degrees, and the third digit of a torque, ones at the coarsest."""
    return Decimal(1) if unit == "°" else Decimal(1).scaleb(min(0, target.adjusted() - 2))
