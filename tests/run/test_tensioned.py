"""What is measured at a fastener before any pull: an overpulled stud is let down and tensioned again, and a bolt that
is too long is replaced."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    asked,
    bench_for,
    bolts,
    choices,
    inspect,
    loosen,
    measure,
    stored,
    tighten,
    value,
    walk_to,
    window,
)

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import keys, sentence
from clampbook.run.lines import stored as acknowledged
from clampbook.run.recount import recounted


def tensioned(*bar: str) -> Bench:
    """Three studs at 300 to 320 bar each, then a look; with these pressures read so far."""
    group = bolts(3, "Studs")
    limits = window("300", "320", "bar")
    pressure = measure(1, group, what="Tensioner", unit="bar", window=limits, asked="each", tensions=True)
    run = bench_for(group, pressure, inspect(2))
    for each in bar:
        value(run, each)
    return run


class TestTensioner:
    """No spanner is on the stud: its pressure is let down."""

    def test_too_much_pressure_is_let_down(self) -> None:
        """335 bar of at most 320: measuring again would only read it again."""
        run = tensioned("310", "335")

        now = asked(run, ask.Decide)
        ways = {each.choice: each.text for each in now.choices}

        assert [
            "measure again",
            "from the beginning",
            "new fastener",
            "correct",
            "concession",
            "hold",
        ] == list(ways)
        assert "Start over: let down, inspect, repeat every stage" == ways["from the beginning"]
        assert "Start over with a new stud" == ways["new fastener"]
        assert "lets down 1 stud" == now.choices[1].costs

    @pytest.mark.parametrize(("bar", "says"), [("285", "Pump up and read again"), ("335", "Measure again")])
    def test_too_little_pressure_is_pumped_up_and_read_again(self, bar: str, says: str) -> None:
        """Under 300 bar there is more to pump; over 320 nothing is taken back by it."""
        run = tensioned("310", bar)
        (again,) = (each for each in asked(run, ask.Decide).choices if each.choice == "measure again")
        assert says == again.text

        run.answer(a.Resolve("measure again"))
        value(run, "305")
        assert "1.1/3" == asked(run, ask.Measure).where.id
        assert [] == list(recounted(run.plan, run.events))

    def test_let_down_looked_at_and_tensioned_again(self) -> None:
        """Stud 1 stays as it is."""
        run = tensioned("310", "335")
        run.answer(a.Resolve("from the beginning", scope="fastener"))

        down = asked(run, ask.Loosen)
        assert "Stud 2: let its pressure down fully, with the tensioner." == sentence(down)
        assert [("+", "let down", "let_down")] == [(each.key, each.text, each.value) for each in keys(down).choices]
        line = stored(run.answer(a.Plus()), e.Loosened)
        assert (True, True) == (line.work, line.let_down)
        assert "Let down ○: stud 2." == acknowledged(line, run.plan)
        assert "inspect" == asked(run, ask.Inspect).work
        run.answer(a.Look("yes"))
        assert ("1.1/2", 2) == (asked(run, ask.Measure).where.id, asked(run, ask.Measure).where.attempt)
        value(run, "312")
        assert "1.1/3" == asked(run, ask.Measure).where.id
        run.steadily()
        assert [] == list(recounted(run.plan, run.events))

    def test_a_new_stud_is_fitted_once_the_old_one_is_let_down(self) -> None:
        """Where the old one may have given."""
        run = tensioned("335")
        run.answer(a.Resolve("new fastener", scope="fastener"))

        assert asked(run, ask.Loosen).let_down
        run.answer(a.Plus())
        assert "new fastener" == asked(run, ask.Inspect).work

    def test_all_of_the_group_are_let_down_last_to_first(self) -> None:
        """Those that have no pressure yet are left alone."""
        run = tensioned("310", "335")
        run.answer(a.Resolve("from the beginning", scope="group"))

        run.answer(a.Plus())
        assert "1" == asked(run, ask.Loosen).position
        run.answer(a.Plus())
        assert ["2", "1"] == [each.position for each in run.events if isinstance(each, e.Loosened)]
        assert isinstance(run.prompt, ask.Inspect)

    def test_what_a_wrench_seated_as_well_is_loosened_too(self) -> None:
        """Its nut was pulled before the pressure came on."""
        group = bolts(2, "Studs")
        limits = window("300", "320", "bar")
        pressure = measure(2, group, what="Tensioner", unit="bar", window=limits, asked="each", tensions=True)
        run = bench_for(group, tighten(group), pressure)
        walk_to(run, "2.1/1", ask.Measure)
        value(run, "335")
        run.answer(a.Resolve("from the beginning", scope="fastener"))

        assert asked(run, ask.Loosen).let_down
        run.answer(a.Plus())
        assert "Stud 1: loosen fully, without a torque tool." == sentence(asked(run, ask.Loosen))

    def test_the_choice_of_a_stage_says_that_its_pressure_is_let_down(self) -> None:
        """Before the nuts that a wrench seated are loosened."""
        group = bolts(2, "Studs")
        limits = window("300", "320", "bar")
        pressure = measure(2, group, what="Tensioner", unit="bar", window=limits, asked="each", tensions=True)
        run = bench_for(group, tighten(group), pressure, measure(3))
        walk_to(run, "2.1/1", ask.Measure)
        for typed in ("310", "312", "0.40"):
            value(run, typed)

        offered = next(way for way in asked(run, ask.Decide).choices if way.choice == "go back")

        told = "let the pressure of 1, 2 down fully, loosen 1, 2 fully"
        assert f"Stage 1: tighten, Studs ({told})" == dict(offered.back_to)[1]

    def test_pumped_up_again_it_is_no_longer_loose(self) -> None:
        """Let down and started over, stud 1 was pumped to 312 bar: the procedure's own loosening is done on it."""
        group = bolts(1, "Studs")
        first = measure(
            1, group, what="First", unit="bar", window=window("300", "320", "bar"), asked="each", tensions=True
        )
        last = measure(
            3, group, what="Second", unit="bar", window=window("450", "480", "bar"), asked="each", tensions=True
        )
        run = bench_for(group, first, loosen(group, 2, by=Decimal(30)), last)
        value(run, "310")
        assert "Stud 1: loosen 30°, without a torque tool." == sentence(asked(run, ask.Loosen))
        run.answer(a.Plus())
        value(run, "495")
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Measure)
        value(run, "312")

        assert ("2.1/1", False) == (asked(run, ask.Loosen).where.id, asked(run, ask.Loosen).already)
        assert "Stud 1: loosen 30°, without a torque tool." == sentence(run.prompt)
        run.steadily()
        assert [] == list(recounted(run.plan, run.events))

    def test_a_line_of_a_spanner_says_nothing_of_it(self) -> None:
        """Old daybooks stay as they are."""
        group = bolts(2)
        run = bench_for(group, tighten(group))
        walk_to(run, "1.1/1", ask.Tighten)
        value(run, "40")
        run.answer(a.Resolve("from the beginning", scope="fastener"))

        assert "let_down" not in e.fields(stored(run.answer(a.Plus()), e.Loosened))


