"""The start sheet looks like one form, but each item is an answer and a line of its own."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import asked, bench_for, bolts, events_of, refused, stored, tighten

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import words


def run_of(**more: Any) -> Bench:
    """A run of one bolt with these things asked before it."""
    head = bolts(1, prepare=more.pop("prepare", ()))
    return bench_for(head, tighten(head), **more)


def question(answer: str = "text", **more: Any) -> m.Ask:
    """Something the record wants to know."""
    return m.Ask(**{"name": "Serial number", "answer": answer, "required": True, **more})


class TestOrder:
    """Cautions, questions, parts, preparation, and only then a tool."""

    def test_all_items_come_before_the_first_tool(self) -> None:
        """In this order."""
        run = run_of(
            cautions=("Engine cold.",),
            asks=(question(),),
            parts=(m.Part(name="Gasket", record="lot"),),
            prepare=("Holes dry and clean.",),
        )
        items = []
        while isinstance(run.prompt, ask.StartSheet):
            items.append(run.prompt.item)
            run.answer(run.steady())

        assert ["cautions", "ask:Serial number", "part:Gasket", "prepare:Head bolts"] == items
        assert isinstance(run.prompt, ask.TakeTool)

    def test_each_is_a_line_of_its_own(self) -> None:
        """A kill in the middle loses none that was answered."""
        run = run_of(cautions=("Engine cold.",), asks=(question(),))
        run.answer(a.Plus())

        run.resume()

        assert "ask:Serial number" == asked(run, ask.StartSheet).item

    def test_what_is_asked_at_the_end_comes_after_the_last_step(self) -> None:
        """Left-over parts are counted: out is in."""
        run = run_of(parts=(m.Part(name="Washers", record="count", needed=10, left_over=True),))
        run.answer(a.Value("10"))
        run.steadily(until=ask.StartSheet)

        assert ("left over:Washers", "end") == (asked(run, ask.StartSheet).item, asked(run, ask.StartSheet).when)
        assert "0" == stored(run.answer(a.Value("0")), e.PartRecorded).value

    def test_a_tool_cannot_be_taken_before(self) -> None:
        """The sheet comes first."""
        assert "No tool is needed here" in refused(run_of(asks=(question(),)).answer(a.TakeUp("w7")))


class TestQuestions:
    """Text, number with limits, choice, yes."""

    def test_a_required_one_is_not_left_out(self) -> None:
        """The record needs it."""
        assert "the record needs an answer" in refused(run_of(asks=(question(),)).answer(a.LeaveOut()))

    def test_another_can_be_left_out_on_purpose(self) -> None:
        """Which is a line too."""
        run = run_of(asks=(question(required=False),))

        assert None is stored(run.answer(a.LeaveOut()), e.Asked).typed

    def test_nothing_typed_is_no_answer(self) -> None:
        """An empty Enter passes nothing."""
        assert "nothing typed" in refused(run_of(asks=(question(),)).answer(a.Value("  ")))

    @pytest.mark.parametrize(("typed", "value", "unit"), [("1234", "1234", None), ("1234 h", "1234", "h")])
    def test_a_meter_without_a_unit_is_typed_with_the_one_it_shows(
        self, typed: str, value: str, unit: str | None
    ) -> None:
        """Or without; words are no number."""
        run = run_of(asks=(question("number", name="Engine hours", searched_as="usage"),))
        assert "number" in refused(run.answer(a.Value("about 1300")))

        event = stored(run.answer(a.Value(typed)), e.Asked)

        assert (typed, value, unit) == (event.typed, event.value, event.unit)

    @pytest.mark.parametrize("typed", ["2000", "2000 rpm"])
    def test_a_unit_of_the_sheets_own_is_taken_as_it_is_written(self, typed: str) -> None:
        """Nothing converts it."""
        run = run_of(asks=(question("number", name="Speed", unit="rpm", high=Decimal(2400)),))
        assert "outside its limits" in refused(run.answer(a.Value("2500")))

        event = stored(run.answer(a.Value(typed)), e.Asked)

        assert (typed, "2000", "rpm") == (event.typed, event.value, event.unit)

    @pytest.mark.parametrize(("unit", "told"), [(None, "limits: at most 4"), ("rpm", "limits: at most 4 rpm")])
    def test_limits_are_told_without_a_unit_and_in_one_of_the_sheets_own(self, unit: str | None, told: str) -> None:
        """They stand under the question."""
        run = run_of(asks=(question("number", unit=unit, high=Decimal(4)),))

        assert told in words(run.prompt).matters

    @pytest.mark.parametrize(("typed", "allowed"), [("18", True), ("18 °C", True), ("31", False), ("warm", False)])
    def test_a_number_keeps_its_limits(self, typed: str, allowed: bool) -> None:
        """Engine cold, below 30 °C."""
        degrees = question("number", name="Temperature", unit="°C", low=Decimal(0), high=Decimal(30))
        run = run_of(asks=(degrees,))

        outcome = run.answer(a.Value(typed))

        if allowed:
            assert "18" == stored(outcome, e.Asked).value
        else:
            assert len(refused(outcome)) > 10

    @pytest.mark.parametrize(("typed", "value"), [("2", "reused"), ("NEW", "new"), ("old", None)])
    def test_a_choice_is_taken_by_number_or_by_word(self, typed: str, value: str | None) -> None:
        """And nothing else."""
        run = run_of(asks=(question("choice", name="Bolts", choices=("new", "reused")),))

        outcome = run.answer(a.Value(typed))

        if value is None:
            assert "Choose new, reused." in refused(outcome)
        else:
            assert value == stored(outcome, e.Asked).value

    def test_only_yes_goes_on_from_a_yes(self) -> None:
        """A no is a reason to hold, not an answer to walk past."""
        run = run_of(asks=(question("yes", name="Battery disconnected?"),))

        assert "Choose 1 for yes" in refused(run.answer(a.Value("no")))
        assert "yes" == stored(run.answer(a.Plus()), e.Asked).value

    def test_cautions_are_kept_as_they_were_read(self) -> None:
        """The lines themselves stand in the daybook."""
        run = run_of(cautions=("Engine cold.", "Eye protection on."))
        run.answer(a.Plus())

        assert [("Engine cold.", "Eye protection on.")] == [each.cautions for each in events_of(run, e.CautionsRead)]

    def test_a_count_is_a_whole_number(self) -> None:
        """Ten and a half washers are none."""
        run = run_of(parts=(m.Part(name="Washers", record="count"),))

        assert "whole number" in refused(run.answer(a.Value("10.5")))


class TestThingWorkedOn:
    """What the run is about, so that whoever looks at it sees it."""

    def test_it_is_what_was_answered(self) -> None:
        """Its serial number, put right where it was mistyped."""
        run = run_of(asks=(question(searched_as="equipment"), question(name="Work order", required=False)))
        run.answer(a.Value("C 47"))
        before = run.session.progress.worked_on
        run.answer(a.Correct("C 48", "from memory"))

        assert ("C 47", "C 48") == (before, run.session.progress.worked_on)

    def test_other_answers_are_not_what_is_worked_on(self) -> None:
        """A work order names the work."""
        run = run_of(asks=(question(searched_as="order"),))
        run.answer(a.Value("17"))

        assert run.session.progress.worked_on is None
