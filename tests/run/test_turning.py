"""A turn by an angle: in strokes or at once, by gauge or by the mark, and never simply done again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import (
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
    turn,
    value,
    walk_to,
    window,
)

from bench import G1, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.lines import stored as said
from clampbook.run.told import the_round


def at_the_turn(group: m.Group | None = None, **stage: Any) -> Bench:
    """A run of two bolts, both pulled to their torque, at the first turn."""
    head = group or bolts(2)
    run = bench_for(head, tighten(head), turn(head, **stage))
    walk_to(run, "2.1/1", ask.Turn)
    return run


class TestRemainder:
    """A turn that is short is finished from the same mark."""

    def test_short_asks_for_the_remainder_only(self) -> None:
        """After 60 of 90° to 94°, 30° to 34° more are wanted, of the same position."""
        run = at_the_turn()

        value(run, "60")

        left = asked(run, ask.Turn)
        assert ("2.1/1", Decimal(60), (Decimal(30), Decimal(34))) == (left.where.id, left.done, left.left)

    def test_the_sum_is_judged(self) -> None:
        """60° and 31° are 91°, which is within."""
        run = at_the_turn()
        value(run, "60")

        stroke = stored(value(run, "31"), e.Turned)

        assert ("31", "91", "within") == (stroke.value, stroke.sum, stroke.verdict)

    def test_the_sum_can_go_over(self) -> None:
        """60° and 40° are 100°, which is over: nobody turns back a little."""
        run = at_the_turn()
        value(run, "60")

        stroke = stored(value(run, "40"), e.Turned)

        assert ("100", "over", "over") == (stroke.sum, stroke.verdict, asked(run, ask.Decide).cause)

    def test_strokes_add_up_where_the_sheet_allows_them(self) -> None:
        """Three strokes of 30° are one turn of 90°."""
        run = at_the_turn(in_strokes=True)

        sums = [stored(value(run, "30"), e.Turned).sum for _ in range(3)]

        assert (["30", "60", "90"], "within") == (sums, at(run, "1").outcome)

    def test_a_turn_in_strokes_is_not_under_before_it_is_finished(self) -> None:
        """45° of 90° is half of it: what was turned so far is told, and the map says to do."""
        run = at_the_turn(in_strokes=True)

        first = stored(value(run, "45"), e.Turned)

        assert "Turned so far: head bolt 1, 45°." == said(first, run.plan)
        assert "to do" == the_round.marks(run.session, run.prompt)["1"]
        assert () == the_round.of(run.session, run.prompt).reads

    def test_a_turn_in_one_that_is_short_is_under(self) -> None:
        """The procedure meant it to be turned at once."""
        assert "Under ▄: head bolt 1, 45°." == said(stored(value(run := at_the_turn(), "45"), e.Turned), run.plan)

    def test_a_corrected_stroke_is_told_beside_the_whole_turn(self) -> None:
        """47° lies beside no window of 90° to 94°; 92° in all do."""
        run = at_the_turn(in_strokes=True)
        value(run, "45")
        value(run, "99")

        put_right = stored(run.answer(a.Correct("47", "the tool still shows it")), e.Corrected)

        assert "Corrected: head bolt 1 read 47°, 92° in all, within ●." == said(put_right, run.plan)

    def test_two_rounds_are_not_one_turn(self) -> None:
        """The second round of a stage counts its own angle from nothing."""
        run = at_the_turn(rounds=2)
        value(run, "91")
        value(run, "92")

        second = asked(run, ask.Turn)
        assert ("2.2/1", Decimal(0)) == (second.where.id, second.done)

    @pytest.mark.parametrize(("angle", "verdict"), [("89.9", "under"), ("90", "within"), ("94", "within")])
    def test_a_window_can_be_one_sided(self, angle: str, verdict: str) -> None:
        """`within = "+4° −0°"`: below 90° is not fastened properly."""
        assert verdict == stored(value(at_the_turn(), angle), e.Turned).verdict


class TestOver:
    """A turn beyond its window is decided."""

    def test_over_offers_the_same_ways_as_a_torque(self) -> None:
        """From the beginning, new fastener, correct, concession, hold."""
        run = at_the_turn()

        value(run, "95")

        assert ["from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)

    def test_a_bolt_for_one_use_is_not_offered_again_once_its_turn_began(self) -> None:
        """A fastener that is new every time was stretched by the turn: only a new one starts over."""
        run = at_the_turn(bolts(2, fastener="new every time"))

        value(run, "95")

        assert ["new fastener", "correct", "concession", "hold"] == choices(run)

    def test_before_its_turn_began_it_may_start_over(self) -> None:
        """Over at the torque, the same bolt is still good."""
        head = bolts(2, fastener="new every time")
        run = at_first_pull(head)

        value(run, "34")

        assert "from the beginning" in choices(run)

    def test_starting_over_with_neighbours_renews_those_whose_turn_began(self) -> None:
        """With neighbours, those already turned get a new fastener too, those only torqued are looked at."""
        head = bolts(3, fastener="new every time")
        run = bench_for(head, tighten(head), turn(head))
        walk_to(run, "2.1/2", ask.Turn)
        value(run, "95")

        run.answer(a.Resolve("new fastener", scope="neighbours"))

        works = [(each.work, each.position) for each in run.session.progress.frames[-1].prologue]
        assert [
            ("loosen", "3"),
            ("loosen", "2"),
            ("loosen", "1"),
            ("new fastener", "1"),
            ("new fastener", "2"),
            ("inspect", "3"),
        ] == works


class TestFromMarkToMark:
    """Without a gauge has no number."""

    def test_a_turn_by_marks_is_confirmed_without_a_number(self) -> None:
        """One deliberate key; nothing is invented."""
        run = at_the_turn(judged_by="mark")

        stroke = stored(run.answer(a.Plus()), e.Turned)

        assert (None, None, "confirmed") == (stroke.value, stroke.sum, at(run, "1").outcome)

    def test_no_number_is_taken_from_marks(self) -> None:
        """An angle judged by eye is no reading."""
        run = at_the_turn(judged_by="mark")

        assert "has no number" in refused(run.answer(a.Value("90")))

    def test_a_gauge_wants_its_angle(self) -> None:
        """With a gauge the key alone passes nothing."""
        run = at_the_turn()

        assert "Type what G1 shows" in refused(run.answer(a.Plus()))

    def test_marks_instead_of_a_wanted_gauge_need_a_reason(self) -> None:
        """The sheet says gauge: going by the mark is a departure that is written down."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head))
        walk_to(run, "2.1/1", ask.TakeTool)

        assert "Give a reason" in refused(run.answer(a.TakeUp("marks")))
        assert "the gauge is lost" == stored(run.answer(a.TakeUp("marks", "the gauge is lost")), e.ToolTaken).reason


