"""The tools of a run, and the question marks that they leave on what they showed."""

from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace

from clampbook.record.pages.telling import Telling
from clampbook.record.pages.tools import adapter_told, questioned
from clampbook.record.pages.tools import calibration as told_of
from clampbook.record.toolbox import calibration
from clampbook.run import events as e
from clampbook.tools.against import has_happened
from clampbook.tools.model import Adapter, LastCheck, Trouble
from clampbook.units import Quantity

from .daybooks import Daybook, at_line
from .head import GAUGE, W2, W5, a_plan


def tool(day: Daybook, name: str) -> dict[str, Any]:
    """The table of one tool."""
    (row,) = (row for row in day.record()["tool"] if row["tool"] == name)
    return dict(row)


class TestToolbox:
    """What was known of a tool, and what happened to it."""

    def test_a_tool_is_kept_whole(self) -> None:
        """Whoever reads the record needs no book of tools."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)

        row = tool(day, "w2")

        assert ("W2", "setting", "N·m", "10", "60", "0.5", "A-114") == tuple(
            row[key] for key in ("name", "kind", "unit", "minimum", "maximum", "resolution", "serial")
        )
        assert ("in date", "2026-09-01") == (row["calibration"], row["due_on"])

    @pytest.mark.parametrize(
        ("changes", "state", "told"),
        [
            ({}, "in date", "in date, due 2026-09-01"),
            ({"calibration_due": "2026-03-02"}, "in date", "in date, due 2026-03-02"),
            ({"calibration_due": "2026-03-01"}, "overdue", "overdue since 2026-03-01"),
            ({"calibration_due": None}, "not known", "calibrated on 2025-09-01, due date not known"),
            ({"calibration_due": None, "calibrated_on": None}, "not known", "not known"),
        ],
    )
    def test_its_calibration_is_judged_on_the_day_it_was_taken_up(
        self, changes: dict[str, Any], state: str, told: str
    ) -> None:
        """The due day itself is still in date; what is not known is said to be not known."""
        tool = replace(W2, **changes)
        found = calibration(tool, "2026-03-02")

        assert (state, told) == (found["calibration"], told_of({**found, "calibrated_on": tool.calibrated_on}))

    def test_all_that_happened_to_it_stands_with_it(self) -> None:
        """Taken, set, zeroed, dropped, put back, and how many pulls were made with it."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2, step="1.1/1")
        day.add(e.ToolSet, tool="w2", step="1.1/1", typed="30", value="30.0", unit="N·m", at_fastener="30.0")
        day.clicked("1.1/1")
        day.confirmed("6.1/11", "6.1/12")
        day.add(e.ToolDropped, tool="w2", going_on="it fell onto cloth")
        day.add(e.ToolReturned, tool="w2", wound_down=True)

        row = tool(day, "w2")

        assert 3 == row["pulls"]
        assert ["30.0"] == [each["to"] for each in row["set"]]
        assert [(True, "it fell onto cloth")] == [(each["gone_on_with"], each["reason"]) for each in row["dropped"]]
        assert [True] == [each["wound_down"] for each in row["returned"]]

    def test_a_corrected_reading_is_one_pull(self) -> None:
        """A slip of the keyboard does not wear the tool."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        first = day.reading("1.1/1", "33.0", "over")
        fields = {"typed": "30.3", "value": "30.3", "unit": "N·m", "at_fastener": "30.3", "verdict": "within"}
        day.add(
            e.Corrected, of=first, step="1.1/1", attempt=1, what="reading", known="from memory", window=None, **fields
        )

        assert 1 == tool(day, "w5")["pulls"]

    def test_zeros_are_kept_as_they_were_found(self) -> None:
        """Good, wrong and unknown, in their order."""
        day = Daybook()
        day.add(e.ToolTaken, tool=GAUGE)
        for state in ("good", "wrong", "unknown"):
            day.add(e.ToolZeroed, tool="g1", state=state)

        assert ["good", "wrong", "unknown"] == [each["found"] for each in tool(day, "g1")["zero"]]

    def test_what_it_was_taken_with_stands_with_it(self) -> None:
        """Type and class, what it may deviate, its adapter, its last check, and how often it was pulled."""
        adapter = Adapter(id="a1", name="A1", extension=Quantity(Decimal(60), "mm"))
        check = LastCheck(check="20260220-w5-aaaaaaaa", on="2026-02-20", verdict="passed", series="as left")
        known = replace(W5, iso_type="I", iso_class="C", permissible_deviation=Decimal(4))
        day = Daybook(a_plan())
        day.add(e.ToolTaken, tool=known, adapter=adapter, last_check=check, pulls=412)

        row = tool(day, "w5")

        assert ("I", "C", "4") == (row["iso_type"], row["iso_class"], row["permissible_deviation_percent"])
        (taken,) = row["taken"]
        assert ("A1, 60 mm longer", {"verdict": "passed", "phase": "as left", "on": "2026-02-20"}, 412) == (
            adapter_told(taken["adapter"]),
            taken["last_check"],
            taken["pulls_since_calibration"],
        )

    def test_a_tool_taken_twice_is_one_tool(self) -> None:
        """With a line for each time."""
        day = Daybook()
        first, second = (day.add(e.ToolTaken, tool=W2) for _ in range(2))

        assert [first, second] == [each["line"] for each in tool(day, "w2")["taken"]]

    def test_a_tool_that_came_back_from_calibration_is_told_apart(self) -> None:
        """What was known of it changed within the run, so it stands there twice."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        day.add(e.ToolReturned, tool="w5")
        day.add(e.ToolTaken, tool=replace(W5, calibration_due="2027-03-02"))

        assert [("overdue", "2026-01-31"), ("in date", "2027-03-02")] == [
            (row["calibration"], row["due_on"]) for row in day.record()["tool"]
        ]


