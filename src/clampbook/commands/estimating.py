"""The command that estimates the clamp load of a pull from its torque; it needs no book."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import example, json_option
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.commands.estimate_words import Estimated


@click.command(epilog=example("estimate --thread M10 --torque '30 N·m' --nut-factor 0.16-0.20"))
@click.option("--thread", required=True, metavar="NAME", help="Thread, such as M10, M10x1.25 or 3/8-24")
@click.option("--class", "class_", metavar="NAME", help='Property class, such as 8.8, "grade 8" or A2-70')
@click.option("--torque", metavar="TORQUE", help='Torque with its unit, such as "30 N·m"')
@click.option("--clamp-load", metavar="LOAD", help='Instead of the torque: "20 kN", or "75 %" of the proof load')
@click.option("--nut-factor", metavar="K", help="K of T = K d F, or its ends, such as 0.16-0.20")
@click.option("--thread-friction", metavar="MU", help="Friction in the thread, such as 0.12 or 0.10-0.14")
@click.option("--head-friction", metavar="MU", help="Friction under the head or nut that turns")
@click.option("--within", metavar="WIDTH", help='Window of the torque, such as "±2 N·m" or "5 %"')
@click.option("--between", nargs=2, metavar="FROM TO", help="Window of the torque, by its ends")
@click.option("--tool", metavar="PERCENT", help='Permissible deviation of the tool, such as "4 %"')
@click.option("--prevailing", metavar="TORQUE", help="Prevailing torque of a locking nut")
@click.option("--head", type=click.Choice(["hexagon", "socket"]), default="hexagon", help="Face that rubs")
@click.option("--seat", type=click.Choice(["part", "washer"]), default="part", help="What it rubs on")
@click.option("--bearing", nargs=2, metavar="OUTER INNER", help="Face that rubs, if it is not a usual one")
@click.option("--waist", metavar="LENGTH", help="Diameter of a reduced shank")
@click.option("--strength", nargs=3, metavar="PROOF YIELD TENSILE", help="Strength instead of a class. Needs --source")
@click.option("--source", metavar="WORDS", help="Where that strength is printed")
@click.option("--angle", metavar="ANGLE", help="Turn after the torque. Needs --part")
@click.option("--part", "parts", multiple=True, metavar="LAYER", help='Each clamped part, such as "72 mm aluminium"')
@click.option("--width", metavar="LENGTH", help="Width of the clamped parts around the bolt")
@click.option("--shank", metavar="LENGTH", help="Shank without thread inside the grip")
@click.option("--into", "into_material", metavar="MATERIAL", help="Material of a tapped hole, if there is no nut")
@json_option
def estimate(as_json: bool, **said: Any) -> int:
    """Estimate clamp load from torque.

    With its band, and how much of the bolt it uses. With --clamp-load, work out the torque instead.
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
            raise click.UsageError("A turn needs the strength of the bolt. Add --class, such as 10.9.")
        return found
    turn = None
    if angle is not None:
        turn = after_turn(clamp.worst, angle, laws, bolt, read.springs(said, thread, face))
    return replace(found, bolt=bolt, use=use_of(clamp, pull, bolt), turn=turn)
