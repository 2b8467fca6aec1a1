"""A run is accepted where somebody accepted something by concession that stands so, and else it is done."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    W7,
    asked,
    at_first_pull,
    bench_for,
    bolts,
    inspect,
    loosen,
    measure,
    stored,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import G1, OKKE, W3, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.progress import by_concession

ACCEPTED = a.Resolve("concession", reason="agreed", person=OKKE)


def ending(run: Bench) -> str:
    """As what it can be closed, once a steady hand has done the rest."""
    run.steadily(until=ask.Finished)
    return asked(run, ask.Finished).outcome


def at_the_end_play(shown: str) -> Bench:
    """One bolt, an end play that shows this (at most 0.25 mm), and one more gate."""
    head = bolts(1)
    run = at_first_pull(head, tighten(head), measure(2), inspect(3))
    value(run, "30")
    walk_to(run, "2.1/-", ask.Measure)
    value(run, shown)
    return run


class TestGate:
    """What was accepted at a gate stands until it is passed again."""

    def test_accepted_outside_its_window(self) -> None:
        """A second person took the end play as it is."""
        run = at_the_end_play("0.90 mm")
        run.answer(ACCEPTED)

        assert "accepted" == ending(run)

    def test_measured_again_it_is_within(self) -> None:
        """Back to the first stage from the next gate: the end play is right now, and nothing is left to accept."""
        run = at_the_end_play("0.90 mm")
        run.answer(ACCEPTED)
        run.answer(a.Look("no"))
        run.answer(a.Resolve("go back", reason="too much end play", back_to=1))
        while not isinstance(run.prompt, ask.Measure):
            run.answer(run.steady())
        value(run, "0.20 mm")

        assert "done" == ending(run)

    def test_passed_once_more_as_it_was_accepted(self) -> None:
        """Bolt 1 starts over, and the end play in its way is left as it is: it is still what was accepted."""
        head = bolts(1)
        run = at_first_pull(head, tighten(head), measure(2), turn(head, 3))
        value(run, "30")
        value(run, "0.90 mm")
        run.answer(ACCEPTED)
        walk_to(run, "3.1/1", ask.Turn)
        run.answer(a.BadPull("socket slipped"))
        run.answer(a.Resolve("from the beginning", "fastener"))
        walk_to(run, "2.1/-", ask.Decide)
        run.answer(a.Resolve("leave", reason="it is as it was"))

        assert "accepted" == ending(run)


class TestAdjusted:
    """What was accepted of a bolt goes where it is loosened fully and tightened again."""

    def over(self, *stages: m.Stage, back_to: int) -> Bench:
        """One bolt told 35 where 32 N·m is the most, accepted so, then adjusted for its end play."""
        adjust = m.Adjust(back_to=back_to, at_most=3)
        run = bench_for(bolts(1), *stages, measure(len(stages) + 1, adjust=adjust))
        while not isinstance(run.prompt, ask.Tighten):
            run.answer(run.steady())
        value(run, "35")
        run.answer(ACCEPTED)
        walk_to(run, f"{len(stages) + 1}.1/-", ask.Measure)
        value(run, "0.34")
        return run

    def test_loosened_fully_and_within_now(self) -> None:
        """The run is done, and the map shows no concession."""
        head = bolts(1)
        run = self.over(loosen(head, 1), tighten(head, 2), back_to=1)
        assert by_concession(run.session.progress)

        run.answer(a.Resolve("adjust"))

        assert not by_concession(run.session.progress)
        assert "done" == ending(run)

    def test_loosened_by_an_angle(self) -> None:
        """Backing off to a lower reading does not undo it."""
        head = bolts(1)
        run = self.over(tighten(head), loosen(head, 2, by=Decimal(60)), tighten(head, 3), back_to=2)
        run.answer(a.Resolve("adjust"))

        assert by_concession(run.session.progress)

    def test_what_was_accepted_before_the_way_back(self) -> None:
        """The first reading is not taken again: it stays what it was."""
        head = bolts(1)
        run = self.over(tighten(head), loosen(head, 2), tighten(head, 3), back_to=2)
        run.answer(a.Resolve("adjust"))

        assert "accepted" == ending(run)


class TestNothingConceded:
    """A reason of one's own is a deviation, and no concession."""

    def test_a_tool_that_does_not_suit(self) -> None:
        """W3 was taken anyway."""
        head = bolts(1)
        run = at_first_pull(head, tighten(head), tools=(W7, W3, G1))
        taken = stored(run.answer(a.TakeUp("w3", "the other one slips")), e.ToolTaken)

        assert taken.against

        assert "done" == ending(run)

    def test_a_tool_that_was_dropped(self) -> None:
        """It fell on a rag."""
        head = bolts(1)
        run = at_first_pull(head, tighten(head))
        held = next(iter(run.session.progress.hand))
        run.answer(a.Drop(held, "short fall onto something soft"))

        assert "done" == ending(run)


@pytest.mark.parametrize("shown", [Decimal("50"), Decimal("60")])
def test_over_and_accepted_and_then_started_over(shown: Decimal) -> None:
    """Bolt 1 was accepted over; its turn slipped, and it starts over: it is within in the end."""
    head = bolts(1)
    run = at_first_pull(head, tighten(head), turn(head))
    value(run, f"{shown}")
    run.answer(ACCEPTED)
    walk_to(run, "2.1/1", ask.Turn)
    run.answer(a.BadPull("socket slipped"))
    run.answer(a.Resolve("from the beginning", "fastener"))

    assert "done" == ending(run)
