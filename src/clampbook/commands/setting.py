"""The command that says what to set on a tool with an adapter; it needs no book."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import example, json_option
from clampbook.streams import json_text

if TYPE_CHECKING:
    from decimal import Decimal

    from clampbook.tools.lever import Reach
    from clampbook.units import Kind, Quantity


@click.command(epilog=example("setting '90 N·m' --lever '400 mm' --adapter '60 mm'"))
@click.argument("target")
@click.option("--lever", metavar="L", help='Lever, drive to middle of grip, such as "400 mm"')
@click.option("--adapter", metavar="E", help='Added to the lever, such as "50 mm". Minus shortens')
@click.option("--offset", metavar="ANGLE", help="Angle of the adapter to the lever, in degrees")
@click.option("--ratio", metavar="R", help="Of a torque multiplier, instead of --lever and --adapter")
@click.option("--ratio-uncertainty", metavar="U", help='Of its ratio, expanded (k = 2), such as "3 %"')
@click.option("--unit", metavar="NAME", help="Unit on the tool, if not the target's")
@click.option("--resolution", metavar="STEP", help='Round to scale lines this far apart, such as "0.5 N·m"')
@click.option("--between", nargs=2, metavar="FROM TO", help="Window at the fastener. Needs --resolution")
@click.option("--reading", "backwards", is_flag=True, help="Take TARGET as the tool's reading, work backwards")
@json_option
def setting(
    target: str,
    lever: str | None,
    adapter: str | None,
    offset: str | None,
    ratio: str | None,
    ratio_uncertainty: str | None,
    unit: str | None,
    resolution: str | None,
    between: tuple[str, str] | None,
    backwards: bool,
    as_json: bool,
) -> int:
    """Work out a setting with an adapter.

    TARGET is the torque at the fastener. Of a torque multiplier give --ratio.
    """
    from clampbook.units import Kind, Quantity

    wanted = _positive(_read("TARGET", target, Kind.TORQUE))
    through = (
        _through(lever, adapter, offset)
        if ratio is None and ratio_uncertainty is None
        else _multiplied(ratio, ratio_uncertainty, (lever, adapter, offset))
    )
    shown_in = wanted.unit if unit is None else _torque_unit(unit)
    if backwards:
        there = Quantity(_there(wanted, through, shown_in), shown_in)
        _tell("at_fastener", wanted, there, as_json, _by_the_ratio(through, there))
        return 0
    mark, got = _set_to(wanted, through, shown_in, resolution, between)
    _tell("setting", wanted, mark, as_json, _by_the_ratio(through, got))
    return 0


def _set_to(
    wanted: Quantity, through: Reach, unit: str, resolution: str | None, between: tuple[str, str] | None
) -> tuple[Quantity, Quantity]:
    """Give what to set, exactly or at a line of the scale, and what the fastener gets then."""
    from clampbook.units import Kind, Quantity, convert

    if resolution is not None:
        step = _positive(_read("--resolution", resolution, Kind.TORQUE))
        ends = tuple(_read("--between", end, Kind.TORQUE) for end in between or ())
        mark = Quantity(_rounded(wanted, through, unit, step, ends), unit)
        return mark, Quantity(_there(mark, through, wanted.unit), wanted.unit)
    if between is not None:
        raise click.UsageError('--between needs --resolution, the distance of the scale lines, such as "0.5 N·m".')
    return Quantity(convert(through.on_tool(wanted.value), wanted.unit, unit), unit), wanted


def _there(shown: Quantity, through: Reach, unit: str) -> Decimal:
    from clampbook.units import convert

    return convert(through.at_fastener(shown.value), shown.unit, unit)


def _rounded(wanted: Quantity, through: Reach, unit: str, step: Quantity, ends: tuple[Quantity, ...]) -> Decimal:
    """The mark of a scale with these steps. Raises UsageError where none holds the window."""
    from clampbook.tools.setting import CannotHold, mark_beside
    from clampbook.units import convert

    low, high = (convert(end.value, end.unit, wanted.unit) for end in ends) if ends else (None, None)
    found = mark_beside(wanted.value, (low, high), wanted.unit, unit, convert(step.value, step.unit, unit), through)
    if isinstance(found, CannotHold):
        raise click.UsageError(f"{found.sentence}.")
    return found.value


def _multiplied(ratio: str | None, uncertainty: str | None, by_lever: tuple[str | None, ...]) -> Reach:
    """The reach through a multiplier, held to what its entry in tools.toml could say."""
    from decimal import Decimal, InvalidOperation

    from clampbook.tools.lever import MOST_RATIO, Reach
    from clampbook.tools.slot import MOST_PERCENT

    if ratio is None:
        raise click.UsageError("--ratio-uncertainty needs --ratio, torque out over torque in.")
    if any(each is not None for each in by_lever):
        raise click.UsageError("A multiplier changes no lever. Give --ratio, or --lever and --adapter.")
    try:
        times = Decimal(ratio.strip().replace(",", "."))
    except InvalidOperation:
        times = Decimal(0)
    if not (times.is_finite() and 1 <= times <= MOST_RATIO):
        raise click.UsageError(
            f"--ratio: “{ratio}” is not possible. Give 1 to {MOST_RATIO}, torque out over torque in."
        )
    if uncertainty is None:
        return Reach(Decimal(1), times)
    try:
        percent = Decimal(uncertainty.strip().removeprefix("±").removesuffix("%").strip().replace(",", "."))
    except InvalidOperation:
        percent = Decimal(-1)
    if not (percent.is_finite() and 0 < percent <= MOST_PERCENT):
        raise click.UsageError(
            f"--ratio-uncertainty: “{uncertainty}” is not possible. Give more than 0 and up to {MOST_PERCENT} %."
        )
    return Reach(Decimal(1), times, percent / 2)


def _by_the_ratio(through: Reach, there: Quantity) -> tuple[Quantity, Quantity] | None:
    """Between what the torque at the fastener lies by the uncertainty of the ratio alone; None where none was given."""
    from clampbook.units import Quantity

    if not through.unsure:
        return None
    away = there.value * through.unsure * 2 / 100
    return Quantity(there.value - away, there.unit), Quantity(there.value + away, there.unit)


def _through(lever: str | None, adapter: str | None, offset: str | None) -> Reach:
    from clampbook.tools.lever import reach_of
    from clampbook.units import Kind, convert, show

    if lever is None or adapter is None:
        raise click.UsageError("Give --lever and --adapter, or --ratio of a torque multiplier.")
    bare = _is_bare(lever) and _is_bare(adapter)  # in one and the same unit, whichever: only their ratio counts
    length = _positive(_read("--lever", lever, Kind.LENGTH, "mm" if bare else None))
    more = _read("--adapter", adapter, Kind.LENGTH, "mm" if bare else None)
    angle = _read("--offset", offset or "0", Kind.ANGLE, "°")
    found = reach_of(length, more, convert(angle.value, angle.unit, "°"))
    if found is None:
        whole = show(length.value, length.unit)
        raise click.UsageError(f"That adapter leaves nothing of a lever of {whole}. Check its length and angle.")
    return found


def _is_bare(text: str) -> bool:
    return not any(sign.isalpha() for sign in text)


def _read(what: str, text: str, kind: Kind, unit: str | None = None) -> Quantity:
    from clampbook.units import UnitFault, parse

    try:
        return parse(text, kind, unit=unit)
    except UnitFault as fault:
        raise click.UsageError(f"{what}: {fault.sentence}.") from fault


def _positive(quantity: Quantity) -> Quantity:
    from clampbook.units import show

    if quantity.value <= 0:
        raise click.UsageError(f"{show(quantity.value, quantity.unit)} is not possible. Give more than zero.")
    return quantity


def _torque_unit(name: str) -> str:
    from clampbook.units import Kind, UnitFault, unit_named

    try:
        return unit_named(name, Kind.TORQUE)
    except UnitFault as fault:
        raise click.UsageError(f"--unit: {fault.sentence}.") from fault


def _tell(key: str, given: Quantity, found: Quantity, as_json: bool, between: tuple[Quantity, Quantity] | None) -> None:
    """Target and setting on two labelled lines, or as one object; `between` is what the ratio leaves open."""
    from clampbook.run.told.torques import show_torque
    from clampbook.units import show

    if as_json:
        told: dict[str, object] = {key: {"value": float(found.value), "unit": found.unit}}
        if between is not None:
            low, high = between
            told["by_the_ratio"] = {"from": float(low.value), "to": float(high.value), "unit": low.unit}
        sys.stdout.write(json_text(told))
        return
    before, behind = (
        ("at the fastener", "set the tool to") if key == "setting" else ("the tool shows", "at the fastener")
    )
    click.echo(f"{before}: {show_torque(given.value, given.unit)}\n{behind}: {show(found.value, found.unit)}")
    if between is not None:
        low, high = between
        least = show(low.value, low.unit).removesuffix(f" {low.unit}")
        click.echo(f"by the ratio's uncertainty: {least} to {show(high.value, high.unit)}")
