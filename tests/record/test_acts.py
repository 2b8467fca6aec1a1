"""Acts: a row for each thing done, and what the record, its headline and recall make of them."""

from __future__ import annotations

import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from small_joints import (
    SETTING,
    W7,
    W8,
    bench_for,
    bolts,
    follow_up,
    loosen,
    measure,
    recheck,
    tighten,
    turn,
    value,
    window,
)

from bench import G1, MAUD, OKKE, Bench
from clampbook.archive import affected as recall
from clampbook.archive.affected import AffectedReading, Span
from clampbook.record.agreement import disagrees_at, not_done
from clampbook.record.deviations import deviations
from clampbook.record.frozen import Frozen
from clampbook.record.history import History, tell
from clampbook.record.pages.headline import headline
from clampbook.record.positions import outcome_of_each, positions
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.lines import stored as stored_words
from clampbook.tools.identity import Identity


def departed(run: Bench) -> list[tuple[int, dict[str, Any]]]:
    """Line and facts of all that departs, in the order of the lines."""
    rows: Any = deviations(frozen(run), told(run))
    return [
        (row["line"], {key: value for key, value in each.items() if value is not None})
        for row in rows
        for each in row["departed"]
    ]


def frozen(run: Bench) -> Frozen:
    """The run as its files would tell it."""
    events = tuple(run.events)
    opened, last = events[0], events[-1]
    assert isinstance(opened, e.Opened)
    ended = last if isinstance(last, e.Closed | e.Abandoned) else None
    return Frozen(run.plan, events, opened, ended, "0" * 64, "0" * 64, "0" * 64)


def told(run: Bench) -> History:
    """Its acts."""
    return tell(frozen(run))


def used(run: Bench, tool: str) -> list[AffectedReading]:
    """What recall lists of a tool."""
    return list(recall._readings(frozen(run), told(run), Identity(tool, frozenset({"book"})), Span(), None))


