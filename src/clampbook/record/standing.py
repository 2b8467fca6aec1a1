"""The words for why an act does not count, where the record's own word does not say all that was done."""

from __future__ import annotations

PUMPED_UP = "pumped up, read again"


def as_pumped_up(standing: str) -> str:
    """The pressure of a tensioner that is under is not only measured again: it is pumped up further before."""
    return PUMPED_UP if standing == "measured again" else standing
