"""A mistyped value is put right: the first one stays, how it is known is asked, and what follows from it follows."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

import pytest
from small_joints import (
    READING,
    W7,
    W8,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    locker,
    measure,
    refused,
    stored,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import G1, INES, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.gather.draft import Draft, Part, take
from clampbook.run.gather.parts import next_part

SHOWN: Literal["the tool still shows it"] = "the tool still shows it"


class TestReading:
    """A corrected reading."""

    def test_the_first_value_stays_in_the_daybook(self) -> None:
        """The correction is a line of its own and names the one it means."""
        run = at_first_pull(bolts(2))
        value(run, "31")
        line = len(run.events)

        put_right = stored(run.answer(a.Correct("30", SHOWN)), e.Corrected)

        assert (line, "30", "within", SHOWN) == (put_right.of, put_right.value, put_right.verdict, put_right.known)
        assert ["31"] == [each.value for each in events_of(run, e.ReadingTaken)]

    def test_over_becomes_within_and_goes_on(self) -> None:
        """The question about the over is closed by the correction."""
        run = at_first_pull(bolts(2))
        value(run, "34")

        run.answer(a.Correct("30", SHOWN))

        assert ("within", "1.1/2") == (at(run, "1").outcome, asked(run, ask.Tighten).where.id)

    def test_over_that_became_within_stays_a_deviation(self) -> None:
        """Whoever signs reads that an over was talked into a within."""
        run = at_first_pull(bolts(2))
        value(run, "34")
        run.answer(a.Correct("30", SHOWN))
        run.steadily(until=ask.Finished)

        assert 1 == asked(run, ask.Finished).deviations

    def test_within_becomes_over_and_is_decided(self) -> None:
        """A correction can also turn against the bolt."""
        run = at_first_pull(bolts(2))
        value(run, "31")

        run.answer(a.Correct("34", SHOWN))

        assert ("over", "over") == (at(run, "1").outcome, asked(run, ask.Decide).cause)

    def test_within_becomes_under_and_is_pulled_at_once(self) -> None:
        """The step is open again, before the next position."""
        run = at_first_pull(bolts(2))
        value(run, "31")

        run.answer(a.Correct("21", SHOWN))

        assert ("under", "1.1/1") == (at(run, "1").outcome, asked(run, ask.Tighten).where.id)

    def test_after_under_was_pulled_the_work_goes_on_where_it_was(self) -> None:
        """The frame over that step ends with it."""
        run = at_first_pull(bolts(3))
        value(run, "30")
        value(run, "31")
        run.answer(a.Correct("21", SHOWN))

        value(run, "30")

        assert "1.1/3" == asked(run, ask.Tighten).where.id

    def test_a_correction_can_be_corrected(self) -> None:
        """The latest line of the position is then the correction."""
        run = at_first_pull(bolts(2))
        value(run, "34")
        run.answer(a.Correct("33", "from memory"))
        line = len(run.events)

        put_right = stored(run.answer(a.Correct("31.5", SHOWN)), e.Corrected)

        assert (line, "within") == (put_right.of, at(run, "1").outcome)

    def test_what_stays_over_is_shown_as_it_is(self) -> None:
        """24.5 on W5 are 33.2 at the bolt; that somebody remembers 22.1 changes nothing of what is decided about."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W5, G1))
        run.answer(a.TakeUp("w5"))
        run.answer(a.Zero("good"))
        run.answer(a.BadPull(value="24.5"))
        before = details(run.prompt)

        run.answer(a.Correct("22.1", "from memory"))

        assert "at the fastener 33.2 N·m" in before
        assert before == details(run.prompt)

    def test_it_is_read_in_the_unit_of_the_tool_that_showed_it(self) -> None:
        """Taken in lbf·ft, it is corrected in lbf·ft, though a tool in N·m was taken up since."""
        head = bolts(2)
        run = bench_for(head, tighten(head, window=window("20", "45")), tools=(W5, W7, G1))
        walk_to(run, "1.1/1", ask.TakeTool)
        run.answer(a.TakeUp("w5"))
        run.answer(a.Zero("good"))
        value(run, "22.7")
        run.answer(a.TakeUp("w7"))

        put_right = stored(run.answer(a.Correct("22.1", SHOWN)), e.Corrected)

        assert ("lbf·ft", "29.964") == (put_right.unit, put_right.at_fastener)

    def test_an_older_line_can_only_be_noted(self) -> None:
        """What the position went on from is no longer changed."""
        run = at_first_pull(bolts(1))
        value(run, "26")
        older = len(run.events)
        value(run, "30")

        assert "Write a note" in refused(run.answer(a.Correct("27", SHOWN, of=older)))

    def test_the_latest_of_another_position_can_be_corrected_by_its_line(self) -> None:
        """Three bolts later the number on the slip of paper turns out to be another."""
        run = at_first_pull(bolts(3))
        value(run, "31")
        line = len(run.events)
        value(run, "30")

        assert "1.1/1" == stored(run.answer(a.Correct("30.5", "a second person saw it", of=line)), e.Corrected).step

    def test_putting_on_locker_does_not_stand_in_the_way(self) -> None:
        """The last answer that can be corrected is the reading before it."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = bench_for((head, side), tighten(head), locker(side, 2), tighten(side, 3))
        walk_to(run, "2.1/11", ask.Apply)
        run.answer(a.Put("L-9"))

        assert "1.1/1" == stored(run.answer(a.Correct("30.5", SHOWN)), e.Corrected).step

    def test_with_nothing_typed_there_is_nothing_to_correct(self) -> None:
        """The first prompt of a run has no answer behind it."""
        head = bolts(1)

        assert "Nothing to correct yet" in refused(bench_for(head, tighten(head)).answer(a.Correct("30", SHOWN)))

    def test_a_release_holds_nothing_typed(self) -> None:
        """A bad click is voided; no number can be put in its place."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=(W8, G1))
        walk_to(run, "1.1/2", ask.Tighten)

        assert "Void the pull instead" in refused(run.answer(a.Correct("30", SHOWN)))

    @pytest.mark.parametrize("text", ["", "thirty", "-30", "30 mm"])
    def test_what_is_no_torque_is_refused(self, text: str) -> None:
        """A correction is read as strictly as a reading."""
        run = at_first_pull(bolts(2))
        value(run, "31")

        refused(run.answer(a.Correct(text, SHOWN)))

        assert [] == events_of(run, e.Corrected)


