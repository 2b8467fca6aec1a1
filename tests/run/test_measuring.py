"""Gates and measurements: judged in the middle of the work, with what is taken off and how far points may differ."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import msgspec
import pytest
from small_joints import (
    W7,
    W8,
    amount,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    inspect,
    locker,
    loosen,
    measure,
    refused,
    stored,
    tighten,
    turn,
    unusual,
    value,
    wait,
    walk_to,
    window,
)

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence, words
from clampbook.run.lines import stored as acknowledged
from clampbook.run.recount import recounted


def at_the_gate(**stage: Any) -> Bench:
    """A run of a torque, a measured gate and a turn, at the gate."""
    head = bolts(2)
    run = bench_for(head, tighten(head), measure(2, **stage), turn(head, 3))
    walk_to(run, f"2.1/{stage['points'][0] if 'points' in stage else '-'}", ask.Measure)
    return run


def at_the_tensioner() -> Bench:
    """A run of a hydraulic tensioner that is to stand at 300 to 320 bar."""
    studs = bolts(2)
    limits = m.Window(low=Decimal(300), high=Decimal(320), unit="bar")
    run = bench_for(studs, tighten(studs), measure(2, what="Tensioner", unit="bar", window=limits))
    walk_to(run, "2.1/-", ask.Measure)
    return run


class TestPressure:
    """The pressure of a hydraulic tensioner is read off its gauge."""

    def test_it_is_read_and_typed_in_its_unit(self) -> None:
        """Nothing is measured by hand."""
        run = at_the_tensioner()

        assert "Tensioner: read its pressure. Type it in bar." == words(asked(run, ask.Measure)).sentence

    def test_it_is_judged_in_the_unit_of_the_procedure(self) -> None:
        """4500 psi are 310.264 bar: 4500 · 6.894757 kPa (NIST SP 811, B.8)."""
        run = at_the_tensioner()

        read = stored(value(run, "4500 psi"), e.Measured)

        assert ("within", "4500 psi", "310.26", "bar") == (read.verdict, read.typed, read.value, read.unit)

    @pytest.mark.parametrize(("typed", "code"), [("4500", "unit"), ("31", "decimal place"), ("31000", "unit")])
    def test_psi_typed_for_bar_is_asked_again(self, typed: str, code: str) -> None:
        """4500 is 310 bar in psi, 31 in MPa, 31 000 in kPa; the unit is asked for."""
        run = at_the_tensioner()

        assert code == unusual(run.answer(a.Value(typed))).code

    def test_no_torque_is_taken_for_it(self) -> None:
        """310 N·m is no pressure."""
        run = at_the_tensioner()

        assert "is a torque, not a pressure" in refused(run.answer(a.Value("310 N·m")))

    def test_outside_it_is_decided(self) -> None:
        """325 bar of at most 320."""
        run = at_the_tensioner()

        value(run, "325")

        assert ("outside", "325 bar") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).found)


def at_the_threads(**stage: Any) -> Bench:
    """A run of two stud nuts beyond which one thread or more is to show, at the first."""
    nuts = bolts(2, "Stud nuts")
    limits = m.Window(low=Decimal(1), high=None, unit="count")
    fields = {"what": "Threads beyond the nut", "unit": "count", "window": limits, "asked": "each", **stage}
    run = bench_for(nuts, tighten(nuts), measure(2, nuts, **fields))
    walk_to(run, "2.1/1", ask.Measure)
    return run


class TestCount:
    """What is counted is a whole number of things, without a unit."""

    def test_it_is_counted_and_typed_alone(self) -> None:
        """The number, and nothing behind it."""
        said = words(asked(at_the_threads(), ask.Measure))

        assert "Stud nut 1: count its threads beyond the nut. Type the number." == said.sentence
        assert "window at least 1" in said.matters

    def test_a_whole_number_is_judged(self) -> None:
        """Two threads show where one is enough (common practice: one to three, no source)."""
        read = stored(value(at_the_threads(), "2"), e.Measured)

        assert ("2", "count", "within") == (read.value, read.unit, read.verdict)

    def test_none_is_a_count(self) -> None:
        """The nut is not fully on the thread: outside, and found without a unit."""
        run = at_the_threads()

        value(run, "0")

        assert ("outside", "0") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).found)

    @pytest.mark.parametrize("typed", ["2.5", "2,5", "2.0", "-1", "2 mm", "2 count", "two", "²", "1/2"])
    def test_nothing_but_digits_is_a_count(self, typed: str) -> None:
        """Half a thread is none, and a length is no count."""
        assert "is not a count. Type a whole number, digits alone." in refused(at_the_threads().answer(a.Value(typed)))

    def test_swapped_digits_are_asked_again_without_a_unit(self) -> None:
        """31 shims are typed where 13 belong: the number is wanted once more, and is taken."""
        run = at_the_threads(what="Shims", window=m.Window(low=Decimal(12), high=Decimal(14), unit="count"))

        again = unusual(run.answer(a.Value("31")))

        assert ("digits swapped", False) == (again.code, "unit" in again.unusual)
        assert "over" == stored(value(run, "31"), e.Measured).verdict

    def test_a_lost_digit_is_no_wrong_decimal_point(self) -> None:
        """A count has no decimal point: 130 for 13 is simply outside."""
        run = at_the_threads(what="Shims", window=m.Window(low=Decimal(12), high=Decimal(14), unit="count"))

        assert "over" == stored(value(run, "130"), e.Measured).verdict

    def test_it_is_corrected_as_a_count(self) -> None:
        """0 that was 2 lets the work go on; 1.5 does not."""
        run = at_the_threads()
        value(run, "0")

        assert "is not a count" in refused(run.answer(a.Correct("1.5", "a second person saw it", person=OKKE)))
        corrected = stored(run.answer(a.Correct("2", "a second person saw it", person=OKKE)), e.Corrected)

        assert ("2", "count", "within") == (corrected.value, corrected.unit, corrected.verdict)


def at_the_gaps(*values: str) -> Bench:
    """A run of an indicating washer of five gaps: a gauge of 0.40 mm may enter at most one; these were measured."""
    frame = bolts(2)
    gaps = ("1", "2", "3", "4", "5")
    limits = m.Window(low=None, high=Decimal("0.40"), unit="mm")
    wanted = {"what": "Gap", "window": limits, "points": gaps, "all_but": 1, "asked": "each"}
    run = bench_for(frame, tighten(frame), measure(2, frame, **wanted), turn(frame, 3))
    walk_to(run, "2.1/1@1" if "2.1/1@1" in run.plan.index_of else "2.1/1/1", ask.Measure)
    for each in values:
        asked(run, ask.Measure)
        stored(value(run, each), e.Measured)
    return run


class TestAllButOne:
    """Some points of a set may lie outside: they are judged together, with the last."""

    def test_one_outside_of_five_is_allowed(self) -> None:
        """The third gap is too wide alone: nothing is asked, and it is told with the last."""
        run = at_the_gaps("0.30", "0.35", "0.50", "0.30", "0.20")

        last = run.events[-1]
        assert isinstance(last, e.Measured)
        assert ("within", 1) == (last.verdict, last.outside)
        assert "1 of 5 outside, 1 allowed" in acknowledged(last, run.plan, ())
        assert not isinstance(run.prompt, ask.Decide)

    def test_a_second_one_is_decided_when_the_last_is_in(self) -> None:
        """Two of five: measure all again, go back, correct, concession, hold."""
        run = at_the_gaps("0.30", "0.50", "0.50", "0.30")
        asked(run, ask.Measure)

        assert ("within", 2) == ((last := stored(value(run, "0.20"), e.Measured)).verdict, last.outside)
        assert ("too many points outside", "2 of 5 outside, 1 allowed") == (
            asked(run, ask.Decide).cause,
            asked(run, ask.Decide).found,
        )
        assert ["measure all points again", "go back", "correct", "concession", "hold"] == choices(run)

    def test_all_points_are_measured_again_together(self) -> None:
        """Old gaps are not judged beside new ones."""
        run = at_the_gaps("0.50", "0.50", "0.30", "0.30", "0.20")
        run.answer(a.Resolve("measure all points again"))

        for each in ("0.50", "0.30", "0.30", "0.30", "0.30"):
            asked(run, ask.Measure)
            value(run, each)

        assert not isinstance(run.prompt, ask.Decide)

    def test_the_last_gap_corrected_is_judged_with_the_others(self) -> None:
        """0.50 that was 0.30 leaves one outside; 0.30 that was 0.50 makes two."""
        run = at_the_gaps("0.50", "0.30", "0.30", "0.30", "0.50")
        run.answer(a.Correct("0.30", "a second person saw it", person=OKKE))
        assert not isinstance(run.prompt, ask.Decide)

        run.answer(a.Correct("0.50", "a second person saw it", person=OKKE))
        assert "too many points outside" == asked(run, ask.Decide).cause

    def test_an_earlier_gap_corrected_waits_for_the_last(self) -> None:
        """Its own value decides nothing yet."""
        run = at_the_gaps("0.30", "0.30")

        corrected = stored(run.answer(a.Correct("0.50", "a second person saw it", person=OKKE)), e.Corrected)

        assert ("over", None) == (corrected.verdict, corrected.outside)
        assert "3" == asked(run, ask.Measure).where.point

    def test_by_concession_the_bolt_is_done(self) -> None:
        """The next bolt is measured."""
        run = at_the_gaps("0.50", "0.50", "0.30", "0.30", "0.20")

        run.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))

        assert "2" == asked(run, ask.Measure).where.position

    def test_what_is_allowed_is_said(self) -> None:
        """Beside the window."""
        assert "at most 1 of 5 outside" in words(asked(at_the_gaps(), ask.Measure)).matters


class TestGate:
    """A value in the middle of the work that can stop it."""

    def test_within_the_work_goes_on(self) -> None:
        """0.18 mm lies between 0.10 and 0.25 mm."""
        run = at_the_gate()

        assert "within" == stored(value(run, "0.18"), e.Measured).verdict
        assert "3.1/1" == walk_to(run, "3.1/1", ask.Turn).where.id

    def test_outside_is_decided(self) -> None:
        """Measure again, go back, correct, concession, hold."""
        run = at_the_gate()

        value(run, "0.28")

        assert ("outside", ["measure again", "go back", "correct", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_below_is_outside_like_above(self) -> None:
        """For a measured value under is no invitation to pull again."""
        run = at_the_gate()

        value(run, "0.09")

        assert "outside" == asked(run, ask.Decide).cause

    def test_measured_again_it_is_asked_again(self) -> None:
        """Both values stand in the daybook."""
        run = at_the_gate()
        value(run, "0.28")

        run.answer(a.Resolve("measure again"))

        assert "2.1/-" == asked(run, ask.Measure).where.id

    def test_a_gate_that_is_behind_is_measured_again_before_anything_else(self) -> None:
        """Its value is put right after a night, as the work is about to be looked back at: 0.18 was 0.35 mm."""
        run = at_the_gate()
        value(run, "0.18")
        run.resume(gap=60_000)
        asked(run, ask.StepState)
        run.answer(run.steady())
        asked(run, ask.Inspect)
        stored(run.answer(a.Correct("0.35", "the tool still shows it")), e.Corrected)
        assert "outside" == asked(run, ask.Decide).cause

        run.answer(a.Resolve("measure again"))

        assert "2.1/-" == asked(run, ask.Measure).where.id
        assert "within" == stored(value(run, "0.17"), e.Measured).verdict
        asked(run, ask.Inspect)
        walk_to(run, "3.1/1", ask.Turn)

    def test_by_concession_the_gate_is_behind(self) -> None:
        """With reason and second person the turn comes."""
        run = at_the_gate()
        value(run, "0.28")

        run.answer(a.Resolve("concession", reason="within what the older sheet allows", person=OKKE))

        walk_to(run, "3.1/1", ask.Turn)

    def test_a_lost_decimal_is_asked_again(self) -> None:
        """1.8 mm of end play is unusual; the value that would fit is not named."""
        run = at_the_gate()

        again = unusual(run.answer(a.Value("1.8")))

        assert ("decimal place", False) == (again.code, "0.18" in again.unusual)

    def test_a_length_is_no_torque(self) -> None:
        """What is typed must be of the kind that is asked for."""
        refused(at_the_gate().answer(a.Value("30 N·m")))

    def test_another_unit_of_length_is_taken_where_it_is_typed(self) -> None:
        """0.007 in are 0.1778 mm (the inch is 25.4 mm exactly, NIST SP 811)."""
        run = at_the_gate()

        measured = stored(run.answer(a.Value("0.007 in")), e.Measured)

        assert ("0.007 in", "0.1778", "mm", "within") == (
            measured.typed,
            measured.value,
            measured.unit,
            measured.verdict,
        )


class TestPoints:
    """Measured at several points, which may not differ too much."""

    def spread(self, *values: str) -> Bench:
        """Measured front and rear, at most 0.05 mm apart."""
        run = at_the_gate(points=("front", "rear"), spread=amount("0.05", "mm"))
        for each in values:
            value(run, each)
        return run

    def test_all_within_and_close_together(self) -> None:
        """0.15 and 0.19 mm differ by 0.04."""
        run = self.spread("0.15")

        last = stored(value(run, "0.19"), e.Measured)

        assert ("0.04", "within") == (last.spread, last.verdict)

    def test_too_far_apart_is_outside_though_each_is_within(self) -> None:
        """0.12 and 0.20 mm: each lies inside, the difference does not."""
        run = self.spread("0.12")

        last = stored(value(run, "0.20"), e.Measured)

        assert ("0.08", "over", "points too far apart") == (last.spread, last.verdict, asked(run, ask.Decide).cause)

    def test_a_point_that_is_within_is_never_called_over(self) -> None:
        """It is the distance of the two that is too large."""
        run = self.spread("0.20")

        told = acknowledged(stored(value(run, "0.12"), e.Measured), run.plan)

        assert "Too far apart !: rear, 0.12 mm, is within. The points are 0.08 mm apart." == told

    def test_without_a_window_a_point_is_not_called_within(self) -> None:
        """There the distance alone is judged, of what was measured and of what was put right."""
        run = at_the_gate(points=("front", "rear"), spread=amount("0.05", "mm"), window=None)
        value(run, "0.20")

        told = acknowledged(stored(value(run, "0.12"), e.Measured), run.plan)
        right = acknowledged(stored(run.answer(a.Correct("0.13", "from a second look")), e.Corrected), run.plan)

        assert "Too far apart !: rear, 0.12 mm. The points are 0.08 mm apart." == told
        assert "Corrected: rear read 0.13 mm. Too far apart !: the points are 0.07 mm apart." == right

    def test_points_that_lie_too_far_apart_are_all_measured_again(self) -> None:
        """Measuring the last one again would leave the other one standing."""
        run = self.spread("0.12", "0.20")

        run.answer(a.Resolve("measure all points again"))

        assert "front" == asked(run, ask.Measure).where.point

    def test_a_value_of_before_the_joint_was_done_again_does_not_stay_in_the_way(self) -> None:
        """0.22 mm at the front is not judged beside the 0.15 mm that the rear was before; asked once for both."""
        run = self.spread("0.12", "0.15")
        walk_to(run, "3.1/1", ask.Turn)
        run.answer(a.Broke("broken"))
        run.answer(a.Resolve("new fastener", scope="joint"))
        while not isinstance(run.prompt, ask.Decide):
            run.answer(run.steady())
        assert "End play was measured before." == sentence(run.prompt)

        run.answer(a.Resolve("do again"))

        assert (None, "within") == _judged(stored(value(run, "0.22"), e.Measured))
        assert ("0.01", "within") == _judged(stored(value(run, "0.21"), e.Measured))
        run.steadily(until=ask.Finished)

    def test_left_as_it_was_before_it_is_left_at_every_point(self) -> None:
        """One answer and one reason for the whole measurement."""
        run = self.spread("0.12", "0.15")
        walk_to(run, "3.1/1", ask.Turn)
        run.answer(a.Broke("broken"))
        run.answer(a.Resolve("new fastener", scope="joint"))
        walk_to(run, "2.1/front", ask.Decide)
        before = run.session.progress.deviations

        run.answer(a.Resolve("leave", reason="only one bolt"))

        assert ("3.1/1", before + 1) == (asked(run, ask.Turn).where.id, run.session.progress.deviations)

    def test_going_back_forgets_what_was_measured(self) -> None:
        """After the pulls were made again, the first point is not judged beside the last one of before."""
        run = self.spread("0.12", "0.20")
        run.answer(a.Resolve("go back", back_to=1, reason="a washer was missing"))
        walk_to(run, "2.1/front", ask.Measure)

        front = stored(value(run, "0.12"), e.Measured)

        assert (None, "within") == (front.spread, front.verdict)

    def test_the_spread_is_judged_with_the_last_point(self) -> None:
        """Before all points are there, there is nothing to compare."""
        run = at_the_gate(points=("front", "rear"), spread=amount("0.05", "mm"))

        assert None is stored(value(run, "0.15"), e.Measured).spread


def _judged(measured: e.Measured) -> tuple[str | None, str | None]:
    return measured.spread, measured.verdict


class TestMinus:
    """Stretch is the length after minus the free length."""

    def stretched(self) -> Bench:
        """A run that measured free lengths of 100.00 and 100.20 mm, at the length of bolt 1 after its pull."""
        head = bolts(2)
        free = measure(1, head, id="free length", what="Free length", window=None, asked="each")
        after = measure(
            3,
            head,
            what="Length",
            asked="each",
            window=window("0.10", "0.14", "mm"),
            minus="free length",
        )
        run = bench_for(head, free, tighten(head, 2), after)
        walk_to(run, "1.1/1", ask.Measure)
        value(run, "100.00")
        value(run, "100.20")
        walk_to(run, "3.1/1", ask.Measure)
        return run

    def test_what_is_taken_off_belongs_to_the_position(self) -> None:
        """100.12 less 100.00 is 0.12 at bolt 1; at bolt 2 it is less 100.20."""
        run = self.stretched()
        first = stored(value(run, "100.12"), e.Measured)
        second = stored(value(run, "100.33"), e.Measured)

        assert ("0.12", "0.13") == (first.result, second.result)

    def test_the_difference_is_judged_and_the_length_is_kept(self) -> None:
        """0.15 of stretch is over; the length that was measured stays beside it."""
        run = self.stretched()

        measured = stored(value(run, "100.15"), e.Measured)

        assert ("100.15", "0.15", "over") == (measured.value, measured.result, measured.verdict)

    def test_a_value_without_window_is_only_kept(self) -> None:
        """A free length is neither good nor bad."""
        run = self.stretched()
        free = next(each for each in run.events if isinstance(each, e.Measured))

        assert (None, "within") == (free.window, free.verdict)


class TestUntilStretch:
    """Tighten and measure in turn until the stretch lies between."""

    def at_the_pull(self) -> Bench:
        """A run of one bolt that is stretched by 0.10 to 0.14 mm, never above 95 N·m."""
        head = bolts(1)
        stretch = m.Stretch(window=window("0.10", "0.14", "mm"), minus=None, never_above=amount("95", "N·m"))
        return at_first_pull(head, tighten(head, target=None, window=window(None, "95"), stretch=stretch))

    def test_after_each_pull_the_stretch_is_measured(self) -> None:
        """Under the same name."""
        run = self.at_the_pull()

        value(run, "50")

        assert ("stretch", "1.1/1") == (asked(run, ask.Measure).part, asked(run, ask.Measure).where.id)

    def test_too_little_is_pulled_further(self) -> None:
        """0.08 mm is not there yet."""
        run = self.at_the_pull()
        value(run, "50")

        value(run, "0.08")

        assert "1.1/1" == asked(run, ask.Tighten).where.id

    def test_within_is_done(self) -> None:
        """0.12 mm is what the sheet wants, whatever torque it took."""
        run = self.at_the_pull()
        value(run, "50")

        value(run, "0.12")

        assert "within" == at(run, "1").outcome

    def test_beyond_is_decided(self) -> None:
        """0.16 mm cannot be taken back."""
        run = self.at_the_pull()
        value(run, "50")

        value(run, "0.16")

        assert "stretch beyond its window" == asked(run, ask.Decide).cause

    def test_never_above_a_torque(self) -> None:
        """96 N·m is over before any stretch is measured."""
        run = self.at_the_pull()

        value(run, "96")

        assert "over" == asked(run, ask.Decide).cause

    def test_it_needs_a_tool_that_shows_a_reading(self) -> None:
        """A setting tool cannot stop where the stretch is right."""
        again = Bench(self.at_the_pull().plan, (W7, W8))

        assert "shows no reading" in refused(again.answer(a.TakeUp("w8", "no other here")))


class TestInspection:
    """A look at all of them catches the skipped one."""

    def at_the_look(self, **stage: Any) -> Bench:
        """A run of three bolts at the look that follows."""
        head = bolts(3)
        run = bench_for(head, tighten(head), inspect(2, head, **stage), turn(head, 3))
        walk_to(run, "2.1/1" if stage.get("asked") == "each" else "2.1/-", ask.Inspect)
        return run

    def test_as_expected_the_work_goes_on(self) -> None:
        """Yes, where yes is expected."""
        run = self.at_the_look()

        assert stored(run.answer(a.Look("yes")), e.Inspected).as_expected
        walk_to(run, "3.1/1", ask.Turn)

    def test_no_can_be_what_is_expected(self) -> None:
        """`Any oil below the bolt?` expects no; a yes by habit is not as expected."""
        run = self.at_the_look(ask="Any oil below the bolts?", expect="no")

        assert not stored(run.answer(a.Look("yes")), e.Inspected).as_expected

    def test_positions_that_are_not_as_expected_are_named(self) -> None:
        """Bolt 2 has no mark: it is bolt 2 that is decided."""
        run = self.at_the_look()

        run.answer(a.Look("no", ("2",)))

        assert ("not as expected", "2", ["look again", "from the beginning", "new fastener", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            asked(run, ask.Decide).position,
            choices(run),
        )

    def test_where_none_is_named_the_gate_itself_is_decided(self) -> None:
        """Look again, go back, concession, hold."""
        run = self.at_the_look()

        run.answer(a.Look("no"))

        assert ["look again", "go back", "concession", "hold"] == choices(run)

    def test_only_positions_that_were_looked_at_can_be_named(self) -> None:
        """Bolt 9 is none of them."""
        assert "9 is not among 1, 2, 3" in refused(self.at_the_look().answer(a.Look("no", ("9",))))

    def test_an_empty_enter_passes_no_inspection(self) -> None:
        """The key that releases a pull says nothing about a look."""
        assert "1 yes or 2 no" in refused(self.at_the_look().answer(a.Plus()))

    def test_asked_each_it_is_a_step_of_each(self) -> None:
        """Three bolts, three looks."""
        run = self.at_the_look(asked="each")
        run.answer(a.Look("yes"))

        assert "2.1/2" == asked(run, ask.Inspect).where.id


class TestWait:
    """Time that passes, counted by the daybook."""

    def at_the_wait(self, **stage: Any) -> Bench:
        """A run at its wait, three seconds after the last pull."""
        head = bolts(1)
        run = bench_for(head, tighten(head), wait(2, **stage))
        walk_to(run, "2.1/-", ask.Wait)
        return run

    def test_before_the_end_it_is_refused_with_the_time_of_its_end(self) -> None:
        """Pulled at 10:00:09, ten minutes: that stays true however long it stands there."""
        run = self.at_the_wait()
        run.wait(237)

        assert refused(run.answer(a.Plus())) == "Wait until 10:10:09."

    def test_at_the_end_it_is_over(self) -> None:
        """Ten minutes after the last pull."""
        run = self.at_the_wait()
        run.wait(597)

        assert ("600", run.session.progress.last_pull) == (
            (waited := stored(run.answer(a.Plus()), e.Waited)).lasts,
            waited.since,
        )

    def test_it_runs_on_through_a_pause_and_power_off(self) -> None:
        """The gasket does not care whether the program runs."""
        run = self.at_the_wait()
        run.answer(a.Pause())
        run.resume(gap=620)
        run.answer(a.Look("yes"))

        stored(run.answer(a.Plus()), e.Waited)

    def test_going_on_early_needs_a_reason_and_stands_in_the_record(self) -> None:
        """It is a decision like any other departure."""
        run = self.at_the_wait()

        early = stored(run.answer(a.GoOnEarly("agreed with Maud")), e.Decided)

        assert ("wait", "go on early", "agreed with Maud") == (early.cause, early.choice, early.reason)
        run.steadily(until=ask.Finished)
        assert ("done", 1) == (asked(run, ask.Finished).outcome, asked(run, ask.Finished).deviations)

    def test_loosening_or_sealing_is_no_pull(self) -> None:
        """Ten minutes from the last pull, though a bolt of another group was loosened since."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = bench_for((head, side), tighten(side, 1), tighten(head, 2), loosen(side, 3), locker(side, 4), wait(5))
        walk_to(run, "3.1/11", ask.Loosen)
        pulled = run.session.progress.at
        run.wait(60)
        walk_to(run, "5.1/-", ask.Wait)

        assert pulled == asked(run, ask.Wait).since

    def test_a_wait_of_its_own_is_begun_by_a_key(self) -> None:
        """With no `since` it counts from the key."""
        run = self.at_the_wait(since=None)

        stored(run.answer(a.Plus()), e.WaitBegun)

        assert run.session.progress.at == asked(run, ask.Wait).since

    def test_it_can_count_from_the_end_of_a_stage(self) -> None:
        """Sealant cures from when it was put on, not from the last pull."""
        head = bolts(1)
        run = bench_for(head, tighten(head, 1, id="nip"), inspect(2), wait(3, since="nip"))
        walk_to(run, "2.1/-", ask.Inspect)
        ended = run.session.progress.at
        run.wait(60)
        run.answer(a.Look("yes"))

        assert ended == asked(run, ask.Wait).since

    def test_a_clock_put_back_is_no_passed_time(self) -> None:
        """What cannot be judged is not passed: going on needs a reason."""
        run = self.at_the_wait()
        run.wait(-3600)

        assert "clock was set back" in refused(run.answer(a.Plus()))


