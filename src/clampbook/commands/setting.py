"""The command that says what to set on a tool with an adapter; it needs no book."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import json_option
from clampbook.streams import json_text

if TYPE_CHECKING:
    from decimal import Decimal

    from clampbook.tools.lever import Reach
    from clampbook.units import Kind, Quantity


@click.command()
@click.argument("target")
@click.option("--lever", required=True, metavar="L", help='Lever, drive to middle of grip, such as "400 mm"')
@click.option(
    "--adapter",
    required=True,
    metavar="E",
    help='Added to the lever, such as "50 mm". Minus shortens',
)
@click.option("--offset", default="0", metavar="ANGLE", help="Angle of the adapter to the lever, in degrees")
@click.option("--unit", metavar="NAME", help="Unit on the tool, if not the target's")
@click.option("--resolution", metavar="STEP", help='Round to scale lines this far apart, such as "0.5 N·m"')
@click.option("--between", nargs=2, metavar="FROM TO", help="Window at the fastener. Needs --resolution")
@click.option("--reading", "backwards", is_flag=True, help="Take TARGET as the tool's reading, work backwards")
@json_option
def setting(
    target: str,
    lever: str,
    adapter: str,
    offset: str,
    unit: str | None,
    resolution: str | None,
    between: tuple[str, str] | None,
    backwards: bool,
    as_json: bool,
) -> int:
    """Work out a setting with an adapter.

    TARGET is the torque at the fastener.
    """
    from clampbook.units import Kind

    wanted = _positive(_read("TARGET", target, Kind.TORQUE))
    through = _through(lever, adapter, offset)
    shown_in = wanted.unit if unit is None else _torque_unit(unit)
    if backwards:
        _tell("at_fastener", wanted, _there(wanted, through, shown_in), shown_in, as_json)
        return 0
    if resolution is None:
        if between is not None:
            raise click.UsageError('--between needs --resolution, the distance of the scale lines, such as "0.5 N·m".')
        from clampbook.units import convert

        exact = convert(through.on_tool(wanted.value), wanted.unit, shown_in)
        _tell("setting", wanted, exact, shown_in, as_json)
        return 0
    step = _positive(_read("--resolution", resolution, Kind.TORQUE))
    ends = tuple(_read("--between", end, Kind.TORQUE) for end in between or ())
    _tell("setting", wanted, _rounded(wanted, through, shown_in, step, ends), shown_in, as_json)
    return 0


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


def _through(lever: str, adapter: str, offset: str) -> Reach:
    from clampbook.tools.lever import reach_of
    from clampbook.units import Kind, convert, show

    bare = _is_bare(lever) and _is_bare(adapter)  # in one and the same unit, whichever: only their ratio counts
    length = _positive(_read("--lever", lever, Kind.LENGTH, "mm" if bare else None))
    more = _read("--adapter", adapter, Kind.LENGTH, "mm" if bare else None)
    angle = _read("--offset", offset, Kind.ANGLE, "°")
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


def _tell(key: str, given: Quantity, value: Decimal, unit: str, as_json: bool) -> None:
    """Target and setting on two labelled lines, or as one object."""
    from clampbook.run.told.torques import show_torque
    from clampbook.units import show

    if as_json:
        told = {key: {"value": float(value), "unit": unit}}
        sys.stdout.write(json_text(told))
    elif key == "setting":
        click.echo(f"at the fastener: {show_torque(given.value, given.unit)}\nset the tool to: {show(value, unit)}")
    else:
        click.echo(f"the tool shows: {show_torque(given.value, given.unit)}\nat the fastener: {show(value, unit)}")
