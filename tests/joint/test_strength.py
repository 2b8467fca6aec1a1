"""Property classes by the names that sheets use, and strengths of one's own."""

from __future__ import annotations

import pytest

from clampbook.joint.strength import NAMES, StrengthNeeded, custom, strength_named
from clampbook.joint.thread_names import thread_named
from clampbook.joint.tightening import Bolt
from clampbook.joint.unknown import JointFault


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("8.8", "8.8"),
        ("10,9", "10.9"),
        ("class 12.9", "12.9"),
        ("Grade 8.8", "8.8"),
        ("grade 5", "grade 5"),
        ("SAE 8", "grade 8"),
        ("SAE J429 grade 2", "grade 2"),
        ("A2-70", "A2-70"),
        ("a4 80", "A4-80"),
    ],
)
def test_a_class_is_read_however_it_is_written(written: str, name: str) -> None:
    """With comma or point, with or without the word before it."""
    assert name == strength_named(written, 0.010).name


@pytest.mark.parametrize(
    ("written", "told"), [("8", "Write 8.8 or grade 8 in full"), ("class 10", "Write 10.9 in full")]
)
def test_a_bare_number_is_asked_for_in_full(written: str, told: str) -> None:
    """A bare 8 could be grade 8 or a piece of 8.8: it is refused, and both are named."""
    with pytest.raises(JointFault, match=told):
        strength_named(written, 0.010)


@pytest.mark.parametrize(("written", "near"), [("10.8", "10.9"), ("A2", "A2-70"), ("grade 6", "grade 5")])
def test_an_unknown_class_is_told_with_the_nearest_known_ones(written: str, near: str) -> None:
    """What looks most like it."""
    with pytest.raises(JointFault, match="nearest") as caught:
        strength_named(written, 0.010)

    assert near in caught.value.sentence


# Grades of other standards; A490 and A286 begin like stainless classes, and B7 like nothing here.
OF_OTHERS = ["A325", "ASTM A325", "A490", "A286", "A193 B7", "B7", "F10T", "A4-100", "grade 60", "10.9 HV"]


@pytest.mark.parametrize("written", OF_OTHERS)
def test_a_grade_of_another_standard_is_offered_no_class_but_its_own_strength(written: str) -> None:
    """Whoever took a class that looks alike would have a bolt that is not theirs."""
    with pytest.raises(StrengthNeeded, match="Write its strength") as caught:
        strength_named(written, 0.020)

    said = caught.value.sentence.replace(written, "")
    assert [] == [name for name in NAMES if name in said]


def test_a_size_outside_the_table_is_no_guess() -> None:
    """9.8 ends at 16 mm."""
    with pytest.raises(JointFault, match="ends at 16 mm"):
        strength_named("9.8", 0.020)


@pytest.mark.parametrize("name", NAMES)
def test_every_class_grows_from_proof_to_tensile(name: str) -> None:
    """S_p ≤ R_e ≤ R_m, each with its source."""
    found = strength_named(name, 0.008)

    assert 0 < found.proof <= found.yield_ <= found.tensile
    assert found.source


def test_a_strength_of_ones_own_needs_its_source() -> None:
    """Figures without a place where they are printed are not taken."""
    with pytest.raises(JointFault, match="source"):
        custom("stud", 600e6, 700e6, 900e6, " ")


@pytest.mark.parametrize("figures", [(800e6, 700e6, 900e6), (600e6, 950e6, 900e6), (0.0, 700e6, 900e6)])
def test_a_strength_of_ones_own_has_to_grow_too(figures: tuple[float, float, float]) -> None:
    """Proof above yield, yield above tensile, and nothing at all are slips."""
    with pytest.raises(JointFault):
        custom("stud", *figures, "sheet 12")


@pytest.mark.parametrize("waist", [0.0, 0.011])
def test_a_waist_belongs_to_its_thread(waist: float) -> None:
    """Above nothing and no thicker than the thread."""
    thread = thread_named("M10")

    with pytest.raises(JointFault, match="waist"):
        Bolt(thread, strength_named("8.8", thread.diameter), waist)
