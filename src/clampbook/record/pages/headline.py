"""The headline of a record: how its run ended, and how much in it was not as it should be."""

from __future__ import annotations

from clampbook.record.left_open import FROM_PAPER, as_it_ended, in_the_headline
from clampbook.record.pages.left_by_a_form import left_open
from clampbook.record.pages.telling import Row
from clampbook.record.positions import FOUND_MOVED, FOUND_UNDER
from clampbook.text import counted, started

OUTCOMES = {
    "done": "Done",
    "accepted": "Accepted with concessions",
    "not accepted": "Not accepted",
    "trial": "Trial assembly, not final",
    "damaged": "Damaged record, closed early",
    "abandoned": "Abandoned",
    "held": "On hold, unfinished",
    "open": "Open, unfinished",
}
_FINISHED = ("done", "accepted", "trial")  # never said of a run with steps not done


def headline(record: Row) -> str:
    """Tell how the run ended, and before that whether it was typed in late."""
    told = how_it_ended(record)
    return f"{FROM_PAPER}: {told[:1].lower()}{told[1:]}" if record.get("from_paper") else told


def how_it_ended(record: Row) -> str:
    """The same of any run; a record that says something else of a step than its walk did says that instead."""
    line = record.get("disagrees_with_the_walk_at_line")
    if line is not None:
        return f"Record disagrees with the walk at line {line}"
    undone = record.get("steps_not_done")
    if undone and record["outcome"] in _FINISHED:
        return f"Unfinished: {counted(undone, 'step')} not done"
    left = left_open(record)
    outcome = as_it_ended(record["outcome"], left)
    said = OUTCOMES.get(outcome, started(outcome))
    if record["outcome"] == "done":
        said += f", {deviations_counted(record)}"
    if record.get("joints_left_out"):
        said += f", {counted(len(record['joints_left_out']), 'joint')} left out"
    if record["outcome"] == "not accepted" and record.get("reason"):
        said += f": {record['reason']}"
    states = [row["state"] for row in record.get("position", ())]
    for found in (FOUND_MOVED, FOUND_UNDER):
        if found in states:
            said += f", {counted(states.count(found), 'position')} {found}"
    return said + in_the_headline(left)


def deviations_counted(record: Row) -> str:
    """Count them in words."""
    found = record.get("deviations", 0)
    return counted(found, "deviation") if found else "no deviations"
