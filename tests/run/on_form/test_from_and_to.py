"""The two times of a round on a paper form, and what counts from them."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from small_joints import READING, bolts, procedure, recheck, tighten, wait

from bench import Bench
from clampbook.record.pages.blocks import Sentences
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import asked
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.planning import plan
from walks import frozen

HEAD = bolts(2)


def typed(times: list[str | None], waits: list[str | None]) -> Bench:
    """A form of one round and a wait of ten minutes after its last pull, with these times; None is a blank."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD), wait())), "invented", late=True), READING)
    for _ in range(100):
        match form.prompt:
            case ask.Ended():
                break
            case ask.PaperTime():
                given: a.Answer = a.PaperTime(times.pop(0))
            case ask.Wait():
                text = waits.pop(0)
                given = a.Blank() if text is None else a.Value(text)
            case _:
                given = form.steady()
        assert isinstance(form.answer(given), Accepted), form.prompt
    assert not times
    assert not waits
    return form


def waited(form: Bench) -> tuple[str, str | None, bool]:
    """How long, counted from what, and whether that was too short."""
    record = tomllib.loads(build(*frozen(form)).decode())
    short = [
        each for row in record.get("deviation", ()) for each in row["departed"] if each["kind"] == "wait cut short"
    ]
    (row,) = record["wait"]
    return row["passed_seconds"], row.get("counted_from"), bool(short)


def test_a_wait_counts_from_the_end_of_the_round_that_stands_there() -> None:
    """From 14:40 to 14:49, then until 14:52: three minutes of ten, not twelve."""
    form = typed(["2026-03-02 8:40", "8:49"], [None, "8:52"])

    assert waited(form) == ("180", "last pull", True)
    record = tomllib.loads(build(*frozen(form)).decode())
    told = [
        line
        for each in blocks(form.plan, record, {"daybook.jsonl": frozen(form)[2]})
        if isinstance(each, Sentences)
        for line in each.lines
    ]
    assert [line for line in told if "Cut short after 3 min of 10 min, from the last pull, 7 min too early" in line]


def test_the_beginning_of_a_wait_that_stands_there_is_its_own() -> None:
    """From 8:50 until 9:01."""
    form = typed(["2026-03-02 8:40", "8:49"], ["8:50", "9:01"])

    assert waited(form) == ("660", None, False)


def test_a_round_without_its_second_time_ends_with_its_last_row() -> None:
    """That is its beginning, where the rows have none."""
    form = typed(["2026-03-02 8:40", None], [None, "8:52"])

    assert waited(form) == ("720", "last pull", False)


def test_its_end_is_asked_once_and_after_its_last_row() -> None:
    """And no line of it is one of the work."""
    form = typed(["2026-03-02 8:40", "8:49"], [None, "8:52"])

    kinds = [type(event) for event in form.events]
    ends = [event for event in form.events if isinstance(event, e.PaperTime) and event.until]
    assert len(ends) == 1
    last = max(place for place, kind in enumerate(kinds) if kind is e.ReadingTaken)
    assert kinds.index(e.PaperTime, last) == last + 1


def test_the_question_says_which_of_the_two_it_is() -> None:
    """The first has no word more than it had."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),)), "invented", late=True), READING)
    said = []
    while not isinstance(form.prompt, ask.Ended):
        if isinstance(form.prompt, ask.PaperTime):
            said.append(asked.sentence(form.prompt))
        form.answer(form.steady())

    assert said == ["Stage 1: what time stands at From on the form?", "Stage 1: what time stands at To on the form?"]


def test_each_round_of_a_recheck_has_its_times() -> None:
    """Bolt 1 moved in the first round: the form has a second one, with both times and initials."""
    stages = (tighten(HEAD), recheck(HEAD, until_still=True, at_most=3))
    form = Bench(plan(procedure((HEAD,), stages), "invented", late=True), READING)
    said, moved = [], True
    times = iter(("2026-03-02 8:40", "8:45", "9:00", "9:05", "9:10", "9:12"))
    while not isinstance(form.prompt, ask.Ended):
        given = form.steady()
        if isinstance(form.prompt, ask.PaperTime):
            said.append(asked.sentence(form.prompt))
            given = a.PaperTime(next(times))
        elif isinstance(form.prompt, ask.Recheck) and moved:
            moved, given = False, a.Still(True, "31")
        assert isinstance(form.answer(given), Accepted), form.prompt

    assert said == [
        "Stage 1: what time stands at From on the form?",
        "Stage 1: what time stands at To on the form?",
        "Stage 2, round 1: what time stands at From on the form?",
        "Stage 2, round 1: what time stands at To on the form?",
        "Stage 2, round 2: what time stands at From on the form?",
        "Stage 2, round 2: what time stands at To on the form?",
    ]
    again = [event.at for event in form.events if isinstance(event, e.Rechecked)]
    assert again == sorted(again)
    assert len(set(again[:2])) == len(set(again[2:])) == 1
    assert again[1] < again[2]


def test_no_round_ends_with_the_time_before() -> None:
    """At From + is the time before; at To only what stands there, or that nothing does."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),)), "invented", late=True), READING)
    found = {}
    while not isinstance(form.prompt, ask.Ended):
        if isinstance(form.prompt, ask.PaperTime):
            found[form.prompt.until] = [choice.key for choice in asked.keys(form.prompt).choices]
        form.answer(form.steady())

    assert found == {False: ["+", "-"], True: ["-"]}
