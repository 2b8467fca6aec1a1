"""Fasteners that are used once: before the work it is asked whether all are new, and nothing goes on with old ones."""

from __future__ import annotations

from typing import Any

import pytest
from small_joints import (
    amount,
    asked,
    bench_for,
    bolts,
    choices,
    events_of,
    loosen,
    procedure,
    recheck,
    refused,
    stored,
    tighten,
)

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence, words
from clampbook.run.lines import stored as acknowledged
from clampbook.run.plan import decode, encode
from clampbook.run.planning import plan

ONCE: dict[str, Any] = {"fastener": "new every time"}


def run_of(group: m.Group | None = None, **more: Any) -> Bench:
    """Three head bolts that are used once, tightened."""
    head = group or bolts(3, **ONCE)
    return bench_for(head, tighten(head), **more)


def asked_items(run: Bench) -> list[str]:
    """The items of the start checklist, each answered well."""
    items = []
    while isinstance(run.prompt, ask.StartSheet):
        items.append(run.prompt.item)
        run.answer(run.steady())
    return items


class TestAsked:
    """Once for each group, and only where something is fitted."""

    def test_it_is_asked_once_with_its_reason(self) -> None:
        """And help tells what one-use means."""
        run = run_of()

        assert "Head bolts: all new? They are one-use." == sentence(run.prompt)
        assert ("one-use",) == words(run.prompt).terms
        assert ["new:Head bolts"] == asked_items(run)

    def test_each_group_is_asked_about(self) -> None:
        """Cap bolts are used once as well; side screws are used again."""
        groups = (bolts(2, **ONCE), bolts(2, "Cap bolts", 3, **ONCE), bolts(2, "Side screws", 5))

        run = bench_for(groups, *(tighten(group, number) for number, group in enumerate(groups, 1)))

        assert ["new:Head bolts", "new:Cap bolts"] == asked_items(run)

    @pytest.mark.parametrize("fastener", ["use again", "use again if measured"])
    def test_others_are_not_asked_about(self, fastener: str) -> None:
        """They may be used again."""
        assert [] == asked_items(run_of(bolts(3, fastener=fastener)))

    def test_a_recheck_fits_nothing(self) -> None:
        """What is only rechecked or loosened stays as it was fitted."""
        head = bolts(2, **ONCE)

        assert [] == asked_items(bench_for(head, recheck(head, 1), loosen(head, 2)))

    def test_a_follow_up_fits_nothing(self) -> None:
        """Not even where it tightens on."""
        head = bolts(2, **ONCE)
        later = m.FollowUp(title="Later", after=amount("1", "d"), or_use=None, stages=(tighten(head),))

        assert not plan(procedure((head,), (tighten(head),), follow_ups=(later,)), "x", follow_up="Later").asked_new

    def test_plans_without_such_a_group_say_nothing_of_it(self) -> None:
        """So that what was frozen before stays as it is, byte for byte."""
        once, again = bolts(2, **ONCE), bolts(2)

        assert b"asked_new" not in encode(plan(procedure((again,), (tighten(again),)), "x"))
        frozen = encode(plan(procedure((once,), (tighten(once),)), "x"))
        assert ("Head bolts",) == decode(frozen).asked_new