class TestFinalTorque:
    """The torque at the end of a turn is a free cross-check."""

    def at_the_last_stroke(self, rounds: int = 1) -> Bench:
        """A run of one bolt that wants 40 to 95 N·m at the end of its last turn."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head, rounds=rounds, final_torque=window("40", "95")))
        walk_to(run, f"2.{rounds}/1", ask.Turn)
        return run

    def test_it_is_read_after_the_last_stroke(self) -> None:
        """Under the same name, with an indicating tool."""
        run = self.at_the_last_stroke()

        value(run, "91")

        final = walk_to(run, "2.1/1", ask.Measure)
        assert ("final torque", "W7") == (final.part, final.tool.name if final.tool else None)

    def test_it_is_not_read_between_rounds(self) -> None:
        """Only the last round's end says anything about the bolt."""
        run = self.at_the_last_stroke(rounds=2)

        assert [] == [each for each in events_of(run, e.Measured) if each.part == "final torque"]

    @pytest.mark.parametrize("reading", ["38", "99"])
    def test_outside_is_decided(self, reading: str) -> None:
        """Too little: it yields or strips; too much: it bottoms."""
        run = self.at_the_last_stroke()
        value(run, "91")
        walk_to(run, "2.1/1", ask.Measure)

        value(run, reading)

        assert "final torque outside" == asked(run, ask.Decide).cause

    def test_outside_is_shown_in_the_unit_it_was_read_in(self) -> None:
        """38 lbf·ft are 51.5 N·m, below 55: neither number stands with the unit of the other."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head, final_torque=window("55", "95")), tools=(W5, G1))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "91")
        walk_to(run, "2.1/1", ask.Measure)

        value(run, "38")
        value(run, "38 lbf.ft")

        assert "38 lbf·ft" == asked(run, ask.Decide).found

    def test_corrected_it_is_still_held_against_the_window_at_the_fastener(self) -> None:
        """80 lbf·ft are 108 N·m, above 95: the window of the fastener never stands with the unit of the tool."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head, final_torque=window("55", "95")), tools=(W5, G1))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "91")
        walk_to(run, "2.1/1", ask.Measure)
        value(run, "38")
        value(run, "38 lbf.ft")

        run.answer(a.Correct("80", "the tool still shows it"))

        prompt = asked(run, ask.Decide)
        assert prompt.judged is not None
        assert ("N·m", "lbf·ft") == (prompt.judged.unit, prompt.judged.typed_unit)
        assert (Decimal(55), Decimal(95)) == prompt.judged.window
        assert Decimal("108") == prompt.judged.shown.quantize(Decimal(1))

    def test_within_finishes_the_turn(self) -> None:
        """The position is done when both angle and torque are there."""
        run = self.at_the_last_stroke()
        value(run, "91")
        walk_to(run, "2.1/1", ask.Measure)

        value(run, "60")

        assert ("within", 1) == (at(run, "1").outcome, at(run, "1").through)
