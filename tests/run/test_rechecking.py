"""A recheck asks whether anything moves; it never replaces the reading of the tightening."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import (
    SETTING,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    recheck,
    refused,
    steps_of,
    stored,
    tighten,
    unusual,
    value,
    walk_to,
    window,
)

from bench import G1, OKKE, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence

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
        """In the second pass it is still step 3 of 4, and `another round` says why it comes again."""
        run = at_the_recheck()
        run.answer(MOVED)
        run.answer(STILL)

        place = asked(run, ask.Recheck).where
        assert (3, 4, "another round", (1, 2)) == (place.number, place.of, place.reason, place.again)

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
        run.answer(a.Still(False, "50"))

        run.answer(a.Resolve("concession", reason="agreed", person=OKKE))

        assert ("2.1/1", 2) == (asked(run, ask.Recheck).where.id, asked(run, ask.Recheck).pass_no)

    def test_a_pass_whose_last_position_was_corrected_is_over_too(self) -> None:
        """50 that was 31: the pass in which bolt 1 moved has ended, and another begins."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(MOVED)
        run.answer(a.Still(False, "50"))

        run.answer(a.Correct("31", "the tool still shows it"))

        assert ("2.1/1", 2) == (asked(run, ask.Recheck).where.id, asked(run, ask.Recheck).pass_no)

    def test_what_moved_and_went_over_has_moved(self) -> None:
        """The decision about the over does not forget that the bolt moved."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(a.Still(True, "50"))
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

        rechecked = stored(run.answer(a.Still(False, "50")), e.Rechecked)

        assert (None, "confirmed") == (rechecked.verdict, at(run, "1").outcome)

    def test_a_correction_does_not_judge_it_either(self) -> None:
        """50 that was 52 is still only kept."""
        run = at_the_recheck()
        run.answer(a.Still(False, "50"))

        put_right = stored(run.answer(a.Correct("52", "from memory")), e.Corrected)

        assert (None, None, "confirmed") == (put_right.verdict, put_right.window, at(run, "1").outcome)

    def test_with_a_window_over_is_decided(self) -> None:
        """Where the sheet gives one, beyond it is over."""
        run = at_the_recheck(window=window("28", "36"))

        run.answer(a.Still(True, "50"))

        assert ("over", "1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_accepted_over_it_stays_so_whatever_is_pulled_below_it(self) -> None:
        """50 N·m, accepted; another round to 30 N·m moves nothing, and does not make a bolt that has 50 within."""
        run = at_the_recheck(window=window("28", "36"))
        run.answer(a.Still(False, "50"))
        run.answer(a.Resolve("concession", reason="agreed", person=OKKE))
        run.answer(MOVED)

        run.answer(STILL)

        assert ("concession", 2) == (at(run, "1").outcome, asked(run, ask.Recheck).pass_no)

    def test_accepted_at_a_lower_torque_it_is_within_a_higher_window(self) -> None:
        """35 N·m where 32 was the most, accepted; at the next stage it was pulled to 60, and is found there."""
        head = bolts(1)
        sixty = {"target": Decimal(60), "window": window("57", "63")}
        later = recheck(head, 3, window=window("57", "63"))
        run = at_first_pull(head, tighten(head), tighten(head, 2, **sixty), later)
        value(run, "35")
        run.answer(a.Resolve("concession", reason="agreed", person=OKKE))
        value(run, "60")

        run.answer(a.Still(False, "60"))

        assert "within" == at(run, "1").outcome

    def test_a_setting_tool_gives_no_number(self) -> None:
        """It clicks without the bolt moving: no reading, but what it was set to."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head), tools=SETTING)
        walk_to(run, "2.1/1", ask.Recheck)

        rechecked = stored(run.answer(a.Still(False)), e.Rechecked)

        assert (False, None, "30", "N·m") == (rechecked.moved, rechecked.value, rechecked.set_to, rechecked.unit)

    def test_first_movement_needs_a_tool_that_shows_it(self) -> None:
        """A setting tool cannot tell where it began to move."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head, method="first movement"), tools=(SETTING[0], G1))
        walk_to(run, "2.1/1", ask.TakeTool)

        assert "shows no reading" in refused(run.answer(a.TakeUp("w8", "no other here")))

    def test_a_least_pull_time_holds_here_too(self) -> None:
        """A click that came at once was no pull."""
        head = bolts(1)
        run = at_first_pull(head, tighten(head), recheck(head, least_pull=Decimal(4)), tools=SETTING, exempt=False)
        run.answer(a.Plus())
        assert isinstance(run.prompt, ask.Recheck)

        assert "do not pull again" in refused(run.answer(a.Still(False)))


def clicking(**stage: Any) -> Bench:
    """The same with a setting tool, at the recheck of the one bolt."""
    head = bolts(1)
    run = bench_for(head, tighten(head), recheck(head, **stage), tools=SETTING)
    walk_to(run, "2.1/1", ask.Recheck)
    return run


JUDGED = window("28", "32")


class TestTightenOn:
    """Judged like any pull: slips are asked again, under is pulled on, over is decided."""

    @pytest.mark.parametrize("answer", [a.Still(True, "300"), a.Value("300")])
    def test_a_slip_is_asked_again_openly(self, answer: a.Answer) -> None:
        """300 is 30 with the decimal point elsewhere."""
        run = at_the_recheck(window=JUDGED)

        assert "decimal place" == unusual(run.answer(answer)).code

    def test_number_and_unit_settle_it(self) -> None:
        """It is stored with what it looked like."""
        run = at_the_recheck(window=JUDGED)
        run.answer(a.Value("300"))

        kept = stored(run.answer(a.Still(False, "300 N·m")), e.Rechecked)

        assert ("over", "decimal place") == (kept.verdict, kept.unusual)

    def test_under_is_pulled_on_and_movement_asked_when_it_is_there(self) -> None:
        """24 of 30 N·m: the same bolt again, and nothing is said of movement yet."""
        run = at_the_recheck(window=JUDGED)

        kept = stored(run.answer(a.Value("24")), e.Rechecked)

        again = asked(run, ask.Recheck)
        assert ("under", None, "2.1/1", "24") == (kept.verdict, kept.moved, again.where.id, again.last_value)

    def test_under_a_third_time_it_is_asked_about(self) -> None:
        """It may never get there: pull again, say so, take another tool, or wait."""
        run = at_the_recheck(window=JUDGED)
        for _ in range(3):
            run.answer(a.Value("24"))

        assert ("third under", ["pull again", "never reaches the torque", "another tool", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_pulled_again_after_that_it_goes_on(self) -> None:
        """The same bolt, until it is there."""
        run = at_the_recheck(window=JUDGED)
        for answer in (a.Value("24"), a.Value("24"), a.Value("24"), a.Resolve("pull again"), STILL):
            run.answer(answer)

        assert "2.1/2" == asked(run, ask.Recheck).where.id

    def test_what_was_under_and_moved_on_has_moved(self) -> None:
        """It brings another round like any that moved."""
        run = at_the_recheck(window=JUDGED)
        for answer in (a.Value("24"), a.Still(True, "30"), STILL):
            run.answer(answer)

        assert ("moved", 2) == (at(run, "1").outcome, asked(run, ask.Recheck).pass_no)

    def test_a_reading_within_does_not_say_whether_it_moved(self) -> None:
        """Both are wanted."""
        run = at_the_recheck(window=JUDGED)

        assert "whether it moved" in refused(run.answer(a.Value("30")))

    def test_plus_does_not_answer_what_is_seen(self) -> None:
        """Somebody must have looked."""
        assert "1 when no movement was seen, 2 when it moved" in refused(clicking().answer(a.Plus()))

    def test_an_allowance_is_asked_about(self) -> None:
        """Up to 5° counts as still, so that is the question."""
        words = sentence(clicking(still=Decimal(5)).prompt)

        assert "Head bolt 1: pull W8 to one click. Moved more than 5°?" == words

    def test_a_stored_recheck_can_be_voided(self) -> None:
        """2 was pressed for 1: it is pulled again, and the line stays."""
        run = clicking(until_still=False)
        run.answer(a.Still(True))
        assert isinstance(run.prompt, ask.ReturnTool | ask.Finished)

        run.answer(a.VoidStored("chatter"))
        run.answer(a.Resolve("pull again"))

        assert "2.1/1" == asked(run, ask.Recheck).where.id


class TestFirstMovement:
    """To read a first movement it must move; the torque at which it did tells how it was."""

    def test_it_moves_and_is_as_it_was_left(self) -> None:
        """30 N·m at first movement is within, and no other round comes."""
        run = at_the_recheck(method="first movement", window=JUDGED)
        run.answer(a.Still(True, "30"))

        assert ("within", "2.1/2") == (at(run, "1").outcome, asked(run, ask.Recheck).where.id)

    def test_below_its_window_it_is_loose(self) -> None:
        """At 24 of 30 N·m it moved: that is decided."""
        run = at_the_recheck(count=1, method="first movement", window=JUDGED)

        run.answer(a.Still(True, "24"))

        assert ("loose", ["from the beginning", "new fastener", "correct", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_the_sentence_says_how_far_to_go_at_most(self) -> None:
        """Nobody pulls on until something gives."""
        run = at_the_recheck(method="first movement", window=JUDGED)

        assert "Head bolt 1: pull W7 slowly. Type its reading at first movement." == sentence(run.prompt)
        assert "not above 32.0 N·m" in details(run.prompt)

    def test_it_is_stopped_nowhere_before_it_moves(self) -> None:
        """Who stops at 30 N·m because a large number says so never reads at what torque it moves."""
        prompt = at_the_recheck(method="first movement", window=JUDGED).prompt

        assert isinstance(prompt, ask.Recheck)
        assert (None, (Decimal(28), Decimal(32))) == (prompt.aim.stop_at, prompt.aim.window)

    def test_corrected_into_its_window_it_is_not_loose(self) -> None:
        """24 that was 31."""
        run = at_the_recheck(count=1, method="first movement", window=JUDGED)
        run.answer(a.Still(True, "24"))

        run.answer(a.Correct("31", "the tool still shows it"))

        assert isinstance(run.prompt, ask.ReturnTool | ask.Finished)

    def test_without_movement_it_is_pulled_on(self) -> None:
        """Up to 30 of 32 N·m nothing moved: at how much it does is not known yet."""
        run = at_the_recheck(count=1, method="first movement", window=JUDGED)

        kept = run.answer(a.Still(False, "30"))

        assert "Head bolt 1 did not move up to 30 N·m. Pull W7 on, not above 32.0 N·m." in sentence(run.prompt)
        assert (("unmoved", "pull on"), False) == (stored(kept, e.Rechecked).noted, stored(kept, e.Rechecked).moved)

    def test_pulled_on_until_it_moves_it_is_read(self) -> None:
        """30 without movement, then it moves at 31."""
        run = at_the_recheck(method="first movement", window=JUDGED)
        run.answer(a.Still(False, "30"))
        run.answer(a.Still(True, "31"))

        assert ("within", "2.1/2") == (at(run, "1").outcome, asked(run, ask.Recheck).where.id)

    def test_pulled_on_once_without_movement_it_is_done(self) -> None:
        """Nobody stops at the very end of a window, and 31.8 N·m held: no number stands for its first movement."""
        run = at_the_recheck(method="first movement", window=JUDGED)
        run.answer(a.Still(False, "30"))
        run.answer(a.Still(False, "31.8"))

        assert ("confirmed", "2.1/2") == (at(run, "1").outcome, asked(run, ask.Recheck).where.id)

    def test_at_the_end_of_its_window_it_is_not_pulled_on(self) -> None:
        """32 of 32 N·m."""
        run = at_the_recheck(method="first movement", window=JUDGED)
        run.answer(a.Still(False, "32"))

        assert ("confirmed", "2.1/2") == (at(run, "1").outcome, asked(run, ask.Recheck).where.id)

    def test_beyond_its_window_it_is_over_though_it_did_not_move(self) -> None:
        """33 of 32 N·m went into it all the same."""
        run = at_the_recheck(count=1, method="first movement", window=JUDGED)
        run.answer(a.Still(False, "33"))

        assert "over" == asked(run, ask.Decide).cause

    def test_corrected_it_has_not_moved_either(self) -> None:
        """30 that was 31: it is still to be pulled on."""
        run = at_the_recheck(count=1, method="first movement", window=JUDGED)
        run.answer(a.Still(False, "30"))
        run.answer(a.Correct("31", "the tool still shows it"))

        assert "Head bolt 1 did not move up to 31 N·m." in sentence(run.prompt)


class TestBackOff:
    """Mark it, back it off, tighten it again, and see whether it comes back to its mark."""

    def backed_off(self, **stage: Any) -> Bench:
        """A run of one bolt at the recheck that backs it off."""
        head = bolts(1, tightenings_at_most=3)
        more = {"method": "back off and tighten again", "back_off": Decimal(30), "window": JUDGED, **stage}
        run = bench_for(head, tighten(head), recheck(head, **more))
        walk_to(run, "2.1/1", ask.BackOff)
        return run

    def test_first_it_is_marked_and_backed_off_without_the_tool(self) -> None:
        """How far is in the sheet."""
        run = self.backed_off()

        words = sentence(run.prompt)
        kept = stored(run.answer(a.Plus()), e.BackedOff)

        assert ("Head bolt 1: mark it, back off 30° without a torque tool.", "30") == (words, kept.by_degrees)

    def test_a_left_hand_thread_is_backed_off_the_other_way(self) -> None:
        """Clockwise, seen from the tool."""
        head = bolts(1, left_hand=True)
        run = bench_for(head, tighten(head), recheck(head, method="back off and tighten again", back_off=Decimal(30)))
        walk_to(run, "2.1/1", ask.BackOff)

        words = sentence(run.prompt)

        assert "Head bolt 1 (left-hand): mark it, back off 30° clockwise without a torque tool." == words

    def test_then_it_is_pulled_and_judged_like_any_pull(self) -> None:
        """24 is under, and pulled on; 30 is within."""
        run = self.backed_off()
        run.answer(a.Plus())
        assert "2.1/1" == asked(run, ask.Tighten).where.id

        verdicts = [stored(value(run, text), e.ReadingTaken).verdict for text in ("24", "30")]

        assert ["under", "within"] == verdicts
        assert "Head bolt 1: is it back at its mark?" == sentence(run.prompt)

    def test_over_is_decided_like_any_over(self) -> None:
        """It is loosened fully or accepted, and no mark is asked about."""
        run = self.backed_off()
        run.answer(a.Plus())

        value(run, "50")

        assert ("over", "1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_it_is_a_tightening(self) -> None:
        """One in the round, one in the recheck."""
        run = self.backed_off()
        run.answer(a.Plus())
        value(run, "30")

        assert 2 == at(run, "1").tightenings

    def test_the_budget_is_asked_before_it_is_backed_off(self) -> None:
        """A bolt that may be tightened once is not tightened again unasked."""
        head = bolts(1, tightenings_at_most=1)
        again = recheck(head, method="back off and tighten again", back_off=Decimal(30))
        run = at_first_pull(head, tighten(head), again)
        value(run, "30")

        assert ("budget used up", "2.1/1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).where.id)

    @pytest.mark.parametrize(("mark", "moved"), [("back", False), ("short", True), ("past", True)])
    def test_short_of_its_mark_or_past_it_it_has_moved(self, mark: e.Mark, moved: bool) -> None:
        """Only back at its mark it is as it was left."""
        run = self.backed_off(until_still=False)
        run.answer(a.Plus())
        value(run, "30")

        kept = stored(run.answer(a.AtMark(mark)), e.Rechecked)

        assert (mark, moved, None) == (kept.mark, kept.moved, kept.value)

    @pytest.mark.parametrize(("mark", "found"), [("short", "short of its mark"), ("past", "past its mark")])
    def test_in_a_sheet_of_one_round_it_is_decided_before_anything_else(self, mark: e.Mark, found: str) -> None:
        """A nut that did not come back to its mark is not turned on: begin again, renew it, accept it, or wait."""
        head = bolts(1, tightenings_at_most=3)
        more: dict[str, Any] = {"back_off": Decimal(30), "window": JUDGED, "until_still": False}
        again = recheck(head, method="back off and tighten again", **more)
        run = bench_for(head, tighten(head), again, tighten(head, 3))
        walk_to(run, "2.1/1", ask.BackOff)
        run.answer(a.Plus())
        value(run, "30")

        run.answer(a.AtMark(mark))

        assert ("moved", "1", found) == (
            asked(run, ask.Decide).cause,
            asked(run, ask.Decide).position,
            asked(run, ask.Decide).found,
        )
        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)
        run.answer(a.Resolve("concession", reason="paint on the mark", person=OKKE))
        assert "3.1/1" == asked(run, ask.Tighten).where.id

    def test_while_it_is_backed_off_nobody_calls_it_within(self) -> None:
        """Nor after a break in which nobody finished it: it is loosened until it is pulled again."""
        run = self.backed_off()
        run.answer(a.Plus())
        backed_off = at(run, "1").outcome
        run.resume()
        run.answer(a.Found("started, not finished"))

        assert ["loosened", "loosened"] == [backed_off, at(run, "1").outcome]
        value(run, "30")
        assert "within" == at(run, "1").outcome

    def test_past_its_mark_brings_another_round(self) -> None:
        """It is marked and backed off once more."""
        run = self.backed_off()
        run.answer(a.Plus())
        value(run, "30")
        run.answer(a.AtMark("past"))

        assert 2 == asked(run, ask.BackOff).pass_no

    def test_a_jerk_is_backed_off_once_more(self) -> None:
        """A bad pull on a bolt that sits says nothing."""
        run = self.backed_off()
        run.answer(a.Plus())
        run.answer(a.BadPull())

        run.answer(a.Resolve("pull again"))

        assert isinstance(run.prompt, ask.BackOff)

    def test_a_corrected_reading_still_wants_its_mark(self) -> None:
        """30 that was 31: the mark comes next, as before."""
        run = self.backed_off()
        run.answer(a.Plus())
        value(run, "30")

        run.answer(a.Correct("31", "the tool still shows it"))

        assert isinstance(run.prompt, ask.BackAtMark)

    def test_corrected_below_its_window_it_is_pulled_on(self) -> None:
        """30 that was 24."""
        run = self.backed_off()
        run.answer(a.Plus())
        value(run, "30")

        run.answer(a.Correct("24", "the tool still shows it"))

        assert "2.1/1" == asked(run, ask.Tighten).where.id

    def test_plus_does_not_say_that_it_is_back_at_its_mark(self) -> None:
        """Somebody must have looked."""
        run = self.backed_off()
        run.answer(a.Plus())
        value(run, "30")

        assert "1 yes, 2 short, 3 past it" in refused(run.answer(a.Plus()))

    def test_after_a_break_the_pull_is_asked_about(self) -> None:
        """Backed off, and then the lights went out: pulled or not?"""
        run = self.backed_off()
        run.answer(a.Plus())
        run.resume()

        assert "2.1/1" == asked(run, ask.StepState).where.id


class TestAnotherPosition:
    """A torque was put on another bolt than the one that is rechecked: it is told, and its own recheck still comes."""

    def test_within_its_torque_it_is_asked_about_and_still_rechecked(self) -> None:
        """Bolt 2 pulled to 30 instead of bolt 1: told, and after it both are rechecked in their turn."""
        run = at_the_recheck()

        voided = stored(run.answer(a.PulledAnother("2", "30")), e.Voided)
        run.answer(a.Resolve("concession", reason="it did not move", person=OKKE))
        since = len(run.events)
        for _ in "12":
            run.answer(STILL)

        assert ("1.1/2", "pulled out of turn", "within", ("28", "32")) == (
            voided.step,
            voided.cause,
            voided.verdict,
            voided.window,
        )
        assert ["recheck 2.1/1", "recheck 2.1/2"] == steps_of(run, since)

    def test_over_its_torque_it_is_loosened(self) -> None:
        """45 on a bolt that may have 32."""
        run = at_the_recheck()

        stored(run.answer(a.PulledAnother("2", "45")), e.Voided)

        assert "Head bolt 2 is at 45 N·m. Loosen it fully first." == sentence(run.prompt)

    def test_by_first_movement_there_is_a_reading_too(self) -> None:
        """No mark to stop at, and yet the tool shows a number."""
        run = at_the_recheck(method="first movement", window=window("25", "35"))

        assert "within" == stored(run.answer(a.PulledAnother("2", "31")), e.Voided).verdict

    def test_a_setting_tool_leaves_its_setting(self) -> None:
        """A click at 30."""
        head = bolts(2)
        run = bench_for(head, tighten(head), recheck(head), tools=SETTING)
        walk_to(run, "2.1/1", ask.Recheck)

        assert "30" == stored(run.answer(a.PulledAnother("2", clicked=True)), e.Voided).set_to
