"""The number of the format in which runs and checks are written: their daybook, plan and record go together."""

from __future__ import annotations

import msgspec

FORMAT = 2
# What a walk asks and what its record tells, as the first line of a run names it; absent there is 1. What is asked or
# told since is only there where the run's own number has it: what lies in an archive is made again byte for byte.
RULES = 2
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


def rules_newer(name: str, found: int) -> str | None:
    """A sentence where a run goes by newer rules than this version knows; None where it knows them."""
    return f"{name} goes by rules {found}, this version knows {RULES}: use a newer version" if found > RULES else None


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
