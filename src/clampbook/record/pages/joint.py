"""The joint in the report: its picture with how each position ended and where something departed, and its fasteners."""

from __future__ import annotations

from collections.abc import Iterator, Set

from msgspec.structs import replace

from clampbook.procedure.model import Align, Group, Recheck, Tighten, Turn
from clampbook.procedure.naming import own
from clampbook.record.pages.blocks import Block, Facts, Heading, Map, Plain, Sentences, beside
from clampbook.record.pages.joint_map import HALF, THIRD, WHOLE, Room, explained, joint_map
from clampbook.record.pages.marks import state
from clampbook.record.pages.telling import Row, Telling, listed, number, quantity
from clampbook.record.positions import FOUND_MOVED, FOUND_UNDER
from clampbook.run.plan import Plan
from clampbook.text import counted

Named = tuple[str, str]
_NEW = "new fastener"  # the look at one that was fitted for another
_OFTEN = {0: "never", 1: "once", 2: "twice"}


def small_picture(plan: Plan, telling: Telling) -> Map | None:
    """The joint in half the width of a page; None where its positions could not be told apart there, or there are
    several joints."""
    return None if plan.joints else joint_map(plan.layout, _states(telling), _departed(telling), HALF)


def joint(plan: Plan, telling: Telling, *, drawn: bool) -> Iterator[Block]:
    """Each group with its fasteners; the picture too, where it is not `drawn` on page one."""
    if plan.joints:
        yield Heading("The joints", "each position at the end")
        yield from _pictures(plan, telling)
        if plan.joints_left_out:
            yield Sentences((f"Left out, not done in this run: {', '.join(plan.joints_left_out)}.",))
    elif drawn:
        yield Heading("The joint")
    else:
        yield Heading("The joint", "each position at the end")
        states = _states(telling)
        picture = joint_map(plan.layout, states, _departed(telling), WHOLE)
        if picture is None:
            yield Sentences((f"No picture: {len(states)} positions are too many for a page.",))
        else:
            yield picture
    yield from _fasteners(plan, telling)


def _pictures(plan: Plan, telling: Telling) -> Iterator[Block]:
    """Each joint by its name, as many beside each other as can be read; the symbols are explained once."""
    states = _states(telling)
    tries = ((3, _drawn(plan, telling, THIRD)), (2, _drawn(plan, telling, HALF)))
    each, columns = next((found for found in tries if found[1]), (1, []))
    if not columns:
        yield Sentences((f"No pictures: {len(states)} positions are too many for a page.",))
        return
    for at in range(0, len(columns), each):
        yield beside(*columns[at : at + each], *((),) * (at + each - len(columns)))
    yield Sentences((" ".join(f"{look} {meaning}." for look, meaning in explained(states.values())),), quiet=True)


def _drawn(plan: Plan, telling: Telling, room: Room) -> list[tuple[Plain, ...]]:
    """The picture of each joint under its name; nothing where one cannot be read in so much room."""
    states, departed = _states(telling), _departed(telling)
    found: list[tuple[Plain, ...]] = []
    for joint in plan.joints:
        here = {each for name in joint.groups for each in plan.group_named[name].positions}
        shown = {own(position): word for position, word in states.items() if position in here}
        marked = frozenset(own(position) for position in departed if position in here)
        drawn = joint_map(plan.layout, shown, marked, room)
        if drawn is None:
            return []
        found.append((Heading(joint.name, level=2), replace(drawn, legend=())))
    return found


def _states(telling: Telling) -> dict[str, str]:
    return {row["position"]: state(row["state"], row.get("outcome", {})) for row in telling.rows("position")}


def _departed(telling: Telling) -> frozenset[str]:
    """The positions that a deviation names."""
    return frozenset(str(row["position"]) for row in telling.rows("deviation") if row.get("position"))


