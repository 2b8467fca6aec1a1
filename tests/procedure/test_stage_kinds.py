"""Every kind of stage, as it is written and as it is understood."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure.model import (
    Align,
    Apply,
    Inspect,
    Loosen,
    Mark,
    Measure,
    Recheck,
    Stretch,
    Tighten,
    Turn,
    Wait,
    Window,
)
from clampbook.units import Quantity

from .written import STAGE, keys, procedure, sheet, stage, stages

SETS = 'sets = { "cap 1" = "1-2", "cap 2" = "3-4" }\n'
FREE_LENGTH = stage('do = "measure"', 'id = "free length"', 'what = "Length"', 'unit = "mm"', 'asked = "each"')
ALL = ("1", "2", "3", "4")


def window(low: str | None, high: str | None, unit: str) -> Window:
    """A window of typed numbers."""
    return Window(low=low and Decimal(low), high=high and Decimal(high), unit=unit)  # type: ignore[arg-type]


def test_tighten() -> None:
    """Target, window, and all that may be said about a pull."""
    written = stage(
        'do = "tighten"', 'id = "snug"', 'to = "30 N·m"', 'within = "±2 N·m"', "rounds = 2", 'confirm = "each four"',
        "together = 2", 'least_pull = "3 s"', "may_repull = true", 'manual = "step 4"', 'note = "slowly"',
        'caution = "Eyes."', 'trial = "skip"',
    )  # fmt: skip
    expected = Tighten(
        number=1, id="snug", group="Bolts", positions=ALL, manual="step 4", note="slowly", caution="Eyes.",
        trial_skip=True, target=Decimal(30), window=window("28", "32", "N·m"), rounds=2, confirm="each four",
        together=2, least_pull=Decimal(3), may_repull=True,
    )  # fmt: skip

    assert (expected,) == stages(written)


def test_share_of_the_groups_target() -> None:
    """30 % of 250 N·m is 75 N·m, and ±5 % is of these."""
    (pull,) = stages(stage('do = "tighten"', 'to = "30 %"', 'within = "±5 %"'), group='target = "250 N·m"\n')

    assert isinstance(pull, Tighten)
    assert ("30 %", Decimal(75), Decimal("71.25")) == (pull.share, pull.target, pull.window.low)


def test_target_of_another_unit_is_converted_exactly() -> None:
    """The sheet speaks N·m; 20 lbf·ft are 27.116358966628008 N·m (NIST SP 811)."""
    (pull,) = stages(stage('do = "tighten"', 'to = "20 lbf·ft"', 'within = "±2 N·m"'))

    assert isinstance(pull, Tighten)
    assert Decimal("27.116358966628008") == pull.target


def test_tighten_until_stretched() -> None:
    """The stretch decides, the torque only has a limit."""
    pull = stage(
        'do = "tighten"', 'until = "stretch"', 'stretch_between = ["0.14 mm", "0.18 mm"]', 'minus = "free length"',
        'never_above = "110 N·m"',
    )  # fmt: skip
    _, found = stages(FREE_LENGTH, pull)

    assert isinstance(found, Tighten)
    assert (None, window(None, "110", "N·m")) == (found.target, found.window)
    assert found.stretch == Stretch(
        window=window("0.14", "0.18", "mm"), minus="free length", never_above=Quantity(Decimal(110), "N·m")
    )


def test_turn() -> None:
    """An angle with a one-sided window, and the torque read after the last round."""
    _, found = stages(
        STAGE,
        stage(
            'do = "turn"', 'by = "90°"', 'within = "+4° −0°"', "rounds = 2", "in_strokes = true", 'judged_by = "mark"',
            'final_torque = "at least 122 N·m"',
        ),
    )  # fmt: skip

    assert isinstance(found, Turn)
    assert (Decimal(90), window("90", "94", "°"), 2, True, "mark") == (
        found.target, found.window, found.rounds, found.in_strokes, found.judged_by,
    )  # fmt: skip
    assert window("122", None, "N·m") == found.final_torque


def test_loosen_runs_backwards() -> None:
    """Fully where no angle is said; the order of the group reversed."""
    (fully, a_quarter) = stages(
        stage('do = "loosen"', "reversed = true"), stage('do = "loosen"', 'by = "90°"', "together = 2")
    )

    assert isinstance(fully, Loosen)
    assert isinstance(a_quarter, Loosen)
    assert (None, ("4", "3", "2", "1")) == (fully.by, fully.positions)
    assert (Decimal(90), 2) == (a_quarter.by, a_quarter.together)


def test_measure_without_a_group_is_a_gate() -> None:
    """Asked once, with limits in the unit that is written first."""
    (_, found) = stages(STAGE, stage('do = "measure"', 'what = "End play"', 'between = ["0.1 mm", "250 µm"]'))

    assert isinstance(found, Measure)
    assert (None, (), "once", "mm", window("0.1", "0.250", "mm")) == (
        found.group, found.positions, found.asked, found.unit, found.window,
    )  # fmt: skip


def test_measure_at_each_position_and_point() -> None:
    """With a group it is asked at each, points and spread kept."""
    (_, found) = stages(
        STAGE,
        stage('do = "measure"', 'what = "Gap"', 'group = "Bolts"', 'at = "top, bottom"', 'spread = "0.05 mm"'),
    )

    assert isinstance(found, Measure)
    assert ("each", ALL, ("top", "bottom"), Quantity(Decimal("0.05"), "mm")) == (
        found.asked, found.positions, found.points, found.spread,
    )  # fmt: skip


GAPS = ('do = "measure"', 'what = "Gap"', 'at = "1-5"')


def test_some_points_may_be_outside() -> None:
    """All but one of five gaps."""
    (_, found) = stages(STAGE, stage(*GAPS, 'at_most = "0.40 mm"', "all_but = 1"))

    assert isinstance(found, Measure)
    assert 1 == found.all_but


@pytest.mark.parametrize(
    "lines",
    [
        ('unit = "mm"', "all_but = 1"),
        ('at_most = "0.40 mm"', "all_but = 5"),
        ('at_most = "0.40 mm"', "all_but = 1", 'spread = "0.05 mm"'),
    ],
)
def test_points_may_be_outside_of_a_window_and_never_all(lines: tuple[str, ...]) -> None:
    """Without a window, with too few points, or held against each other as well, it says nothing."""
    assert [("stage[1].all_but", "E245")] == keys(sheet(stages=stage(*GAPS, *lines) + STAGE))


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [("at_least = 1", "1", None), ("at_most = 0", None, "0"), ("between = [1, 3]", "1", "3")],
)
def test_limits_of_a_count_are_whole_numbers_alone(line: str, low: str | None, high: str | None) -> None:
    """Threads, shims and indicators have no unit."""
    (_, found) = stages(STAGE, stage('do = "measure"', 'what = "Threads beyond the nut"', 'unit = "count"', line))

    assert isinstance(found, Measure)
    assert ("count", window(low, high, "count")) == (found.unit, found.window)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (('unit = "count"', "at_least = 2.5"), [("stage[1].at_least", "E207")]),
        (('unit = "count"', "at_least = -1"), [("stage[1].at_least", "E207")]),
        (('unit = "count"', 'at_least = "1 mm"'), [("stage[1].at_least", "E202")]),
        (('unit = "count"', "between = [3, 1]"), [("stage[1].between", "E204")]),
        (('unit = "mm"', "at_least = 1"), [("stage[1].at_least", "E118")]),
        (("at_least = 1",), [("stage[1].at_least", "E118")]),
        (('unit = "bar"', 'at_most = "30 N·m"'), [("stage[1].at_most", "E202")]),
        (('between = ["300 bar", "30 N·m"]',), [("stage[1].between[2]", "E202")]),
    ],
)
def test_limits_have_the_unit_of_what_is_measured(lines: tuple[str, ...], expected: list[tuple[str, str]]) -> None:
    """A count has none, and everything else has its own."""
    assert expected == keys(sheet(stages=stage('do = "measure"', 'what = "x"', *lines) + STAGE))


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [('at_least = "2 N·m"', "2", None), ('at_most = "12 N·m"', None, "12")],
)
def test_measure_with_one_open_end(line: str, low: str | None, high: str | None) -> None:
    """A limit may be one-sided."""
    (_, found) = stages(STAGE, stage('do = "measure"', 'what = "Turning torque"', line))

    assert isinstance(found, Measure)
    assert window(low, high, "N·m") == found.window


def test_stretch_is_length_minus_free_length() -> None:
    """What is taken off was measured at the same positions."""
    (_, _, found) = stages(
        FREE_LENGTH,
        STAGE,
        stage('do = "measure"', 'what = "Stretch"', 'asked = "each"', 'minus = "free length"',
              'between = ["0.1 mm", "0.2 mm"]'),
    )  # fmt: skip

    assert isinstance(found, Measure)
    assert "free length" == found.minus


def test_inspect_by_another_person_is_a_hold_point() -> None:
    """A look at all, once, that somebody else answers."""
    (_, found) = stages(
        STAGE,
        stage('do = "inspect"', 'group = "Bolts"', 'asked = "once"', 'ask = "All in line?"', 'by = "another person"'),
    )

    assert found == Inspect(number=2, group="Bolts", positions=ALL, ask="All in line?", asked="once", hold_point=True)


@pytest.mark.parametrize(
    ("written", "lasts"), [("10 min", "600"), ("1 h 30 min", "5400"), ("1.5 h", "5400"), ("45 s", "45")]
)
def test_wait(written: str, lasts: str) -> None:
    """In seconds, and as it is written."""
    (_, found) = stages(STAGE, stage('do = "wait"', f'for = "{written}"', 'since = "last pull"'))

    assert found == Wait(number=2, lasts=Decimal(lasts), as_written=written, since="last pull")


def test_recheck_until_still() -> None:
    """Method, what counts as still, and how many passes."""
    (_, found) = stages(
        STAGE,
        stage('do = "recheck"', 'at = "100 %"', 'method = "back off and tighten again"', 'still = "5°"',
              "until_still = true", "at_most = 4"),
        group='target = "30 N·m"\n',
    )  # fmt: skip

    assert isinstance(found, Recheck)
    assert ("back off and tighten again", Decimal(90), Decimal(5), True, 4) == (
        found.method, found.back_off, found.still, found.until_still, found.at_most,
    )  # fmt: skip


def test_apply_starts_the_time_of_its_group() -> None:
    """Locker with its lot at each position."""
    found, _ = stages(stage('do = "apply"', 'what = "Thread locker"'), STAGE, group='finish_within = "20 min"\n')

    assert found == Apply(number=1, group="Bolts", positions=ALL, what="Thread locker", lot=True, asked="each")


@pytest.mark.parametrize("apart", ["slots = 6", 'slot_every = "60°"'])
def test_a_nut_is_turned_on_to_its_next_slot(apart: str) -> None:
    """Six slots are 60° apart; the limit and what locks it are the manual's."""
    _, found = stages(STAGE, stage('do = "align"', apart, 'at_most = "36 N·m"', 'lock = "split pin"'))

    assert found == Align(
        number=2, group="Bolts", positions=ALL, slot=Decimal(60), at_most=Decimal(36), lock="split pin"
    )


