"""Groups and stages unfolded for each of several joints: names, order, waits, cautions, and what refers to what."""

from __future__ import annotations

import pytest

from clampbook.faults import Faulty
from clampbook.procedure import reader
from clampbook.procedure.model import Inspect, Measure, Wait
from clampbook.run.plan import Plan
from clampbook.run.planning import plan

TOP = """format = 2
title = "Injector clamps"
revision = "A"
unit = "N·m"
"""
WORK = """
[[part]]
name = "Sealing washer"
record = "count"
needed = 2

[[group]]
name = "Clamp bolts"
positions = "1-3"
sequence = "numbered"
sets = { "left" = "1-2", "right" = "3" }
fits = { "1-2" = "M8x40", "3" = "M8x60" }
prepare = ["Bore clean."]

[[stage]]
do = "measure"
id = "free length"
group = "Clamp bolts"
what = "Length"
unit = "mm"

[[stage]]
do = "tighten"
id = "snug"
to = "12 N·m"
within = "±2 N·m"
group = "Clamp bolts"
caution = "Keep clear of the fuel rail."

[[stage]]
do = "wait"
for = "2 min"
since = "snug"

[[stage]]
do = "measure"
group = "Clamp bolts"
what = "Length"
unit = "mm"
minus = "free length"

[[stage]]
do = "inspect"
ask = "Pipe free?"
"""


def planned(joints: str, work: str = WORK) -> Plan:
    """The plan of a procedure with this [joints]."""
    return plan(reader.read(f"{TOP}\n[joints]\n{joints}\n{work}".encode()), "injectors")


def kinds(of: Plan) -> list[tuple[str, str | None]]:
    """Each stage in its order: what is done, and to which group."""
    return [(str(stage.__struct_config__.tag), stage.group) for stage in of.stages]


def test_one_after_the_other_goes_through_all_stages_of_a_joint() -> None:
    """The second joint begins when the first is done, and each has a wait of its own."""
    first = [("measure", "Injector 1 clamp bolts"), ("tighten", "Injector 1 clamp bolts"), ("wait", None)]
    first += [("measure", "Injector 1 clamp bolts"), ("inspect", None)]

    told = kinds(planned('one = "Injector"\ncount = 2'))

    assert first == told[:5]
    assert [(kind, group and group.replace("1", "2")) for kind, group in first] == told[5:]


def test_interleaved_does_each_stage_at_all_joints_and_waits_once() -> None:
    """Six pulls, one wait, six lengths; the questions about a joint are asked of each."""
    told = kinds(planned('one = "Injector"\ncount = 2\nwalk = "interleaved"'))

    assert ["measure", "measure", "tighten", "tighten", "wait", "measure", "measure", "inspect", "inspect"] == [
        kind for kind, _ in told
    ]
    assert ["Injector 1 clamp bolts", "Injector 2 clamp bolts"] == [group for kind, group in told if kind == "tighten"]


def test_a_wait_for_all_counts_from_the_stage_at_all_joints() -> None:
    """Interleaved it names the stage as the file does, as it means all of them; one after the other each its own."""
    inter = planned('one = "Injector"\ncount = 2\nwalk = "interleaved"')
    turns = planned('one = "Injector"\ncount = 2')

    assert [("snug", (3, 4))] == [
        (stage.since, inter.numbers_of("snug", stage.number)) for stage in inter.stages if isinstance(stage, Wait)
    ]
    assert [("Injector 1 snug", (2,)), ("Injector 2 snug", (7,))] == [
        (each.since, turns.numbers_of(each.since or "", each.number)) for each in turns.stages if isinstance(each, Wait)
    ]


def test_a_wait_counts_from_the_end_of_a_wait_for_all() -> None:
    """There is one of it, so it keeps its id, also where steps of each joint count from it."""
    work = WORK.replace('do = "wait"', 'do = "wait"\nid = "soak"')
    work += '\n[[stage]]\ndo = "wait"\nfor = "5 min"\nsince = "soak"\n'
    found = planned('one = "Injector"\ncount = 2\nwalk = "interleaved"', work)
    first, second = (stage for stage in found.stages if isinstance(stage, Wait))

    assert ("soak", "soak") == (first.id, second.since)
    assert (first.number,) == found.numbers_of("soak", second.number)


def test_a_caution_is_read_again_only_where_other_work_came_between() -> None:
    """Interleaved the joints follow at once; one after the other the next stage of the kind comes much later."""
    inter = planned('one = "Injector"\ncount = 3\nwalk = "interleaved"')
    turns = planned('one = "Injector"\ncount = 3')

    assert 1 == sum(stage.caution is not None for stage in inter.stages)
    assert 3 == sum(stage.caution is not None for stage in turns.stages)


def test_what_is_asked_of_a_joint_as_a_whole_names_it() -> None:
    """A look or a measurement without a bolt would not say where."""
    work = WORK + '\n[[stage]]\ndo = "measure"\nwhat = "Gap"\nat_most = "0.2 mm"\n'
    found = planned('one = "Injector"\ncount = 2', work)

    assert "Injector 2: pipe free?" in [stage.ask for stage in found.stages if isinstance(stage, Inspect)]
    assert "Injector 2 gap" in [stage.what for stage in found.stages if isinstance(stage, Measure)]


def test_a_value_is_taken_off_that_of_the_same_joint() -> None:
    """The stretch of injector 2 is the length after less the length before of injector 2."""
    found = planned('one = "Injector"\ncount = 2')

    minus = [stage.minus for stage in found.stages if isinstance(stage, Measure) and stage.minus]
    assert ["Injector 1 free length", "Injector 2 free length"] == minus


