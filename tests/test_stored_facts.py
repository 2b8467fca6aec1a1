"""Stored files hold facts and codes: whatever has three words or more there was written by people, or stands in a table
here with its reason.

Sentences of the program are built where something is shown, so that other words never change a stored byte.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from invented import procedures
from test_choices import Chooser

from bench import TOOLS
from checked import sealed_check
from clampbook.demo import TOOLS_OF_THE_MUSEUM
from clampbook.procedure.model import Procedure
from clampbook.record.record import build
from sealing import COVER, sealed, shop
from walks import bad_day, frozen

GOLDEN = Path(__file__).parent / "golden"
SOURCE = Path(__file__).parents[1] / "src" / "clampbook"
PEOPLES = {  # key -> whose words they are
    "reason": "typed, or chosen from reasons that are offered to be typed",
    "because": "typed by whoever withdraws a procedure or answers a query",
    "why": "typed by whoever suspects a tool",
    "going_on": "typed by whoever uses a dropped tool again",
    "text": "a note as it was typed",
    "note": "the same in a record",
    "reached": "a torque as it was typed, with its unit",
    "typed": "an answer as it was typed",
}
_DECIDED = "a cause, or what was chosen: run/questions/causes and resolutions fold by it"
_FOUND = "what was found after a break: run/questions/state_after_break folds by it"
_KNOWN = "how a corrected value is known: run/acts/correct folds by it"
_MEANING = "what a signature means: signing/statement has its sentence, verify compares it"
_NOTED = "noticed beside an answer: run/decide and run/session; the pages leave out or tell it"
_OUTCOME = "how a step or a position stands: run/fold/acts and record/positions; the map has a sign for it"
_DEPARTED = "the kind of a deviation: record/pages/departed has its words"
CODES = {  # code of three words and more, one of a closed set that scripts read -> what it is, and who tells it
    "again at a gate": _DECIDED,
    "budget used up": _DECIDED,
    "final torque outside": _DECIDED,
    "from the beginning": _DECIDED,
    "do it now": _DECIDED,
    "go on early": _DECIDED,
    "limit run out": _DECIDED,
    "measure all points again": _DECIDED,
    "never reaches the torque": _DECIDED,
    "not as I left it": _DECIDED,
    "not as expected": _DECIDED,
    "one more pass": _DECIDED,
    "points too far apart": _DECIDED,
    "pulled out of turn": _DECIDED,
    "the whole joint again": _DECIDED,
    "too many points outside": _DECIDED,
    "prevailing torque too high": _DECIDED,
    "prevailing torque too low": _DECIDED,
    "stretch beyond its window": _DECIDED,
    "jerk or chatter": "what was wrong with a pull: chosen from those that are offered to be typed",
    "end of input": "why a run was paused: ledger/event",
    "finished, not entered": _FOUND,
    "started, mark still there": _FOUND,
    "started, not finished": _FOUND,
    "not as left": _FOUND,
    "a second person saw it": _KNOWN,
    "the tool still shows it": _KNOWN,
    "from a second look": _KNOWN,
    "answers for the work of others": _MEANING,
    "inspected again by the same person": _MEANING,
    "typed in from a paper form": _MEANING,
    "typed in by": "the role of who typed a form in: run/questions/typed_in",
    "on the form": "how a name was given: record/pages tells it",
    "less than tightened": _NOTED,
    "off the scale": _NOTED,
    "out of order": _NOTED,
    "the same as the reading before": _NOTED,
    "worked on it after looking at it": _NOTED,
    "by the mark": _OUTCOME,
    "turned on to the slot": _OUTCOME,
    "no movement yet": _OUTCOME,
    "confirmed together": _OUTCOME,
    "done, by concession": _OUTCOME,
    "no work in this run": _OUTCOME,
    "not in the sample": _OUTCOME,
    "to do again": _OUTCOME,
    "too far apart": _OUTCOME,
    "under, pulled again": _OUTCOME,
    "from memory alone": _OUTCOME,
    "adjusted too often": _DEPARTED,
    "corrected from memory": _DEPARTED,
    "corrected into its window": _DEPARTED,
    "inspected by the same person": _DEPARTED,
    "signed for others": _DEPARTED,
    "not on the form": _DEPARTED,
    "still moved at the last recheck": _DEPARTED,
    "wait cut short": _DEPARTED,
    "wrong or missing part": _DEPARTED,
}


def strings(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text below a value, with the key that it stands under."""
    if isinstance(value, str):
        yield key, value
    elif isinstance(value, dict):
        for name, below in value.items():
            yield from strings(below, name)
    elif isinstance(value, list | tuple):
        for below in value:
            yield from strings(below, key)


