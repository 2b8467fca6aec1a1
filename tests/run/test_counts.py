"""Parts that are counted: too few at the start, and what does not add up at the end."""

from __future__ import annotations

from typing import Any

import pytest
from small_joints import READING, align, asked, bench_for, bolts, choices, events_of, inspect, stored, tighten, walk_to

from bench import Bench
from clampbook.people import Person
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence, words
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, follow, next_part
from clampbook.run.lines import stored as acknowledged


def counting(at_hand: str, **more: Any) -> Bench:
    """Three bolts whose washers are counted, three needed; so many are said to be at hand."""
    head = bolts(3)
    part = m.Part(**{"name": "Washers", "record": "count", "needed": 3, "left_over": True, **more})
    run = bench_for(head, tighten(head), parts=(part,))
    run.answer(a.Value(at_hand))
    return run


def at_the_end(at_hand: str, left_over: str) -> Bench:
    """The same at the end: all three are used, and so many are said to be left over."""
    run = counting(at_hand)
    run.steadily(until=ask.StartSheet)
    run.answer(a.Value(left_over))
    return run


def offered(run: Bench, *lines: str) -> Part:
    """What is asked after these lines, typed one after the other."""
    draft = begin(run.prompt, lines[0])
    for line in lines[1:]:
        assert isinstance(draft, Draft)
        part = next_part(run.prompt, run.session, draft)
        assert isinstance(part, Part)
        further = follow(run.prompt, draft, part, line, lambda name: Person(name, name))
        assert isinstance(further, Draft)
        draft = further
    assert isinstance(draft, Draft)
    found = next_part(run.prompt, run.session, draft)
    assert isinstance(found, Part)
    return found


class TestTooFew:
    """Fewer than are needed are not taken in silence."""

    def test_it_is_said_and_asked(self) -> None:
        """Two where three are needed: put right, counted again, gone on with for a reason, or put on hold."""
        run = counting("2")

        assert "Washers: 2 of 3 needed." == sentence(asked(run, ask.Decide))
        assert ["correct", "ask again", "go on", "hold"] == choices(run)

    def test_as_many_as_needed_is_asked_nothing(self) -> None:
        """The line holds no more than what was typed."""
        run = counting("3")

        assert isinstance(run.prompt, ask.TakeTool)
        assert "needed" not in e.fields(events_of(run, e.PartRecorded)[0])

    def test_ten_times_as_many_are_counted_once_more(self) -> None:
        """A digit too many; typed twice it stands, and nothing departs."""
        head = bolts(3)
        washers = m.Part(name="Washers", record="count", needed=3)
        run = bench_for(head, tighten(head), parts=(washers,))

        unsure = run.answer(a.Value("30"))
        assert isinstance(unsure, a.Unsure)
        assert "30 is unusual here, 3 needed. Type it again." == unsure.unusual
        stored(run.answer(a.Value("30")), e.PartRecorded)
        assert isinstance(run.prompt, ask.TakeTool)
        assert 0 == run.session.progress.deviations

    def test_a_few_more_are_asked_nothing(self) -> None:
        """A box may have more than the work takes."""
        assert isinstance(counting("29").prompt, ask.TakeTool)

    def test_gone_on_with_it_is_a_deviation(self) -> None:
        """With its reason; the work begins."""
        run = counting("2")
        run.answer(a.Resolve("go on", reason="the rest comes later"))

        assert isinstance(run.prompt, ask.TakeTool)
        assert 1 == run.session.progress.deviations

    def test_counted_again_it_is_asked_again(self) -> None:
        """The third one was fetched: nothing departs."""
        run = counting("2")
        run.answer(a.Resolve("ask again"))

        assert "part:Washers" == asked(run, ask.StartSheet).item
        run.answer(a.Value("3"))
        assert isinstance(run.prompt, ask.TakeTool)
        assert 0 == run.session.progress.deviations

    @pytest.mark.parametrize(("typed", "enough"), [("3", True), ("1", False)])
    def test_put_right_it_is_judged_again(self, typed: str, enough: bool) -> None:
        """Mistyped: three are enough, one is fewer still."""
        run = counting("2")
        about = asked(run, ask.Decide).about

        corrected = stored(run.answer(a.Correct(typed, "from a second look", about)), e.Corrected)

        assert (None if enough else 3) == corrected.needed
        assert enough is not isinstance(run.prompt, ask.Decide)

    def test_a_corrected_count_is_told_with_its_name(self) -> None:
        """Small within the sentence."""
        run = counting("2")

        right = stored(run.answer(a.Correct("3", "from a second look")), e.Corrected)

        assert "Corrected: washers, now 3." == acknowledged(right, run.plan, run.tools)

    def test_put_right_from_the_menu_it_is_judged_too(self) -> None:
        """Three were typed, two are there."""
        run = counting("3")
        run.answer(a.Correct("2", "from a second look"))

        assert "Washers: 2 of 3 needed." == sentence(asked(run, ask.Decide))

    def test_one_for_each_position_where_the_procedure_says_no_number(self) -> None:
        """The part has the name of the group: three bolts for three holes."""
        run = counting("2", name="Head bolts", needed=None)

        assert "Head bolts: 2 of 3 needed." == sentence(asked(run, ask.Decide))