class TestLength:
    """A bolt whose free length is out of its limit is not used: a new one is."""

    def measured(self, text: str, fastener: m.FastenerUse) -> Bench:
        """Cap bolt 1 of two, 94.80 to 95.60 mm, was measured."""
        caps = bolts(2, "Cap bolts", fastener=fastener)
        free = measure(1, caps, id="free", what="Free length", window=window("94.80", "95.60", "mm"), asked="each")
        run = bench_for(caps, free, tighten(caps, 2))
        value(run, text)
        return run

    @pytest.mark.parametrize("fastener", ["use again", "use again if measured"])
    def test_a_new_one_is_offered(self, fastener: m.FastenerUse) -> None:
        """Nothing was pulled yet, so there is nothing to start over with."""
        run = self.measured("95.90", fastener)

        assert ["measure again", "new fastener", "correct", "concession", "hold"] == choices(run)
        assert "Start over with a new cap bolt" == asked(run, ask.Decide).choices[1].text

    def test_the_new_one_is_measured(self) -> None:
        """Nothing is loosened: the old one was in no hole."""
        run = self.measured("95.90", "use again if measured")
        run.answer(a.Resolve("new fastener", scope="fastener"))

        assert "new fastener" == asked(run, ask.Inspect).work
        run.answer(a.Look("yes"))
        assert "1.1/1" == asked(run, ask.Measure).where.id
        value(run, "95.20")
        assert "1.1/2" == asked(run, ask.Measure).where.id
        run.steadily()
        assert [] == list(recounted(run.plan, run.events))

    def test_after_a_pull_it_is_not_the_bolts_own_length(self) -> None:
        """What is measured then is what the pull made of it."""
        caps = bolts(2, "Cap bolts")
        gap = measure(2, caps, what="Gap", window=window("0.10", "0.25", "mm"), asked="each")
        run = bench_for(caps, tighten(caps), gap)
        walk_to(run, "2.1/1", ask.Measure)
        value(run, "0.30")

        assert "new fastener" not in choices(run)


def test_a_pressure_that_is_only_measured_tensions_nothing() -> None:
    """The compression of a cylinder, read at its plug: no tensioner is there to let down."""
    plugs = bolts(2, "Spark plugs")
    run = bench_for(
        plugs, measure(1, plugs, what="Compression", unit="bar", window=window("9", "12", "bar"), asked="each")
    )
    value(run, "8.0 bar")

    assert all("let down" not in each.text for each in asked(run, ask.Decide).choices)