def questions(day: Daybook) -> dict[int, str | None]:
    """What the report says of each pull that is in question, by line."""
    record = day.record()
    told = Telling(record)
    return {
        row["line"]: questioned(told, lines) if (lines := row.get("in_question_at_lines")) else None
        for row in record["reading"]
    }


class TestQuestions:
    """What a tool showed may come into question after it was written down."""

    def test_a_wrong_zero_questions_all_since_the_last_good_one(self) -> None:
        """Nobody can tell when it went off."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        before = day.reading("1.1/1", "30.0")
        day.add(e.ToolZeroed, tool="w5", state="good")
        since = day.reading("1.1/2", "30.0")
        wrong = day.add(e.ToolZeroed, tool="w5", state="wrong")

        assert {before: None, since: f"W5: zero wrong at line {wrong}"} == questions(day)

    def test_without_a_zero_in_between_it_goes_back_to_taking_it_up(self) -> None:
        """What the tool showed in an earlier use is another matter."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        before = day.reading("1.1/1", "30.0")
        day.add(e.ToolReturned, tool="w5")
        day.add(e.ToolTaken, tool=W5)
        since = day.reading("1.1/2", "30.0")
        wrong = day.add(e.ToolZeroed, tool="w5", state="wrong")

        assert {before: None, since: f"W5: zero wrong at line {wrong}"} == questions(day)

    def test_going_on_with_it_questions_what_comes_until_the_next_good_zero(self) -> None:
        """A reason to go on makes no zero."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        wrong = day.add(e.ToolZeroed, tool="w5", state="wrong")
        day.decided(wrong, "go on", "zero wrong", reason="agreed")
        after = day.reading("1.1/1", "30.0")
        day.add(e.ToolZeroed, tool="w5", state="good")
        later = day.reading("1.1/2", "30.0")

        assert {after: f"W5: zero wrong at line {wrong}", later: None} == questions(day)

    def test_a_tool_that_fell_questions_what_comes_after(self) -> None:
        """A setting may have moved by the fall; what was pulled before it was pulled with a good tool."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        before = day.confirmed("6.1/11", "6.1/11")
        fell = day.add(e.ToolDropped, tool="w2", going_on="onto cloth")
        after = day.confirmed("6.1/12", "6.1/12")

        assert {before: None, after: f"W2: dropped at line {fell}"} == questions(day)

    def test_a_good_zero_does_not_undo_a_fall(self) -> None:
        """Only a check does: what it showed until then stays in question, what comes after is not."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        fell = day.add(e.ToolDropped, tool="w5", going_on="onto cloth")
        day.add(e.ToolZeroed, tool="w5", state="good")
        first = day.reading("1.1/1", "30.0")
        good = day.add(e.ToolPassed, tool="w5", passed="2026-03-02T09:00:00.000Z")
        second = day.reading("1.1/2", "30.0")

        assert {first: f"W5: dropped at line {fell}", second: None} == questions(day)
        (row,) = day.record()["in_question"]
        assert ("w5", "dropped", fell, good, 1) == tuple(
            row[key] for key in ("tool", "why", "since_line", "until_line", "pulls")
        )

    def test_what_fell_in_another_run_is_in_question_here(self) -> None:
        """It was taken up all the same; no line of this run says more of it."""
        fell = Trouble(kind="dropped", at="2026-03-01T09:00:00.000Z", on="2026-03-01", run="20260301-hub-a", line=9)
        day = Daybook()
        taken = day.add(e.ToolTaken, tool=W5, reason="no other here", against=(has_happened(fell),), troubles=(fell,))
        line = day.reading("1.1/1", "30.0")

        assert {line: f"W5: suspect at line {taken}, dropped on 2026-03-01"} == questions(day)

    def test_other_tools_are_not_concerned(self) -> None:
        """Each tool answers for itself."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        day.add(e.ToolTaken, tool=W5)
        line = day.reading("1.1/1", "30.0")
        day.add(e.ToolDropped, tool="w2")

        assert {line: None} == questions(day)

    def test_a_suspicion_reaches_back_to_the_line_it_names(self) -> None:
        """And not to what lies before it, whatever the zeros say."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        first, second = day.reading("1.1/1", "30.0"), day.reading("1.1/2", "30.0")
        day.add(e.ToolZeroed, tool="w5", state="good")
        suspicion = day.add(e.ToolSuspected, tool="w5", why="readings drift", since=second)

        assert {first: None, second: f"W5: suspect at line {suspicion}, readings drift"} == questions(day)

    def test_a_correction_shares_the_question_of_its_pull(self) -> None:
        """The pull is the same one, whenever its value was put right."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        first = day.reading("1.1/1", "33.0", "over")
        wrong = day.add(e.ToolZeroed, tool="w5", state="wrong")
        day.add(e.ToolZeroed, tool="w5", state="good")
        fields = {"typed": "30.3", "value": "30.3", "unit": "N·m", "at_fastener": "30.3", "verdict": "within"}
        second = day.add(
            e.Corrected, of=first, step="1.1/1", attempt=1, what="reading", known="from memory", window=None, **fields
        )

        words = f"W5: zero wrong at line {wrong}"
        assert {first: words, second: words} == questions(day)

    def test_a_question_never_changes_an_outcome(self) -> None:
        """It is a mark beside what was read, for somebody to look into."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        line = day.reading("1.1/1", "30.0")
        day.add(e.ToolZeroed, tool="w5", state="wrong")

        row = at_line(day.record()["reading"], line)

        assert ("within", "counts") == (row["outcome"], row["standing"])
