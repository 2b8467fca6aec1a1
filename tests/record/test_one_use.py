"""What was answered about one-use fasteners stands in the record, and on the report as it stands at the end."""

from __future__ import annotations

import tomllib
from typing import Any

from small_joints import bench_for, bolts, tighten

from clampbook.record.pages.front import last_answers
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from walks import frozen


def record_of(*answers: a.Answer) -> dict[str, Any]:
    """The record of three head bolts that are used once, after these answers at the start."""
    head = bolts(3, fastener="new every time")
    run = bench_for(head, tighten(head))
    for answer in answers:
        run.answer(answer)
    if not run.session.progress.stopped:
        run.steadily()
    return tomllib.loads(build(*frozen(run, b"")).decode())


def test_a_yes_is_an_answer_of_the_record() -> None:
    """By whom and when, as with every answer."""
    record = record_of(a.Value("yes"))

    (row,) = record["answer"]
    assert ("Head bolts", "all new", "yes", "ines") == (row["asked"], row["is"], row["answer"], row["by"])
    assert 0 == record["deviations"]


def test_a_no_before_it_stays_in_the_record_and_off_page_one() -> None:
    """New ones were fetched: nothing departs."""
    record = record_of(a.Value("no"), a.Resolve("ask again"), a.Value("yes"))

    assert ["no", "yes"] == [row["answer"] for row in record["answer"]]
    assert ["yes"] == [row["answer"] for row in last_answers(Telling(record))]
    assert 0 == record["deviations"]


def test_a_run_on_hold_for_new_ones_says_why() -> None:
    """Nobody went on with old ones."""
    record = record_of(a.Value("no"), a.Hold("waiting for a part"))

    assert [[{"kind": "not new", "group": "Head bolts"}]] == [row["departed"] for row in record["deviation"]]
