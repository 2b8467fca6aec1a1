"""Groups of fasteners from what the file says about them: positions, order, sets, neighbours and their figures."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import UNSET

from clampbook.procedure.amounts import Reading, above_zero, seconds
from clampbook.procedure.bolts import clamped, own_strength
from clampbook.procedure.codes import Code
from clampbook.procedure.labels import expanded, listed, named, once
from clampbook.procedure.model import FastenerSet, Group, Layout, Place, Prevailing, Window
from clampbook.procedure.ordering import Wanted, not_in_group, order_of, subset
from clampbook.procedure.sequences import nearest_neighbours
from clampbook.procedure.sheet_groups import GroupTable
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD
from clampbook.procedure.windows import not_empty
from clampbook.text import quoted
from clampbook.units import Kind, Quantity, UnitFault, convert, parse


def groups(reading: Reading, tables: Sequence[GroupTable], layout: Layout, sound: bool) -> tuple[Group, ...]:
    """All groups, as far as they can be read. `sound` False: the layout has slips and cannot be held against them."""
    owners: dict[str, str] = {}
    places = {place.position: place for place in layout.places}
    read = []
    for index, table in enumerate(tables):
        at: KeyPath = ("group", index)
        unheard = reading.slips if sound or table.positions is not None else Slips()
        positions = _positions(unheard, at, table, places, alone=len(tables) == 1)
        _in_two(reading.slips, at, table.name, positions, owners)
        own = Layout(kind=layout.kind, places=tuple(places[label] for label in positions))
        read.append(_group(reading, at, table, own, positions))
    return tuple(read)


def called(table: GroupTable) -> str:
    """The group's name for a sentence."""
    return "the group" if table.name == UNREAD else quoted(table.name)


def _group(reading: Reading, at: KeyPath, table: GroupTable, layout: Layout, positions: tuple[str, ...]) -> Group:
    slips = reading.slips
    wanted = Wanted(table.sequence, table.order, table.reversed)
    friction = table.friction
    _friction(slips, at, table)
    return Group(
        name=table.name,
        one=table.one or _alone(table.name, positions),
        positions=positions,
        order=order_of(slips, at, wanted, layout, positions, positions),
        fits=_fits(slips, at, table, positions),
        thread=table.thread,
        property_class=table.property_class,
        lubrication=table.lubrication,
        friction_thread=None if friction is None else (friction.thread[0], friction.thread[1]),
        friction_head=None if friction is None else (friction.head[0], friction.head[1]),
        nut_factor=None if table.nut_factor is None else (table.nut_factor[0], table.nut_factor[1]),
        grip=above_zero(reading, (*at, "grip"), table.grip, Kind.LENGTH),
        target=above_zero(reading, (*at, "target"), table.target, Kind.TORQUE),
        left_hand=table.left_hand,
        fastener=table.fastener,
        tightenings_at_most=table.tightenings_at_most,
        prepare=tuple(table.prepare),
        start_over=table.start_over,
        after_bad_pull=table.after_bad_pull,
        sets=_sets(slips, at, table, positions),
        neighbours=_neighbours(slips, at, table, layout, positions),
        prevailing=_prevailing(reading, at, table),
        finish_within=time_as_typed(reading, (*at, "finish_within"), table.finish_within),
        recheck=table.recheck,
        strength=own_strength(reading, at, table),
        waist=above_zero(reading, (*at, "waist"), table.waist, Kind.LENGTH),
        head=table.head,
        seat=table.seat,
        clamped=clamped(reading, at, table),
        into=table.into,
        shank=above_zero(reading, (*at, "shank"), table.shank, Kind.LENGTH),
        adapter=table.adapter or UNSET,
    )


def _alone(name: str, positions: Sequence[str]) -> str | None:
    """The name of a single fastener that is no plural stands for itself: "Castle nut", and "Castle nut 1" of it."""
    return name if len(positions) == 1 and name != UNREAD and not name.endswith("s") else None


