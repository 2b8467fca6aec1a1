"""Fields that every event has of the line it stands on, whatever else it says."""

from __future__ import annotations

from typing import Any, Literal

import msgspec
from msgspec import Struct

PauseCause = Literal["asked", "end of input", "terminal closed"]


class LineBase(Struct, frozen=True, kw_only=True, tag_field="event"):
    """Fields of every line: when (UTC, with the offset of the place) and who typed.

    `seq` and `prev` belong to the line and are filled in when it is written.
    """

    at: str
    offset: str
    by: str
    seq: int = 0
    prev: str = ""


def fields(event: LineBase, *left_out: str) -> dict[str, Any]:
    """The event as plain fields for the ledger, which adds `seq` and `prev`; those `left_out` only where not None."""
    plain: dict[str, Any] = msgspec.to_builtins(event)
    del plain["seq"], plain["prev"]
    for name in left_out:
        if plain[name] is None:
            del plain[name]
    return plain
