"""A castle nut is turned on to its next slot, never back; its torque is read there, and then it is locked."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import (
    READING,
    SETTING,
    W7,
    W8,
    align,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    refused,
    stored,
    tighten,
    unusual,
    value,
    walk_to,
)

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import keys, sentence, words
from clampbook.run.recount import recounted
from clampbook.tools.model import Tool

NUT = bolts(1, "Propeller nuts", one="Propeller nut")


def at_the_slot(tools: tuple[Tool, ...] = READING, group: m.Group = NUT, **more: Any) -> Bench:
    """A nut at its torque, and its slot is next; with an indicating tool in hand unless said otherwise."""
    run = bench_for(group, tighten(group), align(group, **more), tools=tools)
    walk_to(run, "2.1/1", ask.Align)
    return run


def turned_on(read: str) -> Bench:
    """A nut that was turned on to its slot, and the tool showed this."""
    run = at_the_slot()
    run.answer(a.Slot("turned"))
    asked(run, ask.Measure)
    value(run, read)
    return run


def values_of(run: Bench) -> list[str]:
    """The values of all that can be chosen now."""
    return [each.value for each in keys(run.prompt).choices]


class TestAsked:
    """The nut, its slot, its limit, and the one thing that is never done."""

    def test_the_limit_and_never_back_stand_in_the_sentence(self) -> None:
        """A nut that is turned back to a slot has less than its torque."""
        told = sentence(at_the_slot().prompt)

        assert told.startswith("Propeller nut 1: turn on to the next slot")
        assert "not above 36" in told
        assert told.endswith("Never turn back.")

    def test_six_slots_are_sixty_degrees_apart(self) -> None:
        """So far it is at most."""
        assert "at most 60° to the next slot" in words(at_the_slot().prompt).matters

    def test_a_left_hand_nut_is_turned_on_counterclockwise(self) -> None:
        """On is the way in which it is tightened."""
        run = at_the_slot(group=bolts(1, "Propeller nuts", left_hand=True))

        assert "turn on counterclockwise" in sentence(run.prompt)

    def test_without_a_limit_none_is_told(self) -> None:
        """The manual has none."""
        assert "above" not in sentence(at_the_slot(at_most=None).prompt)

    def test_a_tool_in_hand_that_shows_torque_is_read(self) -> None:
        """With a setting tool in hand there is nothing to read, and nobody is asked for one."""
        reads, clicks = at_the_slot(), at_the_slot(SETTING)

        assert (W7, None) == (asked(reads, ask.Align).tool, asked(clicks, ask.Align).tool)
        assert (["already", "turned", "not", "unread"], ["already", "turned", "not"]) == (
            values_of(reads),
            values_of(clicks),
        )

    def test_a_tool_that_shows_torque_can_be_picked_up_for_it(self) -> None:
        """Another tool than the one that clicked."""
        run = at_the_slot((W8, W7))
        if asked(run, ask.Align).tool is None:
            run.answer(a.TakeUp("w7"))
            run.answer(a.Zero("good"))

        assert W7 == asked(run, ask.Align).tool


class TestAtTheSlot:
    """The ways to come there, and what follows."""

    def test_aligned_already_it_is_locked(self) -> None:
        """Nothing was turned, and nothing is read."""
        run = at_the_slot()

        assert "already" == stored(run.answer(a.Slot("already")), e.Aligned).slot
        assert "split pin" in asked(run, ask.Inspect).ask

    def test_turned_on_its_torque_is_read_before_it_is_locked(self) -> None:
        """The torque at the slot is what it has in the end."""
        run = turned_on("34")

        (read,) = events_of(run, e.Measured)
        assert ("final torque", "within", "w7", (None, "36")) == (read.part, read.verdict, read.tool, read.window)
        assert "split pin" in asked(run, ask.Inspect).ask
        held = at(run, "1").fastener.held
        assert held is not None
        assert Decimal(34) == held.torque

    @pytest.mark.parametrize(("tools", "how"), [(SETTING, "turned"), (READING, "unread")])
    def test_by_a_plain_wrench_nothing_is_read(self, tools: tuple[Tool, ...], how: str) -> None:
        """No number is made up for it."""
        run = at_the_slot(tools)

        stored(run.answer(a.Slot(how)), e.Aligned)  # type: ignore[arg-type]

        assert "split pin" in asked(run, ask.Inspect).ask
        assert [] == events_of(run, e.Measured)

    def test_without_a_tool_there_is_no_reading_to_leave_out(self) -> None:
        """It was turned on, and that is all there is to say."""
        assert "choose from the list" in refused(at_the_slot(SETTING).answer(a.Slot("unread")))

    def test_above_its_limit_it_is_over(self) -> None:
        """From there it starts over, or a second person accepts it."""
        run = turned_on("38")

        assert ("over", "over") == (at(run, "1").outcome, asked(run, ask.Decide).cause)
        assert ["from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)

    def test_accepted_though_over_it_is_locked_all_the_same(self) -> None:
        """A second person accepts the torque, and no nut stays without its pin."""
        run = turned_on("38")

        run.answer(a.Resolve("concession", reason="the pin fits here", person=OKKE))

        assert "split pin" in asked(run, ask.Inspect).ask
        run.answer(a.Look("yes"))
        assert "concession" == at(run, "1").outcome

    def test_a_mistyped_reading_is_corrected_and_it_is_locked(self) -> None:
        """38 was 35 on the tool."""
        run = turned_on("38")

        run.answer(a.Correct("35", "the tool still shows it"))

        assert "split pin" in asked(run, ask.Inspect).ask

    def test_less_than_it_was_tightened_to_is_asked_once_more(self) -> None:
        """A nut that is only turned on cannot have less than before: 24 was 42 on the tool, or it went back."""
        run = at_the_slot()
        held = at(run, "1").fastener.held
        assert held is not None
        assert Decimal(30) == held.torque
        run.answer(a.Slot("turned"))

        again = unusual(run.answer(a.Value("24")))

        assert "24 N·m is less than it was tightened to, 30 N·m. Digits swapped?" in again.unusual
        assert [] == events_of(run, e.Measured)

    def test_the_same_pull_in_another_unit_is_not_less_than_itself(self) -> None:
        """22.1 lbf·ft are 29.96358 N·m, and stand in the daybook as 29.964 N·m."""
        in_feet = replace(W7, unit="lbf·ft", resolution=Decimal("0.1"))
        run = at_first_pull(NUT, tighten(NUT), align(NUT), tools=(in_feet, *READING[1:]))
        value(run, "22.1")
        walk_to(run, "2.1/1", ask.Align)
        run.answer(a.Slot("turned"))

        assert "22.1" == stored(run.answer(a.Value("22.1")), e.Measured).value

    def test_typed_again_it_stands_and_the_record_says_what_was_unusual(self) -> None:
        """Somebody insists on it: it is stored, and departs."""
        run = at_the_slot()
        run.answer(a.Slot("turned"))
        run.answer(a.Value("24"))

        read = stored(run.answer(a.Value("24 N·m")), e.Measured)

        assert ("within", "less than tightened") == (read.verdict, read.unusual)
        assert [] == list(recounted(run.plan, run.events))

    @pytest.mark.parametrize("typed", ["34", "34 N·m"])
    def test_another_value_typed_then_was_never_unusual(self, typed: str) -> None:
        """34, where 24 was a slip: nothing departs."""
        run = at_the_slot()
        run.answer(a.Slot("turned"))
        unusual(run.answer(a.Value("24")))

        assert stored(run.answer(a.Value(typed)), e.Measured).unusual is None

    def test_a_line_of_before_it_was_asked_is_what_its_answer_gives(self) -> None:
        """Older daybooks have such a torque with nothing noticed."""
        run = turned_on("24")
        line = events_of(run, e.Measured)[0]
        older = [replace(line, typed="24", unusual=None) if each is line else each for each in run.events]

        assert [] == list(recounted(run.plan, older))

    def test_locked_the_work_goes_on(self) -> None:
        """The look at the pin is the last thing at a nut."""
        run = turned_on("34")

        looked = stored(run.answer(a.Look("yes")), e.Inspected)
        run.steadily()

        assert ("2.1/1", True) == (looked.step, looked.as_expected)
        assert "done" == asked(run, ask.Ended).outcome

    def test_a_pin_that_is_not_in_is_decided(self) -> None:
        """It is looked at again once it is in."""
        run = turned_on("34")
        run.answer(a.Look("no"))
        assert "look again" == choices(run)[0]

        run.answer(a.Resolve("look again"))

        assert "split pin" in asked(run, ask.Inspect).ask


class TestDoesNotAlign:
    """No slot is met below the limit."""

    def test_another_nut_or_washer_a_second_person_or_hold(self) -> None:
        """Never turned back, and never on beyond the limit."""
        run = at_the_slot()

        run.answer(a.Slot("not"))

        assert ["new fastener", "another washer", "concession", "hold"] == choices(run)
        assert "Propeller nut 1 does not align below 36 N·m." == sentence(run.prompt)

    def test_with_another_nut_it_starts_over(self) -> None:
        """Its torque first, then its slot."""
        run = at_the_slot()
        run.answer(a.Slot("not"))

        run.answer(a.Resolve("new fastener", scope="fastener"))
        run.steadily()

        assert ["not", "turned"] == [each.slot for each in events_of(run, e.Aligned)]
        assert [1, 2] == [each.attempt for each in events_of(run, e.ReadingTaken)]


class TestDoesNotAlignUnread:
    """With a click tool nobody knows at which torque it does not align."""

    def unread(self, tools: tuple[Tool, ...] = (W8, W7), **more: Any) -> Bench:
        """The tool that clicked its torque is in hand."""
        run = bench_for(NUT, tighten(NUT), align(NUT, **more), tools=tools)
        walk_to(run, "1.1/1", ask.TakeTool)
        run.answer(a.TakeUp("w8"))
        walk_to(run, "2.1/1", ask.Align)
        run.answer(a.Slot("not"))
        return run

    def test_it_does_not_align_and_its_limit_was_not_checked(self) -> None:
        """Below 36 N·m would be a reading."""
        told = words(self.unread().prompt)

        assert "Propeller nut 1 does not align." == told.sentence
        assert "limit of 36 N·m not checked: no tool showed torque" in told.matters

    def test_a_tool_that_shows_torque_is_picked_up_and_it_is_tried_again(self) -> None:
        """From there it goes on as with that tool in hand all along."""
        run = self.unread()
        assert ["another tool", "new fastener", "another washer", "concession", "hold"] == choices(run)

        run.answer(a.Resolve("another tool"))
        assert "Pick up a tool that shows torque for propeller nut 1." == sentence(asked(run, ask.TakeTool))
        run.answer(a.TakeUp("w7"))
        run.answer(a.Zero("good"))
        assert W7 == asked(run, ask.Align).tool
        run.answer(a.Slot("turned"))
        value(run, "34")
        run.answer(a.Look("yes"))

        assert "within" == at(run, "1").outcome

    def test_below_its_limit_it_does_not_align_with_that_tool_either(self) -> None:
        """Now somebody has seen it, and no tool is asked for once more."""
        run = self.unread()
        run.answer(a.Resolve("another tool"))
        run.answer(a.TakeUp("w7"))
        run.answer(a.Zero("good"))

        run.answer(a.Slot("not"))

        assert "Propeller nut 1 does not align below 36 N·m." == sentence(run.prompt)
        assert ["new fastener", "another washer", "concession", "hold"] == choices(run)

    def test_a_book_without_such_a_tool_is_asked_for_none(self) -> None:
        """The slot is asked for again, so that nobody is stuck."""
        run = self.unread(tools=SETTING)

        run.answer(a.Resolve("another tool"))

        assert asked(run, ask.Align).tool is None

    def test_without_a_limit_there_is_nothing_to_check(self) -> None:
        """It does not align, and that is all."""
        run = self.unread(at_most=None)

        assert () == words(run.prompt).matters
        assert ["new fastener", "another washer", "concession", "hold"] == choices(run)


class TestAnotherWasher:
    """Where it does not align, a thicker or thinner washer turns the slot elsewhere: the nut stays the same."""

    @staticmethod
    def not_aligned(**more: Any) -> Bench:
        """A nut that meets no slot below its limit."""
        run = at_the_slot(group=bolts(1, "Propeller nuts", fastener="use again", **more))
        run.answer(a.Slot("not"))
        return run

    def test_nut_and_washer_are_two_ways(self) -> None:
        """Each is told as what it was."""
        ways = {each.value: each.text for each in keys(self.not_aligned().prompt).choices}

        assert ("Start over with another nut", "Start over with another washer") == (
            ways["new_fastener"],
            ways["another_washer"],
        )

    def test_with_another_washer_no_new_fastener_is_fitted(self) -> None:
        """It is loosened and looked at; its tightenings go on counting, and nobody says that a new one was fitted."""
        run = self.not_aligned()

        run.answer(a.Resolve("another washer", scope="fastener"))
        walk_to(run, "2.1/1", ask.Align)

        assert ["inspect"] == [each.work for each in events_of(run, e.Inspected)]
        assert (2, 2, None) == (
            at(run, "1").attempt,
            at(run, "1").tightenings,
            run.session.progress.fitted.get("1"),
        )

    def test_a_nut_that_had_all_its_tightenings_gets_no_other_washer_alone(self) -> None:
        """Loosened once it is done with."""
        assert ["new fastener", "concession", "hold"] == choices(self.not_aligned(tightenings_at_most=1))
