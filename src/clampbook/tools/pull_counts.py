"""Pulls counted by tool and day: what an interval by pulls is held against."""

from __future__ import annotations

from collections.abc import Mapping

Pulls = dict[str, dict[str, int]]
"""Tool, then day (ISO 8601), then how many pulls."""

Pulled = dict[tuple[str, str | None], dict[str, int]]
"""The same of tools by id and serial number, None where they have none."""


def since(pulls_by_day: Mapping[str, int], day: str | None, until: str | None = None) -> int:
    """Count those that were made from a day on, until another; all of them where there is none."""
    days = (on for on in pulls_by_day if (day is None or on >= day) and (until is None or on <= until))
    return sum(pulls_by_day[on] for on in days)


def summed(*parts: Pulls) -> Pulls:
    """All of them together."""
    total: Pulls = {}
    for part in parts:
        for tool, days in part.items():
            known = total.setdefault(tool, {})
            for day, count in days.items():
                known[day] = known.get(day, 0) + count
    return total