def _fasteners(plan: Plan, telling: Telling) -> Iterator[Block]:
    """Each group: what fits, in which condition, and what was spent on it."""
    columns = [tuple(_group(plan, telling, name, alike)) for name, alike in plan.alike.items()]
    if len(columns) == 1:
        yield from _group(plan, telling, *next(iter(plan.alike.items())), columns=2)
        return
    for at in range(0, len(columns), 2):
        yield beside(*columns[at : at + 2], *((),) * (at + 2 - len(columns)))


def _group(plan: Plan, telling: Telling, name: str, alike: tuple[Group, ...], columns: int = 1) -> Iterator[Plain]:
    """One group; of several joints those of all, of which one is like the other."""
    names, group = {each.name for each in alike}, alike[0]
    here = [row for row in telling.rows("position") if row["group"] in names]
    at_each = f" at each of {len(alike)} joints" if len(alike) > 1 else ""
    yield Heading(name, counted(len(here) // len(alike), "position") + at_each, level=2)
    facts = [("Thread", group.thread or ""), ("Property class", group.property_class or "")]
    facts += [("Lubrication", group.lubrication or ""), ("Fasteners", group.fastener)]
    facts += [("Fits", fits) for fits in _fits(here)]
    pulled = any(isinstance(each, Tighten | Turn | Align | Recheck) and each.group in names for each in plan.stages)
    new = {row["position"] for row in telling.rows("inspection") if row.get("work") == _NEW and row["as_expected"]}
    facts += list(_spent(here, new, sure=telling.record["outcome"] != "damaged", pulled=pulled))
    yield Facts(tuple(pair for pair in facts if pair[1]), columns=columns)


def _fits(rows: list[Row]) -> Iterator[str]:
    where: dict[str, list[str]] = {}
    for row in rows:
        if row.get("fits"):
            where.setdefault(row["fits"], []).append(row["position"])
    if len(where) > 1:
        yield from (f"{fits} at {listed(positions)}" for fits, positions in where.items())


def _spent(rows: list[Row], new: Set[str] = frozenset(), *, sure: bool = True, pulled: bool = True) -> Iterator[Named]:
    """Tightenings of the fastener that is in it now, at some positions a `new` one, and what was started over; of a
    damaged run, which is not `sure`, no more than is known. Where nothing is `pulled`, as with a tensioner, nobody
    counts tightenings."""
    spent: dict[tuple[int, bool], list[str]] = {}
    for row in rows:
        spent.setdefault((row["tightenings"], row["position"] in new), []).append(row["position"])
    for (times, renewed), positions in sorted(spent.items()):
        which = listed(positions) if len(spent) > 1 else "all" if len(rows) > 1 else ""
        often = _OFTEN.get(times, f"{times} times") + (" since a new one was fitted" if renewed else "")
        known = often if sure else f"at least {often}" if times else "not known"
        if pulled or times:
            yield "Tightened", f"{which}, {known}" if which else known
    here = [(row["position"], row["attempts"] - row.get("attempts_before_this_run", 1) + 1) for row in rows]
    again = [f"{position} ({counted(attempts, 'attempt')})" for position, attempts in here if attempts > 1]
    if again:
        yield "Started over", ", ".join(again)
    more = [
        f"{row['position']} ({quantity(number(row['holds']), row['holds_unit'])}, line {row['holds_by_line']})"
        for row in rows
        if row.get("holds")
    ]
    if more:
        yield "More than its last counted pull", ", ".join(more)
    moved = [row["position"] for row in rows if row["state"] == FOUND_MOVED]
    if moved:
        yield "Found moved at the last pull", listed(moved)
    under = [row["position"] for row in rows if row["state"] == FOUND_UNDER]
    if under:
        yield "Found under at the recheck", listed(under)
    done = ("done", FOUND_MOVED, FOUND_UNDER)
    left: dict[str, list[str]] = {}
    for row in rows:
        if not row["state"].startswith(done):
            left.setdefault(row["state"], []).append(row["position"])
    yield from (("Not done", f"{listed(positions)} ({state})") for state, positions in left.items())