def prose(stored: Any, people: set[str]) -> set[tuple[str, str]]:
    """The texts of a stored value that neither people wrote nor a table names."""
    return {
        (key, text)
        for key, text in strings(stored)
        if len(text.split()) > 2
        and key not in PEOPLES
        and text not in CODES
        and not {text, text.partition(":")[2]} & people
    }


def of_files(procedure: bytes, plan: bytes, daybook: bytes) -> list[Any]:
    """The three files that are stored of a run, and its record."""
    lines = [json.loads(line) for line in daybook.splitlines()]
    return [json.loads(plan), lines, tomllib.loads(build(procedure, plan, daybook).decode())]


def written(*values: Any) -> set[str]:
    """All that stands in these, which people wrote."""
    return {text for _, text in strings([msgspec.to_builtins(value, str_keys=True) for value in values])}


MUSEUM = tomllib.loads(TOOLS_OF_THE_MUSEUM.format(recent="2026-01-12"))


@pytest.mark.parametrize("run", sorted(folder.name for folder in GOLDEN.iterdir()))
def test_a_golden_run_holds_no_words_of_the_program(run: str) -> None:
    """Its plan, daybook and record."""
    files = [(GOLDEN / run / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl")]
    people = written(tomllib.loads(files[0].decode()), MUSEUM)

    assert set() == prose(of_files(*files), people)


def test_a_bad_day_leaves_no_words_of_the_program() -> None:
    """A note, a bad pull, a broken bolt, an over, a concession, a drop and a break."""
    files = bad_day()
    people = written(tomllib.loads(files[0].decode()), TOOLS)

    assert set() == prose(of_files(*files), people)


def test_a_sealed_run_a_check_and_their_book_hold_none(tmp_path: Path) -> None:
    """The run is accepted by concession; the check is read from a file; the log tells of both."""
    at = shop(tmp_path / "book")
    run, check = sealed(at, over=True), sealed_check(at)
    people = written(tomllib.loads(COVER), tomllib.loads(at.book.path("tools.toml").read_text("utf-8")))
    stored = [
        *of_files(*((run.path / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl"))),
        json.loads((check.path / "plan.json").read_bytes()),
        tomllib.loads((check.path / "record.toml").read_text("utf-8")),
        *(json.loads(line) for line in (check.path / "daybook.jsonl").read_bytes().splitlines()),
        *(json.loads(line) for line in at.book.log_lines()),
    ]

    assert set() == prose(stored, people)


@given(procedure=procedures(several=False), seed=st.integers(0, 2**32))
@settings(max_examples=15, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_whatever_is_chosen_at_the_bench_leaves_none(procedure: Procedure, seed: int) -> None:
    """Random procedures, walked by choosing at random from all that can be chosen."""
    chooser = Chooser(procedure, seed)
    chooser.walk(60)
    people = written(procedure, TOOLS, chooser.bench.session.adapters)

    assert set() == prose(of_files(*frozen(chooser.bench)), people)


def test_each_code_that_is_let_through_is_one_of_the_program() -> None:
    """A code that is gone leaves the table too."""
    source = "".join(path.read_text("utf-8") for path in SOURCE.rglob("*.py"))

    assert [] == [code for code in CODES if f'"{code}"' not in source]
