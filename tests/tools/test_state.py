"""In what state a tool is on a day, and what falls due when."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from clampbook.tools.against import Ahead, Overdue, has_happened
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import fitness
from clampbook.tools.model import LastCheck, Stock, Tool, Trouble, Use, Withdrawn
from clampbook.tools.state import State, due_by, due_on, months_after, state

TODAY = date(2026, 3, 2)
DROPPED = Trouble(kind="dropped", at="2026-02-27T10:00:00.000Z", on="2026-02-27", run="20260227-hub-aaaaaaaa", line=31)


def tool(id: str = "w2", **more: Any) -> Tool:
    """W2, calibrated in January, and so on."""
    fields: dict[str, Any] = {"calibrated_on": "2026-01-12", "interval_months": 12, **more}
    return Tool(id=id, name=id.upper(), kind=fields.pop("kind", "setting"), unit="N·m", **fields)


def checked(verdict: Any, worst: str | None = None) -> Use:
    """What a check on the 20th of February found."""
    number = None if worst is None else Decimal(worst)
    return Use(last_check=LastCheck(check="20260220-w2-aaaaaaaa", on="2026-02-20", verdict=verdict, worst=number))


class TestState:
    """One word, and why."""

    def test_a_tool_in_date_is_fit(self) -> None:
        """Nothing speaks against it, and it says until when."""
        assert State("fit", (), "2027-01-12") == state(tool(), TODAY)

    def test_on_its_last_day_it_is_still_fit(self) -> None:
        """The day itself is in date; it is said that it is the last."""
        last = state(tool(calibration_due="2026-03-02"), TODAY)

        assert ("fit", ("calibration due 2026-03-02",)) == (last.word, last.because)

    def test_a_day_later_its_calibration_is_past(self) -> None:
        """The earlier of the day written and the day by interval counts."""
        past = state(tool(calibration_due="2026-03-01"), TODAY)

        told = ("calibration overdue since 2026-03-01",)
        assert State("calibration past", told, "2026-03-01", against=(Overdue("2026-03-01"),)) == past
        assert not past.fit

    def test_a_calibration_that_is_still_to_come_is_none(self) -> None:
        """A year mistyped, or a clock that is behind: the tool is not taken as fit until somebody has looked."""
        ahead = state(tool(calibrated_on="2026-03-03"), TODAY)

        told = "calibration date in the future: 2026-03-03"
        assert ("calibration ahead", (told,)) == (ahead.word, ahead.because)
        assert state(tool(calibrated_on="2026-03-02"), TODAY).fit

    def test_a_tool_whose_calibration_lies_ahead_is_taken_with_a_reason_only(self) -> None:
        """As one whose calibration is past; a check that is due is only said."""
        at = Circumstances(today=TODAY)
        ahead = fitness(tool(calibrated_on="2062-01-12"), Demand(need="torque"), at)
        unknown = fitness(tool(calibrated_on=None, interval_months=None), Demand(need="torque"), at)

        assert ((Ahead("2062-01-12"),), ()) == (ahead.against, ahead.notes)
        assert ((), ("W2: check due: never checked",)) == (unknown.against, unknown.notes)

    def test_pulls_can_use_it_up(self) -> None:
        """5 000 are allowed and 5 000 are done; with 400 left it is only said."""
        many = tool(interval_pulls=5000)

        assert "calibration past" == state(many, TODAY, Use(pulls=5000)).word
        assert ("400 pulls left until calibration",) == state(many, TODAY, Use(pulls=4600)).because
        assert () == state(many, TODAY, Use(pulls=4000)).because

    def test_withdrawn_weighs_most(self) -> None:
        """Whatever else there is to say is said behind it."""
        out = tool(calibration_due="2026-02-01", withdrawn=Withdrawn(on="2026-02-10", reason="bent"))

        found = state(out, TODAY)
        assert ("out of service since 2026-02-10: bent", "calibration overdue since 2026-02-01") == found.because
        assert "withdrawn" == found.word

    def test_a_failed_check_puts_it_out_of_service(self) -> None:
        """What a check found off is out until a later one finds it right."""
        failed = state(tool(), TODAY, checked("failed", "5.8"))

        assert ("out of service", ("out of service: failed its check, off by +5.80 %",)) == (
            failed.word,
            failed.because,
        )
        assert state(tool(), TODAY, checked("passed")).fit

    @pytest.mark.parametrize(("worst", "told"), [("7.5269", "+7.53"), ("-7.5249", "−7.52"), ("4.0041", "+4.004")])
    def test_what_a_check_found_is_told_in_hundredths(self, worst: str, told: str) -> None:
        """Two places are enough, but 4.0041 % where 4 % is allowed never reads as what is allowed."""
        failed = state(tool(permissible_deviation=Decimal(4)), TODAY, checked("failed", worst))

        assert (f"out of service: failed its check, off by {told} %",) == failed.because

    def test_a_check_that_could_not_decide_is_due_again(self) -> None:
        """The reference was too uncertain: nobody knows."""
        undecided = state(tool(), TODAY, checked("undecided"))

        assert ("check due", ("check due: last check undecided, 2026-02-20",)) == (undecided.word, undecided.because)

    def test_a_tool_of_which_nothing_is_known_wants_a_check(self) -> None:
        """No calibration, no check: perhaps it is right; nobody has looked."""
        assert "check due" == state(tool(calibrated_on=None, interval_months=None), TODAY).word
        assert state(tool(calibrated_on=None, interval_months=None), TODAY, checked("passed")).fit

    def test_a_dropped_tool_wants_a_check(self) -> None:
        """Until one passes it is taken with a reason only, whatever its papers say."""
        found = state(tool(), TODAY, Use(troubles=(DROPPED,)))

        assert ("check due", ("check due: dropped on 2026-02-27, use needs a reason",)) == (found.word, found.because)
        assert ((has_happened(DROPPED),), True) == (found.against, found.last)

    def test_a_tool_that_somebody_suspects_wants_a_check_too(self) -> None:
        """With what the person said."""
        drifting = Trouble(kind="suspect", at=DROPPED.at, on=DROPPED.on, run=DROPPED.run, line=12, why="readings drift")

        told = ("check due: suspect since 2026-02-27: readings drift, use needs a reason",)
        assert told == state(tool(), TODAY, Use(troubles=(drifting,))).because

    def test_a_dropped_gauge_is_cleared_by_its_next_calibration(self) -> None:
        """No check can look at a gauge; a torque tool is cleared by none but a check."""
        fell = Use(troubles=(DROPPED,))

        assert "check due" == state(tool("g1", kind="angle gauge", calibrated_on="2026-02-27"), TODAY, fell).word
        assert state(tool("g1", kind="angle gauge", calibrated_on="2026-02-28"), TODAY, fell).fit
        assert "check due" == state(tool(calibrated_on="2026-02-28"), TODAY, fell).word

    def test_a_gauge_needs_neither(self) -> None:
        """An angle gauge without any paper is fit."""
        gauge = Tool(id="g1", name="G1", kind="angle gauge", unit="°")

        assert State("fit") == state(gauge, TODAY)


class TestDays:
    """When the next calibration is due."""

    @pytest.mark.parametrize(
        ("day", "months", "later"),
        [
            (date(2026, 1, 31), 1, date(2026, 2, 28)),
            (date(2028, 1, 31), 1, date(2028, 2, 29)),
            (date(2026, 12, 15), 12, date(2027, 12, 15)),
            (date(2026, 11, 30), 3, date(2027, 2, 28)),
        ],
    )
    def test_months_end_where_the_calendar_does(self, day: date, months: int, later: date) -> None:
        """A month that is too short for the day gives its last one."""
        assert later == months_after(day, months)

    def test_the_earlier_day_counts(self) -> None:
        """A certificate may say less than the shop's own interval, or more."""
        assert "2026-07-12" == due_on(tool(interval_months=6, calibration_due="2027-01-12"))
        assert "2026-05-01" == due_on(tool(interval_months=6, calibration_due="2026-05-01"))


