"""The command that estimates the clamp load of a pull from its torque; it needs no book."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import json_option
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.commands.estimate_words import Estimated


@click.command()
@click.option("--thread", required=True, metavar="NAME", help="Such as M10, M10x1.25 or 3/8-24.")
@click.option("--class", "class_", metavar="NAME", help='Such as 8.8, 10.9, "grade 8" or A2-70.')
@click.option("--torque", metavar="TORQUE", help='With its unit, such as "30 N·m".')
@click.option("--clamp-load", metavar="LOAD", help='Instead: the clamp load, "20 kN" or "75 %" of the proof load.')
@click.option("--nut-factor", metavar="K", help="K of T = K d F, or lowest and highest: 0.16-0.20.")
@click.option("--thread-friction", metavar="MU", help="In the thread, such as 0.12 or 0.10-0.14.")
@click.option("--head-friction", metavar="MU", help="Under head or nut, whichever is turned.")
@click.option("--within", metavar="WIDTH", help='The window of the torque, such as "± 2 N·m" or "5 %".')
@click.option("--between", nargs=2, metavar="LOW HIGH", help="The same by its two ends.")
@click.option("--tool", metavar="PERCENT", help='The permissible deviation of the tool, such as "4 %".')
@click.option("--prevailing", metavar="TORQUE", help="What a locking nut takes beforehand.")
@click.option("--head", type=click.Choice(["hexagon", "socket"]), default="hexagon", help="Which face rubs.")
@click.option("--seat", type=click.Choice(["part", "washer"]), default="part", help="What it rubs on.")
@click.option("--bearing", nargs=2, metavar="OUTER INNER", help="The face that rubs, where it is not a usual one.")
@click.option("--waist", metavar="LENGTH", help="The diameter of a reduced or waisted shank.")
@click.option("--strength", nargs=3, metavar="PROOF YIELD TENSILE", help="Instead of a class, with --source.")
@click.option("--source", metavar="WORDS", help="Where that strength is printed.")
@click.option("--angle", metavar="ANGLE", help="A turn after the torque; needs --part.")
@click.option("--part", "parts", multiple=True, metavar="LAYER", help='What is clamped: "72 mm aluminium"; again.')
@click.option("--width", metavar="LENGTH", help="How wide the clamped parts are around the bolt.")
@click.option("--shank", metavar="LENGTH", help="How much of the grip is shank without thread.")
@click.option("--into", "into_material", metavar="MATERIAL", help="Screwed into a tapped hole in this; else a nut.")
@json_option
def estimate(as_json: bool, **said: Any) -> int:
    """Estimate the clamp load that a torque brings, its band, and how much of the bolt it uses.

    With --clamp-load the other way: the torque that brings it.
    """
    from clampbook.commands.estimate_words import as_lines, as_object
    from clampbook.commands.folding import folded
    from clampbook.joint.unknown import JointFault

    try:
        found = _estimated(said)
    except JointFault as fault:
        raise click.UsageError(fault.sentence) from fault
    if as_json:
        sys.stdout.write(json_text(as_object(found)))
    else:
        click.echo("\n".join(folded(as_lines(found))))
    yields = found.use is not None and found.use.of_yield.high >= 1
    return LOOK_AT_IT if yields or found.clamp.worst.low <= 0 else FINE


def _estimated(said: dict[str, Any]) -> Estimated:
    """Everything that these options allow. Raises JointFault, UsageError."""
    from dataclasses import replace

    from clampbook.commands import estimate_input as read
    from clampbook.commands.estimate_words import Estimated
    from clampbook.joint.estimate import after_turn, clamp_of, use_of
    from clampbook.joint.tightening import Bolt

    thread = read.thread_of(said)
    face = read.bearing(said, thread)
    laws = read.laws(said, face)
    strength, angle = read.strength(said, thread), read.angle(said)
    bolt = None if strength is None else Bolt(thread, strength, read.waist(said))
    target = read.target_of(said, thread, laws, bolt)
    pull = read.pull_of(said, read.torque_band(said, target), laws)
    clamp = clamp_of(pull, thread)
    found = Estimated(target, thread, face, pull, clamp, wanted=said["clamp_load"] is not None)
    if bolt is None:
        if angle is not None:
            raise click.UsageError("Where a turn ends depends on the strength of the bolt: --class, such as 10.9.")
        return found
    turn = None
    if angle is not None:
        turn = after_turn(clamp.worst, angle, laws, bolt, read.springs(said, thread, face))
    return replace(found, bolt=bolt, use=use_of(clamp, pull, bolt), turn=turn)
