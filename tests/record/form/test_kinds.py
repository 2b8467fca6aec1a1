"""Each kind of work on the form: a place for everything that the walk asks of it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, get_args

import pytest
from small_joints import (
    align,
    amount,
    bolts,
    inspect,
    locker,
    loosen,
    mark,
    measure,
    procedure,
    recheck,
    tighten,
    turn,
    wait,
    window,
)

from clampbook.procedure import model as m
from clampbook.record.form.blocks import Boxes, Rows, Section, StageHead
from clampbook.record.paper_form import blocks
from clampbook.run.planning import plan

BOLTS = bolts(3)
LOCKING = bolts(3, prevailing=m.Prevailing(rule="always", least=amount("1.4", "N·m"), most=amount("8", "N·m")))
STRETCHED = m.Stretch(window=window("0.14", "0.18", "mm"), minus="free length", never_above=amount("110", "N·m"))
TO_A_STRETCH: dict[str, Any] = {"target": None, "window": window(None, "110"), "stretch": STRETCHED}
FREE = measure(1, BOLTS, id="free length", what="Free length", asked="each", window=window("94.80", "95.60", "mm"))
THREE_OF_ALL = m.Sample(least=1, then="as many again")
BACK_OFF: dict[str, Any] = {"method": "back off and tighten again", "back_off": Decimal(30), "until_still": False}

COLUMNS: list[tuple[m.Stage, tuple[str, ...], tuple[str, ...]]] = [  # with what is written once, above them
    (
        tighten(BOLTS),
        ("Pos.", "Reading or ○", "Further pulls"),
        ("Tool", "Set to", "From", "To", "Initials"),
    ),
    (
        turn(BOLTS, 1, rounds=2, final_torque=window("40", "95")),
        ("Pos.", "Round 1: angle", "Round 2: angle", "Round 2: last torque"),
        ("Angle gauge", "Torque tool"),
    ),
    (turn(BOLTS, 1, judged_by="mark"), ("Pos.", "By the mark"), ("From", "To", "Initials")),
    (align(BOLTS, 1), ("Pos.", "Torque", "Locked"), ("Tool", "From", "To", "Initials")),
    (loosen(BOLTS, 1), ("Pos.", "Loose"), ("From", "To", "Initials")),
    (locker(BOLTS, 1), ("Pos.", "Applied"), ("Lot", "From", "To", "Initials")),
    (mark(BOLTS, 1), ("Pos.", "Marked"), ("From", "To", "Initials")),
    (
        recheck(BOLTS, 1, until_still=False),
        ("Pos.", "Reading or ○", "Movement"),
        ("Tool", "Set to", "From", "To", "Initials"),
    ),
    (recheck(BOLTS, 1), ("Pos.", "Round 1", "Round 2", "Round 3", "Round 4"), ("Tool", "Set to")),
    (
        recheck(BOLTS, 1, **BACK_OFF),
        ("Pos.", "Reading or ○", "Back at its mark"),
        ("Tool", "Set to", "From", "To", "Initials"),
    ),
    (
        recheck(BOLTS, 1, method="first movement", until_still=False),
        ("Pos.", "At first movement"),
        ("Tool", "Set to", "From", "To", "Initials"),
    ),
    (
        measure(1, BOLTS, asked="each"),
        ("Pos.", "In mm"),
        ("Instrument", "From", "To", "Initials"),
    ),
    (
        measure(1, points=("front", "rear"), adjust=m.Adjust(back_to=1, at_most=2)),
        ("Pos.", "In mm", "In mm, 2", "In mm, 3"),
        ("Instrument", "Time", "Initials"),
    ),
    (
        inspect(1, BOLTS, asked="each", sample=THREE_OF_ALL),
        ("Pos.", "Answer"),
        ("Drawn by", "From", "To", "Initials"),
    ),
    (tighten(bolts(3, finish_within=amount("10", "min"))), ("Pos.", "Reading or ○", "Further pulls", "Time"), ()),
]


def on_the_form(*stages: m.Stage, group: m.Group = BOLTS) -> tuple[list[StageHead], list[Rows], list[Boxes]]:
    """The heads of the stages, and the tables and boxes below the first of them."""
    found = list(blocks(plan(procedure((group,), stages), "invented")))
    work = found[next(place for place, each in enumerate(found) if isinstance(each, StageHead)) :]
    return (
        [each for each in work if isinstance(each, StageHead)],
        [each for each in work if isinstance(each, Rows)],
        [each for each in work if isinstance(each, Boxes)],
    )


@pytest.mark.parametrize(("stage", "columns", "once"), COLUMNS, ids=lambda each: getattr(each, "what", ""))
def test_a_stage_has_its_columns_and_what_is_written_once(
    stage: m.Stage, columns: tuple[str, ...], once: tuple[str, ...]
) -> None:
    """Tool, setting, time and initials stand once, all else at each bolt or point."""
    group = bolts(3, finish_within=amount("10", "min")) if "Time" in columns else BOLTS
    _, rows, boxes = on_the_form(stage, group=group)

    assert {columns} == {each.head for each in rows}
    assert not once or once == tuple(box.label for row in boxes[0].rows for box in row)


def test_no_kind_of_work_is_left_out() -> None:
    """Those that have no column of their own have boxes: what is answered once, and a wait."""
    shown = {type(stage) for stage, _, _ in COLUMNS} | {m.Wait}

    assert set(get_args(m.Stage)) == shown


def test_a_wait_has_room_for_both_times() -> None:
    """From and to, as they stood on the clock."""
    _, _, boxes = on_the_form(wait(1))

    assert [("From", "To", "Initials")] == [tuple(box.label for box in row) for row in boxes[0].rows]


def test_a_hold_point_has_room_for_another_person() -> None:
    """Who looked, with a signature."""
    (head,), _, boxes = on_the_form(inspect(1, hold_point=True))

    labels = [box.label for row in boxes[0].rows for box in row]
    assert ["Answer", "Inspector", "Signature", "Time", "Initials"] == labels
    assert "hold point: another person looks" in head.aside


def test_a_stretch_has_its_length_before_and_after_and_what_they_differ_by() -> None:
    """In rows of two lines: several torques lead to it."""
    _, rows, _ = on_the_form(FREE, tighten(BOLTS, 2, **TO_A_STRETCH))

    assert ("Pos.", "Torques", "Before", "After", "Difference") == rows[-1].head
    assert rows[-1].double


def test_stages_of_the_same_bolts_stand_beside_each_other() -> None:
    """With a word on the order, for a row is not worked along."""
    heads, rows, _ = on_the_form(tighten(BOLTS, 1), tighten(BOLTS, 2, target=Decimal(40), window=window("38", "42")))

    assert [("Pos.", "1 Reading or ○", "2 Reading or ○")] == [each.head for each in rows]
    assert ["1  Tighten to 30.0 N·m (22.1 lbf·ft)", "2  Tighten to 40.0 N·m (29.5 lbf·ft)"] == [h.text for h in heads]
    said = [each.lines for each in blocks_of(tighten(BOLTS, 1), tighten(BOLTS, 2)) if isinstance(each, Section)]
    assert ("Column by column: all positions of one stage before the next. Further pulls beside the first.",) in said


def blocks_of(*stages: m.Stage) -> list[Any]:
    """All that stands on the form."""
    return list(blocks(plan(procedure((BOLTS,), stages), "invented")))


def test_a_sample_is_named_by_the_inspector() -> None:
    """One of three, and room for as many again; or all of them to be ringed."""
    one = inspect(1, BOLTS, asked="each", sample=THREE_OF_ALL)
    (head,), rows, _ = on_the_form(one)

    assert [("", "□ yes  □ no")] * 2 == [row for each in rows for row in each.rows]
    assert "The inspector names 1 of 3 positions before anybody looks. Write them below." in head.lines

    (head,), rows, _ = on_the_form(inspect(1, BOLTS, asked="each", sample=m.Sample(least=1, then="all")))
    assert "The inspector names 1 of 3 positions before anybody looks. Ring them." in head.lines
    assert ["1", "2", "3"] == [row[place] for each in rows for row in each.rows for place in (0, 2, 4) if row[place:]]


def test_prevailing_torque_has_a_column_and_so_has_what_it_adds_up_to() -> None:
    """It is read once, before the nut seats, and added at every pull."""
    heads, rows, boxes = on_the_form(tighten(LOCKING, 1), wait(2), tighten(LOCKING, 3), group=LOCKING)
    first, last = rows[0], rows[-1]

    assert ("Pos.", "Prevailing, N·m", "Pull to, N·m", "Set to", "Reading or ○", "Further pulls") == first.head
    assert ("Pos.", "Pull to, N·m", "Set to", "Reading or ○", "Further pulls") == last.head
    assert "Prevailing read with" in [box.label for row in boxes[0].rows for box in row]
    assert (
        "Prevailing torque: run each nut down before it seats, and write it: "
        "at least 1.40 N·m (1.03 lbf·ft), at most 8.00 N·m (5.90 lbf·ft)."
    ) in heads[0].lines
    assert "Pull to target + prevailing torque. The window moves up by as much." in heads[2].lines


def test_prevailing_torque_that_the_target_includes_is_written_and_not_added() -> None:
    """Said at the stage, so that nobody adds it twice."""
    group = bolts(3, prevailing=m.Prevailing(rule="included"))
    (head,), rows, _ = on_the_form(tighten(group), group=group)

    assert ("Pos.", "Prevailing, N·m", "Reading or ○", "Further pulls") == rows[0].head
    assert "The target includes the prevailing torque: add nothing." in head.lines


def test_prevailing_torque_that_counts_from_a_third_says_from_which_torque() -> None:
    """A third of 30 N·m (TB 43-0218)."""
    group = bolts(3, prevailing=m.Prevailing(rule="from a third"))
    (head,), _, _ = on_the_form(tighten(group), group=group)

    assert (
        "Prevailing torque of a third of the target or more (at least 10.0 N·m): pull to target + prevailing torque. "
        "The window moves up by as much.",
        "Less: pull to target.",
    ) == head.lines[-2:]


def test_an_instrument_must_show_the_window_in_five_steps() -> None:
    """From 0.10 to 0.25 mm: lines of 0.03 mm are the coarsest that need no reason."""
    (head,), _, _ = on_the_form(measure(1))

    assert ("Instrument: one that shows 0.10 to 0.25 mm, scale lines at most 0.03 mm apart.",) == head.lines


def test_what_decides_says_what_this_group_allows() -> None:
    """How far starting over reaches, that its fasteners are one-use, and what a bad pull leads to."""
    group = bolts(3, start_over="neighbours", fastener="new every time", after_bad_pull="pull again")
    found = list(blocks(plan(procedure((group,), (tighten(group),)), "invented")))
    (rules,) = [each.lines for each in found if isinstance(each, Section) and each.framed]

    assert "Start over, from the first stage: with its neighbours." in rules
    assert "Head bolts: start over with new ones. They are one-use." in rules
    assert "Bad pull (jerk, slipped socket, stopped midway): cross it out and write ×, then pull again." in rules
    assert not [line for line in rules if "recheck" in line or "Measured" in line]


def decides(group: m.Group, *stages: m.Stage) -> tuple[str, ...]:
    """The lines of what decides, on the form of these stages."""
    found = blocks(plan(procedure((group,), stages), "invented"))
    (rules,) = [each.lines for each in found if isinstance(each, Section) and each.framed]
    return rules


def test_what_is_measured_before_any_pull_leads_to_a_new_bolt_and_later_to_an_earlier_stage() -> None:
    """At stage 1 there is no stage to go back to, and nothing holds the bolt yet."""
    end_play = measure(3)

    rules = decides(BOLTS, FREE, tighten(BOLTS, 2), end_play)
    assert "Measured outside its window at stage 1: measure again, or fit a new head bolt." in rules
    assert "Measured outside its window at stage 3: measure again, or go back to an earlier stage." in rules


def test_what_a_tensioner_holds_is_let_down_before_it_starts_over() -> None:
    """Nothing is pulled there: no window of a torque, no bad pull."""
    stage = measure(
        1, BOLTS, what="Pressure", asked="each", unit="bar", window=window("580", "620", "bar"), tensions=True
    )

    rules = decides(BOLTS, stage)
    assert "Start over, from the first stage: only this one." in rules
    assert "Measured outside its window: measure again, or let its pressure down fully and start over." in rules
    assert not [line for line in rules if "loosen" in line.casefold() or "Bad pull" in line or "click" in line]


def test_what_is_adjusted_leads_to_the_stage_where_that_begins() -> None:
    """As often as the procedure has it."""
    stage = measure(2, adjust=m.Adjust(back_to=1, at_most=2))

    (line,) = [each for each in decides(BOLTS, tighten(BOLTS, 1), stage) if each.startswith("Measured")]
    assert (
        "Measured outside its window: adjust from stage 1 (2 × at most), measure again, or go back to an earlier stage."
        == line
    )


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, "Moved at a recheck: recheck all once more, until none moves. Still moving after the last round: decide."),
        ({"until_still": False}, "Moved at a recheck: the pull has tightened it. Write it as moved."),
        (BACK_OFF, "Short of its mark or past it: start over, or another person accepts it."),
        (
            {"method": "first movement", "until_still": False, "window": window("28", "32")},
            "Moved under its window: start over, or another person accepts it.",
        ),
    ],
)
def test_what_decides_at_a_recheck_goes_by_its_method(more: dict[str, Any], told: str) -> None:
    """One line, and no other about movement."""
    rules = decides(BOLTS, tighten(BOLTS, 1), recheck(BOLTS, 2, **more))

    assert [told] == [line for line in rules if "oved" in line or "mark" in line]


def test_what_decides_names_the_groups_that_differ() -> None:
    """Those that are alike stand together."""
    groups = (bolts(2, "Rods"), bolts(2, "Caps", 3, start_over="group"), bolts(2, "Studs", 5))
    stages = tuple(tighten(group, number) for number, group in enumerate(groups, start=1))
    found = list(blocks(plan(procedure(groups, stages), "invented")))
    (rules,) = [each.lines for each in found if isinstance(each, Section) and each.framed]

    assert "Start over, from the first stage: only this one (Rods, Studs), the whole group (Caps)." in rules


def test_prevailing_torque_is_read_where_a_bolt_is_first_tightened() -> None:
    """Bolt 3 is left out of the first stage: its prevailing torque is read at the second."""
    some = tighten(LOCKING, 1)
    first = m.Tighten(number=1, group=LOCKING.name, positions=("1", "2"), target=some.target, window=some.window)
    _, rows, _ = on_the_form(first, tighten(LOCKING, 2), group=LOCKING)

    assert ["Prevailing, N·m", "Prevailing, N·m"] == [each.head[1] for each in rows]


def test_what_is_pulled_to_stands_once_before_all_rounds_of_a_recheck() -> None:
    """It does not change from round to round; units keep their capitals."""
    _, rows, _ = on_the_form(tighten(LOCKING, 1), wait(2), recheck(LOCKING, 3), group=LOCKING)

    heads = [word for each in rows[1:] for word in each.head if word != "Pos."]
    assert ["Pull to, N·m", "Set to", "Round 1", "Round 2", "Round 3", "Round 4"] == heads