class TestDoesNotAddUp:
    """At hand less used is what must be left over; either count may be mistyped."""

    def test_which_count_was_mistyped_is_asked(self) -> None:
        """5 at hand, 3 used, 4 left over: two too many."""
        run = at_the_end("5", "4")

        which = offered(run, "2")

        assert "Washers: 5 at hand, 3 used, 4 left over, 2 too many." == sentence(asked(run, ask.Decide))
        assert ["left over, 4", "at hand, 5"] == [choice.text for choice in which.choices]

    @pytest.mark.parametrize(
        ("which", "right", "question"),
        [
            ("1", "2", "Washers: how many are left over?"),
            ("2", "7", "Washers: how many were at hand at the start?"),
        ],
    )
    def test_either_is_put_right(self, which: str, right: str, question: str) -> None:
        """2 are left over, or 7 were at hand: it adds up, and nothing departs."""
        run = at_the_end("5", "4")
        before = [each.seq for each in events_of(run, e.PartRecorded)]

        assert question == offered(run, "2", which).text
        about = before[-1] if which == "1" else before[0]
        stored(run.answer(a.Correct(right, "from a second look", about)), e.Corrected)

        assert not isinstance(run.prompt, ask.Decide)
        assert 0 == run.session.progress.deviations

    def test_put_right_and_still_off_it_is_asked_again(self) -> None:
        """6 were at hand, and still one is too many."""
        run = at_the_end("5", "4")
        run.answer(a.Correct("6", "from a second look", events_of(run, e.PartRecorded)[0].seq))

        assert "Washers: 6 at hand, 3 used, 4 left over, 1 too many." == sentence(asked(run, ask.Decide))

    def test_no_tool_shows_a_count(self) -> None:
        """How it is known, why it differs and what help explains are of counts."""
        run = at_the_end("5", "4")

        known = [choice.text for choice in offered(run, "2", "1", "2").choices]
        why = [choice.text for choice in offered(run, "1").choices]

        assert ["from a second look", "a second person saw it", "from memory"] == known
        assert "one was lost" in why
        assert "inspected, undamaged" not in why
        assert ("at hand", "on hold") == words(run.prompt).terms


class TestPins:
    """What locks castle nuts is used where it was fitted, whatever became of the nut before."""

    def pinned(self, *, taken_out: bool = False, at_hand: str = "2") -> Bench:
        """Two nuts with a split pin each; the second does not align once, and gets another nut. `taken_out`: its pin
        was in before, and it started over after that."""
        nuts = bolts(2, "Castle nuts", fastener="use again")
        pins = m.Part(name="Split pins", record="count", needed=2, left_over=True)
        stages = (tighten(nuts), align(nuts), inspect(3, nuts))
        run = bench_for(nuts, *stages, parts=(pins,), tools=READING)
        run.answer(a.Value(at_hand))
        walk_to(run, "2.1/2", ask.Align)
        if taken_out:
            run.answer(a.Slot("already"))
            run.answer(a.Look("yes"))
            run.answer(a.Look("no", positions=("2",)))
        else:
            run.answer(a.Slot("not"))
        run.answer(a.Resolve("new fastener", scope="fastener"))
        run.steadily(until=ask.StartSheet)
        return run

    def test_another_nut_takes_no_other_pin(self) -> None:
        """None was in it yet."""
        run = self.pinned()

        run.answer(a.Value("0"))

        assert not isinstance(run.prompt, ask.Decide)

    def test_a_pin_that_was_taken_out_is_used(self) -> None:
        """The nut was locked, then loosened: the next pin is a third one."""
        run = self.pinned(taken_out=True, at_hand="3")

        run.answer(a.Value("1"))

        assert "Split pins: 3 at hand, 3 used, 1 left over, 1 too many." == sentence(asked(run, ask.Decide))
