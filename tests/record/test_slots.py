"""At a slot that nobody read the torque of, the record says so, and that the limit was not checked."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from small_joints import READING, SETTING, align, bench_for, bolts, tighten, value, walk_to

from bench import OKKE, Bench
from clampbook.record.pages.blocks import Sentences
from clampbook.record.pages.marks import state
from clampbook.record.pages.not_measured import at_slots
from clampbook.record.pages.panels import of_work
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.tools.model import Tool
from walks import frozen

NUTS = bolts(2, "Castle nuts", one="Castle nut")


def turned_on(*ways: str, tools: tuple[Tool, ...] = SETTING, **more: Any) -> Bench:
    """The first of two nuts was turned on to its slot in these ways, one after the other."""
    run = bench_for(NUTS, tighten(NUTS), align(NUTS, **more), tools=tools)
    walk_to(run, "2.1/1", ask.Align)
    for way in ways:
        run.answer(a.Slot(way))  # type: ignore[arg-type]
        if way == "turned" and tools is SETTING:
            run.answer(a.Look("yes"))
    return run


def record(run: Bench) -> dict[str, Any]:
    """The record of what was walked so far."""
    return tomllib.loads(build(*frozen(run)).decode())


def said(run: Bench) -> list[str]:
    """What the report says of the torques at the slots."""
    return list(at_slots(Telling(record(run))))


def test_with_a_click_tool_nobody_checked_the_limit() -> None:
    """It shows no torque."""
    assert ["Torque at the slot not read: castle nut 1. Limit of 36 N·m not checked."] == said(turned_on("turned"))


def test_with_a_plain_wrench_nobody_checked_it_either() -> None:
    """Though a tool that shows torque was in hand."""
    assert ["Torque at the slot not read: castle nut 1. Limit of 36 N·m not checked."] == said(
        turned_on("unread", tools=READING)
    )


def test_several_nuts_stand_in_one_sentence() -> None:
    """They have one limit."""
    assert ["Torque at the slot not read: castle nuts 1, 2. Limit of 36 N·m not checked."] == said(
        turned_on("turned", "turned")
    )


def test_without_a_limit_none_was_left_unchecked() -> None:
    """The torque was not read all the same."""
    assert ["Torque at the slot not read: castle nut 1."] == said(turned_on("turned", at_most=None))


def test_a_torque_that_was_read_or_is_read_next_is_not_missing() -> None:
    """34 N·m at the slot."""
    run = turned_on("turned", tools=READING)
    assert [] == said(run)

    value(run, "34")

    assert [] == said(run)


def test_a_nut_that_was_aligned_already_was_not_turned() -> None:
    """It has the torque that it was tightened to."""
    assert [] == said(turned_on("already"))


@pytest.mark.parametrize(("tools", "missing"), [(SETTING, 1), (READING, 0)])
def test_one_that_does_not_align_was_held_against_its_limit_where_a_tool_showed_torque(
    tools: tuple[Tool, ...], missing: int
) -> None:
    """With a click tool nobody knows that it does not align below 36 N·m."""
    run = turned_on("not", tools=tools)
    run.answer(a.Resolve("concession", reason="the next washer is as thick", person=OKKE))

    assert missing == len(said(run))


def test_a_turn_to_a_slot_is_no_turn_by_the_mark() -> None:
    """No angle is asked for there, so that none is missing."""
    assert "turns_by_the_mark" not in record(turned_on("turned"))["not_measured"]


class TestHowItCameToItsSlot:
    """What became of each nut at its slot stands in the record, by name."""

    @staticmethod
    def rows(run: Bench) -> list[tuple[str, str, str]]:
        """What was done at the slots: where, what, and its outcome."""
        found = record(run)["reading"]
        return [(each["position"], each["kind"], each["outcome"]) for each in found if each["stage"] == 2]

    @staticmethod
    def outcomes(run: Bench) -> list[str]:
        """The word for each nut at its slot."""
        return [each["outcome"][f"2.1/{each['position']}"] for each in record(run)["position"]]

    def test_aligned_already_is_told(self) -> None:
        """Nothing was turned there, and somebody looked."""
        run = turned_on("already", tools=READING)

        assert [("1", "slot", "aligned already")] == self.rows(run)
        assert "aligned already" == self.outcomes(run)[0]

    def test_turned_on_and_read_is_within(self) -> None:
        """No mark was gone by, and the torque there says how it stands."""
        run = turned_on("turned", tools=READING)
        value(run, "34")
        run.answer(a.Look("yes"))

        assert [("1", "turn", "turned on to the slot"), ("1", "final torque", "within")] == self.rows(run)
        assert "within" == self.outcomes(run)[0]

    def test_turned_on_without_a_reading_says_just_that(self) -> None:
        """A plain wrench shows nothing, and the pin says nothing of the torque."""
        run = turned_on("turned")

        assert [("1", "turn", "turned on to the slot")] == self.rows(run)
        assert "turned on to the slot" == self.outcomes(run)[0]

    def test_the_report_tells_each_way(self) -> None:
        """A nut that was read there, and one that was not."""
        run = turned_on("turned", tools=READING)
        value(run, "34")
        run.answer(a.Look("yes"))
        run.answer(a.Slot("unread"))
        run.answer(a.Look("yes"))
        telling = Telling(record(run))
        rows = [row for row in telling.rows("reading") if row["kind"] == "turn"]

        told = of_work(telling, rows)

        assert isinstance(told[0], Sentences)
        assert ["turned on to the slot: 1, torque read", "turned on to the slot: 2, no reading"] == [
            line.partition("\u00a0")[2].partition(", by")[0] for line in told[0].lines
        ]

    def test_on_the_map_a_nut_without_a_reading_at_its_slot_has_none(self) -> None:
        """The pull before was read; then it was turned on, and nobody knows how far. Aligned already it stands as it
        was read."""
        within = {"1.1/1": "within"}

        assert ["clicked", "within", "within"] == [
            state("done", within | {"2.1/1": word}) for word in ("turned on to the slot", "within", "aligned already")
        ]
        assert ["clicked", "within"] == [
            state("done", outcomes)
            for outcomes in (within | {"2.1/1": "confirmed together"}, {"1.1/1": "clicked", "2.1/1": "within"})
        ]
