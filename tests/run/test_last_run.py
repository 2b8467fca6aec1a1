"""What was answered last time is offered for choosing, and never a reading."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small_joints import asked, bench_for, bolts, events_of, refused, tighten

from bench import W2, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import keys, sentence
from clampbook.run.gather.keys import can_be_typed
from clampbook.run.gather.parts import begin, next_part
from clampbook.run.last_run import LastRun, remembered

SERIAL = m.Ask(name="Serial number", answer="text", searched_as="equipment", required=True)
ORDER = m.Ask(name="Work order", answer="text", searched_as="order")
HOURS = m.Ask(name="Engine hours", answer="number", searched_as="usage", unit="h")
COUNTER = m.Ask(name="Counter", answer="text", searched_as="usage")
FUEL = m.Ask(name="Fuel", answer="choice", choices=("diesel", "petrol"))


def run_of(last: LastRun, *asks: m.Ask, **more: Any) -> Bench:
    """A run of one bolt that begins with these questions, after such a run before."""
    head = bolts(1)
    run = bench_for(head, tighten(head), asks=asks, **more)
    run.session = replace(run.session, last_run=last)
    return run


def begun_again(run: Bench, *asks: m.Ask, **more: Any) -> Bench:
    """The same work once more."""
    return run_of(remembered(tuple(run.events)), *asks, **more)


def typed(run: Bench, line: str) -> None:
    """A line that answers the question at hand by itself."""
    draft = begin(run.prompt, line)
    assert not isinstance(draft, a.Refused), draft
    answers = next_part(run.prompt, run.session, draft)
    assert isinstance(answers, tuple), answers
    for answer in answers:
        run.answer(answer)


class TestOffering:
    """One key takes it; anything else can be typed."""

    def test_plus_takes_what_was_answered_last_time(self) -> None:
        """The daybook holds it as it was typed then."""
        first = run_of(LastRun(), SERIAL)
        typed(first, "C 47")
        run = begun_again(first, SERIAL)
        told = (sentence(run.prompt), can_be_typed(keys(run.prompt)))
        typed(run, "+")

        assert ("Serial number? Last time: C 47.", "Type the answer, + for same, * for other actions.") == told
        assert ["C 47"] == [event.typed for event in events_of(run, e.Asked)]

    def test_another_answer_can_be_typed(self) -> None:
        """It is only an offer."""
        run = run_of(LastRun({"ask:Serial number": "C 47"}), SERIAL)
        typed(run, "C 48")

        assert ["C 48"] == [event.typed for event in events_of(run, e.Asked)]

    def test_nothing_is_taken_by_itself(self) -> None:
        """An empty line answers nothing, and what was left out last time is not left out again."""
        first = run_of(LastRun(), ORDER)
        typed(first, "-")

        again = asked(begun_again(first, ORDER), ask.StartSheet)
        offered = run_of(LastRun({"ask:Work order": "17"}), ORDER)

        assert again.last is None
        assert isinstance(begin(offered.prompt, ""), a.Refused)

    def test_a_corrected_answer_is_the_one_that_counts(self) -> None:
        """The mistyped one is not offered."""
        first = run_of(LastRun(), SERIAL, ORDER)
        typed(first, "C 74")
        first.answer(a.Correct("C 47", "from memory"))

        assert "C 47" == asked(begun_again(first, SERIAL), ask.StartSheet).last

    def test_a_thing_named_when_the_run_was_opened_is_offered_too(self) -> None:
        """It was not asked for then."""
        run = run_of(LastRun(equipment="C 47"), SERIAL)

        assert "C 47" == asked(run, ask.StartSheet).last

    def test_of_choices_it_is_only_told(self) -> None:
        """They have their own keys; one that is no choice any more is not told."""
        run, other = (run_of(LastRun({"ask:Fuel": fuel}), FUEL) for fuel in ("petrol", "coal"))

        assert ["Fuel? Last time: petrol.", "Fuel?"] == [sentence(each.prompt) for each in (run, other)]
        assert [("1", "diesel"), ("2", "petrol")] == [(c.key, c.text) for c in keys(run.prompt).choices][:2]


class TestNeverAReading:
    """What is read off, counted or looked at now must be read, counted and looked at."""

    @pytest.mark.parametrize(
        ("asks", "parts"),
        [
            ((HOURS,), ()),
            ((COUNTER,), ()),
            ((), (m.Part(name="Bolts", record="count"),)),
            ((), (m.Part(name="Pump", record="serial number"),)),
        ],
    )
    def test_it_is_not_offered(self, asks: tuple[m.Ask, ...], parts: tuple[m.Part, ...]) -> None:
        """Hours run on, parts are other ones."""
        last = LastRun({"ask:Engine hours": "120", "ask:Counter": "120", "part:Bolts": "10", "part:Pump": "P 3"})
        run = run_of(last, *asks, parts=parts)

        assert asked(run, ask.StartSheet).last is None
        assert "+" not in [choice.key for choice in keys(run.prompt).choices]

    def test_a_lot_may_be_the_same(self) -> None:
        """The tube stands on the shelf."""
        run = run_of(LastRun({"part:Sealant": "L 9"}), parts=(m.Part(name="Sealant", record="lot"),))
        typed(run, "+")

        assert ["L 9"] == [event.typed for event in events_of(run, e.PartRecorded)]

    def test_cautions_are_read_again(self) -> None:
        """They are no answer of last time."""
        run = run_of(LastRun({"cautions": "read"}), SERIAL, cautions=("Engine cold.",))

        assert "Press +" in refused(run.answer(a.Value("read")))


def test_tools_of_last_time_are_told_where_one_is_chosen() -> None:
    """Their order stays that of how well they fit."""
    head = bolts(1)
    first = bench_for(head, tighten(head), tools=(W5, W2))
    first.answer(a.TakeUp("w5"))
    run = bench_for(head, tighten(head), tools=(W5, W2))
    before = [choice.text for choice in keys(run.prompt).choices]
    run.session = replace(run.session, last_run=remembered(tuple(first.events)))

    after = [choice.text for choice in keys(run.prompt).choices]

    assert [text.replace(" · used last time", "") for text in after] == before
    assert ["W5"] == [text.partition(" · ")[0] for text in after if "used last time" in text]
