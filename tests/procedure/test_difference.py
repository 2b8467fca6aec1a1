"""The difference of two revisions: every change is told in words, and where nothing changed nothing is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from invented import procedures
from msgspec.structs import replace

from clampbook.procedure.difference import difference, same
from clampbook.procedure.library import samples
from clampbook.procedure.model import Procedure
from clampbook.procedure.reader import read

HEAD = """\
format = 2
title = "Cylinder head"
revision = "A"
unit = "N·m"

[[group]]
name = "Head bolts"
positions = "1-4"
lubrication = "engine oil"

[[group]]
name = "Side screws"
positions = "5-6"

[[stage]]
do = "tighten"
group = "Head bolts"
to = "30 N·m"
within = "±2 N·m"

[[stage]]
do = "tighten"
group = "Head bolts"
to = "55 N·m"
within = "±2 N·m"

[[stage]]
do = "tighten"
group = "Side screws"
to = "10 N·m"
within = "±1 N·m"
"""


def told(*changes: tuple[str, str]) -> tuple[str, ...]:
    """What is told of the head after these changes of its text."""
    text = HEAD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return difference(read(HEAD.encode()), read(text.encode()))


def test_another_torque_is_told_with_its_stage() -> None:
    """And its window, which moves with it."""
    assert (
        "stage 2 of Head bolts: 55 N·m → 60 N·m",
        "stage 2 of Head bolts: window 53.0–57.0 N·m → 58.0–62.0 N·m",
    ) == told(("55 N·m", "60 N·m"))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("engine oil", "molybdenum paste", "group “Head bolts”: lubrication “engine oil” → “molybdenum paste”"),
        ('lubrication = "engine oil"\n', "", "group “Head bolts”: lubrication “engine oil” → nothing"),
        ('title = "Cylinder head"', 'title = "Head"', "title “Cylinder head” → “Head”"),
        ('within = "±1 N·m"\n', 'within = "±1 N·m"\nrounds = 2\n', "stage 3 of Side screws: rounds 1 → 2"),
    ],
)
def test_each_change_is_a_line_of_its_own(old: str, new: str, said: str) -> None:
    """What it is of, what it was and what it is."""
    assert (said,) == told((old, new))


def test_a_stage_that_came_is_new_and_those_behind_it_are_not_told() -> None:
    """Their numbers follow."""
    turn = '[[stage]]\ndo = "turn"\ngroup = "Head bolts"\nby = "90°"\nwithin = "+4° −0°"\n\n'
    third = '[[stage]]\ndo = "tighten"\ngroup = "Side screws"'

    assert ("stage 3 of Head bolts: new, turn 90°",) == told((third, turn + third))


def test_a_stage_that_went_is_removed() -> None:
    """With what it did."""
    text = HEAD[: HEAD.rindex("[[stage]]")].replace('[[group]]\nname = "Side screws"\npositions = "5-6"\n\n', "")
    found = difference(read(HEAD.encode()), read(text.encode()))

    assert "stage 3 of Side screws: removed, tighten 10 N·m" in found
    assert "group “Side screws”: removed" in found


def test_comments_and_the_release_are_no_difference() -> None:
    """Neither is the name of the revision."""
    assert () == told(("format = 2", "# another comment\nformat = 2"), ('revision = "A"', 'revision = "B"'))


@pytest.mark.parametrize("sample", [each.path for each in samples()], ids=lambda path: Path(path).stem)
def test_a_sample_does_not_differ_from_itself(sample: Path) -> None:
    """Read twice."""
    data = sample.read_bytes()
    assert () == difference(read(data), read(data))


@settings(max_examples=60, deadline=None)
@given(procedures(), procedures())
def test_two_that_say_the_same_have_no_difference_and_others_have(one: Procedure, other: Procedure) -> None:
    """Whichever is the later."""
    assert same(one, other) == (not difference(one, other))
    assert same(other, one) == (not difference(other, one))


@settings(max_examples=60, deadline=None)
@given(procedures(), st.data())
def test_one_change_anywhere_is_told(one: Procedure, data: st.DataObject) -> None:
    """Of a stage, of a group, of the whole."""
    stage = data.draw(st.integers(0, len(one.stages) - 1))
    group = data.draw(st.integers(0, len(one.groups) - 1))
    changed = data.draw(
        st.sampled_from(
            (
                replace(one, title=f"{one.title}, another"),
                replace(one, cautions=(*one.cautions, "Engine cold.")),
                replace(one, stages=_with(one.stages, stage, note="another note")),
                replace(one, stages=one.stages[:stage] + one.stages[stage + 1 :]),
                replace(one, groups=_with(one.groups, group, left_hand=not one.groups[group].left_hand)),
            )
        )
    )
    assume(not same(one, changed))

    assert difference(one, changed)
    assert difference(changed, one)


def _with(entries: tuple[object, ...], at: int, **fields: object) -> tuple[object, ...]:
    return (*entries[:at], replace(entries[at], **fields), *entries[at + 1 :])  # type: ignore[type-var]