def test_a_mark_is_put_on_each_bolt() -> None:
    """With the paint that the manual names."""
    found, _ = stages(stage('do = "mark"', 'paint = "yellow paint"'), STAGE)

    assert found == Mark(number=1, group="Bolts", positions=ALL, paint="yellow paint")


def test_steps_for_each_position_count_as_stages() -> None:
    """Steps share the block and its positions; the caution of the block is read once, before the first."""
    written = stage(
        'for_each = "position"', 'positions = "2-4"', 'sequence = "listed"', "reversed = true", 'caution = "Eyes."',
        'manual = "step 5"', "steps = [",
        '  { do = "tighten", to = "10 N·m", within = "±1 N·m", caution = "Slowly." },',
        '  { do = "measure", what = "Length", unit = "mm", manual = "step 6" },', "]",
    )  # fmt: skip
    first, pull, measured = stages(STAGE, written)

    assert (1, None, None) == (first.number, first.block, first.each)
    assert (2, 1, "position", ("4", "3", "2"), "Eyes. Slowly.", "step 5") == (
        pull.number, pull.block, pull.each, pull.positions, pull.caution, pull.manual,
    )  # fmt: skip
    assert (3, 1, None, "step 6") == (measured.number, measured.block, measured.caution, measured.manual)
    assert isinstance(measured, Measure)
    assert "each" == measured.asked