class TestTurn:
    """A corrected stroke."""

    def test_the_sum_is_taken_with_the_strokes_before_it(self) -> None:
        """60° and 31°, of which the second was really 33°, are 93°."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        value(run, "31")

        put_right = stored(run.answer(a.Correct("33", SHOWN)), e.Corrected)

        assert ("93", "within") == (put_right.sum, put_right.verdict)

    def test_a_turn_that_was_shorter_is_finished_from_the_same_mark(self) -> None:
        """91° that were 61° leave 29° to 33°, asked before the next position."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "91")

        run.answer(a.Correct("61", SHOWN))

        left = asked(run, ask.Turn)
        assert ("2.1/1", (Decimal(29), Decimal(33))) == (left.where.id, left.left)

    def test_a_turn_that_was_longer_is_decided(self) -> None:
        """91° that were 97° are over."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "91")

        run.answer(a.Correct("97", SHOWN))

        assert "over" == asked(run, ask.Decide).cause


class TestBadTurn:
    """A bad stroke was told with a number, which may have been mistyped like any other."""

    def told(self, first: str, bad: str) -> Bench:
        """A bad stroke of the second turn of a bolt, after a good one."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, first)
        run.answer(a.BadPull("the socket slipped", bad))
        return run

    def test_over_that_was_mistyped_is_over_no_more(self) -> None:
        """60° and a bad 60° are 120° of at most 94; the gauge shows 30, which are 90 in all."""
        run = self.told("60", "60")
        assert "correct" in choices(run)

        put_right = stored(run.answer(a.Correct("30", SHOWN)), e.Corrected)

        assert ("30", "90", "°", "within") == (put_right.value, put_right.sum, put_right.unit, put_right.verdict)
        assert (None, "90°") == (at(run, "1").fastener.over, asked(run, ask.Decide).found)

    def test_where_it_counts_from_stays_unknown(self) -> None:
        """A bad turn is no good one for being read rightly: it starts over, or is conceded; or is put right again."""
        run = self.told("60", "30")

        run.answer(a.Correct("31", SHOWN))

        assert ["from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)
        assert "unknown" == at(run, "1").outcome

    def test_too_far_when_it_is_put_right_is_over(self) -> None:
        """A bad 30° that was 50: 110 in all."""
        run = self.told("60", "30")

        run.answer(a.Correct("50", SHOWN))

        assert "110°" == getattr(at(run, "1").fastener.over, "found", None)

    def test_one_that_was_not_read_holds_nothing_to_put_right(self) -> None:
        """Only the decision is left."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        run.answer(a.BadPull("the socket slipped"))

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)


class TestMeasured:
    """A corrected measurement."""

    def at_a_gate_outside(self) -> Bench:
        """A run whose end play was typed as 0.51 mm."""
        head = bolts(1)
        run = bench_for(head, tighten(head), measure(2), turn(head, 3))
        walk_to(run, "2.1/-", ask.Measure)
        value(run, "0.51")
        return run

    def test_outside_becomes_within_and_the_gate_is_passed(self) -> None:
        """0.51 was 0.15 mm."""
        run = self.at_a_gate_outside()

        put_right = stored(run.answer(a.Correct("0.15", SHOWN)), e.Corrected)

        assert ("measure", "within") == (put_right.what, put_right.verdict)
        walk_to(run, "3.1/1", ask.Turn)

    def test_still_outside_is_decided_again(self) -> None:
        """0.51 was 0.41 mm, which does not help."""
        run = self.at_a_gate_outside()

        run.answer(a.Correct("0.41", SHOWN))

        assert "measure again" == choices(run)[0]

    def test_a_passed_gate_that_was_outside_is_decided(self) -> None:
        """0.15 that was 0.35 mm comes back as a question."""
        head = bolts(1)
        run = bench_for(head, tighten(head), measure(2), turn(head, 3))
        walk_to(run, "2.1/-", ask.Measure)
        value(run, "0.15")

        run.answer(a.Correct("0.35", SHOWN))

        assert ("outside", "2.1/-") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).where.id)


class TestAnswersOfTheSheet:
    """What was asked on the start sheet can be mistyped too."""

    def test_a_serial_number_is_put_right(self) -> None:
        """The latest answer stands, the first stays in the daybook."""
        head = bolts(1)
        serial = m.Ask(name="Serial number", answer="text", required=True)
        run = bench_for(head, tighten(head), asks=(serial,), tools=READING)
        run.answer(a.Value("A-71"))

        put_right = stored(run.answer(a.Correct("A-17", SHOWN)), e.Corrected)

        assert ("ask:Serial number", "A-17", "item") == (put_right.item, put_right.value, put_right.what)

    def test_it_is_asked_for_as_it_was_before(self) -> None:
        """Hours by a number, which letters are not; no tool still shows them."""
        head = bolts(1)
        hours = m.Ask(name="Engine hours", answer="number", unit="h")
        run = bench_for(head, tighten(head), asks=(hours,), tools=READING)
        run.answer(a.Value("120"))

        value_asked = next_part(run.prompt, run.session, Draft("correct"))
        assert isinstance(value_asked, Part)
        assert ("number", "Engine hours: you entered 120. Type what is right.") == (value_asked.kind, value_asked.text)
        wrong = take(Draft("correct"), value_asked, "abc", lambda _: INES)
        assert "“abc” is not a number" in getattr(wrong, "sentence", "")
        known = next_part(run.prompt, run.session, Draft("correct", (("value", "102"),)))
        assert isinstance(known, Part)
        assert ["from a second look", "a second person saw it", "from memory"] == [c.text for c in known.choices]

    def test_one_of_a_few_is_chosen_again(self) -> None:
        """What cannot be typed at first cannot be typed as a correction."""
        head = bolts(1)
        fuel = m.Ask(name="Fuel", answer="choice", choices=("petrol", "diesel"))
        run = bench_for(head, tighten(head), asks=(fuel,), tools=READING)
        run.answer(a.Value("petrol"))

        asked_again = next_part(run.prompt, run.session, Draft("correct"))

        assert isinstance(asked_again, Part)
        assert ("choice", ["petrol", "diesel"]) == (asked_again.kind, [each.text for each in asked_again.choices])


class TestPulledAgain:
    """A second pull that a stage allowed is a recheck; correcting it changes nothing else."""

    def test_it_never_opens_the_tightening_again(self) -> None:
        """31 that was 32 on a second pull is kept; the tightening's own reading stands."""
        run = self._pulled_again()

        put_right = stored(run.answer(a.Correct("32", SHOWN)), e.Corrected)

        assert ("recheck", "within", "1.1/2") == (
            put_right.what,
            at(run, "1").outcome,
            asked(run, ask.Tighten).where.id,
        )

    def test_told_over_it_is_decided_like_any_other(self) -> None:
        """31 that was 36 in 28 to 32: no pull is asked of it before it is loosened, or accepted as it is."""
        run = self._pulled_again()

        put_right = stored(run.answer(a.Correct("36", SHOWN)), e.Corrected)

        assert ("recheck", "over") == (put_right.what, put_right.verdict)
        assert ("1", "36 N·m") == (asked(run, ask.Decide).position, asked(run, ask.Decide).over)
        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def _pulled_again(self) -> Bench:
        """The first of two bolts was pulled a second time, where that is allowed, while the second was asked for."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head, may_repull=True))
        value(run, "30")
        run.answer(a.PulledAnother("1", "31"))
        return run