class TestAskedOtherwise:
    """Nobody is asked twice."""

    def test_where_they_are_counted_the_new_ones_are(self) -> None:
        """One question, and no key more."""
        run = run_of(parts=(m.Part(name="Head bolts", record="count", needed=3),))

        assert "Head bolts: how many new ones? They are one-use." == sentence(run.prompt)
        assert ["part:Head bolts"] == asked_items(run)

    def test_as_many_washers_are_no_bolts(self) -> None:
        """They are counted, new or not, and the bolts are asked about."""
        run = run_of(parts=(m.Part(name="Washers", record="count", needed=3),))

        assert "Washers: how many?" == sentence(run.prompt)
        assert ["part:Washers", "new:Head bolts"] == asked_items(run)

    def test_where_what_is_prepared_says_so(self) -> None:
        """New bolts are laid out, and that is answered for."""
        run = run_of(bolts(3, prepare=("Three new bolts laid out.", "Holes dry."), **ONCE))

        assert ["prepare:Head bolts"] == asked_items(run)

    def test_a_new_gasket_is_no_new_bolt(self) -> None:
        """What is prepared says nothing of the bolts."""
        run = run_of(bolts(3, prepare=("New gasket on clean faces.",), **ONCE))

        assert ["new:Head bolts", "prepare:Head bolts"] == asked_items(run)

    @pytest.mark.parametrize(("required", "asks"), [(True, False), (False, True)])
    def test_where_the_procedure_asks_it_itself(self, required: bool, asks: bool) -> None:
        """Only a yes that cannot be left out says the same."""
        own = m.Ask(name="All head bolts new?", answer="yes", required=required)

        assert asks is ("new:Head bolts" in asked_items(run_of(asks=(own,))))


class TestNotNew:
    """A no is a stop: nobody is led to an old one."""

    def not_new(self) -> Bench:
        """Somebody says no."""
        run = run_of()
        stored(run.answer(a.Value("no")), e.Asked)
        return run

    def test_it_stops_and_offers_no_old_one(self) -> None:
        """New ones, hold, or the end."""
        run = self.not_new()

        assert "Head bolts: not all new. Never reuse one-use fasteners." == sentence(asked(run, ask.Decide))
        assert ["ask again", "hold", "abandon"] == choices(run)

    def test_a_yes_that_was_a_slip_is_corrected_in_the_same_words(self) -> None:
        """The answer is no number: "now no" says nothing."""
        run = run_of()
        run.answer(a.Value("yes"))

        right = stored(run.answer(a.Correct("no", "from a second look")), e.Corrected)

        assert "Corrected: head bolts, not all new." == acknowledged(right, run.plan, run.tools)

    def test_once_new_ones_are_here_it_is_asked_again(self) -> None:
        """And the work begins with a yes."""
        run = self.not_new()
        run.answer(a.Resolve("ask again"))

        assert "new:Head bolts" == asked(run, ask.StartSheet).item
        run.answer(a.Value("yes"))
        assert isinstance(run.prompt, ask.TakeTool)

    def test_on_hold_it_is_still_asked_when_the_run_goes_on(self) -> None:
        """A night later they are not new by themselves."""
        run = self.not_new()
        run.answer(a.Hold("waiting for a part"))
        run.resume(40_000)

        assert "not new" == asked(run, ask.Decide).cause

    def test_neither_a_plus_nor_another_word_is_an_answer(self) -> None:
        """What is looked at is answered, not passed by."""
        run = run_of()

        assert "Choose 1 or 2." == refused(run.answer(a.Plus()))
        assert "Choose 1 or 2." == refused(run.answer(a.Value("maybe")))

    @pytest.mark.parametrize(("typed", "stops"), [("no", True), ("yes", False)])
    def test_put_right_it_is_a_stop_as_well(self, typed: str, stops: bool) -> None:
        """Yes was pressed too soon."""
        run = run_of()
        run.answer(a.Value("yes"))
        stored(run.answer(a.Correct(typed, "from a second look")), e.Corrected)

        assert stops is isinstance(run.prompt, ask.Decide)

    def test_too_few_new_ones_are_no_reason_to_go_on(self) -> None:
        """Two new ones for three holes: put right, counted again, hold, or the end."""
        run = run_of(parts=(m.Part(name="Head bolts", record="count", needed=3),))
        run.answer(a.Value("2"))

        assert "Head bolts: 2 of 3 needed. Never reuse one-use fasteners." == sentence(asked(run, ask.Decide))
        assert ["correct", "ask again", "hold", "abandon"] == choices(run)
        assert [3] == [each.needed for each in events_of(run, e.PartRecorded)]