def test_steps_for_each_set_run_set_by_set() -> None:
    """Positions stand in the order of the sets; a gate is asked once a set."""
    written = stage(
        'for_each = "set"', "steps = [", '  { do = "tighten", to = "10 N·m", within = "±1 N·m" },',
        '  { do = "inspect", asked = "once", ask = "Turns freely?" },', "]",
    )  # fmt: skip
    pull, look = stages(written, group=SETS + 'set_order = ["cap 2", "cap 1"]\n')

    assert (("3", "4", "1", "2"), "set") == (pull.positions, pull.each)
    assert isinstance(look, Inspect)
    assert ("once", pull.positions) == (look.asked, look.positions)


TURN = ('do = "turn"', 'by = "90°"', 'within = "+4° −0°"')
MEASURE = ('do = "measure"', 'what = "Gap"')
RECHECK = ('do = "recheck"', 'at = "30 N·m"', 'method = "tighten on"')
UNTIL = ('do = "tighten"', 'until = "stretch"')


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (('do = "tighten"', 'to = "90°"', 'within = "±2 N·m"'), [("stage[2].to", "E202")]),
        (('do = "tighten"', 'within = "±2 N·m"'), [("stage[2]", "E116")]),
        (('do = "tighten"', 'to = "30 N·m"'), [("stage[2]", "E203")]),
        (('do = "tighten"', 'to = "30 %"', 'within = "±5 %"'), [("stage[2].to", "E208")]),
        (('do = "tighten"', 'to = "30 N·m"', 'within = "±2 N·m"', "rounds = 0"), [("stage[2].rounds", "E120")]),
        (('do = "tighten"', 'to = "30 N·m"', 'within = "±2 N·m"', "rounds = 2.0"), [("stage[2].rounds", "E117")]),
        (('do = "tighten"', 'to = "30 N·m"', 'within = "±2 N·m"', "together = 0"), [("stage[2].together", "E120")]),
        (
            ('do = "tighten"', 'to = "30 N·m"', 'within = "±2 N·m"', 'least_pull = "1 h"'),
            [("stage[2].least_pull", "E207")],
        ),
        (
            ('do = "tighten"', 'to = "30 N·m"', 'within = "±2 N·m"', 'minus = "x"'),
            [("stage[2].minus", "E227")],
        ),
        (UNTIL, [("stage[2]", "E227"), ("stage[2]", "E227")]),
        (
            (*UNTIL, 'stretch_between = ["0.1 mm", "0.2 mm"]', 'never_above = "20 N·m"', 'to = "30 N·m"'),
            [("stage[2].to", "E227")],
        ),
        (
            (*UNTIL, 'stretch_between = ["0.1 mm", "0.2 mm"]', 'never_above = "90 N·m"', 'confirm = "round"'),
            [("stage[2].confirm", "E226")],
        ),
        (
            (*UNTIL, 'stretch_between = ["0.1 mm", "0.2 mm"]', 'never_above = "90 N·m"', 'within = "±5 %"'),
            [("stage[2].within", "E227")],
        ),
        (('do = "turn"', 'within = "+4° −0°"'), [("stage[2].by", "E116")]),
        (('do = "turn"', 'by = "90°"'), [("stage[2]", "E203")]),
        ((*TURN, 'final_torque = "122 N·m"'), [("stage[2].final_torque", "E201")]),
        ((*TURN, 'final_torque = ["95 N·m", "55 N·m"]'), [("stage[2].final_torque", "E204")]),
        ((*TURN, 'final_torque = "at least 122"'), [("stage[2].final_torque", "E118")]),
        ((*TURN, "final_torque = 122"), [("stage[2].final_torque", "E118")]),
        ((*TURN, 'confirm = "round"'), [("stage[2].confirm", "E226")]),
        ((*TURN, "until_still = true"), [("stage[2].until_still", "E115")]),
        (MEASURE, [("stage[2]", "E229")]),
        ((*MEASURE, 'between = ["1 mm", "2 N"]'), [("stage[2].between[2]", "E202")]),
        ((*MEASURE, 'between = ["2 mm", "1 mm"]'), [("stage[2].between", "E204")]),
        ((*MEASURE, 'between = ["1 mm", "2 mm"]', 'at_least = "1 mm"'), [("stage[2].at_least", "E243")]),
        ((*MEASURE, 'between = ["1", "2"]'), [("stage[2].between[1]", "E118"), ("stage[2].between[2]", "E118")]),
        ((*MEASURE, 'unit = "furlong"'), [("stage[2].unit", "E201")]),
        ((*MEASURE, 'spread = "1 mm"', 'at = ["front"]'), [("stage[2].spread", "E230")]),
        ((*MEASURE, 'unit = "mm"', 'at = ["front", "front"]'), [("stage[2].at", "E211")]),
        ((*MEASURE, 'unit = "mm"', 'minus = "later"'), [("stage[2].minus", "E220")]),
        (('do = "inspect"',), [("stage[2].ask", "E116")]),
        (('do = "inspect"', 'ask = "Fine?"', 'by = "somebody"'), [("stage[2].by", "E119")]),
        (('do = "wait"', 'for = "10"'), [("stage[2].for", "E118")]),
        (('do = "wait"', 'for = "10 N·m"'), [("stage[2].for", "E202")]),
        (('do = "wait"', 'for = "0 s"'), [("stage[2].for", "E207")]),
        (('do = "wait"', 'for = "1 min"', 'since = "snug"'), [("stage[2].since", "E220")]),
        (('do = "wait"', 'for = "1 min"', 'group = "Bolts"'), [("stage[2].group", "E115")]),
        ((*RECHECK, "until_still = true"), [("stage[2].until_still", "E239")]),
        ((*RECHECK, "at_most = 3"), [("stage[2].at_most", "E239")]),
        ((*RECHECK, 'still = "a little"'), [("stage[2].still", "E201")]),
        (('do = "recheck"', 'at = "30 N·m"'), [("stage[2].method", "E116")]),
        (('do = "apply"',), [("stage[2].what", "E116")]),
        (('do = "mark"',), [("stage[2].paint", "E116")]),
        (('do = "align"', "slots = 6"), [("stage[2].lock", "E116")]),
        (('do = "align"', 'lock = "tab"'), [("stage[2]", "E246")]),
        (('do = "hammer"',), [("stage[2].do", "E124")]),
        (("do = 3",), [("stage[2].do", "E124")]),
        (('ask = "Fine?"',), [("stage[2].do", "E124")]),
        (('for_each = "position"', "steps = []"), [("stage[2].steps", "E121")]),
        (('for_each = "position"',), [("stage[2].steps", "E116")]),
        (('for_each = "bolt"', 'steps = [{ do = "loosen" }]'), [("stage[2].for_each", "E119")]),
        (('for_each = "set"', 'steps = [{ do = "loosen" }]'), [("stage[2].for_each", "E223")]),
        (
            ('for_each = "position"', 'steps = [{ do = "inspect", ask = "Fine?", asked = "once" }]'),
            [("stage[2].steps[1].asked", "E224")],
        ),
        (
            ('for_each = "position"', 'steps = [{ do = "loosen", order = "1-4" }]'),
            [("stage[2].steps[1].order", "E224")],
        ),
    ],
)
def test_stage_that_makes_no_sense(lines: tuple[str, ...], expected: list[tuple[str, str]]) -> None:
    """What is wrong with a stage is told at its key, each slip once."""
    assert expected == keys(sheet(stages=STAGE + stage(*lines)))


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (('for_each = "set"', 'order = "1-4"', 'steps = [{ do = "loosen" }]'), [("stage[1].order", "E224")]),
        (
            ('for_each = "set"', 'steps = [{ do = "inspect", ask = "Fine?" }]'),
            [("stage[1].steps[1]", "E224")],
        ),
        (
            ('for_each = "set"', 'steps = [{ do = "recheck", at = "3 N·m", method = "tighten on", until_still = true, '
             "at_most = 2 }]"),
            [("stage[1].steps[1].until_still", "E224")],
        ),
    ],
)  # fmt: skip
def test_block_of_sets_that_makes_no_sense(lines: tuple[str, ...], expected: list[tuple[str, str]]) -> None:
    """Where steps are repeated for each set, the sets say the order and each question how often it is asked."""
    assert expected == keys(sheet(group=SETS, stages=stage(*lines)))