def time_as_typed(reading: Reading, at: KeyPath, text: str | None) -> Quantity | None:
    """A time above zero as typed; one of several parts, such as "1 h 30 min", in seconds."""
    lasts = seconds(reading, at, text)
    if lasts is None or text is None:
        return None
    try:
        return parse(text, Kind.TIME)
    except UnitFault:
        return Quantity(lasts, "s")


def _positions(
    slips: Slips, at: KeyPath, table: GroupTable, placed: dict[str, Place], *, alone: bool
) -> tuple[str, ...]:
    """The group's positions that have a place in the picture."""
    if table.positions is None:
        if alone and placed:
            return tuple(placed)
        if table.name != UNREAD:
            slips.add(
                Code.NO_POSITIONS,
                at,
                f"{called(table)} has no positions",
                found="nothing",
                allowed='positions, such as "1-10"',
                hint='add a line like positions = "1-10"',
            )
        return ()
    here = (*at, "positions")
    labels = once(slips, here, expanded(slips, here, table.positions))
    strange = [label for label in labels if label not in placed]
    if strange and placed:
        slips.add(
            Code.NOT_IN_LAYOUT,
            here,
            f"layout has no place for {named(strange)}",
            found=listed(strange),
            allowed=listed(placed),
            hint="draw it in [layout], or correct the label",
        )
    return tuple(label for label in labels if label in placed)


def _in_two(slips: Slips, at: KeyPath, name: str, positions: Sequence[str], owners: dict[str, str]) -> None:
    taken: dict[str, list[str]] = {}
    for label in positions:
        if label in owners:
            taken.setdefault(owners[label], []).append(label)
        owners.setdefault(label, name)
    for other, labels in taken.items():
        slips.add(
            Code.IN_TWO_GROUPS,
            (*at, "positions"),
            f"{named(labels)} already {'belongs' if len(labels) == 1 else 'belong'} to {quoted(other)}",
            found=listed(labels),
            allowed="each position in one group",
            hint="name each position in one group only",
        )


