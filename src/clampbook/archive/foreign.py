"""Values of a record that anybody may have written: each is taken for what it should be, or for nothing at all."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

MOST = 400  # characters of a single text
_MOST_OF_A_NUMBER = 40  # characters

Table = Mapping[str, Any]


def text(value: object, most: int = MOST) -> str:
    """A text on one line and not too long; nothing where it is none."""
    return " ".join(value[: 4 * most].split())[:most] if isinstance(value, str) else ""


def rows(table: Table, name: str) -> list[Table]:
    """The rows of a table within a table; whatever is no row is left out."""
    found = table.get(name)
    return [row for row in found if isinstance(row, dict)] if isinstance(found, list) else []


def moment(at: str) -> float | None:
    """Seconds since 1970 of a time; None for what is no time. A time without its offset is taken for UTC."""
    try:
        when = datetime.fromisoformat(at)
        return (when if when.tzinfo is not None else when.replace(tzinfo=UTC)).timestamp()
    except (ValueError, OverflowError):
        return None


def number(told: str) -> float | None:
    """A decimal number as a float; None for anything else, endless ones included."""
    if not told or len(told) > _MOST_OF_A_NUMBER:
        return None
    try:
        found = float(told)
    except ValueError:
        return None
    return found if math.isfinite(found) else None
