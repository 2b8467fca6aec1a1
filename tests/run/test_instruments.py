"""What measures is a tool: asked for once a stage, named in the line, and its scale held against what is typed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import (
    W7,
    asked,
    bench_for,
    bolts,
    measure,
    refused,
    stored,
    tighten,
    unusual,
    value,
    walk_to,
    window,
)

from bench import G1, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import words
from clampbook.run.fold.apply import apply, begin
from clampbook.run.gather.draft import Draft
from clampbook.run.gather.parts import next_part
from clampbook.run.lines import stored as acknowledged
from clampbook.run.recount import recounted
from clampbook.run.session import Session
from clampbook.tools.against import AnotherBefore
from clampbook.tools.model import Tool
from clampbook.units import Quantity
from instruments import D1, F1, P1, instrument

M1 = instrument("M1", "micrometer", "mm", "75", "100", "0.001")
M2 = instrument("M2", "micrometer", "in", "3", "4", "0.00005")
M3 = replace(M1, id="m3", name="M3")


def by_stretch(*instruments: Tool) -> Bench:
    """Two cap bolts: their free length, a pull to 0.14 to 0.18 mm of stretch each, and the end play."""
    caps = bolts(2, "Cap bolts")
    stretch = m.Stretch(window=window("0.14", "0.18", "mm"), minus="free", never_above=_TORQUE)
    free = measure(1, caps, id="free", what="Free length", window=window("94.80", "95.60", "mm"), asked="each")
    pull = tighten(caps, 2, target=Decimal(40), window=window(None, "60"), stretch=stretch)
    return bench_for(caps, free, pull, measure(3), tools=(W7, *instruments))


_TORQUE = Quantity(Decimal(60), "N·m")


def take(run: Bench, tool: str, reason: str | None = None) -> e.ToolTaken:
    """Pick one up."""
    return stored(run.answer(a.TakeUp(tool, reason)), e.ToolTaken)


class TestAskedFor:
    """The instrument is asked for before its first reading of a stage."""

    def test_by_its_kind_where_only_one_kind_can_do_it(self) -> None:
        """A dial gauge ends at 10 mm."""
        now = asked(by_stretch(D1, M1), ask.TakeTool)

        assert "Pick up a micrometer for cap bolt 1's free length." == words(now).sentence
        assert ["m1", "not-listed", "d1"] == [offer.tool.id for offer in now.offers]
        assert "D1: ends at 10 mm" == now.offers[-1].cannot

    def test_once_a_stage(self) -> None:
        """Then it serves every bolt of it."""
        run = by_stretch(M1)
        take(run, "m1")

        first = asked(run, ask.Measure)
        value(run, "95.20")
        second = asked(run, ask.Measure)

        assert "Cap bolt 1: measure its free length with M1. Type it in mm." == words(first).sentence
        assert "Cap bolt 2: measure its free length with M1. Type it in mm." == words(second).sentence

    def test_at_a_gate(self) -> None:
        """Feeler gauges are too coarse for 0.15 mm, so another kind can do it too."""
        run = by_stretch(M1, D1, F1)
        now = walk_to(run, "3.1/-", ask.TakeTool)

        assert "Pick up a measuring tool for end play." == words(now).sentence
        take(run, "d1")
        assert "End play: measure with D1, then type it in mm." == words(asked(run, ask.Measure)).sentence

    def test_a_pressure_is_read_off_its_gauge(self) -> None:
        """Of a hydraulic tensioner that is to stand at 300 to 320 bar."""
        studs = bolts(2)
        limits = m.Window(low=Decimal(300), high=Decimal(320), unit="bar")
        run = bench_for(studs, measure(1, what="Tensioner", unit="bar", window=limits), tools=(W7, P1, M1))

        assert "Pick up a pressure gauge for tensioner." == words(asked(run, ask.TakeTool)).sentence
        take(run, "p1")
        assert "Tensioner: read its pressure off P1. Type it in bar." == words(asked(run, ask.Measure)).sentence

    def test_an_angle_gauge_measures_angles_too(self) -> None:
        """A play of at most 12°, on a gauge in whole degrees."""
        play = measure(1, what="Play of the lever", unit="°", window=window(None, "12", "°"))
        run = bench_for(bolts(2), play, tools=(W7, G1, M1))

        assert "Pick up an angle gauge for play of the lever." == words(asked(run, ask.TakeTool)).sentence
        take(run, "g1")
        assert "g1" == stored(value(run, "8"), e.Measured).tool

    def test_a_stretch_asks_for_its_own(self) -> None:
        """The pull has a torque tool, the length that follows has a micrometer."""
        run = by_stretch(M1)
        walk_to(run, "2.1/1", ask.Tighten)
        stored(run.answer(a.Value("40")), e.ReadingTaken)

        assert "Pick up a micrometer for cap bolt 1's length." == words(asked(run, ask.TakeTool)).sentence
        take(run, "m1")
        assert "Cap bolt 1: measure its length with M1. Type it in mm." == words(asked(run, ask.Measure)).sentence

    def test_not_where_the_book_has_none(self) -> None:
        """Then the walk asks for the value as it always did."""
        run = by_stretch(P1)

        assert "Cap bolt 1: measure its free length. Type it in mm." == words(asked(run, ask.Measure)).sentence
        assert stored(value(run, "95.20"), e.Measured).tool is None

    def test_what_does_not_suit_needs_a_reason(self) -> None:
        """Leaves of 0.05 mm for a window of 0.15 mm."""
        run = by_stretch(F1, D1)
        walk_to(run, "3.1/-", ask.TakeTool)

        assert "scale lines 0.05 mm apart" in refused(run.answer(a.TakeUp("f1")))
        assert "too coarse here" == take(run, "f1", "too coarse here").reason

    def test_another_can_be_taken_in_the_middle(self) -> None:
        """As with torque tools."""
        run = by_stretch(M1, M2)
        take(run, "m1")
        value(run, "95.20")

        take(run, "m2")

        assert (
            "Cap bolt 2: measure its free length with M2. Type it in inches." == words(asked(run, ask.Measure)).sentence
        )


class TestWrittenDown:
    """Which one it was stands in the line."""

    def test_the_line_names_it(self) -> None:
        """With its id, as a reading of a torque tool has it."""
        run = by_stretch(M1)
        take(run, "m1")

        assert "m1" == stored(value(run, "95.20"), e.Measured).tool

    def test_another_one_is_not_known(self) -> None:
        """What is not in tools.toml has no name that anybody could look up."""
        run = by_stretch(M1)
        taken = stored(run.answer(a.TakeUp("not-listed")), e.ToolTaken)

        assert "not known" in acknowledged(taken, run.plan, run.tools)
        assert "Cap bolt 1: measure its free length. Type it in mm." == words(asked(run, ask.Measure)).sentence
        assert stored(value(run, "95.20"), e.Measured).tool is None
        assert isinstance(run.prompt, ask.Measure)

    def test_another_one_is_nothing_to_put_away(self) -> None:
        """Nobody holds it for us."""
        run = by_stretch(M1)
        while not isinstance(run.prompt, ask.ReturnTool):
            now = run.prompt
            run.answer(
                a.TakeUp("not-listed") if isinstance(now, ask.TakeTool) and now.need == "measure" else run.steady()
            )

        assert "w7" == asked(run, ask.ReturnTool).tool.id

    def test_in_the_unit_of_its_scale(self) -> None:
        """3.7480 in are 95.1992 mm (1 in = 25.4 mm)."""
        run = by_stretch(M2)
        take(run, "m2")

        read = stored(value(run, "3.7480"), e.Measured)

        assert ("3.7480 in", "95.1992", "mm", "within") == (read.typed, read.value, read.unit, read.verdict)

    def test_a_correction_is_in_the_unit_of_its_scale_too(self) -> None:
        """3.7500 in are 95.25 mm."""
        run = by_stretch(M2)
        take(run, "m2")
        value(run, "3.7480")

        right = stored(run.answer(a.Correct("3.7500", "the tool still shows it")), e.Corrected)

        assert ("3.7500 in", "95.25", "mm") == (right.typed, right.value, right.unit)

    def test_all_of_it_can_be_counted_again(self) -> None:
        """Verifying answers each line once more, with the tools as they were kept."""
        run = by_stretch(M2, D1)
        run.steadily()

        assert {"m2", "d1"} == {line.tool for line in run.events if isinstance(line, e.Measured)}
        assert [] == list(recounted(run.plan, run.events))

    def test_a_daybook_from_before_is_asked_nothing_more(self) -> None:
        """A run that was begun when the book had no instrument goes on with its next value."""
        run = by_stretch()
        value(run, "95.20")
        progress = begin(run.plan)
        for line in run.events:
            progress = apply(run.plan, progress, line)

        assert [] == list(recounted(run.plan, run.events))
        assert Session(run.plan, progress, (M1,)).progress.using.get("measure 1") is None


class TestScale:
    """A number that the instrument cannot show is asked once more."""

    def at_m1(self) -> Bench:
        """At the free length, with a micrometer of 75 to 100 mm in steps of 0.001 mm."""
        run = by_stretch(M1)
        take(run, "m1")
        return run

    def test_finer_than_its_lines(self) -> None:
        """It may be read between two lines; typed again it stands."""
        run = self.at_m1()

        doubt = unusual(run.answer(a.Value("95.2005")))

        assert "95.2005 mm is finer than M1 shows (scale lines 0.001 mm apart). Type it again." == doubt.unusual
        assert "95.2005" == stored(run.answer(a.Value("95.2005")), e.Measured).value

    def test_off_its_scale(self) -> None:
        """Number and unit are asked for."""
        run = bench_for(bolts(2), measure(1, what="Bore", window=window("98", "102", "mm")), tools=(W7, M1))
        take(run, "m1", "nothing else here")

        doubt = unusual(run.answer(a.Value("101.00")))

        off = "101.00 mm is off M1's scale (75–100 mm). Type what M1 shows, the same number with its unit."
        assert off == doubt.unusual
        assert "off the scale" == stored(run.answer(a.Value("101.00 mm")), e.Measured).unusual

    def corrected(self, run: Bench, *typed: str) -> Any:
        """What is asked, or said, once a stretch was put right with these numbers."""
        given = tuple(zip(("value", "again"), typed, strict=False))
        return next_part(run.prompt, run.session, Draft("correct", given))

    def at_a_stretch(self, typed: str) -> Bench:
        """Cap bolt 1, free 95.20 mm, with its length after the pull as it was typed."""
        run = by_stretch(M1)
        walk_to(run, "2.1/1", ask.TakeTool)
        while not isinstance(run.prompt, ask.Measure):
            run.answer(run.steady())
        value(run, typed)
        return run

    def test_a_correction_off_its_scale(self) -> None:
        """The stretch is typed in place of the length: it is asked for as at first, and nothing is stored."""
        run = self.at_a_stretch("95.40")

        off = "0.16 mm is off M1's scale (75–100 mm). Type what M1 shows, the same number with its unit."
        assert ("again", off) == (self.corrected(run, "0.16").name, self.corrected(run, "0.16").text)
        assert f"{off} Nothing changed." == self.corrected(run, "0.16", "0.16").sentence
        assert "known" == self.corrected(run, "0.16", "95.36").name

    def test_a_correction_finer_than_its_lines(self) -> None:
        """Typed again it stands."""
        run = self.at_a_stretch("95.40")

        finer = "95.3605 mm is finer than M1 shows (scale lines 0.001 mm apart). Type it again."
        assert finer == self.corrected(run, "95.3605").text
        assert "known" == self.corrected(run, "95.3605", "95.3605").name

    def test_a_correction_by_the_other_way_in(self) -> None:
        """Chosen as the way to go on where it was stretched too far: the length when tight, not the free one."""
        run = self.at_a_stretch("95.60")
        given = (("which", "now"), ("value", "0.16"))

        part: Any = next_part(run.prompt, run.session, Draft("", given, begun=a.Resolve("correct")))

        assert "0.16 mm is off M1's scale" in part.text

    def test_a_correction_with_its_unit(self) -> None:
        """3.75 in are 95.25 mm: it is stored as it was typed, and counts again."""
        run = by_stretch(M1)
        take(run, "m1")
        value(run, "95.20")

        right = stored(run.answer(a.Correct("3.75 in", "the tool still shows it")), e.Corrected)

        assert ("3.75 in", "95.25") == (right.typed, right.value)
        assert [] == list(recounted(run.plan, run.events))

    @pytest.mark.parametrize("typed", ["95.20", "95.2", "95,20", "3.748 in"])
    def test_what_it_shows_is_taken(self, typed: str) -> None:
        """Also in another unit, where it was worked out."""
        assert isinstance(stored(self.at_m1().answer(a.Value(typed)), e.Measured), e.Measured)


class TestBeyondItsWindow:
    """A stretch beyond its window, where the length was measured, and the one before is taken off."""

    def test_it_stands_on_a_scale_of_stretch(self) -> None:
        """95.40 less 95.20 mm is 0.20 mm of 0.14 to 0.18 mm; the 40 N·m of the pull have no place there."""
        run = by_stretch(M1)
        walk_to(run, "1.1/1", ask.TakeTool)
        take(run, "m1")
        value(run, "95.20")
        walk_to(run, "2.1/1", ask.TakeTool)
        while not isinstance(run.prompt, ask.Measure):
            run.answer(run.steady())
        value(run, "95.40")

        told = words(asked(run, ask.Decide))

        assert ["window 0.14 to 0.18 mm", "measured 95.40 mm"] == list(told.matters[:2])
        band = told.band
        assert band is not None
        assert (Decimal("0.14"), Decimal("0.18"), "mm", None) == (band.low, band.high, band.unit, band.target)
        assert [("0.20", Decimal("0.20"))] == [(read.text, read.value) for read in band.found or ()]


class TestAnotherThanBefore:
    """Of a difference the second value is measured with what measured the first: zeros of two do not cancel."""

    def at_the_length(self, first: str) -> Bench:
        """At the length of cap bolt 1 after its pull; its free length was measured with this one."""
        run = by_stretch(M1, M3)
        take(run, first)
        while not (isinstance(run.prompt, ask.TakeTool) and run.prompt.where.id == "2.1/1"):
            run.answer(run.steady())
        stored(run.answer(run.steady()), e.ToolTaken)
        while not isinstance(run.prompt, ask.TakeTool):
            run.answer(run.steady())
        return run

    def test_the_same_stands_first_and_needs_no_reason(self) -> None:
        """M3 measured the free length, though M1 is the first of the book."""
        run = self.at_the_length("m3")

        assert ["m3", "m1"] == [offer.tool.id for offer in asked(run, ask.TakeTool).offers][:2]
        assert () == take(run, "m3").against

    def test_another_needs_a_reason_that_is_written_down(self) -> None:
        """The record has what stood against it as a fact."""
        run = self.at_the_length("m3")

        told = "free length was measured with M3, their zeros do not cancel"
        assert told in refused(run.answer(a.TakeUp("m1")))
        taken = take(run, "m1", "M3 was lent out")
        assert ((AnotherBefore("M3", "free length"),), "M3 was lent out") == (taken.against, taken.reason)
        assert "m1" == asked(run, ask.Measure).instrument.id  # type: ignore[union-attr]

    def test_it_is_asked_where_the_first_was_another_for_one_bolt(self) -> None:
        """The free length of cap bolt 2 was measured with M1."""
        run = by_stretch(M1, M3)
        take(run, "m3")
        value(run, "95.20")
        take(run, "m1")
        value(run, "95.20")
        while not (isinstance(run.prompt, ask.TakeTool) and run.prompt.need == "measure"):
            run.answer(run.steady())
        take(run, "m3")
        while not (isinstance(run.prompt, ask.TakeTool) and run.prompt.where.position == "2"):
            run.answer(run.steady())

        assert ["m1", "m3"] == [offer.tool.id for offer in asked(run, ask.TakeTool).offers][:2]
        assert [] == list(recounted(run.plan, run.events))

    def test_nobody_knows_what_is_not_listed(self) -> None:
        """Then nothing is held against what comes next."""
        run = self.at_the_length("not-listed")

        assert () == take(run, "m1").against


class TestTrouble:
    """An instrument that fell is an instrument in question."""

    def test_dropped_it_is_asked_for_again(self) -> None:
        """With a reason, as for a torque tool."""
        run = by_stretch(M1)
        take(run, "m1")
        value(run, "95.20")
        dropped = stored(run.answer(a.Drop("m1")), e.ToolDropped)

        told = "M1 dropped: use it again only with a reason, until it is calibrated."
        assert told == acknowledged(dropped, run.plan, run.tools)
        now: Any = asked(run, ask.TakeTool)
        assert ["happened"] == [type(each).__struct_config__.tag for each in now.offers[0].against]

    def test_overdue_needs_a_reason(self) -> None:
        """Its calibration ended before the day of the run."""
        old = replace(M1, calibrated_on="2024-01-15", calibration_due="2025-01-15")

        assert "calibration overdue" in refused(by_stretch(old).answer(a.TakeUp("m1")))


class TestToldAsItWasRead:
    """What the scale showed stands first, as with torques: that is what the eye compares."""

    def gap(self, *more: m.Stage) -> Bench:
        """A gap of 10 to 15 mm, with a caliper in inches."""
        head = bolts(2)
        inches = replace(M2, minimum=Decimal(0), maximum=Decimal(6), resolution=Decimal("0.001"))
        limits = window("10", "15", "mm")
        run = bench_for(head, measure(1, what="Gap", window=limits), tighten(head, 2), *more, tools=(W7, inches))
        take(run, "m2")
        return run

    def test_a_measured_value(self) -> None:
        """Half an inch is 12.7 mm (1 in = 25.4 mm)."""
        run = self.gap()
        assert "Gap: measure with M2, then type it in inches." == words(asked(run, ask.Measure)).sentence

        read = stored(value(run, "0.5"), e.Measured)

        assert "Within ●: gap, 0.5 in (12.7 mm)." == acknowledged(read, run.plan, run.tools)

    def test_one_outside_its_window(self) -> None:
        """The question says it as it was typed too."""
        run = self.gap()
        value(run, "1")

        assert "Gap is outside its window: 1 in (25.4 mm)." == words(asked(run, ask.Decide)).sentence

    def test_a_corrected_value(self) -> None:
        """In the unit in which it is asked for."""
        run = self.gap()
        value(run, "1")

        right = stored(run.answer(a.Correct("0.4", "the tool still shows it")), e.Corrected)

        assert "Corrected: gap read 0.4 in (10.16 mm), within ●." == acknowledged(right, run.plan, run.tools)

    def test_a_corrected_value_that_is_still_outside(self) -> None:
        """0.2 in are 5.08 mm."""
        run = self.gap()
        value(run, "1")
        run.answer(a.Correct("0.2", "the tool still shows it"))

        assert "Gap is outside its window: 0.2 in (5.08 mm)." == words(asked(run, ask.Decide)).sentence

    def test_a_stretch(self) -> None:
        """3.7540 less 3.7480 in are 0.0060 in, which is 0.1524 mm; the window is in mm."""
        run = by_stretch(M2)
        take(run, "m2")
        value(run, "3.7480")
        value(run, "3.7480")
        while not isinstance(run.prompt, ask.Measure):
            run.answer(run.steady())
        assert "Cap bolt 1: measure its length with M2. Type it in inches." == words(run.prompt).sentence

        read = stored(value(run, "3.7540"), e.Measured)

        told = "Within ●: cap bolt 1, stretch 0.1524 mm (3.7540 in, 95.3516 mm, less 95.1992 mm)."
        assert told == acknowledged(read, run.plan, run.tools)
