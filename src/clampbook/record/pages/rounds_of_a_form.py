"""The times of the rounds of a paper form as the report tells them, and the rows of it that have none."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.record.pages.telling import Row, Telling


def ends(telling: Telling, rows: Sequence[Row]) -> tuple[str, ...]:
    """Tell until when a round was done, where that was asked of its form: "On the form from 09:10 to 09:22.", or that
    no end stands there; of rounds that follow each other one after the other."""
    told = _until(telling, rows)
    said = (f"On the form {told}.",) if told else ()
    return (*said, *_without_end(telling, rows))


def _without_end(telling: Telling, rows: Sequence[Row]) -> tuple[str, ...]:
    """The rounds that have no end, by their beginning; where not even that is known, as one."""
    open_ = [row for row in rows if row.get("no_end_on_form")]
    known = (row for row in open_ if "time_on_form" not in row and not row.get("no_time_on_form"))
    since = dict.fromkeys(telling.clock(telling.first_told(row)) for row in known)
    if open_ and not since:
        return ("No end stands on the form.",)
    return tuple(f"From {at}, no end stands on the form." for at in since)


def _until(telling: Telling, rows: Sequence[Row]) -> str:
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
