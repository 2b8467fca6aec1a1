"""What was typed wrong from a paper form is taken back: asked again, and as little done as if it had not been typed."""

from __future__ import annotations

import random
import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from invented import procedures
from msgspec.structs import replace
from typed_forms import EXAMPLES, Form

from bench import INES, TOMAS
from clampbook.demo import samples
from clampbook.procedure.model import Procedure
from clampbook.procedure.reader import read_file
from clampbook.record.record import build, disagreement
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Answer, Refused, Unsure
from clampbook.run.fold.apply import fold
from clampbook.run.fold.taking_back import as_they_stand
from clampbook.run.in_hand.pulls_made import pulls
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from clampbook.run.recount import recounted
from walks import frozen


def flange(until: type[Any]) -> Form:
    """The form of the coupling flange, typed in until this is asked."""
    path = next(path for path in samples() if path.stem == "whinchat-coupling-flange")
    form = Form(plan(read_file(path)[0], "invented", late=True))
    for _ in range(200):
        if isinstance(form.prompt, until):
            return form
        form.answer(form.steady())
    raise AssertionError(form.prompt)


def typed(form: Form, answer: Answer) -> e.Event:
    """The line of an answer."""
    outcome = form.answer(answer)
    assert isinstance(outcome, Accepted), outcome
    return form.events[-1]


def record(form: Form) -> dict[str, Any]:
    """Its record."""
    return tomllib.loads(build(*frozen(form)).decode())


class TestSlips:
    """One slip each."""

    def test_a_blank_is_the_last_answer_and_its_row_is_asked_again(self) -> None:
        """Nothing of it departs."""
        form = flange(ask.Tighten)
        asked, before = form.prompt, form.session.progress.deviations
        typed(form, a.Blank())
        assert form.prompt != asked

        typed(form, a.TakeBack())

        assert form.prompt == asked
        assert form.session.progress.deviations == before
        wrong = [row for row in record(form)["note"] if "typed_wrong" in row]
        assert ["left_blank"] == [row["typed_wrong"] for row in wrong]

    def test_a_time_that_was_too_late_gives_way_to_the_earlier_one(self) -> None:
        """9:40 was typed for 9:30: the next time may be 9:30, and no clock was set back."""
        form = flange(ask.Tighten)
        at = form.session.progress.at
        late = typed(form, a.PaperTime("23:40"))
        assert isinstance(form.answer(a.PaperTime("23:30")), Refused)

        taken = typed(form, a.TakeBack())
        right = typed(form, a.PaperTime("23:30"))

        assert at == taken.at < right.at < late.at
        assert "clock set back" not in str(record(form))

    def test_an_earlier_time_beside_a_later_row_stands_there_out_of_order(self) -> None:
        """The time of the lines does not fall; the record tells what stands on the form."""
        form = flange(ask.Tighten)
        typed(form, a.PaperTime("23:40"))
        told = typed(form, a.PaperTime("23:30", out_of_order=True))

        assert form.events[-2].at == told.at
        assert "Out of order: 23:30 stands beside coupling bolt 1." == stored(told, form.plan)
        assert ["1"] == [row["position"] for row in record(form)["deviation"] if "out of order" in str(row["departed"])]
        assert isinstance(form.answer(a.PaperTime("23:50", out_of_order=True)), Refused)
        departed = [each for row in record(form)["deviation"] for each in row["departed"]]
        assert ["23:30"] == [each["stands"][11:16] for each in departed if each["kind"] == "time out of order"]

    def test_a_person_who_was_picked_by_mistake_is_not_under_people(self) -> None:
        """Corrected at once."""
        form = flange(ask.Tighten)
        typed(form, a.PaperTime(None, TOMAS))
        typed(form, a.TakeBack())

        assert "Tomas" not in [row["name"] for row in record(form)["person"]]

    def test_nothing_is_taken_back_across_a_break(self) -> None:
        """What was typed before it was looked at then."""
        form = flange(ask.Tighten)
        typed(form, a.PaperTime(None, INES))
        form.answer(a.Pause())
        opened = replace(form.session.progress, stopped=None)

        assert 0 == len(opened.past)


class TestAnyForm:
    """Random procedures and answers."""

    @EXAMPLES
    @given(procedure=procedures(), seed=st.integers(0, 10_000))
    def test_each_answer_taken_back_leaves_the_run_as_if_it_had_not_been_typed(
        self, procedure: Procedure, seed: int
    ) -> None:
        """Typed wrong and taken back every now and then, a run comes to the same as its lines that stand."""
        form = Slips(plan(procedure, "invented", late=True))
        form.types(random.Random(seed), 0.2, 0.2)

        stands = fold(form.plan, list(as_they_stand(form.events)))
        assert replace(form.session.progress, past=()) == replace(stands, past=())
        assert [] == list(recounted(form.plan, form.events))
        assert disagreement(build(*frozen(form))) is None


class Slips(Form):
    """A form that is typed in by somebody who takes every third answer back once."""

    def answer(self, answer: Answer) -> Any:
        """Answer; and, of every third one, take it back and give it again."""
        outcome = super().answer(answer)
        if len(self.events) % 3 == 0 and isinstance(outcome, Accepted) and self.session.progress.past:
            if isinstance(self.prompt, ask.Ended):
                return outcome
            assert isinstance(super().answer(a.TakeBack()), Accepted)
            outcome = super().answer(answer)
            return super().answer(self.steady()) if isinstance(outcome, Unsure) else outcome
        return outcome


def test_a_pull_that_was_typed_wrong_is_none_of_its_tool() -> None:
    """Bolt 1 was typed twice, and pulled once."""
    form = flange(ask.Tighten)
    typed(form, form.steady())
    typed(form, a.TakeBack())
    typed(form, form.steady())

    ((_, days),) = pulls(form.plan, form.events).items()
    assert [1] == list(days.values())


def test_a_number_that_is_put_right_after_a_break_is_no_deviation() -> None:
    """It was typed wrong from the form and never pulled: it stands in the record as corrected, no more."""
    form = flange(ask.Tighten)
    for _ in range(100):
        if isinstance(form.prompt, ask.Tighten) and form.prompt.reading:
            break
        answer = a.TakeUp("w5") if isinstance(form.prompt, ask.TakeTool) else form.steady()
        form.answer(answer)
    right = form.steady()
    assert isinstance(right, a.Value)
    typed(form, a.Value("70 lbf·ft"))
    asked = form.prompt
    assert isinstance(asked, ask.Decide)
    line = asked.about
    typed(form, a.Correct(right.text, "it stands on the form", line))

    found = record(form)
    assert ["corrected"] == [row["standing"] for row in found["reading"] if row["line"] == line]
    assert not [row for row in found.get("deviation", ()) if row["line"] >= line]
