"""Why something was decided about that no line tells of by itself, in words that stand for themselves."""

from __future__ import annotations

from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.run.events import Corrected, Event, PartRecorded
from clampbook.run.fastener import NOT_SNUG
from clampbook.run.fold.counts import LEFT_OVER, difference
from clampbook.run.fold.pulls import THIRD_UNDER
from clampbook.run.fold.rechecks import FOUND_UNDER
from clampbook.run.progress import COUNT_DIFFERS

_WORDS = {
    "budget used up": "the fastener has been tightened as often as is allowed",
    "again at a gate": "done before, and standing between stages that were done again",
    "limit run out": "not finished within its time limit",
    "still moving": "still moving after the passes that are allowed",
    FOUND_UNDER: "found under its window",
    "over": "still over when more was to be done with it",
    "set aside": "set aside and still to be done",
    "pulled again": "pulled again though it was done",
    "pulled out of turn": "pulled though another one was to be pulled",
    THIRD_UNDER: "under three times in a row",
    NOT_SNUG: "not snug, and a turn starts from a snug bolt",
}


def in_words(run: Frozen, history: History, cause: str, about: Event) -> str:
    """The cause as the record tells it; of parts that do not add up with all their numbers."""
    if cause == COUNT_DIFFERS:
        item = about.item or "" if isinstance(about, PartRecorded | Corrected) else ""
        part = next((each for each in run.plan.parts if LEFT_OVER + each.name == item), None)
        told = None if part is None else difference(run.plan, history.progress, part)
        return told or "the count did not add up, and was put right"
    return _WORDS.get(cause, cause)