def _fits(slips: Slips, at: KeyPath, table: GroupTable, positions: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    known = dict.fromkeys(positions)
    for written, what in table.fits.items():
        here = (*at, "fits", written)
        labels = subset(slips, here, (written,), known, called(table))
        once(slips, here, [*labels, *(label for label in labels if label in found)])
        found |= dict.fromkeys(labels, what)
    return found


def _sets(slips: Slips, at: KeyPath, table: GroupTable, positions: tuple[str, ...]) -> tuple[FastenerSet, ...]:
    """The sets in the order in which they are worked through; each position stands in exactly one."""
    read: dict[str, tuple[str, ...]] = {}
    known = dict.fromkeys(positions)
    taken: dict[str, None] = {}
    for name, pieces in table.sets.items():
        here = (*at, "sets", name)
        _set_name(slips, here, name)
        read[name] = subset(slips, here, pieces, known, called(table))
        once(slips, here, [*read[name], *(label for label in read[name] if label in taken)])
        taken |= dict.fromkeys(read[name])
    left = [label for label in positions if label not in taken]
    if read and left:
        slips.add(
            Code.SETS,
            (*at, "sets"),
            f"{named(left)} {'is' if len(left) == 1 else 'are'} in no set",
            found=f"{len(taken)} of {len(positions)} positions",
            allowed="each position in exactly one set",
            hint=f"add {'it' if len(left) == 1 else 'each'} to a set",
        )
    return tuple(FastenerSet(name=name, positions=read[name]) for name in _set_order(slips, at, table))


def _set_name(slips: Slips, at: KeyPath, name: str) -> None:
    """Names of sets stand in the names of steps, where these two signs have a meaning."""
    if "/" in name or "@" in name:
        slips.add(
            Code.POSITIONS,
            at,
            f"{quoted(name)} cannot be the name of a set",
            found=name,
            allowed="no / and no @",
            hint="use a name without / and @",
        )


def _set_order(slips: Slips, at: KeyPath, table: GroupTable) -> list[str]:
    if table.set_order is None or UNREAD in table.set_order:
        return list(table.sets)
    here = (*at, "set_order")
    once(slips, here, table.set_order, "set")
    strange = [name for name in table.set_order if name not in table.sets]
    ordered = frozenset(table.set_order)
    left = [name for name in table.sets if name not in ordered]
    for names, text in ((strange, "there is no set {}"), (left, "set_order leaves out {}")):
        if names:
            slips.add(
                Code.SETS,
                here,
                text.format(listed(names)),
                found=listed(table.set_order),
                allowed=f"each of {listed(table.sets)} once" if table.sets else "sets",
                hint=f"name each of {listed(table.sets)} once" if table.sets else "remove set_order",
            )
    return [name for name in dict.fromkeys(table.set_order) if name in table.sets]


def _neighbours(
    slips: Slips, at: KeyPath, table: GroupTable, layout: Layout, positions: tuple[str, ...]
) -> dict[str, tuple[str, ...]]:
    """For every position its neighbours: those of the picture, but where the file says otherwise."""
    found = nearest_neighbours(layout, positions)
    known = dict.fromkeys(positions)
    for label, pieces in table.neighbours.items():
        here = (*at, "neighbours", label)
        not_in_group(slips, here, [] if label in known else [label], known, called(table))
        beside = subset(slips, here, pieces, known, called(table))
        if label in beside:
            slips.add(
                Code.POSITIONS,
                here,
                f"position {listed([label])} cannot be its own neighbour",
                found=listed(beside),
                allowed="other positions of the group",
                hint="name other positions of the group",
            )
        if label in found:
            found[label] = beside
    return found


def _prevailing(reading: Reading, at: KeyPath, table: GroupTable) -> Prevailing | None:
    least = above_zero(reading, (*at, "prevailing_least"), table.prevailing_least, Kind.TORQUE)
    most = above_zero(reading, (*at, "prevailing_most"), table.prevailing_most, Kind.TORQUE)
    if table.prevailing is None:
        for key in ("prevailing_rule", "prevailing_least", "prevailing_most"):
            if getattr(table, key) is not None:
                reading.slips.add(
                    Code.PREVAILING,
                    (*at, key),
                    f"{key} is for a prevailing torque that is measured",
                    found=f"{key} alone",
                    allowed='together with prevailing = "measure"',
                    hint='add prevailing = "measure"',
                )
        return None
    if table.prevailing_rule is None:
        reading.slips.add(
            Code.PREVAILING,
            (*at, "prevailing"),
            "nothing says whether prevailing torque is added to the target",
            found="no prevailing_rule",
            allowed='"always", "from a third" or "included"',
            hint='add prevailing_rule = "always", "from a third" or "included", as the manual says',
        )
        return None
    if least is not None and most is not None:
        window = Window(low=convert(least.value, least.unit, most.unit), high=most.value, unit=most.unit)
        not_empty(reading, (*at, "prevailing_most"), window, f"{table.prevailing_least} … {table.prevailing_most}")
    return Prevailing(rule=table.prevailing_rule, least=least, most=most)


def _friction(slips: Slips, at: KeyPath, table: GroupTable) -> None:
    """Friction and nut factor: lowest first, above 0 and up to 1, and only one of the two."""
    bands: dict[KeyPath, Sequence[float]] = {}
    if table.friction is not None:
        bands |= {
            (*at, "friction", "thread"): table.friction.thread,
            (*at, "friction", "head"): table.friction.head,
        }
    if table.nut_factor is not None:
        bands[*at, "nut_factor"] = table.nut_factor
    for here, (low, high) in bands.items():
        if not 0 < low <= high <= 1:
            slips.add(
                Code.FRICTION,
                here,
                f"{low:g} to {high:g} is not a range above 0 and up to 1",
                found=f"[{low:g}, {high:g}]",
                allowed="lowest, then highest, above 0 and up to 1",
                hint="write the lowest first, like [0.10, 0.14]",
            )
    if table.friction is not None and table.nut_factor is not None:
        slips.add(
            Code.FRICTION,
            (*at, "nut_factor"),
            "both friction and nut_factor are given",
            found="friction and nut_factor",
            allowed="one of the two",
            hint="remove the one that the manual does not have",
        )
