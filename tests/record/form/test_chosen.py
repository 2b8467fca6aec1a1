"""Tools chosen for a form: what is set on them is what the walk says, and a tool that cannot do it is told the same."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from msgspec import structs
from small_joints import W7, W8, amount, asked, at_first_pull, bench_for, bolts, recheck, tighten, walk_to

from bench import Bench
from clampbook.procedure import model as m
from clampbook.record.form.blocks import Boxes, Rows, StageHead
from clampbook.record.form.chosen import Choice, Taken, choice, taken
from clampbook.record.paper_form import blocks
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.asked import words
from clampbook.tools.model import Adapter, Stock, Tool

BOLTS = bolts(3)
FOOT = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="lbf·ft",
    minimum=Decimal(20),
    maximum=Decimal(100),
    resolution=Decimal("0.1"),
    lever=amount("400", "mm"),
)
LARGE = Tool(
    id="w9",
    name="W9",
    kind="setting",
    unit="N·m",
    minimum=Decimal(200),
    maximum=Decimal(1000),
    resolution=Decimal(2),
)
A1 = Adapter(id="a1", name="A1", extension=amount("100", "mm"))
STOCK = Stock((W7, W8, FOOT, LARGE), (A1,))


def said(run: Bench, *names: str) -> tuple[StageHead, Taken]:
    """The head of the first stage on a form of the same plan, with these tools of the book."""
    chosen = taken(run.plan, [choice(name, STOCK) for name in names], STOCK, None)
    return next(each for each in blocks(run.plan, chosen) if isinstance(each, StageHead)), chosen


@pytest.mark.parametrize("tool", (W7, W8, FOOT), ids=lambda tool: tool.name)
def test_what_is_set_and_between_what_it_must_lie_are_those_of_the_walk(tool: Tool) -> None:
    """Whatever its unit, and whether it shows a reading."""
    run = bench_for(BOLTS, tighten(BOLTS), tools=(tool,))
    pull = walk_to(run, "1.1/1", ask.Tighten)
    head, chosen = said(run, tool.name)
    hand = words(pull).hand

    assert hand is not None
    assert f"{hand.text} {tool.unit}" in head.lines[0]
    assert any("28.0 to 32.0 N·m" in line for line in words(pull).matters if line.startswith("window "))
    assert head.aside.startswith("window 28.0 to 32.0 N·m")
    assert chosen.boxes[1]["Tool"] == tool.name
    assert chosen.boxes[1]["Set to"] == (f"{hand.text} {tool.unit}" if tool.kind == "setting" else None)


def test_a_setting_through_an_adapter_is_less() -> None:
    """30 N·m through a lever of 400 mm made 500 mm long: 24 N·m, that is 17.7 lbf·ft, which this tool has not."""
    run = at_first_pull(BOLTS)
    with_adapter = Choice(FOOT, A1)
    chosen = taken(run.plan, [with_adapter], STOCK, None)

    assert "W2+A1" == with_adapter.name
    assert "No chosen tool can do this. W2+A1 cannot: starts at 20 lbf·ft, A1 needs 17.7 lbf·ft." == chosen.lines[1][0]


def test_a_tool_that_cannot_is_told_with_the_reason_and_leaves_room() -> None:
    """As the list of the walk tells it; the box stays empty."""
    head, chosen = said(at_first_pull(BOLTS), "W9")

    assert ("No chosen tool can do this. W9 cannot: starts at 200 N·m.",) == head.lines
    assert {} == chosen.boxes[1]


def test_of_several_the_first_that_suits_is_taken() -> None:
    """In the order in which they were named."""
    head, _ = said(at_first_pull(BOLTS), "W9", "W8", "W7")

    assert "Set W8 to 30 N·m. Pull it slowly clockwise to one click." == head.lines[0]


def test_one_that_is_chosen_for_a_stage_alone_stands_there_and_nowhere_else() -> None:
    """W7 would suit both stages and is named first; W8 was set for the second."""
    run = bench_for(BOLTS, tighten(BOLTS), tighten(BOLTS, 2, target=Decimal(31)))
    _, chosen = said(run, "W7", "2=W8")

    assert {1: "W7", 2: "W8"} == {stage: boxes["Tool"] for stage, boxes in chosen.boxes.items()}
    assert () == chosen.unused


def test_one_that_stands_at_no_stage_is_told() -> None:
    """Of two that suit everywhere the second is never named on the form."""
    run = bench_for(BOLTS, tighten(BOLTS), tighten(BOLTS, 2, target=Decimal(31)))
    _, chosen = said(run, "W7", "W8")

    assert ["W8"] == [each.name for each in chosen.unused]


@pytest.mark.parametrize("name", ("3=W7", "one=W7"))
def test_a_stage_that_the_procedure_has_not_is_refused(name: str) -> None:
    """It has one stage; nobody is left to think that the tool stands there."""
    with pytest.raises(ValueError, match="stage"):
        said(bench_for(BOLTS, tighten(BOLTS)), name)


def test_a_tool_whose_calibration_is_over_says_so_beside_the_day() -> None:
    """Whoever takes it along knows it before the first pull."""
    run = bench_for(BOLTS, tighten(BOLTS))
    over = structs.replace(W7, calibrated_on="2025-02-01", interval_months=12)
    stock = Stock((over,))
    chosen = taken(run.plan, [choice("W7", stock)], stock, date(2026, 3, 2))
    tools = next(each for each in blocks(run.plan, chosen) if isinstance(each, Rows))

    assert tools.rows[0][3] == "2026-02-01, overdue"


def test_prevailing_torque_is_added_before_it_is_set_and_turned_into_the_unit_of_the_tool() -> None:
    """1 N·m is 0.7376 lbf·ft; no figure is printed, as nobody knows the prevailing torque yet."""
    group = bolts(3, prevailing=m.Prevailing(rule="always", least=amount("1.4", "N·m")))
    head, chosen = said(bench_for(group, tighten(group)), "W2", "W7")

    assert "Set W2 to 0.7376 × what stands under Pull to, in lbf·ft. Pull slowly clockwise to one click." in head.lines
    assert ("W2", "W7", None) == tuple(chosen.boxes[1].get(name) for name in ("Tool", "Prevailing read with", "Set to"))


def test_prevailing_torque_that_may_not_be_added_is_in_the_setting_only_where_it_is() -> None:
    """The column says to what each nut is pulled, and what is set follows it."""
    group = bolts(3, prevailing=m.Prevailing(rule="from a third"))
    head, _ = said(bench_for(group, tighten(group)), "W8", "W7")

    assert (
        "Set W8 to what stands under Pull to. Pull slowly clockwise to one click.",
        "Less: pull to target.",
    ) == (head.lines[0], head.lines[-1])


def test_a_recheck_that_judges_no_reading_names_no_window() -> None:
    """It is pulled to its torque, and what it shows is written down."""
    run = bench_for(BOLTS, recheck(BOLTS, 1))
    head, _ = said(run, "W7")

    assert "Pull W7 slowly clockwise to 30 N·m. Write its reading. Watch for movement." == head.lines[-2]


@pytest.mark.parametrize("walk", ("one after the other", "interleaved"))
def test_at_each_of_several_joints_prevailing_torque_is_added_as_at_one(walk: m.Walked) -> None:
    """No figure is printed for a nut whose prevailing torque nobody knows yet."""
    group = bolts(3, prevailing=m.Prevailing(rule="always", least=amount("1.4", "N·m")))
    joints = m.Joints(one=None, names=("port", "starboard"), walk=walk)
    run = bench_for(group, tighten(group), tighten(group, 2, target=Decimal(31)), joints=joints)
    _, chosen = said(run, "W8")

    assert [{"Tool": "W8"}] * 2 == list(chosen.boxes.values())
    assert not [line for lines in chosen.lines.values() for line in lines if "N·m" in line]


def test_the_sum_on_paper_is_what_the_walk_aims_at() -> None:
    """Prevailing torque of 5 N·m: 35 N·m, between 33 and 37, and 0.7376 × 35 is the 25.8 lbf·ft of the walk."""
    group = bolts(3, prevailing=m.Prevailing(rule="always", least=amount("1.4", "N·m")))
    run = bench_for(group, tighten(group), tools=(W7, FOOT))
    walk_to(run, "1.1/1", ask.Measure)
    run.answer(a.Value("5"))
    run.answer(a.TakeUp("w2", None, None))
    aim = asked(run, ask.SetTool).aim

    assert (Decimal(35), (Decimal(33), Decimal(37)), Decimal("25.8")) == (aim.target, aim.window, aim.mark)


def test_chosen_tools_fill_the_table_of_tools_and_the_boxes() -> None:
    """Name, unit, and where it stands at its stage."""
    run = at_first_pull(BOLTS)
    _, chosen = said(run, "W8")
    found = list(blocks(run.plan, chosen))
    table = next(each for each in found if isinstance(each, Rows))
    boxes = [box for each in found if isinstance(each, Boxes) for row in each.rows for box in row]

    assert ("W8", "", "N·m", "", "no zero", "no zero") == table.rows[0]
    assert [("Tool", "W8"), ("Set to", "30 N·m")] == [(b.label, b.value) for b in boxes if b.value]


def test_what_shows_its_reading_has_a_zero_and_no_setting() -> None:
    """Nobody writes into a box that nothing belongs in."""
    run = at_first_pull(BOLTS)
    _, chosen = said(run, W7.name)
    found = list(blocks(run.plan, chosen))
    table = next(each for each in found if isinstance(each, Rows))
    once = next(each for each in found if isinstance(each, Boxes) and each.above)

    assert ("", "") == table.rows[0][-2:]
    assert ["Tool", "From", "To", "Initials"] == [box.label for row in once.rows for box in row]


def test_a_name_that_the_book_has_not_is_told_with_those_that_it_has() -> None:
    """Tools and adapters alike."""
    with pytest.raises(ValueError, match=r"No tool “W3” in this book. It has W7, W8, W2, W9."):
        choice("W3", STOCK)
    with pytest.raises(ValueError, match=r"No adapter “A2” in this book. It has A1."):
        choice("W2+A2", STOCK)