def test_a_caution_before_a_stage_is_read_first() -> None:
    """One key, once, before the first step of its stage."""
    head = bolts(2)
    run = bench_for(head, tighten(head), turn(head, caution="Keep fingers away."))
    walk_to(run, "2.1/1", ask.Confirm)

    read = stored(run.answer(a.Plus()), e.CautionsRead)

    assert (("Keep fingers away.",), 2) == (read.cautions, read.stage)
    walk_to(run, "2.1/1", ask.Turn)
    value(run, "91")
    assert "2.1/2" == asked(run, ask.Turn).where.id


def test_the_least_of_a_value_is_exact() -> None:
    """0.1 in a window from 0.10 is within, to the last digit."""
    run = at_the_gate()

    assert "within" == stored(value(run, "0.1"), e.Measured).verdict


class TestCorrectedPoint:
    """A point put right is held against the other points again, as it was when it was measured."""

    def measured(self, *values: str, group: bool = False) -> Bench:
        """A gap at front, middle and rear, at most 0.05 mm apart; once for the joint, or at a bolt."""
        head = bolts(1)
        more: dict[str, Any] = {"points": ("front", "middle", "rear"), "spread": amount("0.05", "mm")}
        more |= {"asked": "each"} if group else {}
        gap = measure(1, head if group else None, **more, window=window("0.1", "2", "mm"))
        run = bench_for(head, gap, tighten(head, 2))
        for each in values:
            value(run, each)
        return run

    @pytest.mark.parametrize("group", [False, True])
    def test_put_right_they_lie_too_far_apart(self, group: bool) -> None:
        """1.22 at the rear was 1.28, which is 0.08 mm from the front: it is asked about, within its window or not."""
        run = self.measured("1.20", "1.22", "1.22", group=group)

        line = stored(run.answer(a.Correct("1.28", "from a second look")), e.Corrected)

        assert ("0.08", "over") == (line.spread, line.verdict)
        told = "Points front and rear are 0.08 mm apart, 0.05 mm allowed. The larger is at rear."
        assert told == sentence(asked(run, ask.Decide))
        assert "measure all points again" in choices(run)

    @pytest.mark.parametrize("group", [False, True])
    def test_put_right_they_lie_together(self, group: bool) -> None:
        """1.28 was 1.22: the work goes on."""
        run = self.measured("1.20", "1.22", "1.28", group=group)
        about = asked(run, ask.Decide).about

        line = stored(run.answer(a.Correct("1.22", "from a second look", about)), e.Corrected)

        assert ("0.02", "within") == (line.spread, line.verdict)
        assert isinstance(run.prompt, ask.TakeTool)

    def test_before_all_are_measured_it_is_judged_alone(self) -> None:
        """The last one brings the spread."""
        run = self.measured("1.20", "1.22")

        line = stored(run.answer(a.Correct("1.28", "from a second look")), e.Corrected)

        assert (None, "within") == (line.spread, line.verdict)
        assert "spread" not in e.fields(line)
        assert "over" == stored(value(run, "1.22"), e.Measured).verdict

    @pytest.mark.parametrize("right", ["1.28", "1.22"])
    def test_what_it_came_to_is_recounted(self, right: str) -> None:
        """Also of a line of old, which says nothing of the other points."""
        run = self.measured("1.20", "1.22", "1.21")
        line = stored(run.answer(a.Correct(right, "from a second look")), e.Corrected)
        old = msgspec.structs.replace(run.events[-1], spread=None, verdict="within")
        forged = msgspec.structs.replace(run.events[-1], spread="0.01")

        assert line.spread is not None
        assert [] == list(recounted(run.plan, run.events))
        assert [] == list(recounted(run.plan, (*run.events[:-1], old)))
        assert ["spread"] == [told.split()[0] for _, told in recounted(run.plan, (*run.events[:-1], forged))]
