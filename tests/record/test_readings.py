"""The table of pulls: what each row says."""

from decimal import Decimal

import pytest

from clampbook.procedure.model import Loosen, Measure, Stretch, Tighten, Window
from clampbook.run import events as e

from .daybooks import Daybook, at_line
from .head import GROUPS, HEAD, TOMAS, a_plan, a_quantity


class TestRows:
    """Every pull is there, in the order of the daybook, with what was typed."""

    def test_a_reading_says_what_the_tool_showed_and_what_that_is_at_the_fastener(self) -> None:
        """The number as typed, in the tool's unit, and beside it the value that is judged."""
        day = Daybook()
        line = day.reading("1.1/3", "22.1", typed="22,1", unit="lbf·ft", at_fastener="29.964")

        row = at_line(day.record()["reading"], line)

        assert ("22,1", "22.1", "lbf·ft") == (row["typed"], row["value"], row["unit"])
        assert ("29.964", "N·m") == (row["at_fastener"], row["judged_unit"])
        assert ("28.0", "32.0", "within") == (row["window_from"], row["window_to"], row["outcome"])

    def test_a_reading_names_its_place_its_tool_and_its_time(self) -> None:
        """Line, step, stage, round, position and attempt; by whom and when."""
        day = Daybook()
        line = day.reading("1.1/3", "30.0")

        row = at_line(day.record()["reading"], line)

        assert ("1.1/3", 1, 1, "3", 1) == tuple(row[key] for key in ("step", "stage", "round", "position", "attempt"))
        assert ("w5", "ines", "2026-03-02T09:00:20.000+01:00") == (row["tool"], row["by"], row["at"])

    def test_who_did_the_work_stands_beside_who_typed(self) -> None:
        """Two people at one bench stay two."""
        day = Daybook(done_by_person=TOMAS)
        line = day.reading("1.1/3", "30.0", done_by="tomas")

        row = at_line(day.record()["reading"], line)

        assert ("ines", "tomas") == (row["by"], row["done_by"])

    def test_a_release_has_a_setting_and_no_value(self) -> None:
        """A tool that lets go shows nothing, so nothing may look like a reading."""
        day = Daybook()
        line = day.clicked("1.1/1", "30.0")

        row = at_line(day.record()["reading"], line)

        assert ("clicked", "30.0", "N·m", "30.0") == (
            row["outcome"],
            row["set_to"],
            row["set_to_unit"],
            row["set_to_at_fastener"],
        )
        assert not {"value", "typed", "at_fastener", "judged_unit", "verdict"} & set(row)

    def test_a_confirmed_block_gives_each_position_its_row(self) -> None:
        """One answer, as many rows as fasteners, all with the same line."""
        day = Daybook()
        line = day.confirmed("6.1/11", "6.1/12")

        rows = day.record()["reading"]

        assert [(line, "11", "confirmed together"), (line, "12", "confirmed together")] == [
            (row["line"], row["position"], row["outcome"]) for row in rows
        ]
        assert [("6.1/11", "6.1/12")] * 2 == [(row["confirmed_from"], row["confirmed_to"]) for row in rows]

    def test_a_confirmed_block_passes_over_what_was_skipped(self) -> None:
        """What was left for later was not pulled with the others."""
        day = Daybook()
        day.add(e.Skipped, step="6.1/11", position="11", reason="no room for the tool")
        day.confirmed("6.1/11", "6.1/12")

        assert ["12"] == [row["position"] for row in day.record()["reading"]]

    def test_a_confirmed_block_passes_over_what_was_pulled_before(self) -> None:
        """A neighbour pulled by mistake has its own line and is not counted twice."""
        day = Daybook()
        day.clicked("6.1/12", "10")
        day.confirmed("6.1/11", "6.1/12")

        assert [("12", "clicked"), ("11", "clicked")] == [
            (row["position"], row["outcome"]) for row in day.record()["reading"]
        ]

    def test_one_that_is_confirmed_alone_is_a_click_like_any_other(self) -> None:
        """The last of a group that four do not divide was confirmed pull by pull."""
        day = Daybook()
        day.confirmed("6.1/11", "6.1/11")

        record = day.record()

        assert [("11", "clicked")] == [(row["position"], row["outcome"]) for row in record["reading"]]
        assert "clicks_confirmed_together" not in record["not_measured"]

    def test_a_turn_shows_each_stroke_and_the_sum(self) -> None:
        """A turn in two strokes is judged by what they come to."""
        day = Daybook()
        first = day.turned("2.1/1", "60", "60", "under")
        second = day.turned("2.1/1", "32", "92")

        rows = day.record()["reading"]

        assert ("60", "60", "°", "earlier stroke") == tuple(
            at_line(rows, first)[key] for key in ("value", "sum", "judged_unit", "standing")
        )
        assert ("32", "92", "within", "counts") == tuple(
            at_line(rows, second)[key] for key in ("value", "sum", "outcome", "standing")
        )

    def test_a_turn_by_the_mark_has_no_number(self) -> None:
        """Without a gauge nobody measured an angle."""
        day = Daybook()
        line = day.turned("2.1/1", None, None)

        row = at_line(day.record()["reading"], line)

        assert "by the mark" == row["outcome"]
        assert not {"value", "sum"} & set(row)

    def test_a_turn_by_the_mark_put_right_to_an_angle_has_its_unit(self) -> None:
        """A gauge was used after all, and what it showed was left out."""
        day = Daybook()
        first = day.turned("2.1/1", None, None)
        second = day.add(
            e.Corrected,
            of=first,
            step="2.1/1",
            attempt=1,
            typed="91",
            value="91",
            unit="°",
            sum="91",
            at_fastener=None,
            window=("90", "94"),
            verdict="within",
            what="turn",
            known="the tool still shows it",
        )

        row = at_line(day.record()["reading"], second)

        assert ("91", "°", "within") == tuple(row[key] for key in ("sum", "judged_unit", "outcome"))

    def test_a_gate_has_no_position(self) -> None:
        """What is measured once belongs to the joint."""
        day = Daybook()
        line = day.measured("3.1/-", "0.18")

        row = at_line(day.record()["reading"], line)

        assert ("measurement", "0.18", "mm", "within") == (
            row["kind"],
            row["result"],
            row["judged_unit"],
            row["outcome"],
        )
        assert "position" not in row

    def test_a_recheck_says_whether_it_moved_and_by_which_method(self) -> None:
        """The number depends on the method, so it stands with each."""
        day = Daybook()
        line = day.add(e.Rechecked, step="7.1/11", attempt=1, pass_no=2, moved=True, method="tighten on", tool="w2")

        row = at_line(day.record()["reading"], line)

        assert ("moved", 2, "tighten on") == (row["outcome"], row["pass"], row["method"])

    def test_a_recheck_reading_without_a_window_is_kept_and_not_judged(self) -> None:
        """The outcome is whether it moved; the number is there for whoever wants it."""
        day = Daybook()
        fields = {"tool": "w5", "typed": "10.4", "value": "10.4", "unit": "N·m", "at_fastener": "10.4"}
        line = day.add(e.Rechecked, step="7.1/11", attempt=1, pass_no=1, moved=False, method="tighten on", **fields)

        row = at_line(day.record()["reading"], line)

        assert ("still", "10.4") == (row["outcome"], row["at_fastener"])
        assert "verdict" not in row

    def test_what_did_not_move_has_no_torque_at_first_movement(self) -> None:
        """Up to 10.4 N·m nothing moved: at how much it does nobody knows."""
        day = Daybook()
        fields = {"tool": "w5", "typed": "10.4", "value": "10.4", "unit": "N·m", "at_fastener": "10.4"}
        judged = {"window": ("9", "12"), "verdict": "within"}
        more = {"method": "first movement", **fields, **judged}
        line = day.add(e.Rechecked, step="7.1/11", attempt=1, pass_no=1, moved=False, noted=("unmoved",), **more)

        row = at_line(day.record()["reading"], line)

        assert ("no movement", False, "10.4") == (row["outcome"], row["moved"], row["unmoved_up_to"])
        assert row.keys().isdisjoint(("verdict", "at_fastener"))

    def test_sealant_stands_with_its_lot(self) -> None:
        """What was put on, and from which lot."""
        day = Daybook()
        line = day.add(e.Applied, step="8.1/11", what="thread locker", lot="L-9")

        row = at_line(day.record()["reading"], line)

        assert ("applied", "thread locker", "L-9") == (row["outcome"], row["what"], row["lot"])

    def test_prevailing_torque_stands_by_itself(self) -> None:
        """Prevailing torque is measured before the pull and is no reading of the pull."""
        day = Daybook()
        fields = {"typed": "3.2", "value": "3.2", "unit": "N·m", "at_fastener": "3.2", "window": ("2", None)}
        line = day.add(e.PrevailingRead, step="1.1/1", attempt=1, tool="w5", verdict="within", **fields)
        day.reading("1.1/1", "33.0", window=("31.2", "35.2"))

        row = at_line(day.record()["reading"], line)

        assert ("prevailing torque", "3.2", "2", "counts") == (
            row["kind"],
            row["at_fastener"],
            row["window_from"],
            row["standing"],
        )
        assert "window_to" not in row

    def test_a_measurement_without_a_window_is_not_judged(self) -> None:
        """The sheet may ask for a number only to have it written down."""
        day = Daybook()
        line = day.measured("3.1/-", "0.31", window=None)

        assert "not judged" == at_line(day.record()["reading"], line)["outcome"]

    def test_a_value_of_the_past_says_that_it_was_entered_late(self) -> None:
        """What was done before the break and typed after it is marked."""
        day = Daybook()
        line = day.reading("1.1/1", "30.0", late="before_break")

        assert "before_break" == at_line(day.record()["reading"], line)["late"]

    def test_questions_and_notices_stay_with_their_row(self) -> None:
        """A value that looked like a slip, and two equal ones in a row."""
        day = Daybook()
        line = day.reading("1.1/1", "22.1", "under", unusual="unit", noted=("the same as the reading before",))

        row = at_line(day.record()["reading"], line)

        assert ("unit", ["the same as the reading before"]) == (row["unusual"], row["noted"])


