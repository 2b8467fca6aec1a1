"""The words of the report: people, tools, times and figures read as a person would write them."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clampbook.record.pages.blocks import Block, Sentences
from clampbook.record.pages.front import answered
from clampbook.record.pages.telling import lasted
from clampbook.run import events as e
from clampbook.run.kinds.wait import moment
from walks import bad_day

from .daybooks import Daybook
from .head import W5
from .test_report_pages import of, rows, written


def said(found: list[Block]) -> set[str]:
    """All running text."""
    return {line for block in found if isinstance(block, Sentences) for line in block.lines}


class TestWording:
    """People, tools, times and figures read as a person would write them."""

    def test_a_single_row_names_tool_and_person_as_they_are_called(self) -> None:
        """By their names, not by their ids."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        day.reading("1.1/1", "30.0")

        assert "With W5, by Ines." in said(written(day))

    def test_a_silence_says_how_long_it_was(self) -> None:
        """Fourteen minutes between two answers; where the clock was set back nobody knows."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W5)
        day.now += timedelta(minutes=13, seconds=50)
        day.reading("1.1/1", "30.0", noted=("after a silence",))
        day.now -= timedelta(hours=1)
        day.reading("1.1/2", "30.0", noted=("clock implausible", "after a silence"))

        first, second = (str(row[1]) for row in rows(written(day), "Deviations and decisions"))
        assert first == "after 14 min without an answer"
        assert "after a break without an answer" in second

    def test_a_unit_that_was_typed_is_not_told_twice(self) -> None:
        """412 and 412 h, where the sheet asks for hours."""
        assert ["412 h", "412 h"] == [answered({"answer": typed, "unit": "h"}) for typed in ("412", "412 h")]

    def test_mean_and_standard_deviation_have_the_same_decimals(self) -> None:
        """Of 29.0, 30.0 and 32.0 N·m: 30.3333 and 1.52753, so both to a tenth."""
        day = Daybook()
        for position, value in (("1", "29.0"), ("2", "30.0"), ("3", "32.0")):
            day.reading(f"1.1/{position}", value)

        told = said(written(day))
        assert "3 readings: mean 30.3, standard deviation 1.5, 29.0 to 32.0 N·m." in told
        # 1 N·m is 0.737562 lbf·ft (NIST SP 811, B.8).
        assert "In lbf·ft: mean 22.4, standard deviation 1.1, 21.39 to 23.60 lbf·ft." in told

    @pytest.mark.parametrize(
        ("seconds", "told"), [("648.75", "10 min 48 s"), ("599.9", "9 min 59 s"), ("600", "10 min"), ("0.5", "0.5 s")]
    )
    def test_a_wait_is_told_in_full_seconds_and_never_longer_than_it_was(self, seconds: str, told: str) -> None:
        """Only what lasts under ten seconds keeps its parts."""
        assert told == lasted(seconds)

    @pytest.mark.parametrize(
        ("since", "told"),
        [("last pull", "the last pull"), ("gap", "the end of stage gap"), (None, "its own start")],
    )
    def test_a_wait_says_what_it_counts_from(self, since: str | None, told: str) -> None:
        """The last pull, an earlier stage, or its own beginning."""
        assert told == moment(since)

    def test_cautions_and_preparations_stand_in_the_order_of_the_daybook(self) -> None:
        """Whatever kind they are of."""
        moments = [str(row[0]) for row in rows(of(bad_day()), "People and parts")]

        assert len(moments) > 2
        assert sorted(moments) == moments
