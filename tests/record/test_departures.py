"""Deviations around the pulls: fasteners, looks, tools, waits and clocks."""

import pytest

from clampbook.procedure.reader import read
from clampbook.run import events as e
from clampbook.run.planning import plan
from clampbook.tools.against import Overdue

from .daybooks import Daybook, at_line, deviations, kinds, only
from .head import MAUD, W2, W5

BACKED_OFF = """\
format = 2
title = "Shaft bearing"
revision = "A"
unit = "N·m"

[[group]]
name = "Nuts"
positions = "1-2"

[[stage]]
id = "slacken"
do = "loosen"
by = "60°"

[[stage]]
do = "measure"
what = "Play"
between = ["0.05 mm", "0.12 mm"]
adjust_from = "slacken"
adjust_at_most = 3
"""


class TestAround:
    """Deviations of what happened around the pulls."""

    @pytest.mark.parametrize("how", ["broken", "stripped", "never reaches the torque", "wrong or missing part"])
    def test_a_lost_fastener_is_one(self, how: str) -> None:
        """With what it had reached."""
        day = Daybook()
        line = day.add(e.Broken, step="1.1/2", position="2", attempt=1, how=how, reached="24 N·m")

        assert [(line, how)] == kinds(day)
        assert ("24 N·m", True) == (only(day)["departed"][0]["reached"], only(day)["what"].endswith("reached 24 N·m"))

    def test_a_position_skipped_is_one(self) -> None:
        """It was not done in its turn."""
        day = Daybook()
        day.add(e.Skipped, step="1.1/2", position="2", reason="no room for the tool")

        row = only(day)

        assert ("2", "skipped: no room for the tool") == (row["position"], row["what"])

    def test_a_look_that_is_not_as_expected_names_the_positions(self) -> None:
        """The look at all of them is what catches the skipped one."""
        day = Daybook()
        day.add(e.Inspected, step="5.1/-", answer="no", as_expected=False, positions=("2", "4"))

        assert "not as expected at 2, 4: no" == only(day)["what"]

    def test_an_inspection_by_whoever_did_the_work_is_one(self) -> None:
        """Nobody else in the house is a reason; it is not the second pair of eyes."""
        day = Daybook()
        fields = {"answer": "yes", "as_expected": True, "inspector": MAUD, "reason": "nobody else in the house"}
        day.add(e.Inspected, step="5.1/-", meaning="inspected again by the same person", **fields)

        assert "inspected by the same person" == only(day)["kind"]

    def test_what_was_not_as_it_had_been_left_is_one(self) -> None:
        """After a break the last positions are looked at."""
        day = Daybook()
        line = day.add(e.LookedBack, position="1", as_left=False)

        assert [(line, "not as I left it")] == kinds(day)

    def test_a_lost_mark_is_one(self) -> None:
        """A turn that was begun and whose mark is gone cannot be judged."""
        day = Daybook()
        line = day.add(e.StepState, step="2.1/1", state="mark lost")

        assert [(line, "mark lost")] == kinds(day)

    def test_a_tool_taken_though_it_does_not_suit_is_one(self) -> None:
        """The refusal and the reason stand together."""
        day = Daybook()
        day.add(
            e.ToolTaken,
            tool=W5,
            step="1.1/1",
            against=(Overdue("2026-01-31"),),
            reason="no other tool in the house",
        )

        assert (
            "W5 used with a reason (no other tool in the house): calibration overdue since 2026-01-31"
            == only(day)["what"]
        )

    def test_a_zero_that_came_back_wrong_is_one(self) -> None:
        """Whatever it was put down to."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        line = day.add(e.ToolZeroed, tool="w5", state="wrong")

        assert [(line, "zero wrong")] == kinds(day)

    def test_a_tool_that_fell_is_one_and_says_whether_the_work_went_on_with_it(self) -> None:
        """Out until checked, or gone on with for a reason."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        first = day.add(e.ToolDropped, tool="w2", going_on="it fell onto cloth")
        second = day.add(e.ToolDropped, tool="w2")

        rows = deviations(day)

        assert "W2 dropped, used again: it fell onto cloth" == at_line(rows, first)["what"]
        assert "W2 dropped, not used again" == at_line(rows, second)["what"]

    def test_a_tool_that_is_suspect_is_one(self) -> None:
        """From which line on, and why."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        day.add(e.ToolSuspected, tool="w2", why="it was used to loosen", since=2)

        assert "W2 suspect since line 2: it was used to loosen" == only(day)["what"]

    def test_a_wait_cut_short_is_one(self) -> None:
        """With the reason, at the line where it was decided."""
        day = Daybook()
        line = day.decided(1, "go on early", "wait", step="4.1/-", reason="the time was over on another clock")

        row = only(day)

        assert (line, "wait cut short", "4.1/-") == (row["line"], row["kind"], row["step"])
        assert "wait cut short: the time was over on another clock" == row["what"]

    @pytest.mark.parametrize(
        ("at_most", "time", "told"),
        [
            (3, 3, "measurement over: 0.20 mm"),
            (3, 4, "measurement over: 0.20 mm, window 0.05–0.12 mm; adjusted more often than 3 times"),
            (1, 2, "adjusted more often than once"),
        ],
    )
    def test_adjusting_more_often_than_allowed_is_one(self, at_most: int, time: int, told: str) -> None:
        """Going back as far by a decision is one time more."""
        sheet = BACKED_OFF.replace("adjust_at_most = 3", f"adjust_at_most = {at_most}")
        day = Daybook(plan(read(sheet.encode()), "invented"))
        line = day.measured("2.1/-", "0.20", "over", window=("0.05", "0.12"))
        day.decided(line, "go back", "outside", step="2.1/-", back_to=1, reason="still out", time=time)

        row = only(day)
        assert line == row["line"]
        assert told in row["what"]
        assert (time > at_most) == ("more often" in row["what"])

    def test_a_wait_said_to_be_over_too_soon_is_one(self) -> None:
        """The times of the daybook are held against what the sheet wants."""
        day = Daybook()
        line = day.add(e.Waited, step="4.1/-", since="2026-03-02T08:00:00.000Z", lasts="600")

        assert [(line, "wait cut short")] == kinds(day)
        assert "wait cut short: 20 s of 10 min" == only(day)["what"]

    def test_a_clock_that_was_set_back_is_one(self) -> None:
        """A line earlier than the one before shows it, whatever was noted."""
        day = Daybook()
        line = day.add(e.Noted, text="daylight saving?", at="2026-03-02T07:00:10.000Z")

        assert [(line, "clock set back")] == kinds(day)
        assert "clock set back by 3600 s" == only(day)["what"]

    def test_a_implausible_clock_after_a_break_is_one(self) -> None:
        """A gap that cannot be believed."""
        day = Daybook()
        line = day.add(e.Resumed, gap=None, clock="implausible")

        assert [(line, "clock implausible")] == kinds(day)