class TestMeasuredBesideAPull:
    """Last torque and stretch are asked beside a pull and judged in units of their own."""

    @pytest.mark.parametrize(("part", "unit", "judged"), [("final torque", "lbf·ft", "N·m"), ("stretch", "mm", "mm")])
    def test_the_unit_it_is_judged_in_is_that_of_its_window(self, part: str, unit: str, judged: str) -> None:
        """A torque in the sheet's unit whatever the tool shows, a stretch as its window has it."""
        day = Daybook()
        line = day.measured("2.1/1", "50", part=part, unit=unit, result="67.8", window=("55", "95"))

        row = at_line(day.record()["reading"], line)

        assert (part, unit, judged, "67.8") == (row["kind"], row["unit"], row["judged_unit"], row["result"])

    def test_a_pull_towards_a_stretch_is_judged_by_the_stretch(self) -> None:
        """Tightening and measuring in turn: earlier pulls and measurements make room for the last."""
        stretch = Stretch(
            window=Window(low=Decimal("0.10"), high=Decimal("0.14"), unit="mm"),
            minus=None,
            never_above=a_quantity("95", "N·m"),
        )
        at_most = Window(low=None, high=Decimal(95), unit="N·m")
        stage = Tighten(number=1, group="Head bolts", positions=HEAD, target=None, window=at_most, stretch=stretch)
        day = Daybook(a_plan((stage,), GROUPS[:1]))
        day.reading("1.1/1", "40", window=(None, "95"))
        day.measured("1.1/1", "0.08", "under", part="stretch", window=("0.10", "0.14"))
        day.reading("1.1/1", "52", window=(None, "95"))
        day.measured("1.1/1", "0.12", part="stretch", window=("0.10", "0.14"))

        rows = day.record()["reading"]

        assert ["pulled again", "measured again", "counts", "counts"] == [row["standing"] for row in rows]