class TestDue:
    """What is due this month."""

    def test_past_first_then_by_day(self) -> None:
        """W4 is past, W3 falls due on the 20th, W2 next year; W5 is withdrawn and rests."""
        shop = Stock(
            (
                tool("w2"),
                tool("w3", calibration_due="2026-03-20"),
                tool("w4", calibration_due="2026-02-01"),
                tool("w5", calibration_due="2026-02-01", withdrawn=Withdrawn(on="2026-02-10", reason="bent")),
                tool("w6", interval_pulls=50),
            ),
            (),
            {"w6": Use(pulls=51)},
        )

        found = [(due.tool.id, due.what, due.on, due.past) for due in due_by(shop, TODAY)]

        assert [
            ("w6", "calibration overdue: 51 pulls, 50 allowed", None, True),
            ("w4", "calibration overdue since 2026-02-01", "2026-02-01", True),
            ("w3", "calibration due 2026-03-20", "2026-03-20", False),
        ] == found

    def test_what_is_due_is_one_line(self) -> None:
        """With its day, with its pulls, or with what nobody knows of the tool."""
        shop = Stock(
            (
                tool("w1", calibrated_on=None, interval_months=None),
                tool("w4", calibration_due="2026-02-01"),
                tool("w6", interval_pulls=50),
            ),
            (),
            {"w6": Use(pulls=51)},
        )

        expected = {
            "W1: check due: never checked",
            "W4: calibration overdue since 2026-02-01",
            "W6: calibration overdue: 51 pulls, 50 allowed",
        }
        assert expected == {due.says for due in due_by(shop, TODAY)}

    def test_pulls_used_up_count_before_a_day_that_is_still_to_come(self) -> None:
        """Its calibration ends on the 20th, but its 50 pulls are over today."""
        shop = Stock((tool("w6", calibration_due="2026-03-20", interval_pulls=50),), (), {"w6": Use(pulls=50)})

        found = [(due.what, due.past) for due in due_by(shop, TODAY)]

        assert [("calibration overdue: 50 pulls, 50 allowed", True)] == found
