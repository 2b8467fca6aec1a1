"""A recheck asks whether anything moves; it never replaces the reading of the tightening."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from small_joints import (
    SETTING,
    asked,
    at,
    bench_for,
    bolts,
    choices,
    events_of,
    recheck,
    refused,
    steps_of,
    stored,
    tighten,
    walk_to,
    window,
)

from bench import G1, OKKE, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask

STILL, MOVED = a.Still(False, "30"), a.Still(True, "31")


def at_the_recheck(count: int = 2, **stage: Any) -> Bench:
    """A run whose bolts are pulled, at the recheck of the first."""
    head = bolts(count)
    run = bench_for(head, tighten(head), recheck(head, **stage))
    walk_to(run, "2.1/1", ask.Recheck)
    return run


class TestPasses:
    """Any that moved brings a new pass over all of them."""

    def test_all_still_ends_it_after_one_pass(self) -> None:
        """Nothing moved: the stage is done."""
        run = at_the_recheck()
        run.answer(STILL)
        run.answer(STILL)

        assert isinstance(run.prompt, ask.ReturnTool | ask.Finished)

    def test_one_that_moved_brings_all_again(self) -> None:
        """Bolt 1 moved: in pass 2 both are rechecked, not bolt 1 alone."""
        run = at_the_recheck()
        run.answer(MOVED)
        run.answer(STILL)
        since = len(run.events)
        second = asked(run, ask.Recheck)
        run.answer(STILL)
        run.answer(STILL)

        assert (2, ["recheck 2.1/1", "recheck 2.1/2"]) == (second.pass_no, steps_of(run, since))

    def test_the_pass_is_a_field_of_each_line(self) -> None:
        """The step keeps its one name over all passes."""
        run = at_the_recheck()
        for answer in (STILL, MOVED, STILL, STILL):
            run.answer(answer)

        assert [("2.1/1", 1), ("2.1/2", 1), ("2.1/1", 2), ("2.1/2", 2)] == [
            (each.step, each.pass_no) for each in events_of(run, e.Rechecked)
        ]

    def test_plan_and_number_count_one_pass(self) -> None:
        """In the second pass it is still step 3 of 4, and `another pass` says why it comes again."""
        run = at_the_recheck()
        run.answer(MOVED)
        run.answer(STILL)

        place = asked(run, ask.Recheck).where
        assert (3, 4, "another pass", (1, 2)) == (place.number, place.of, place.reason, place.again)

    def test_at_most_so_many_passes_then_it_is_decided(self) -> None:
        """Still moving after the last pass: one more, concession, hold."""
        run = at_the_recheck(at_most=2)
        for answer in (STILL, MOVED, STILL, MOVED):
            run.answer(answer)

        assert ("still moving", ["one more pass", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_one_more_pass_is_one_more(self) -> None:
        """Granted once; if it moves again it is decided again."""
        run = at_the_recheck(at_most=1)
        for answer in (STILL, MOVED, a.Resolve("one more pass"), STILL, MOVED):
            run.answer(answer)

        assert "still moving" == asked(run, ask.Decide).cause

    def test_by_concession_it_goes_on(self) -> None:
        """A second person accepts that something still moved."""
        run = at_the_recheck(at_most=1)
        run.answer(STILL)
        run.answer(MOVED)

        run.answer(a.Resolve("concession", reason="gasket still settling", person=OKKE))
        run.steadily(until=ask.Finished)

        assert "accepted" == asked(run, ask.Finished).outcome

    def test_a_pass_whose_last_position_was_conceded_is_over_too(self) -> None:
        """Bolt 1 moved and bolt 2 went over: accepted or not, all are looked at once more."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(MOVED)
        run.answer(a.Still(False, "37"))

        run.answer(a.Resolve("concession", reason="agreed", person=OKKE))

        assert ("2.1/1", 2) == (asked(run, ask.Recheck).where.id, asked(run, ask.Recheck).pass_no)

    def test_a_pass_whose_last_position_was_corrected_is_over_too(self) -> None:
        """37 that was 31: the pass in which bolt 1 moved has ended, and another begins."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(MOVED)
        run.answer(a.Still(False, "37"))

        run.answer(a.Correct("31", "the tool still shows it"))

        assert ("2.1/1", 2) == (asked(run, ask.Recheck).where.id, asked(run, ask.Recheck).pass_no)

    def test_what_moved_and_went_over_has_moved(self) -> None:
        """The decision about the over does not forget that the bolt moved."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(a.Still(True, "37"))
        run.answer(a.Resolve("concession", reason="agreed", person=OKKE))

        run.answer(STILL)

        assert 2 == asked(run, ask.Recheck).pass_no

    def test_where_the_sheet_wants_one_pass_a_move_is_only_kept(self) -> None:
        """Without `until_still` nothing comes again."""
        run = at_the_recheck(until_still=False)
        run.answer(MOVED)
        run.answer(STILL)
        run.steadily(until=ask.Finished)

        assert [True, False] == [each.moved for each in events_of(run, e.Rechecked)]