class TestStartingOver:
    """A second attempt is the one that counts."""

    @pytest.fixture
    def rescued(self) -> Bench:
        """Bolt 1 went over; it was loosened, looked at and not as it should be; a new one went in and was pulled."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W7, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.Value("35"))
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.steadily(until=ask.Inspect)
        run.answer(a.Look("no", ()))
        run.answer(a.Resolve("new fastener", scope="fastener"))
        run.steadily()
        return run

    def test_a_bolt_rescued_by_a_new_fastener_is_done(self, rescued: Bench) -> None:
        """Looked at and refused before it was started over is no attempt more."""
        history = told(rescued)
        first = positions(frozen(rescued), history)[0]

        assert ("1", "done", 2, 1) == (first["position"], first["state"], first["attempts"], first["tightenings"])
        assert [] == not_done(frozen(rescued), history)
        assert disagrees_at(frozen(rescued), history) is None

    def test_its_good_pull_counts_and_its_bad_one_does_not(self, rescued: Bench) -> None:
        """35 belongs to the fastener that was taken out."""
        pulls = [act for act in told(rescued).acts if act.kind == "pull" and act.position == "1"]

        assert [("35", "earlier attempt"), ("30", None)] == [(act.value, act.why_not) for act in pulls]

    def test_recall_lists_both(self, rescued: Bench) -> None:
        """The tool pulled both."""
        own = [(each.shown, each.kept) for each in used(rescued, "w7") if each.position == "1"]

        assert [(Decimal("35.000"), False), (Decimal("30.000"), True)] == own


def remembered() -> Bench:
    """45 in 28 to 32, remembered as 30 by the one who typed it."""
    head = bolts(1)
    run = bench_for(head, tighten(head), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    value(run, "45")
    run.answer(a.Correct("30", "from memory"))
    return run


class TestFromMemory:
    """What one person remembers does not put right what was told over: record and walk say the same of it."""

    def test_the_reading_stands_and_the_correction_does_not_count(self) -> None:
        """The row of the correction says why, and judges nothing."""
        pulls = [act for act in told(remembered()).acts if act.kind == "pull"]

        assert [("45", "over", None), ("30", "not judged", "from memory alone")] == [
            (act.value, act.outcome, act.why_not) for act in pulls
        ]

    def test_the_record_says_over_as_the_walk_does(self) -> None:
        """And it is among the deviations, with the reason."""
        run = remembered()
        history = told(run)

        assert {"1.1/1": "over"} == positions(frozen(run), history)[0]["outcome"]
        facts = {"typed": "45 N·m", "verdict": "over", "to": "30", "stands_line": len(run.events) - 1}
        assert (len(run.events), {"kind": "corrected from memory", **facts}) == departed(run)[-1]

    def test_the_answer_says_that_it_stays_over(self) -> None:
        """Nobody reads "within" there."""
        run = remembered()

        assert (
            "Over ▀: head bolt 1 stays over. 30 N·m from memory does not count. Ask a second person who saw it."
            == stored_words(run.events[-1], run.plan)
        )

    def test_a_concession_is_about_the_reading(self) -> None:
        """The decision names the line of the correction; what is accepted is what was told."""
        run = remembered()
        run.answer(a.Resolve("concession", reason="agreed", person=MAUD))
        first = next(act for act in told(run).acts if act.kind == "pull")

        assert ("by concession", len(run.events)) == (first.outcome, first.conceded_at)

    def test_a_second_person_who_saw_it_puts_it_right(self) -> None:
        """Then it was a slip, and one use of the tool with what was seen."""
        run = remembered()
        run.answer(a.Correct("30", "a second person saw it", person=OKKE))
        pulls = [act for act in told(run).acts if act.kind == "pull"]

        assert ["corrected", "from memory alone", None] == [act.why_not for act in pulls]
        assert [(Decimal("30.000"), True)] == [(each.shown, each.kept) for each in used(run, "w7")]
        said = departed(run)[-1][1]
        facts = {"typed": "45 N·m", "verdict": "over", "to": "30", "unit": "N·m", "known": "a second person saw it"}
        okke = {"person": "okke", "person_name": "Okke"}
        assert {"kind": "corrected into its window", **facts, **okke} == said


class TestFoundUnder:
    """A follow-up tells how it found a fastener, not only what it was pulled to then."""

    def test_accepted_it_ends_under_no_clean_headline(self) -> None:
        """24 of 30 N·m, pulled up to 30, and accepted by a second person."""
        head = bolts(2)
        run = follow_up(recheck(head, 1, window=window("28", "32"), until_still=False), group=head)
        run.steadily(until=ask.Recheck)
        run.answer(a.Value("24"))
        run.answer(a.Still(False, "30"))
        run.answer(a.Resolve("concession", reason="pulled up to 30", person=OKKE))
        run.steadily()
        found = positions(frozen(run), told(run))
        said = [each for _, each in departed(run)]

        assert ["found under", "done"] == [row["state"] for row in found]
        assert "Accepted with concessions, 1 position found under" == headline(
            {"outcome": "accepted", "position": found}
        )
        assert [("under", "24.000"), ("found under", None)] == [(each["kind"], each.get("judged")) for each in said]


class TestAcceptedOver:
    """What was accepted though over is over in the record, whatever was pulled below it afterwards."""

    def test_another_round_below_it_does_not_make_it_within(self) -> None:
        """50 N·m of at most 36 in the first round, accepted; the second pulls to 30, and nothing moves."""
        head = bolts(2)
        run = bench_for(head, tighten(head), recheck(head, window=window("28", "36")))
        run.steadily(until=ask.Recheck)
        run.answer(a.Still(False, "50"))
        run.answer(a.Resolve("concession", reason="agreed", person=MAUD))
        decided = len(run.events)
        run.answer(a.Still(True, "31"))
        run.answer(a.Still(False, "30"))
        run.answer(a.Still(False, "30"))
        run.steadily()
        last = [act for act in told(run).acts if act.kind == "recheck" and act.position == "1"][-1]

        assert ("by concession", "within", decided) == (last.outcome, last.verdict, last.conceded_at)
        assert ["done, by concession", "done"] == [row["state"] for row in positions(frozen(run), told(run))]
        assert "by concession" == outcome_of_each(frozen(run), told(run))[0][1]["2.1/1"]


class TestBackedOff:
    """A fastener that is backed off holds nothing, whatever it was pulled to before."""

    def test_a_run_that_ends_while_it_is_backed_off_has_only_begun_it(self) -> None:
        """In the first round and in a second one, after one in which it was pulled."""
        head = bolts(1, tightenings_at_most=4)
        again = recheck(head, method="back off and tighten again", back_off=Decimal(30))
        run = bench_for(head, tighten(head), again)
        run.steadily(until=ask.BackOff)
        run.answer(a.Plus())
        first = positions(frozen(run), told(run))
        value(run, "30")
        run.answer(a.AtMark("past"))
        run.answer(a.Plus())
        second = positions(frozen(run), told(run))

        assert ["started", "started"] == [row["state"] for row in (*first, *second)]
        assert "backed off" == outcome_of_each(frozen(run), told(run))[0][1]["2.1/1"]


class TestFoundMoved:
    """A fastener that moved at the last pull at it is not simply done."""

    def test_it_ends_under_no_clean_headline(self) -> None:
        """One round, no follow-up: the work goes on, and the record says what was found."""
        head = bolts(2)
        run = bench_for(head, tighten(head), recheck(head, until_still=False), tools=SETTING)
        run.steadily(until=ask.Recheck)
        run.answer(a.Still(True))
        run.steadily()
        found = positions(frozen(run), told(run))

        assert ["found moved", "done"] == [row["state"] for row in found]
        assert "Done, 1 deviation, 1 position found moved" == headline(
            {"outcome": "done", "deviations": 1, "position": found}
        )

    def test_pulled_again_after_it_is_done(self) -> None:
        """A later stage tightens it once more."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head, until_still=False), tighten(head, number=3), tools=SETTING)
        run.steadily(until=ask.Recheck)
        run.answer(a.Still(True))
        run.steadily()

        assert "done" == positions(frozen(run), told(run))[0]["state"]


