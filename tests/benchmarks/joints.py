"""Joints of any size for the benchmarks: a row of alike bolts, pulled to a torque in as many rounds as are wanted."""

from __future__ import annotations

from decimal import Decimal

from clampbook.procedure import model as m
from clampbook.run.plan import Plan
from clampbook.run.planning import plan


def row_of_bolts(count: int, rounds: int = 1) -> Plan:
    """The plan of a joint with `count` positions in one group, one torque stage of `rounds` rounds."""
    positions = tuple(str(number) for number in range(1, count + 1))
    group = m.Group(name="Bolts", positions=positions, order=positions)
    stage = m.Tighten(
        number=1,
        group="Bolts",
        positions=positions,
        target=Decimal(30),
        window=m.Window(low=Decimal(28), high=Decimal(32), unit="N·m"),
        rounds=rounds,
    )
    places = tuple(m.Place(position=each, x=float(index), y=0.0) for index, each in enumerate(positions))
    procedure = m.Procedure(
        title="A row of bolts (invented)",
        revision="A",
        unit="N·m",
        layout=m.Layout(kind="line", places=places),
        groups=(group,),
        stages=(stage,),
    )
    return plan(procedure, "row")
