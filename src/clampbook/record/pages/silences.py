"""The times without an answer that were longer than a run allows: how long each was, read off the daybook."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from itertools import pairwise

from msgspec import DecodeError, ValidationError, json

from clampbook.ledger.lines import split
from clampbook.record.moments import lapse
from clampbook.run.progress import AFTER_SILENCE


def silences(daybook: bytes) -> Mapping[int, Decimal]:
    """The seconds before each line that ended one; a clock that was set back tells of none."""
    found: dict[int, Decimal] = {}
    try:
        lines = [json.decode(line, type=dict) for line in split(daybook)[0]]
    except (DecodeError, ValidationError):
        return {}
    for before, after in pairwise(lines):
        passed = lapse(str(before.get("at")), str(after.get("at")))
        if AFTER_SILENCE in after.get("noted", ()) and passed is not None and passed > 0:
            found[after["seq"]] = passed
    return found
