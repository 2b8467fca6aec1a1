"""The times of the rounds of a paper form as the report tells them, and the rows of it that have none."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.record.pages.telling import Row, Telling


def ends(telling: Telling, rows: Sequence[Row]) -> str:
    """Tell until when a round was done, where that stands on its form: "from 09:10 to 09:22"; of rounds that follow
    each other one after the other. Nothing where it does not stand there."""
    rounds: dict[str, str] = {}
    for row in rows:
        until = row.get("on_form_until")
        if until is None:
            continue
        end = telling.clock(until)
        if "time_on_form" in row or row.get("no_time_on_form"):  # neither tells when it began
            rounds.setdefault(until, f"until {end}")
        else:
            rounds[until] = f"from {telling.clock(telling.first_told(row))} to {end}"
    return ", ".join(rounds.values())


def nothing_stands(row: Row) -> bool:
    """True of a deviation where nothing stands on a form, not even a tick or a time of its own."""
    blank = all(each["kind"] == "not on the form" and not each.get("ticked") for each in row["departed"])
    return blank and "time_on_form" not in row
