"""The order in which the positions of a group or a stage are worked on, from what the file says about it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from clampbook.procedure.codes import Code
from clampbook.procedure.labels import expanded, listed, named, once
from clampbook.procedure.model import Layout
from clampbook.procedure.sequences import OrderFault, SequenceName, explicit, reversed_order, sequence
from clampbook.procedure.slips import KeyPath, Slips


@dataclass(frozen=True, slots=True)
class Wanted:
    """The order that a table asks for: a name, or the order itself, and whether it runs backwards."""

    sequence: SequenceName | None
    order: Sequence[str] | None
    reversed: bool


def order_of(
    slips: Slips, at: KeyPath, wanted: Wanted, layout: Layout, positions: Sequence[str], otherwise: Sequence[str]
) -> tuple[str, ...]:
    """Each of `positions` once; `otherwise` is their order where the table at `at` says nothing."""
    if wanted.sequence is not None and wanted.order is not None:
        slips.add(
            Code.TWO_ORDERS,
            (*at, "order"),
            "both sequence and order say in which order the work goes",
            found="sequence and order",
            allowed="one of the two",
            hint="remove one",
        )
    if wanted.order is not None:
        order = _written(slips, (*at, "order"), wanted.order, positions)
    elif wanted.sequence is not None:
        order = sequence(wanted.sequence, layout, positions)
    else:
        order = tuple(otherwise)
    return reversed_order(order) if wanted.reversed else order


def subset(slips: Slips, at: KeyPath, pieces: Sequence[str], known: dict[str, None], group: str) -> tuple[str, ...]:
    """The named ones of a group's positions; those that are none of its are slips."""
    labels = once(slips, at, expanded(slips, at, pieces))
    not_in_group(slips, at, [label for label in labels if label not in known], known, group)
    return tuple(label for label in labels if label in known)


def not_in_group(slips: Slips, at: KeyPath, labels: Sequence[str], positions: Collection[str], group: str) -> None:
    """Tell of labels that are no positions of their group, if there are any and the group's own are known."""
    if not labels or not positions:
        return
    slips.add(
        Code.NOT_IN_GROUP,
        at,
        f"{group} has no {named(labels)}",
        found=listed(labels),
        allowed=listed(positions),
        hint=f"use {listed(positions)}",
    )


def _written(slips: Slips, at: KeyPath, pieces: Sequence[str], positions: Sequence[str]) -> tuple[str, ...]:
    """The order as written; where it misses positions, has them twice or knows others, that is told, each once."""
    written = expanded(slips, at, pieces)
    if not written or not positions:
        return tuple(positions)
    try:
        return explicit(written, positions)
    except OrderFault as fault:
        if fault.twice:
            once(slips, at, [*fault.twice, *fault.twice])
        not_in_group(slips, at, fault.unknown, positions, "this stage or group")
        if fault.missing:
            slips.add(
                Code.ORDER_MISSES,
                at,
                f"the order leaves out {named(fault.missing)}",
                found=f"{len(set(written))} positions",
                allowed=f"all {len(positions)}, each once",
                hint="name each position of the stage once",
            )
        return tuple(positions)
