"""The ways of a decision as deeds of then: each tells something that was done, as it stands on a paper form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from msgspec.structs import replace

from clampbook.run.fold.pulls import ANOTHER_WASHER
from clampbook.run.prompts import DecideChoice

NOTHING_WRITTEN: Literal["nothing written"] = "nothing written"
_NOTHING = DecideChoice(NOTHING_WRITTEN, "Nothing stands there")
_NOT_DONE = ("hold", "abandon")  # said of the run, not of the joint
_DONE: Mapping[str, str] = {
    "from the beginning": "Started over: loosened fully, looked at, every stage repeated",
    "new fastener": "Started over with a new one",
    ANOTHER_WASHER: "Started over with another washer",
    "concession": "Accepted as it was (concession)",
    "correct": "Nothing: correct the reading, it was typed wrong here",
    "look again": "Looked at again",
    "measure again": "Measured again",
    "measure all points again": "All points measured again",
    "the whole joint again": "Joint redone: this run is closed as not accepted",
    "another tool": "Another tool used",
    "go on": "Went on",
    "ask again": "Counted again",
    "pull again": "Pulled again",
    "never reaches the torque": "It did not reach the torque",
    "explain": "The difference was explained",
    "do it now": "Done later",
    "do again": "Done again",
    "leave": "Left as it was",
    "one more pass": "All rechecked once more",
    "go back": "Back to an earlier stage",
}


def ways(at_the_work: tuple[DecideChoice, ...]) -> tuple[DecideChoice, ...]:
    """The ways that were open, each as something that was done, and first of all that nothing stands there."""
    kept = (each for each in at_the_work if each.choice not in _NOT_DONE)
    return (_NOTHING, *(replace(each, text=_DONE.get(each.choice, each.text)) for each in kept))