def test_measured_values_are_taken_off_only_where_they_exist() -> None:
    """Another unit, other positions or other points cannot be taken off."""
    other_unit = stage('do = "measure"', 'what = "x"', 'asked = "each"', 'unit = "N"', 'minus = "free length"')
    a_gate = stage('do = "measure"', 'what = "x"', 'unit = "mm"', 'minus = "free length"')
    points = stage(
        'do = "measure"', 'what = "x"', 'asked = "each"', 'unit = "mm"', 'at = "a, b"', 'minus = "free length"'
    )
    no_measure = STAGE + 'id = "snug"\n' + stage('do = "measure"', 'what = "x"', 'unit = "mm"', 'minus = "snug"')

    for written in (other_unit, a_gate, points):
        assert [("stage[2].minus", "E238")] == keys(sheet(stages=FREE_LENGTH + written))
    assert [("stage[2].minus", "E238")] == keys(sheet(stages=no_measure))


def test_a_group_that_must_not_be_rechecked_is_not() -> None:
    """Thread locker and stretch bolts forbid it."""
    assert [("stage[2]", "E225")] == keys(sheet(group='recheck = "forbidden"\n', stages=STAGE + stage(*RECHECK)))


def test_prevailing_torque_is_measured_one_by_one() -> None:
    """With prevailing torque each pull has its own setting, so that no round can be confirmed."""
    group = 'prevailing = "measure"\nprevailing_rule = "always"\n'

    assert [("stage[1].confirm", "E226")] == keys(sheet(group=group, stages=STAGE + 'confirm = "round"\n'))


def test_order_of_a_subset() -> None:
    """A stage may name some positions and visits each of them once, in the group's order unless it says its own."""
    group = "order = [4, 2, 3, 1]\n"
    first, second = stages(STAGE + 'positions = "1-3"\n', STAGE + 'positions = "1-3"\norder = "3, 1, 2"\n', group=group)

    assert (("2", "3", "1"), ("3", "1", "2")) == (first.positions, second.positions)
    assert [("stage[1].order", "E215")] == keys(sheet(stages=STAGE + 'positions = "1-3"\norder = "3, 1"\n'))


def test_numbers_of_stages_run_through_blocks_and_begin_again_in_a_follow_up() -> None:
    """A follow-up is planned by itself."""
    follow_up = '\n[[follow_up]]\ntitle = "Look again"\nafter = "30 min"\nor_use = "50 km"\n'
    look = '\n[[follow_up.stage]]\ndo = "inspect"\nask = "Fine?"\n'
    (found,) = procedure(sheet() + follow_up + look + look).follow_ups

    assert [1, 2] == [each.number for each in found.stages]
    assert (Quantity(Decimal(30), "min"), Quantity(Decimal(50), "km")) == (found.after, found.or_use)
