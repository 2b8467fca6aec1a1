"""Several clicks confirmed in one answer, for joints with many like fasteners and a setting tool."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import (
    READING,
    SETTING,
    amount,
    asked,
    at,
    bench_for,
    bolts,
    events_of,
    locker,
    loosen,
    refused,
    steps_of,
    stored,
    tighten,
    value,
    walk_to,
)

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.acts.at_hand import NONE_OF_THEM
from clampbook.run.asked import sentence
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import next_part


def run_of(count: int = 6, confirm: str = "round", *, exempt: bool = True, **stage: Any) -> Bench:
    """A run of a row of bolts, two rounds, confirmed several at a time, at its first pull."""
    head = bolts(count)
    run = bench_for(head, tighten(head, confirm=confirm, rounds=2, **stage), tools=SETTING, exempt=exempt)
    walk_to(run, "1.1/1", ask.Confirm)
    return run


class TestBlocks:
    """How many positions one answer covers."""

    def test_a_round_at_a_time(self) -> None:
        """All six, then the next round."""
        run = run_of()
        first = asked(run, ask.Confirm).positions
        run.answer(a.Plus())

        assert (("1", "2", "3", "4", "5", "6"), "1.2/1") == (first, asked(run, ask.Confirm).where.id)

    def test_four_at_a_time(self) -> None:
        """Four, then the two that are left of the round."""
        run = run_of(confirm="each four")
        first = asked(run, ask.Confirm).positions
        run.answer(a.Plus())

        assert (("1", "2", "3", "4"), ("5", "6")) == (first, asked(run, ask.Confirm).positions)

    def test_one_answer_is_one_line_with_first_and_last_step(self) -> None:
        """And gives each of them the outcome clicked."""
        run = run_of()

        confirmed = stored(run.answer(a.Plus()), e.Confirmed)

        assert ("1.1/1", "1.1/6", "30") == (confirmed.first, confirmed.last, confirmed.set_to)
        assert ["clicked"] * 6 == [at(run, each).outcome for each in "123456"]

    def test_each_counts_as_a_tightening(self) -> None:
        """Six bolts, six tightenings."""
        run = run_of()
        run.answer(a.Plus())

        assert [1] * 6 == [at(run, each).tightenings for each in "123456"]


class TestDoneUpTo:
    """A pause in the middle of a round first says how far it is done."""

    def test_only_those_are_confirmed(self) -> None:
        """Up to bolt 3; then 4 to 6 are asked."""
        run = run_of()

        confirmed = stored(run.answer(a.DoneUpTo("3")), e.Confirmed)

        assert ("1.1/3", ("4", "5", "6")) == (confirmed.last, asked(run, ask.Confirm).positions)

    def test_it_must_be_one_of_them(self) -> None:
        """Bolt 9 is none of this round."""
        assert "Choose one of" in refused(run_of().answer(a.DoneUpTo("9")))

    def test_what_was_skipped_is_no_longer_among_them(self) -> None:
        """Bolt 4 is left for later: 5 and 6 are confirmed, then 4 is asked."""
        run = run_of()
        run.answer(a.DoneUpTo("3"))
        run.answer(a.Skip("no room for the tool"))

        assert ("5", "6") == asked(run, ask.Confirm).positions
        run.answer(a.Plus())
        assert ("skipped", "4") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_a_bad_pull_is_that_of_the_first_that_is_left(self) -> None:
        """Done up to 3, then a jerk: it was at 4."""
        run = run_of()
        run.answer(a.DoneUpTo("3"))

        assert "1.1/4" == stored(run.answer(a.BadPull()), e.Voided).step

    def test_another_position_was_pulled_in_place_of_one_that_is_left(self) -> None:
        """After the last there is no pull of this round at which it could be told: it is never offered, nor lost."""
        run = run_of(3)

        part = next_part(run.prompt, run.session, Draft("pulled another"))

        assert isinstance(part, Part)
        assert ["1", "2", NONE_OF_THEM.value] == [choice.value for choice in part.choices]


class TestLeastTime:
    """The least pull time is multiplied by the number of positions."""

    @pytest.mark.parametrize(("seconds", "enough"), [(11.9, False), (12, True)])
    def test_six_bolts_take_twelve_seconds_at_least(self, seconds: float, enough: bool) -> None:
        """Two seconds each."""
        run = run_of(exempt=False)
        run.wait(seconds - 3)

        outcome = run.answer(a.Plus())

        if enough:
            stored(outcome, e.Confirmed)
        else:
            assert "do not pull again" in refused(outcome)

    def test_done_up_to_counts_those_that_are_done(self) -> None:
        """Two of six take four seconds."""
        run = run_of(exempt=False)
        run.wait(1)

        stored(run.answer(a.DoneUpTo("2")), e.Confirmed)

    def test_a_stage_with_a_longer_pull_takes_longer(self) -> None:
        """Five seconds each are thirty for six."""
        run = run_of(exempt=False, least_pull=Decimal(5))
        run.wait(26)

        assert "do not pull again" in refused(run.answer(a.Plus()))


class TestNeverForReadings:
    """What is read, turned or measured on the way is answered one by one."""

    def test_a_reading_is_typed_for_each(self) -> None:
        """With an indicating tool the same stage asks bolt by bolt."""
        head = bolts(2)
        run = bench_for(head, tighten(head, confirm="round"), tools=READING)

        assert walk_to(run, "1.1/1", ask.Tighten).reading

    def test_a_locking_nut_is_set_for_each(self) -> None:
        """What ran down differs from nut to nut, and so does the setting."""
        head = bolts(2, prevailing=m.Prevailing(rule="always"))
        run = bench_for(head, tighten(head, confirm="round"), tools=(*SETTING, *READING))
        walk_to(run, "1.1/1", ask.Measure)
        value(run, "3")
        run.answer(a.TakeUp("w8"))
        run.answer(a.ScaleShows("33", "N·m"))

        assert not asked(run, ask.Tighten).reading

    def test_a_time_limit_is_looked_at_for_each(self) -> None:
        """Locker sets bolt by bolt: nobody confirms a round over its limit."""
        head = bolts(2, finish_within=amount("5", "min"))
        run = bench_for(head, locker(head), tighten(head, 2, confirm="round"), tools=SETTING)

        assert walk_to(run, "2.1/1", ask.Tighten).together == ()

    def test_a_spent_fastener_is_asked_about_before_it_is_confirmed(self) -> None:
        """Conceded for bolt 1, bolt 2 is a question of its own."""
        head = bolts(2, tightenings_at_most=1)
        run = bench_for(
            head, tighten(head, confirm="round"), loosen(head), tighten(head, 3, confirm="round"), tools=SETTING
        )
        walk_to(run, "3.1/1", ask.Decide)
        run.answer(a.Resolve("concession", reason="looked at", person=OKKE))

        assert ("1",) == asked(run, ask.Confirm).positions
        run.answer(a.Plus())
        assert ("budget used up", "2") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)


def test_after_a_kill_the_round_is_asked_about_as_one() -> None:
    """Finished and not typed: one key confirms what was done before the break, without the least time."""
    run = run_of(exempt=False)
    run.resume()
    run.answer(a.Found("finished, not entered"))
    run.wait(-2)

    confirmed = stored(run.answer(a.Plus()), e.Confirmed)

    assert ("1.1/6", "before_break") == (confirmed.last, confirmed.late)


def test_after_a_long_break_what_was_finished_is_confirmed_before_anybody_looks_back() -> None:
    """Round 1 is done, round 2 was clicked before the break: the scale is read, and all of round 2 is confirmed."""
    head = bolts(3)
    run = bench_for(head, tighten(head, confirm="round", rounds=2), tools=SETTING)
    walk_to(run, "1.2/1", ask.Confirm)
    run.resume(gap=3600)
    run.answer(a.Found("finished, not entered"))
    run.answer(a.ScaleShows("30", "N·m"))

    assert ("1", "2", "3") == asked(run, ask.Confirm).positions
    assert sentence(run.prompt).endswith("click once at each?")
    assert ("1", "2", "3") == stored(run.answer(a.Plus()), e.Confirmed).positions
    while isinstance(run.prompt, ask.Inspect):
        run.answer(a.Look("yes"))
    assert not isinstance(run.prompt, ask.Confirm)


def test_another_position_of_the_round_is_stored_and_left_out() -> None:
    """Bolt 5 was pulled first: it is clicked at its own step, the rest is confirmed."""
    run = run_of()

    stored(run.answer(a.PulledAnother("5")), e.Clicked)

    assert ("1", "2", "3", "4", "6") == asked(run, ask.Confirm).positions
    run.answer(a.Plus())
    assert (["pull 1.1/5"], 1) == (steps_of(run), len(events_of(run, e.Confirmed)))