class TestWhatIsKept:
    """The method stands with each reading, the tightening stays as it was."""

    def test_the_method_is_kept_with_each(self) -> None:
        """Good sources disagree on the method, and the number depends on it."""
        run = at_the_recheck(method="first movement")

        assert "first movement" == stored(run.answer(STILL), e.Rechecked).method

    def test_the_tightenings_reading_is_not_overwritten(self) -> None:
        """Both stand in the daybook, each under its own step."""
        run = at_the_recheck()
        run.answer(a.Still(True, "33"))

        assert (["30", "30"], ["33"]) == (
            [each.value for each in events_of(run, e.ReadingTaken)],
            [each.value for each in events_of(run, e.Rechecked)],
        )

    def test_it_spends_no_tightening(self) -> None:
        """The bolt was tight all the while."""
        run = at_the_recheck()
        run.answer(MOVED)

        assert 1 == at(run, "1").tightenings

    def test_without_a_window_it_is_kept_and_not_judged(self) -> None:
        """A reading of a recheck is no within and no over unless the sheet says what it should be."""
        run = at_the_recheck()

        rechecked = stored(run.answer(a.Still(True, "39")), e.Rechecked)

        assert (None, "confirmed") == (rechecked.verdict, at(run, "1").outcome)

    def test_a_correction_does_not_judge_it_either(self) -> None:
        """39 that was 38 is still only kept."""
        run = at_the_recheck()
        run.answer(a.Still(True, "39"))

        put_right = stored(run.answer(a.Correct("38", "from memory")), e.Corrected)

        assert (None, None, "confirmed") == (put_right.verdict, put_right.window, at(run, "1").outcome)

    def test_with_a_window_over_is_decided(self) -> None:
        """Where the sheet gives one, beyond it is over."""
        run = at_the_recheck(window=window("28", "36"))

        run.answer(a.Still(True, "37"))

        assert ("over", "1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_a_setting_tool_gives_no_number(self) -> None:
        """It lets go without the bolt moving: still, by one key."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head), tools=SETTING)
        walk_to(run, "2.1/1", ask.Recheck)

        rechecked = stored(run.answer(a.Plus()), e.Rechecked)

        assert (False, None, "confirmed") == (rechecked.moved, rechecked.value, at(run, "1").outcome)

    def test_first_movement_needs_a_tool_that_shows_it(self) -> None:
        """A setting tool cannot tell where it began to move."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head, method="first movement"), tools=(SETTING[0], G1))
        walk_to(run, "2.1/1", ask.TakeTool)

        assert "shows no reading" in refused(run.answer(a.TakeUp("w8", "no other here")))

    def test_a_least_pull_time_holds_here_too(self) -> None:
        """A release that came at once was no pull."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head, least_pull=Decimal(4)), tools=SETTING, exempt=False)
        walk_to(run, "1.1/1", ask.Tighten)
        run.answer(a.Plus())
        assert isinstance(run.prompt, ask.Recheck)

        assert "quicker than a slow pull" in refused(run.answer(a.Plus()))