class TestRecall:
    """What a tool was used for, whatever became of it."""

    def test_turns_rechecks_bad_and_voided_pulls_are_listed(self) -> None:
        """A tool that was off was off for all of them."""
        head = bolts(1, after_bad_pull="pull again")
        run = bench_for(head, tighten(head), turn(head), recheck(head, number=3), tools=(W7, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.BadPull("it slipped", value="24"))
        run.answer(a.Value("29"))
        run.answer(a.VoidStored("the socket had slipped"))
        run.steadily()

        kinds = [(each.kind, each.why_not) for each in used(run, "w7")]

        assert [("bad pull", "void"), ("pull", "void"), ("pull", None), ("recheck", None)] == kinds
        assert ["turn"] == [each.kind for each in used(run, "g1")]

    def test_a_value_put_right_is_one_use_with_what_it_was_put_right_to(self) -> None:
        """The tool was pulled once."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=(W7, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.Value("31"))
        run.answer(a.Correct("30", "the tool still shows it"))

        assert [(Decimal("30.000"), True)] == [(each.shown, each.kept) for each in used(run, "w7")]


class TestSettings:
    """A click and a recheck with a setting tool have a setting, and never a reading."""

    def test_each_recheck_with_a_setting_tool_has_its_setting(self) -> None:
        """What the fastener got is what the tool was set to."""
        head = bolts(3)
        run = bench_for(head, tighten(head), recheck(head), tools=SETTING)
        run.steadily()
        found = [act for act in told(run).acts if act.kind == "recheck"]

        assert [(None, Decimal(30), "N·m", None)] * 3 == [
            (act.value, Decimal(act.set_to or "0"), act.unit, act.shown) for act in found
        ]
        assert {W8.id} == {act.tool for act in found}

    @pytest.mark.parametrize("clicked", [True, False, None])
    def test_so_has_each_bad_pull_with_one(self, clicked: bool | None) -> None:
        """Clicked or not, it was set to 30; only where it clicked does the bolt hold that."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=SETTING)
        run.steadily(until=ask.Tighten)
        run.answer(a.BadPull("it slipped", clicked=clicked))
        act = next(act for act in told(run).acts if act.kind == "bad pull")

        assert ("30", "N·m", "30.000" if clicked else None) == (act.set_to, act.unit, act.at_fastener)

    def test_three_confirmed_at_once_are_three_acts(self) -> None:
        """Each position was pulled."""
        head = bolts(3)
        run = bench_for(head, tighten(head, confirm="round"), tools=SETTING)
        run.steadily()
        found = [(act.position, act.kind, act.value) for act in told(run).acts if act.tool == W8.id]

        assert [(position, "confirmation", None) for position in "123"] == found

    def test_a_click_is_voided_alone_of_those_confirmed_with_it(self) -> None:
        """The others of the block stand."""
        head = bolts(3, after_bad_pull="pull again")
        run = bench_for(head, tighten(head, confirm="round"), loosen(head, number=2), tools=SETTING)
        run.steadily(until=ask.Confirm)
        run.answer(a.Plus())
        run.answer(a.VoidStored("the socket had slipped", of=len(run.events)))
        found = [(act.position, act.why_not) for act in told(run).acts if act.kind == "confirmation"]

        assert 1 == sum(why == "void" for _, why in found)
        assert 2 == sum(why is None for _, why in found)


class TestHeadline:
    """What stands on page one."""

    def test_a_run_with_steps_not_done_is_never_called_done(self) -> None:
        """Whatever its last line says."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W7, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.Value("30"))
        common = run._common()
        run.store(e.Closed(**common, outcome="done"))
        left = not_done(frozen(run), told(run))

        assert [("2", "1.1/2")] == left
        assert "Unfinished: 1 step not done" == headline({"outcome": "done", "steps_not_done": len(left)})

    def test_a_record_that_disagrees_with_the_walk_says_so(self) -> None:
        """The work stands there all the same, and the line at which they differ."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W7, G1))
        run.steadily()
        history = told(run)
        acts = tuple(act for act in history.acts if (act.kind, act.position) != ("pull", "2"))
        differing = History(history.progress, acts)

        assert len(run.events) == disagrees_at(frozen(run), differing)
        assert "Record disagrees with the walk at line 9" == headline(
            {"outcome": "done", "disagrees_with_the_walk_at_line": 9}
        )


def test_looks_waits_and_decisions_are_acts_too() -> None:
    """A row for each thing done, and by whom."""
    head = bolts(1)
    run = bench_for(head, tighten(head), measure(group=head), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    run.answer(a.Value("35"))
    run.answer(a.Resolve("concession", reason="agreed with the boatyard", person=MAUD))
    run.steadily()
    acts = told(run).acts
    [decision] = [act for act in acts if act.kind == "decision"]

    assert ("1", "concession", "over") == (decision.position, decision.outcome, decision.method)
    assert [("by concession", decision.line)] == [(act.outcome, act.conceded_at) for act in acts if act.kind == "pull"]
    assert "not done" not in [each["kind"] for _, each in departed(run)]
    assert {"measurement"} <= {act.kind for act in acts}
    assert {"ines"} == {act.done_by for act in acts}