def test_positions_fits_neighbours_and_sets_are_those_of_their_joint() -> None:
    """A bolt has its neighbours at its own joint, whatever stands on the next one."""
    found = planned('one = "Injector"\ncount = 2')
    group = found.group_named["Injector 2 clamp bolts"]

    assert ("2:1", "2:2", "2:3") == group.positions == group.order
    assert {"2:1": "M8x40", "2:2": "M8x40", "2:3": "M8x60"} == group.fits
    assert ("2:1", "2:3") == group.neighbours["2:2"]
    assert [("Injector 2 left", ("2:1", "2:2")), ("Injector 2 right", ("2:3",))] == [
        (each.name, each.positions) for each in group.sets
    ]


def test_blocks_of_steps_are_done_at_each_joint_in_turn() -> None:
    """Steps for each position belong together, also where joints are interleaved."""
    block = """
[[group]]
name = "Clamp bolts"
positions = "1-2"

[[stage]]
for_each = "position"
steps = [
  { do = "tighten", to = "12 N·m", within = "±2 N·m" },
  { do = "turn", by = "90°", within = "±5°" },
]
"""
    found = planned('one = "Injector"\ncount = 2\nwalk = "interleaved"', block)

    assert ["1.1/1:1", "2.1/1:1", "1.1/1:2", "2.1/1:2", "3.1/2:1", "4.1/2:1", "3.1/2:2", "4.1/2:2"] == [
        step.id for step in found.steps
    ]


def test_needed_parts_are_those_of_all_joints() -> None:
    """Two washers at each of three injectors are six."""
    assert 6 == planned('one = "Injector"\ncount = 3').parts[0].needed


@pytest.mark.parametrize(
    ("joints", "names"),
    [
        ("count = 2", ["Joint 1", "Joint 2"]),
        ('one = "Hub"\nnames = ["port", "starboard"]', ["Hub port", "Hub starboard"]),
        ('names = ["Front cover", "Rear cover"]', ["Front cover", "Rear cover"]),
    ],
)
def test_a_joint_is_called_as_the_file_says(joints: str, names: list[str]) -> None:
    """By number and what one of them is, by both, or by its name alone."""
    found = planned(joints)

    assert names == [joint.name for joint in found.joints]
    assert f"{names[1]} clamp bolts" in found.group_named


def test_a_name_with_a_blank_stands_in_the_names_of_steps_without_it() -> None:
    """The name of a step has no blank."""
    assert "1.1/Front-cover:1" == planned('names = ["Front cover", "Rear cover"]').steps[0].id


@pytest.mark.parametrize(
    ("joints", "code"),
    [
        ('one = "Injector"', "E247"),
        ('count = 2\nnames = ["1", "2"]', "E247"),
        ("count = 1", "E247"),
        ("count = 1000", "E247"),
        ('names = ["A b", "a-B"]', "E247"),
        ('names = ["1:2", "3"]', "E247"),
        ('count = 2\nwalk = "at once"', "E119"),
        ("count = 2\nnumber = 2", "E115"),
    ],
)
def test_joints_that_cannot_be_told_apart_are_an_error(joints: str, code: str) -> None:
    """At the line where they are named, once, and not for each joint."""
    with pytest.raises(Faulty) as faulty:
        planned(joints)

    assert [code] == [fault.code for fault in faulty.value.faults]


@pytest.mark.parametrize("names", ['names = ["Port", "Port aft"]', 'names = ["Port aft", "Port"]'])
def test_two_groups_of_one_name_are_an_error(names: str) -> None:
    """The bolts of "Port aft" and the aft bolts of "Port" would be one group in the record."""
    work = "".join(
        f'[[group]]\nname = "{name}"\npositions = "{at}"\n[[stage]]\ndo = "loosen"\ngroup = "{name}"\n'
        for name, at in (("Aft bolts", 1), ("Bolts", 2))
    )
    with pytest.raises(Faulty) as faulty:
        planned(names, work)

    assert [("E247", "Port aft bolts")] == [(fault.code, fault.found) for fault in faulty.value.faults]


def test_ids_that_differ_in_their_first_letter_alone_are_an_error() -> None:
    """Behind the name of a joint they are one, and a wait would count from either. It is told once, not at each."""
    work = WORK + '\n[[stage]]\ndo = "inspect"\nid = "Snug"\nask = "Dry?"\n'
    with pytest.raises(Faulty) as faulty:
        planned("count = 6", work)

    assert [("E247", "Joint 1 snug")] == [(fault.code, fault.found) for fault in faulty.value.faults]


def test_names_that_only_begin_alike_are_fine() -> None:
    """Each joint and each group can be told from the others."""
    assert 2 == len(planned('names = ["Port", "Port aft"]').groups)


def test_an_error_in_the_work_is_told_once() -> None:
    """Six joints of a wrong torque are one wrong line."""
    with pytest.raises(Faulty) as faulty:
        planned("count = 6", WORK.replace('to = "12 N·m"', 'to = "12"'))

    assert 1 == len(faulty.value.faults)


def test_joints_count_towards_the_steps_a_run_may_have() -> None:
    """200 joints of 3000 bolts are more than anybody means."""
    big = '[[group]]\nname = "Bolts"\npositions = "1-3000"\n\n[[stage]]\ndo = "loosen"\n'
    with pytest.raises(Faulty) as faulty:
        planned("count = 200", big)

    assert ["E233"] == [fault.code for fault in faulty.value.faults]


def test_a_plan_of_one_joint_says_nothing_of_joints() -> None:
    """Files of before stay what they were, byte for byte."""
    from clampbook.run.plan import decode, encode

    alone = plan(reader.read(f"{TOP}\n{WORK}".encode()), "injectors")
    several = planned("count = 2")

    assert b'"several"' not in encode(alone)
    assert several == decode(encode(several))
    assert alone == decode(encode(alone))
