"""What stands first: everything that was not as the sheet wants it, and what was decided about it."""

import tomllib
from decimal import Decimal
from typing import Any

import pytest
from small_joints import bench_for, bolts, tighten

from clampbook.procedure.model import Measure, Part, Window
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from walks import frozen

from .daybooks import Daybook, at_line, corrected, deviations, kinds, only
from .head import GROUPS, W5, a_plan, a_quantity


class TestNone:
    """What goes as the sheet wants it is no deviation."""

    def test_a_run_as_the_sheet_wants_it_has_none(self) -> None:
        """Within, clicked, a turn in strokes, a good zero, a short pause."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        day.add(e.ToolZeroed, tool="w5", state="good")
        day.reading("1.1/1", "30.0")
        day.clicked("1.1/2")
        day.turned("2.1/1", "60", "60", "under")
        day.turned("2.1/1", "32", "92")
        day.add(e.Paused, cause="asked")
        day.add(e.Resumed, gap="30", clock="plausible")

        found = day.record()

        assert 0 == found["deviations"]
        assert "deviation" not in found

    def test_a_torque_under_that_was_pulled_again_is_none(self) -> None:
        """Under asks for nothing but pulling on."""
        day = Daybook()
        day.reading("1.1/1", "27.0", "under")
        day.reading("1.1/1", "30.0")

        assert [] == kinds(day)

    def test_equal_readings_are_noted_and_no_deviation(self) -> None:
        """It is worth a look, and nothing the sheet forbids."""
        day = Daybook()
        day.reading("1.1/1", "30.0", noted=("the same as the reading before",))

        assert [] == kinds(day)

    def test_a_trial_correction_within_its_window_is_none(self) -> None:
        """A slip between two values that both fit changes nothing."""
        day = Daybook()
        first = day.reading("1.1/1", "30.0")
        corrected(day, first, "30.3")

        assert [] == kinds(day)


class TestPulls:
    """Deviations of a pull itself."""

    def test_a_reading_over_says_what_was_found_and_what_was_wanted(self) -> None:
        """A person reads it without looking anything up."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")

        row = only(day)

        assert (line, "1.1/3", "3", "over") == tuple(row[key] for key in ("line", "step", "position", "kind"))
        assert "pull over: 33.5 N·m, window 28.0–32.0 N·m" == row["what"]

    def test_the_record_holds_facts_and_no_sentence(self) -> None:
        """Numbers and codes under keys of their own: a script reads them, whatever is said of them on paper."""
        day = Daybook()
        day.reading("1.1/3", "33.5", "over")

        (each,) = only(day)["departed"]

        assert {"kind": "over", "of": "pull", "judged": "33.5", "judged_unit": "N·m"}.items() <= each.items()
        assert ("28.0", "32.0", "w5") == (each["window_from"], each["window_to"], each["tool"])

    def test_a_gate_below_its_window_is_one(self) -> None:
        """A measured value has no pulling on: outside is outside."""
        day = Daybook()
        line = day.measured("3.1/-", "0.05", "under")

        assert [(line, "under")] == kinds(day)
        assert "window 0.10–0.25 mm" in only(day)["what"]

    def test_a_point_outside_is_none_where_some_may_be(self) -> None:
        """One gap of three may be too wide; with a second the last of them departs, whatever its own value."""
        window = Window(low=None, high=Decimal("0.40"), unit="mm")
        gap = Measure(number=1, what="Gap", unit="mm", window=window, points=("1", "2", "3"), all_but=1)
        day = Daybook(a_plan((gap,), GROUPS[:1]))
        day.measured("1.1/-", "0.50", "over")
        day.measured("1.1/-", "0.30", "within")
        allowed = day.measured("1.1/-", "0.30", "within", outside=1)
        too_many = day.measured("1.1/-", "0.50", "over", outside=2)

        assert allowed < too_many
        assert [(too_many, "points outside")] == kinds(day)
        assert "2 of 3 outside, 1 allowed" == only(day)["what"]

    def test_a_locking_nut_that_runs_down_too_easily_is_one(self) -> None:
        """Below the least prevailing torque it does not lock any more."""
        day = Daybook()
        fields = {"typed": "1", "value": "1", "unit": "N·m", "at_fastener": "1", "window": ("2", None)}
        day.add(e.PrevailingRead, step="1.1/1", attempt=1, tool="w5", verdict="under", **fields)

        assert "prevailing torque under: 1 N·m, window at least 2.00 N·m" == only(day)["what"]

    def test_a_bad_pull_is_one(self) -> None:
        """With what was seen, where that was typed."""
        day = Daybook()
        line = day.add(e.Voided, step="1.1/1", attempt=1, of=None, cause="jerk or chatter", value="41")

        assert [(line, "bad pull")] == kinds(day)
        assert "void: jerk or chatter, showed 41" == only(day)["what"]

    def test_another_position_pulled_by_mistake_goes_by_its_own_name(self) -> None:
        """The pull was no bad one; it was in the wrong place."""
        day = Daybook()
        line = day.add(e.Voided, step="1.1/4", attempt=1, of=None, cause="pulled out of turn")

        assert [(line, "pulled out of turn")] == kinds(day)

    def test_a_correction_that_turns_over_into_within_is_one(self) -> None:
        """It says from what to what, and how that is known."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        second = corrected(day, first, "30.3")

        rows = deviations(day)

        assert "corrected into its window" == at_line(rows, second)["kind"]
        what = at_line(rows, second)["what"]
        assert "corrected into its window: 33.0 N·m (over) to 30.3 N·m, a second person saw it" == what

    def test_a_value_that_was_unusual_is_one(self) -> None:
        """It looked like a slip and was confirmed all the same."""
        day = Daybook()
        day.reading("1.1/1", "22.1", "under", unusual="unit")
        day.reading("1.1/1", "30.0")

        assert "unusual value confirmed, looked like another unit" == only(day)["what"]

    def test_what_was_entered_late_is_one(self) -> None:
        """Its time is not the time of the pull."""
        day = Daybook()
        line = day.reading("1.1/1", "30.0", late="before_break")

        assert [(line, "entered late")] == kinds(day)

    @pytest.mark.parametrize("noted", ["after a silence", "after its time limit", "clock implausible"])
    def test_what_was_noticed_about_its_time_is_one(self, noted: str) -> None:
        """A silence, a limit that had run out, a clock that jumped."""
        day = Daybook()
        line = day.reading("1.1/1", "30.0", noted=(noted,))

        assert [(line, noted)] == kinds(day)

    def test_a_line_with_several_is_one_row(self) -> None:
        """Whoever reads it sees all of it in one place, and one decision beside it."""
        day = Daybook()
        line = day.reading("1.1/1", "33.0", "over", unusual="digits swapped", late="before_break")

        assert [(line, "entered late, unusual value, over")] == kinds(day)

    def test_a_block_entered_late_says_it_once(self) -> None:
        """One answer, one deviation."""
        day = Daybook()
        fields = {"tool": "w2", "set_to": "10", "unit": "N·m", "at_fastener": "10", "window": ("9", "11")}
        day.add(e.Confirmed, first="6.1/11", last="6.1/12", late="before_break", **fields)

        assert "entered late: finished before the break" == only(day)["what"]

    def test_points_that_lie_too_far_apart_are_one(self) -> None:
        """Each within its window, and still not as the sheet wants it."""
        window = Window(low=None, high=None, unit="mm")
        gap = Measure(number=1, what="Gap", unit="mm", window=window, spread=a_quantity("0.05", "mm"))
        day = Daybook(a_plan((gap,), GROUPS[:1]))
        day.measured("1.1/-", "0.20", "over", spread="0.08")

        assert "readings are 0.08 mm apart, 0.05 mm allowed" == only(day)["what"]

    def test_a_pull_left_under_at_the_end_is_one(self) -> None:
        """While the run is open it is simply the next thing to do; once it is closed it was left."""
        day = Daybook(a_plan(steps=a_plan().steps[:1]))
        line = day.reading("1.1/1", "27.0", "under")
        assert [] == kinds(day)

        day.closed("not accepted", reason="the shop closes")

        assert [(line, "left under")] == kinds(day)

    def test_a_recheck_that_still_moved_at_the_end_is_one(self) -> None:
        """The last pass is the one that should have been still."""
        day = Daybook(a_plan(steps=tuple(step for step in a_plan().steps if step.id == "7.1/11")))
        for number in (1, 2):
            line = day.add(
                e.Rechecked, step="7.1/11", attempt=1, pass_no=number, moved=True, method="tighten on", tool="w2"
            )
        day.closed("not accepted", reason="still moving")

        assert [(line, "still moved at the last recheck")] == kinds(day)
        assert "moved when last rechecked" in only(day)["what"]

    def test_a_run_closed_before_its_end_says_what_was_not_done(self) -> None:
        """Positions and gates that nobody answered for."""
        day = Daybook(a_plan(steps=tuple(step for step in a_plan().steps if step.stage in (1, 3))))
        for position in ("1", "2"):
            day.reading(f"1.1/{position}", "30.0")
        day.add(e.Abandoned, reason="begun by mistake")

        assert (3, ["3", "4"], ["3.1/-"]) == tuple(
            only(day)["departed"][0][key] for key in ("steps", "positions", "without_position")
        )


class TestCounts:
    """Fewer parts than are needed, gone on with for a reason."""

    def few(self, choice: str) -> dict[str, Any]:
        """The record of a run of three bolts, two washers of three at hand; what was chosen then."""
        head = bolts(3)
        part = Part(name="Washers", record="count", needed=3)
        run = bench_for(head, tighten(head), parts=(part,))
        run.answer(a.Value("2"))
        run.answer(a.Resolve(choice, reason="the rest comes later") if choice != "hold" else a.Hold("for washers"))
        if choice == "ask again":
            run.answer(a.Value("3"))
        if choice != "hold":
            run.steadily()
        return tomllib.loads(build(*frozen(run, b"")).decode())

    def test_it_is_a_deviation_with_its_numbers_and_its_reason(self) -> None:
        """2 of 3 needed, and nothing was conceded."""
        record = self.few("go on")

        (row,) = record["deviation"]
        assert [{"kind": "too few", "part": "Washers", "at_hand": 2, "needed": 3}] == row["departed"]
        assert ["the rest comes later"] == [each["reason"] for each in row["decided"]]
        assert ("done", 1) == (record["outcome"], record["deviations"])

    def test_counted_again_and_enough_it_is_none(self) -> None:
        """Both counts stand in the record."""
        record = self.few("ask again")

        assert ([], ["2", "3"]) == (record.get("deviation", []), [row["what"] for row in record["part"]])

    def test_on_hold_for_it_is_still_open(self) -> None:
        """Nobody went on with it, and nobody put it right."""
        record = self.few("hold")

        assert [["too few"]] == [[each["kind"] for each in row["departed"]] for row in record["deviation"]]
        assert [["hold"]] == [[each["choice"] for each in row["decided"]] for row in record["deviation"]]