def test_loosening_by_the_plan_is_told_apart_from_loosening_to_start_over() -> None:
    """The one is a step of the sheet, the other is work that was put in."""
    day = Daybook(a_plan((Loosen(number=1, group="Head bolts", positions=HEAD),), GROUPS[:1]))
    by_plan = day.add(e.Loosened, step="1.1/1", position="1", attempt=1)
    to_start_over = day.loosened("1.1/1", "2")

    rows = day.record()["reading"]

    assert "before_starting_over" not in at_line(rows, by_plan)
    assert ("2", True) == (
        at_line(rows, to_start_over)["position"],
        at_line(rows, to_start_over)["before_starting_over"],
    )


def test_the_spread_of_measuring_points_is_judged_with_the_last_of_them() -> None:
    """Points may each be within and still lie too far apart."""
    gap = Measure(
        number=1,
        what="Gap",
        unit="mm",
        window=Window(low=None, high=None, unit="mm"),
        points=("front", "rear"),
        spread=a_quantity("0.05", "mm"),
    )
    day = Daybook(a_plan((gap,), GROUPS[:1]))
    line = day.measured("1.1/-", "0.20", "over", window=None, spread="0.08")

    row = at_line(day.record()["reading"], line)

    assert ("too far apart", "0.08") == (row["outcome"], row["spread_of_points"])
