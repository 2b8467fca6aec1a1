"""Pauses, kills, power cuts, phone calls: where the work stands is asked, never assumed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    SETTING,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    follow_up,
    inspect,
    measure,
    recheck,
    refused,
    steps_of,
    stored,
    tighten,
    unusual,
    value,
    wait,
    walk_to,
)

from bench import MAUD, TOMAS, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details, keys
from clampbook.run.fold.apply import fold
from clampbook.run.told.torques import at_mark

AFTER_SILENCE = "after a silence"


def looked_at(run: Bench) -> list[str]:
    """Everything is as it was left; which positions were looked at from here on, until something else is asked."""
    since = len(run.events)
    while isinstance(run.prompt, ask.Inspect) and run.prompt.work == "look back":
        run.answer(a.Look("yes"))
    return [each.removeprefix("look at ") for each in steps_of(run, since)]


class TestStepAtHand:
    """Every start of the program asks about the step at hand, where that is a pull."""

    def test_a_torque_has_three_answers(self) -> None:
        """Not begun; begun and not finished; finished but not typed."""
        run = at_first_pull(bolts(5))

        run.resume()

        assert [
            "not started",
            "started, not finished",
            "finished, not entered",
        ] == [each.text for each in keys(asked(run, ask.StepState)).choices]

    def test_a_turn_asks_for_its_mark(self) -> None:
        """Begun with its starting mark still there, or lost: that decides what can be done."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)

        run.resume()

        assert [
            "not started",
            "started, mark still there",
            "started, mark lost",
            "finished, not entered",
        ] == [each.text for each in keys(asked(run, ask.StepState)).choices]

    @pytest.mark.parametrize("step", ["2.1/-", "3.1/-"])
    def test_other_prompts_are_simply_asked_again(self, step: str) -> None:
        """At a measurement or an inspection nothing can be half done that would be lost."""
        head = bolts(1)
        run = bench_for(head, tighten(head), measure(2), inspect(3))
        before = walk_to(run, step, ask.Measure if step == "2.1/-" else ask.Inspect)

        run.resume()

        assert before == run.prompt

    def test_before_a_tool_is_in_hand_nothing_was_begun(self) -> None:
        """A run killed on its start sheet has no pull to ask about."""
        head = bolts(1)
        run = bench_for(head, tighten(head))

        run.resume()

        assert isinstance(run.prompt, ask.TakeTool)

    def test_not_begun_asks_for_the_pull(self) -> None:
        """As if nothing had happened."""
        run = at_first_pull(bolts(5))
        run.resume()

        run.answer(a.Found("not started"))

        assert "1.1/1" == asked(run, ask.Tighten).where.id

    def test_begun_and_finished_after_the_break_is_one_tightening(self) -> None:
        """Not none: what a fastener may bear is spent by what was begun, and once only."""
        run = at_first_pull(bolts(5))
        run.resume()
        run.answer(a.Found("started, not finished"))

        value(run, "30")

        assert 1 == run.session.progress.positions["1"].tightenings

    def test_finished_and_not_typed_is_typed_late(self) -> None:
        """The value is taken at once and stored as finished before the break."""
        run = at_first_pull(bolts(5))
        run.resume()
        run.answer(a.Found("finished, not entered"))

        taken = stored(run.answer(a.Value("30")), e.ReadingTaken)

        assert "before_break" == taken.late

    def test_what_is_typed_late_is_a_deviation_at_the_close(self) -> None:
        """The report counts it, and so the close says so."""
        run = at_first_pull(bolts(1))
        run.resume()
        run.answer(a.Found("finished, not entered"))
        before = run.session.progress.deviations

        run.answer(a.Value("30"))

        assert (0, 1) == (before, run.session.progress.deviations)

    def test_what_is_put_right_into_its_window_is_a_deviation_at_the_close(self) -> None:
        """24 that was 30: the report tells it, and so the close says so."""
        run = at_first_pull(bolts(1))
        value(run, "24")
        before = run.session.progress.deviations

        run.answer(a.Correct("30", "the tool still shows it"))

        assert (0, 1) == (before, run.session.progress.deviations)

    def test_what_is_put_right_then_is_not_late(self) -> None:
        """Bolt 1 was typed in time: it is bolt 2 that was finished before the break."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume()
        run.answer(a.Found("finished, not entered"))

        put_right = stored(run.answer(a.Correct("31", "the tool still shows it")), e.Corrected)

        assert None is put_right.late

    def test_a_note_then_is_not_late(self) -> None:
        """It is no value of before the break."""
        run = at_first_pull(bolts(5))
        run.resume()
        run.answer(a.Found("finished, not entered"))

        assert None is stored(run.answer(a.Note("rain")), e.Noted).late

    def test_finished_and_not_typed_goes_before_zero_and_looking_back(self) -> None:
        """After a long gap what is still shown is typed first: the zero would wipe it out."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))

        assert "1.1/2" == asked(run, ask.Tighten).where.id
        value(run, "30")
        assert ["1"] == looked_at(run)

    def test_a_turn_begun_with_its_mark_goes_on_from_it(self) -> None:
        """The strokes that were typed still count."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        run.resume()

        run.answer(a.Found("started, mark still there", "60"))

        assert "60" == str(asked(run, ask.Turn).done)

    def test_how_far_it_went_on_from_its_mark_is_a_stroke(self) -> None:
        """60 typed before the break, 75 read from the mark: the stroke in between was 15, and 15 to 19 are left."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        run.resume()

        taken = stored(run.answer(a.Found("started, mark still there", "75")), e.Turned)

        assert ("15", "75", "under") == (taken.value, taken.sum, taken.verdict)
        assert ("15", "19") == tuple(str(end) for end in asked(run, ask.Turn).left)

    def test_a_turn_of_which_nothing_was_typed_is_not_ordered_in_full(self) -> None:
        """40 degrees from its mark: 50 to 54 are left, not 90."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        run.resume()

        run.answer(a.Found("started, mark still there", "40"))

        assert ("50", "54") == tuple(str(end) for end in asked(run, ask.Turn).left)

    def test_one_that_is_far_enough_is_done(self) -> None:
        """92 degrees from its mark lie in the window."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        run.resume()

        run.answer(a.Found("started, mark still there", "92"))

        assert ("within", "2.1/2") == (at(run, "1").outcome, asked(run, ask.Turn).where.id)

    def test_one_that_is_too_far_is_over(self) -> None:
        """110 degrees of 90 to 94."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        run.resume()

        run.answer(a.Found("started, mark still there", "110"))

        assert "over" == asked(run, ask.Decide).cause

    def test_less_than_what_was_typed_before_is_no_answer(self) -> None:
        """The total is asked for, not the stroke."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        run.resume()

        assert "turned 60° before the break" in refused(run.answer(a.Found("started, mark still there", "15")))

    def test_with_its_mark_but_no_angle_it_starts_over(self) -> None:
        """Nobody knows how far it went: it is never turned in full again."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        run.resume()

        run.answer(a.Found("started, mark still there"))

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_a_turn_that_lost_its_mark_is_unknown_and_decided(self) -> None:
        """A tool cannot tell 40 from 90 degrees done: start over, concede or hold."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/1", ask.Turn)
        run.resume()

        run.answer(a.Found("mark lost"))

        assert ("unknown", "mark lost", ["from the beginning", "new fastener", "concession", "hold"]) == (
            at(run, "1").outcome,
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_a_mark_cannot_be_lost_at_a_torque(self) -> None:
        """What is found must be one of the answers to this step."""
        run = at_first_pull(bolts(5))
        run.resume()

        assert "Choose 1 to 3." in refused(run.answer(a.Found("mark lost")))

    def test_a_release_that_was_finished_needs_no_second_pull(self) -> None:
        """With a setting tool the key is taken at once, without the least pull time."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING, exempt=False)
        run.resume()
        run.answer(a.Found("finished, not entered"))
        run.wait(-3)

        stored(run.answer(a.Plus()), e.Clicked)

    def test_a_click_before_a_long_break_counts_at_what_its_scale_shows(self) -> None:
        """Nobody set it here: its scale is read first, and 50 N·m of 28 to 32 are over."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))

        assert asked(run, ask.SetTool).finished_before
        run.answer(a.ScaleShows("50", "N·m"))
        taken = stored(run.answer(a.Plus()), e.Clicked)

        assert ("50", "over") == (taken.set_to, taken.verdict)
        assert ("over", ["from the beginning", "new fastener", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_a_click_at_too_low_a_setting_is_pulled_again(self) -> None:
        """Set to 20 before the break: it is set to 30, and pulled."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))
        run.answer(a.ScaleShows("20", "N·m"))

        assert "under" == stored(run.answer(a.Plus()), e.Clicked).verdict
        assert ("1.1/1", "30 N·m") == (asked(run, ask.SetTool).where.id, at_mark(asked(run, ask.SetTool).aim))

    @pytest.mark.parametrize("confirm", ["each", "round"])
    def test_what_such_a_click_was_worth_is_shown(self, confirm: str) -> None:
        """Set to 20 before the break: 20 N·m are at the bolt, not the 30 that it was to get."""
        head = bolts(2)
        run = bench_for(head, tighten(head, confirm=confirm), tools=SETTING)
        run.steadily(until=ask.Tighten if confirm == "each" else ask.Confirm)
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))
        run.answer(a.ScaleShows("20", "N·m"))

        shown = details(run.prompt)

        assert ("at the fastener 20.0 N·m", "W8 was set to 20 N·m", "window 28.0 to 32.0 N·m") == shown[:3]

    def test_as_it_was_to_be_set_the_click_counts(self) -> None:
        """30 on its scale, then whether it clicked once."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))
        run.answer(a.ScaleShows("30", "N·m"))

        taken = stored(run.answer(a.Plus()), e.Clicked)

        assert ("30", None, "1.1/2") == (taken.set_to, taken.verdict, asked(run, ask.Tighten).where.id)

    def test_a_scale_shows_nothing_beyond_its_end(self) -> None:
        """W8 ends at 100 N·m."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))

        assert "cannot show 300 N·m" in refused(run.answer(a.ScaleShows("300", "N·m")))

    def test_a_recheck_that_was_finished_is_stored_late_and_at_once(self) -> None:
        """The key is taken without the least pull time, as for a click."""
        head = bolts(1)
        run = bench_for(head, tighten(head), recheck(head), tools=SETTING, exempt=False)
        walk_to(run, "2.1/1", ask.Recheck)
        run.resume()
        run.answer(a.Found("finished, not entered"))
        run.wait(-3)

        assert "before_break" == stored(run.answer(a.Still(False)), e.Rechecked).late

    def test_it_is_not_asked_where_something_is_to_be_decided(self) -> None:
        """An open question comes back as it was."""
        run = at_first_pull(bolts(5))
        value(run, "35")
        before = run.prompt

        run.resume()

        assert before == run.prompt

    def test_nothing_is_asked_of_a_step_once_the_whole_joint_is_to_be_done_again(self) -> None:
        """In a follow-up a pull that is called bad after the break can end the work: no step is at hand any more."""
        group = bolts(2)
        run = follow_up(recheck(group, 1, until_still=False, at_most=1), group=group)
        walk_to(run, "1.1/1", ask.Recheck)
        run.answer(a.Still(False, "30"))
        run.resume()
        run.answer(a.VoidStored("chatter"))
        asked(run, ask.Decide)

        stored(run.answer(a.Resolve("the whole joint again", reason="gasket squeezed out")), e.Decided)

        asked(run, ask.ReturnTool)
        run.steadily(until=ask.Finished)
        assert "not accepted" == asked(run, ask.Finished).outcome

    def test_nor_once_a_correction_has_ended_the_last_step(self) -> None:
        """What was mistyped before the break is put right after it, and nothing is left to be pulled."""
        group = bolts(2)
        run = bench_for(group, tighten(group))
        walk_to(run, "1.1/2", ask.Tighten)
        value(run, "25")
        run.resume()
        asked(run, ask.StepState)

        stored(run.answer(a.Correct("30", "the tool still shows it")), e.Corrected)

        assert "w7" == asked(run, ask.ReturnTool).tool.id

    def test_after_a_pause_it_is_asked_too(self) -> None:
        """A pause that was asked for ends like any other break."""
        run = at_first_pull(bolts(5))
        run.answer(a.Pause())
        assert isinstance(run.prompt, ask.Ended)

        run.resume()

        assert isinstance(run.prompt, ask.StepState)


class TestLookingBack:
    """People come back believing that they are further on than they are."""

    def test_after_a_long_pause_the_last_three_are_looked_at(self) -> None:
        """Each is answered for on its own, before anything goes on."""
        run = at_first_pull(bolts(5))
        walk_to(run, "1.1/5", ask.Tighten)
        run.resume(gap=601)
        run.answer(a.Found("not started"))

        assert ["2", "3", "4"] == sorted(looked_at(run))

    def test_where_fewer_are_done_fewer_are_looked_at(self) -> None:
        """After one position there is one to look at."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=601)
        run.answer(a.Found("not started"))

        assert ["1"] == looked_at(run)

    def test_a_short_call_asks_for_no_look(self) -> None:
        """Within the pause limit only the step at hand is asked."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=600)
        run.answer(a.Found("not started"))

        assert "1.1/2" == asked(run, ask.Tighten).where.id

    def test_the_sheet_can_set_its_own_pause_limit(self) -> None:
        """`pause_limit` of two minutes: after three it is looked back."""
        head = bolts(3)
        run = bench_for(head, tighten(head), pause_limit=Decimal(120))
        walk_to(run, "1.1/2", ask.Tighten)
        run.resume(gap=180)
        run.answer(a.Found("not started"))

        assert ["1"] == looked_at(run)

    def test_a_new_person_looks_however_short_the_pause(self) -> None:
        """Tomas did not see what Ines did."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=20, by=TOMAS)
        run.answer(a.Found("not started"))

        assert ["1"] == looked_at(run)

    def test_a_hand_over_looks_too(self) -> None:
        """At any step, to another person."""
        run = at_first_pull(bolts(5))
        value(run, "30")

        run.answer(a.HandTo(TOMAS))
        assert "1.1/2" == asked(run, ask.StepState).where.id
        run.answer(a.Found("not started"))

        assert ["1"] == looked_at(run)

    def test_the_next_person_is_asked_about_what_the_last_one_left(self) -> None:
        """By name, for Tomas cannot know how he left what Ines did."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.answer(a.HandTo(TOMAS))
        run.answer(a.Found("not started"))

        assert "is it as Ines left it?" == asked(run, ask.Inspect).ask

    def test_a_third_person_is_told_who_did_it_not_who_had_the_run(self) -> None:
        """Tomas took over and laid hands on nothing: bolt 1 is as Ines left it."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.answer(a.HandTo(TOMAS))
        run.answer(a.HandTo(MAUD))
        walk_to(run, "1.1/2", ask.StepState)
        run.answer(a.Found("not started"))

        assert "is it as Ines left it?" == asked(run, ask.Inspect).ask

    def test_how_the_step_was_left_is_no_look_back(self) -> None:
        """Two bolts are looked back at, as two of two: the question about bolt 3 before them is at its own step."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        value(run, "30")
        run.answer(a.HandTo(TOMAS))

        assert (None, None) == (asked(run, ask.StepState).where.again, asked(run, ask.StepState).where.reason)
        run.answer(a.Found("not started"))
        assert ((1, 2), "looking back") == (asked(run, ask.Inspect).where.again, asked(run, ask.Inspect).where.reason)
        run.answer(a.Look("yes"))
        assert (2, 2) == asked(run, ask.Inspect).where.again

    def test_the_note_of_another_step_does_not_stand_there(self) -> None:
        """The look back is at bolt 1 of the head, the step at hand is that of a side screw."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = bench_for((head, side), tighten(head), tighten(side, 2, note="Snug only.", manual="step 5"))
        walk_to(run, "2.1/11", ask.Tighten)
        run.answer(a.HandTo(TOMAS))
        run.answer(a.Found("not started"))

        place = asked(run, ask.Inspect).where
        assert ("1", None, None) == (place.position, place.note, place.manual)

    def test_who_comes_back_alone_is_asked_about_their_own_work(self) -> None:
        """After a long break."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=3600)
        run.answer(a.Found("not started"))

        assert "is it as you left it?" == asked(run, ask.Inspect).ask

    def test_a_clock_that_went_back_counts_as_a_long_pause(self) -> None:
        """A gap that is negative or absurd says nothing about how long it was."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.store(
            e.Resumed(at=run.stamp().text, offset="+01:00", by="ines", gap=None, clock="implausible", torn_bytes=0)
        )
        run.answer(a.Found("not started"))

        assert ["1"] == looked_at(run)

    def test_zero_is_looked_at_before_the_next_pull(self) -> None:
        """After the looks comes the zero of the tool, then the pull."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=601)
        run.answer(a.Found("not started"))
        looked_at(run)

        assert "W7" == asked(run, ask.ZeroTool).tool.name

    def test_not_as_i_left_it_is_decided(self) -> None:
        """Somebody loosened it, or it was never done: start over, concession, hold."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=601)
        run.answer(a.Found("not started"))

        looked = stored(run.answer(a.Look("no")), e.LookedBack)

        assert (False, "not as I left it", "1") == (
            looked.as_left,
            asked(run, ask.Decide).cause,
            asked(run, ask.Decide).position,
        )
        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_started_over_from_a_look_the_work_goes_on_where_it_was(self) -> None:
        """Bolt 1 goes through its torque again, then bolt 2 is asked."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.resume(gap=601)
        run.answer(a.Found("not started"))
        run.answer(a.Look("no"))
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/2", ask.Tighten)

        assert ["loosen 1", "inspect 1", "pull 1.1/1"] == steps_of(run, since)

    def test_a_position_that_is_to_do_again_is_not_looked_at(self) -> None:
        """Only what stands completed is answered for."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        value(run, "35")
        run.answer(a.Resolve("from the beginning", scope="neighbours"))

        run.resume(gap=601)

        assert "loosen" == type(run.prompt).__name__.lower()


class TestSilence:
    """A silence longer than the limit counts as a pause even if nobody pressed the key."""

    def test_the_answer_that_ends_it_is_stored_with_a_note(self) -> None:
        """It is not lost: the pull was made, whenever that was."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.wait(700)

        taken = stored(value(run, "30.5"), e.ReadingTaken)

        assert (AFTER_SILENCE,) == taken.noted

    def test_then_come_looking_back_and_zero(self) -> None:
        """In the same order as after a pause."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.wait(700)
        value(run, "30.5")

        assert ["1", "2"] == looked_at(run)
        assert isinstance(run.prompt, ask.ZeroTool)

    @pytest.mark.parametrize("way", ["pull again", "from the beginning", "ask"])
    def test_the_pull_before_is_voided_while_it_is_asked(self, way: str) -> None:
        """Bolt 2 is asked about; the socket had slipped on bolt 1. That is put right first, and then it is bolt 2 of
        which it is still not known how it was left: never bolt 1."""
        head = bolts(3, after_bad_pull=way)
        run = at_first_pull(head, tighten(head))
        value(run, "30")
        run.resume()
        before = asked(run, ask.StepState).where.id
        run.answer(a.VoidStored("socket slipped"))
        found = []
        while not isinstance(run.prompt, ask.StepState):
            found.append(type(run.prompt).__name__)
            run.answer(run.steady())

        assert ("1.1/2", "1.1/2") == (before, asked(run, ask.StepState).where.id)
        assert "Tighten" == found[-1]
        run.answer(a.Found("not started"))
        run.steadily(until=ask.Finished)
        assert "done" == asked(run, ask.Finished).outcome

    def test_a_return_that_says_nothing_of_the_pull_is_asked_how_it_is_found(self) -> None:
        """A note after twenty minutes: the turn may be half done, and its mark gone."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/2", ask.Turn)
        run.wait(1200)

        run.answer(a.Note("back from the telephone"))

        assert "2.1/2" == asked(run, ask.StepState).where.id

    def test_a_note_after_a_short_silence_asks_nothing(self) -> None:
        """Two minutes."""
        run = at_first_pull(bolts(5))
        walk_to(run, "2.1/2", ask.Turn)
        run.wait(120)

        run.answer(a.Note("a phone call"))

        assert "2.1/2" == asked(run, ask.Turn).where.id

    def test_a_short_phone_call_causes_no_questions(self) -> None:
        """Nine minutes are none of the program's business."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.wait(540)

        taken = stored(value(run, "30.5"), e.ReadingTaken)

        assert ((), "1.1/3") == (taken.noted, asked(run, ask.Tighten).where.id)

    def test_a_wait_is_no_silence(self) -> None:
        """Twenty minutes of a wait are what the sheet asks for; after it only the zero is looked at."""
        head = bolts(2)
        run = bench_for(head, tighten(head), wait(2, lasts=Decimal(1200), as_written="20 min"), tighten(head, 3))
        walk_to(run, "2.1/-", ask.Wait)
        run.wait(1300)

        waited = stored(run.answer(a.Plus()), e.Waited)

        assert ((), "3.1/1") == (waited.noted, asked(run, ask.ZeroTool).where.id)

    def test_after_a_short_wait_not_even_the_zero(self) -> None:
        """A minute changes nothing about a tool."""
        head = bolts(2)
        run = bench_for(head, tighten(head), wait(2, lasts=Decimal(60), as_written="1 min"), tighten(head, 3))
        walk_to(run, "2.1/-", ask.Wait)
        run.wait(61)
        run.answer(a.Plus())

        assert "3.1/1" == asked(run, ask.Tighten).where.id

    def test_a_clock_put_back_is_told_and_counts_as_one(self) -> None:
        """Nobody knows how long it was."""
        run = at_first_pull(bolts(5))
        value(run, "30")
        run.wait(-4000)

        assert ("clock implausible", AFTER_SILENCE) == stored(value(run, "30.5"), e.ReadingTaken).noted

    def test_on_the_start_sheet_nobody_is_silent(self) -> None:
        """Before the first tool a long search for the manual is no interruption."""
        head = bolts(1)
        run = bench_for(head, tighten(head), cautions=("Eye protection on.",))
        run.wait(4000)

        assert () == stored(run.answer(a.Plus()), e.CautionsRead).noted


class TestNothingIsLost:
    """A kill at any moment."""

    def test_an_unusual_value_is_asked_again_after_a_kill(self) -> None:
        """It lived in the session only: the same value is unusual anew."""
        run = at_first_pull(bolts(5))
        unusual(run.answer(a.Value("300")))

        run.resume()
        run.answer(a.Found("not started"))

        unusual(run.answer(a.Value("300")))

    def test_the_lines_alone_give_the_same_moment(self) -> None:
        """Folding the daybook anew arrives where the walk is."""
        run = at_first_pull(bolts(5))
        value(run, "35")
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.resume(gap=700, by=TOMAS)

        assert fold(run.plan, run.events) == run.session.progress

    def test_a_hold_is_asked_again_the_next_day(self) -> None:
        """Held at a decision, the run stands there when it is taken up."""
        run = at_first_pull(bolts(5))
        value(run, "35")
        held = stored(run.answer(a.Hold("waiting for a part")), e.Held)
        assert ("held", "decision") == (asked(run, ask.Ended).outcome, held.cause)

        run.resume(gap=80_000)

        assert "over" == asked(run, ask.Decide).cause
