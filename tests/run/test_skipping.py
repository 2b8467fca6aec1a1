"""Skipped with a reason: asked again before the round ends, and never forgotten."""

from __future__ import annotations

import pytest
from small_joints import (
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    refused,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import INES, OKKE, TOMAS, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask


def two_aside() -> Bench:
    """A run of three bolts whose first two were skipped in the first of two rounds, at bolt 3."""
    head = bolts(3)
    run = at_first_pull(head, tighten(head, rounds=2))
    run.answer(a.Skip("no room for the tool"))
    run.answer(a.Skip("the hole wants cleaning"))
    return run


class TestWhenItIsAsked:
    """Before its round ends."""

    def test_the_next_position_comes_first(self) -> None:
        """Skipping 1 and 2 goes on with 3."""
        run = two_aside()

        assert ("1.1/3", "skipped") == (asked(run, ask.Tighten).where.id, at(run, "1").outcome)

    def test_it_is_asked_before_the_next_round(self) -> None:
        """After bolt 3 nothing of round 2 is pulled while something of round 1 is open."""
        run = two_aside()

        value(run, "30")

        assert "skipped" == asked(run, ask.Decide).cause

    def test_do_it_now_concession_or_hold(self) -> None:
        """The three ways; to forget is none of them."""
        run = two_aside()
        value(run, "30")

        assert ["do it now", "concession", "hold"] == choices(run)

    def test_all_that_were_skipped_are_asked(self) -> None:
        """One after the other, then round 2 begins with bolt 1."""
        run = two_aside()
        value(run, "30")
        since = len(run.events)
        for _ in range(2):
            run.answer(a.Resolve("do it now"))
            value(run, "30")

        assert ["pull 1.1/1", "pull 1.1/2"] == sorted(steps_of(run, since))
        assert "1.2/1" == asked(run, ask.Tighten).where.id

    def test_the_reason_is_shown_when_it_is_asked(self) -> None:
        """Who comes to it later reads why it was left."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head))
        run.answer(a.Skip("no room for the tool"))
        value(run, "30")

        assert ("1", "no room for the tool") == (asked(run, ask.Decide).position, asked(run, ask.Decide).found)

    def test_bolt_by_bolt_it_is_asked_before_the_work_on_the_block_ends(self) -> None:
        """In a `for_each` by position the others go on through all their steps, then it is asked."""
        side = bolts(2, "Side screws", 11)
        each: dict[str, object] = {"block": 1, "each": "position"}
        run = bench_for(side, tighten(side, 1, **each), turn(side, 2, **each))
        walk_to(run, "1.1/11", ask.Tighten)
        run.answer(a.Skip("waiting for a part"))
        since = len(run.events)
        walk_to(run, "1.1/11", ask.Decide)

        assert ["pull 1.1/12", "turn 2.1/12"] == steps_of(run, since)

    def test_set_by_set_it_is_asked_before_the_set_ends(self) -> None:
        """Cap 2 is not begun while a bolt of cap 1 is skipped."""
        caps = bolts(
            4,
            sets=(
                m.FastenerSet(name="cap 1", positions=("1", "2")),
                m.FastenerSet(name="cap 2", positions=("3", "4")),
            ),
        )
        each: dict[str, object] = {"block": 1, "each": "set"}
        run = at_first_pull(caps, tighten(caps, 1, **each), turn(caps, 2, **each))
        run.answer(a.Skip("waiting for a part"))
        since = len(run.events)
        walk_to(run, "1.1/1", ask.Decide)

        assert ["pull 1.1/2", "turn 2.1/2"] == steps_of(run, since)

    def test_taken_up_in_a_set_it_goes_through_all_the_set_holds(self) -> None:
        """Done now, bolt 1 is torqued and turned before cap 2 begins."""
        caps = bolts(
            3,
            sets=(m.FastenerSet(name="cap 1", positions=("1", "2")), m.FastenerSet(name="cap 2", positions=("3",))),
        )
        each: dict[str, object] = {"block": 1, "each": "set"}
        run = at_first_pull(caps, tighten(caps, 1, **each), turn(caps, 2, **each))
        run.answer(a.Skip("waiting for a part"))
        walk_to(run, "1.1/1", ask.Decide)
        since = len(run.events)

        run.answer(a.Resolve("do it now"))
        walk_to(run, "1.1/3", ask.Tighten)

        assert ["pull 1.1/1", "turn 2.1/1"] == steps_of(run, since)


class TestConcession:
    """Left as it is, by another person's word."""

    def at_the_question(self) -> Bench:
        """A run that asks about bolt 1, which was skipped."""
        head = bolts(2)
        run = at_first_pull(head)
        run.answer(a.Skip("no room for the tool"))
        value(run, "30")
        return run

    def test_it_needs_a_reason_and_a_second_person(self) -> None:
        """Both are asked for, in sentences."""
        run = self.at_the_question()

        assert "Give a reason" in refused(run.answer(a.Resolve("concession", person=OKKE)))
        assert "second person who accepts it" in refused(run.answer(a.Resolve("concession", reason="agreed")))

    def test_whoever_does_the_work_cannot_accept_it(self) -> None:
        """Ines pulls, so Ines cannot concede."""
        run = self.at_the_question()

        said = refused(run.answer(a.Resolve("concession", reason="agreed", person=INES)))

        assert said.startswith("Ines did this work. Ask a second person")

    def test_by_concession_the_position_is_left_for_this_round(self) -> None:
        """It stands as conceded, by name and meaning, and its next stage is asked as usual."""
        run = self.at_the_question()

        decided = stored(run.answer(a.Resolve("concession", reason="agreed", person=TOMAS)), e.Decided)

        assert ("concession", TOMAS, "concession") == (decided.meaning, decided.person, at(run, "1").outcome)
        walk_to(run, "2.1/1", ask.Turn)

    def test_the_run_is_then_accepted_and_not_done(self) -> None:
        """What the daybook supports is `accepted`: bolt 1 is turned though nothing ever snugged it."""
        run = self.at_the_question()
        run.answer(a.Resolve("concession", reason="agreed", person=TOMAS))
        walk_to(run, "2.1/1", ask.Decide)
        run.answer(a.Resolve("concession", reason="agreed", person=TOMAS))
        run.steadily(until=ask.Finished)

        assert "accepted" == asked(run, ask.Finished).outcome

    def test_started_over_after_all_it_is_done(self) -> None:
        """Before its turn bolt 1 is loosened and snugged as the procedure has it: nothing is left to accept."""
        run = self.at_the_question()
        run.answer(a.Resolve("concession", reason="agreed", person=TOMAS))
        walk_to(run, "2.1/1", ask.Decide)
        run.answer(a.Resolve("from the beginning", "fastener"))
        run.steadily(until=ask.Finished)

        assert "done" == asked(run, ask.Finished).outcome


@pytest.mark.parametrize("reason", ["", "  "])
def test_setting_aside_needs_a_reason(reason: str) -> None:
    """A bolt is not left without saying why."""
    head = bolts(2)
    run = at_first_pull(head, tighten(head))

    assert "Type why" in refused(run.answer(a.Skip(reason)))


def test_a_position_skipped_and_pulled_by_mistake_is_decided() -> None:
    """Pulled before it was taken up again: it is asked what it is now."""
    run = two_aside()

    run.answer(a.PulledAnother("1", "30"))

    assert ("pulled out of turn", "1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)
