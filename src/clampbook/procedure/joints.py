"""Several joints of one kind in one run: what a file says of them, and whether they can be told apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from clampbook.procedure.codes import Code
from clampbook.procedure.labels import LONGEST, fit, listed
from clampbook.procedure.meaning import MOST_STEPS, steps_of
from clampbook.procedure.model import Joints, Stage
from clampbook.procedure.naming import ALL, called, key_of, of_joint
from clampbook.procedure.sheet import JointsTable
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted

_AT: KeyPath = ("joints",)
_FEWEST, _MOST = 2, 200
_USUAL = "Joint"  # what numbered joints are called where the file does not say


def joints(slips: Slips, table: JointsTable | None) -> Joints | None:
    """The joints that one run does, where the file names several."""
    if table is None:
        return None
    names = _names(slips, table)
    one = table.one
    if one is None and any(name.isdecimal() for name in names):
        one = _USUAL
    return Joints(one=one, names=names, walk=table.walk)


def hold_amount(slips: Slips, several: Joints | None, stages: Sequence[Stage]) -> None:
    """All joints together make no more steps than a run may have."""
    total = 0 if several is None else len(several.names) * sum(map(steps_of, stages))
    if total > MOST_STEPS:
        slips.add(
            Code.TOO_MANY,
            _AT,
            f"the joints make {total} steps",
            found=f"{total} steps",
            allowed=f"up to {MOST_STEPS}",
            hint="make several runs of it, with repeat",
        )


def tell_apart(slips: Slips, several: Joints | None, named: Iterable[tuple[KeyPath, str | None]], what: str) -> None:
    """No two of a kind have one name where each is called by its joint."""
    taken: dict[str, tuple[str, str]] = {}
    whole = () if several is None else tuple(called(several.one, name) for name in several.names)
    for at, name in named:
        if name is None or name == UNREAD:
            continue
        own = [(of_joint(joint, name), (joint, name)) for joint in whole]
        clash = next(((full, one) for full, one in own if taken.setdefault(full, one)[1] != name), None)
        if clash is not None:
            full, (joint, _) = clash
            slips.add(
                Code.JOINTS,
                at,
                f"{what} {quoted(name)} at {joint} and {quoted(taken[full][1])} at {taken[full][0]} are both"
                f" {quoted(full)}",
                found=full,
                allowed=f"each {what} its own name at each joint",
                hint="rename one",
            )


def _names(slips: Slips, table: JointsTable) -> tuple[str, ...]:
    """The names as written, or the numbers from 1."""
    if (table.names is None) == (table.count is None):
        found = "both" if table.names is not None else "neither names nor count"
        slips.add(
            Code.JOINTS,
            _AT,
            f"joints says {'twice' if found == 'both' else 'nowhere'} which they are",
            found=found,
            allowed="exactly one of names, count",
            hint="keep names or count, not both" if found == "both" else "add a line like count = 6",
        )
        return ()
    at: KeyPath = (*_AT, "names" if table.names is not None else "count")
    count = table.count if table.names is None else len(table.names)
    if count is not None and not _FEWEST <= count <= _MOST:
        slips.add(
            Code.JOINTS,
            at,
            f"joints has {count}, and {'one is a procedure without it' if count == 1 else 'nobody does so many'}",
            found=str(count),
            allowed=f"{_FEWEST} to {_MOST}",
            hint="remove joints" if count == 1 else "check the number",
        )
        return ()
    names = tuple(map(str, range(1, (count or 0) + 1))) if table.names is None else tuple(table.names)
    return tuple(name for index, name in enumerate(names) if name != UNREAD and _can_be(slips, at, index, names))


def _can_be(slips: Slips, at: KeyPath, index: int, names: Sequence[str]) -> bool:
    """True where a name can stand before the positions of its joint, and tells it from those before."""
    name, here = names[index], (*at, index)
    if any(key_of(name).casefold() == key_of(other).casefold() for other in names[:index]):
        slips.add(
            Code.JOINTS,
            here,
            f"another joint is already called {quoted(name)}",
            found=name,
            allowed="each joint its own name",
            hint="rename one",
        )
        return False
    if key_of(name).casefold() == ALL:
        slips.add(
            Code.JOINTS,
            here,
            f"a joint is called {quoted(name)}, which is typed for every joint",
            found=name,
            allowed="any other name",
            hint="rename it",
        )
        return False
    unheard = Slips()
    if fit(unheard, here, key_of(name), "joint"):
        return True
    slips.add(
        Code.JOINTS,
        here,
        f"{quoted(name)} cannot be the name of a joint",
        found=name,
        allowed=f"up to {LONGEST} letters, digits and blanks, without / @ : quotes or brackets",
        hint=f"use a short name, such as {listed(('port', 'starboard'))}",
    )
    return False
