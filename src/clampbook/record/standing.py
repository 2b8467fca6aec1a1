"""The words for why an act does not count, where the record's own word does not say it as the reader knows it."""

from __future__ import annotations

PUMPED_UP, EARLIER_ROUND = "pumped up, read again", "earlier round"
_STORED_PASS = "earlier pass"


def told(standing: str, *, pumped_up: bool) -> str:
    """Tell why: once over a group is a round, whatever the record calls it; and `pumped_up`, the pressure of a
    tensioner that is under, is not only measured again: it is pumped up further before."""
    if standing == _STORED_PASS:
        return EARLIER_ROUND
    return PUMPED_UP if pumped_up and standing == "measured again" else standing
