"""The number of the format in which runs and checks are written: their daybook, plan and record go together."""

from __future__ import annotations

import msgspec

FORMAT = 2
BEFORE = f"made before format {FORMAT}; not checked by this version"


def unlike(name: str, found: int) -> str | None:
    """A sentence where a file of a run, or a check, has another format than this version's; None where it has that.

    What was made before is neither damaged nor changed: the version that wrote it reads it for ever.
    """
    if found == FORMAT:
        return None
    if found < FORMAT:
        told = f"was made before format {FORMAT}, which is the one that this version reads"
        return f"{name} {told}: use the version that wrote it"
    return f"{name} has format {found}, this version knows {FORMAT}: use a newer version"


def plan_unlike(name: str, data: bytes) -> str | None:
    """The same of the bytes of a frozen plan, whose other keys may be as new as its number; None where it has this
    version's, or where it is no plan, which is told by whoever reads all of it.
    """
    try:
        found = msgspec.json.decode(data, type=_Plan).plan
    except msgspec.MsgspecError:
        return None
    return unlike(name, found)


class _Plan(msgspec.Struct):
    """The number of its format alone."""

    plan: int
