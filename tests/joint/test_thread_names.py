"""Threads as people write them, and what is said of those that do not exist."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.joint.thread_names import thread_named
from clampbook.joint.unknown import JointFault

NAMES = [
    ("M10", "M10", 10.0, 1.5),
    ("m8 × 1", "M8×1", 8.0, 1.0),
    ("M10x1.25", "M10×1.25", 10.0, 1.25),
    ("M10x1,25", "M10×1.25", 10.0, 1.25),
    ("M10x1.25 x 91 mm", "M10×1.25", 10.0, 1.25),
    ("M12x40", "M12", 12.0, 1.75),
    ("M10x40mm", "M10", 10.0, 1.5),
    ("M10 x 8 mm", "M10", 10.0, 1.5),
    ("M10 LH", "M10", 10.0, 1.5),
    ("M13x1.5", "M13×1.5", 13.0, 1.5),
    ("3/8-24 UNF", "3/8-24 UNF", 9.525, 25.4 / 24),
    ("3/8-16", "3/8-16 UNC", 9.525, 25.4 / 16),
    ("3/8 UNF", "3/8-24 UNF", 9.525, 25.4 / 24),
    ("0.375-24", "3/8-24 UNF", 9.525, 25.4 / 24),
    ('1/2"-13', "1/2-13 UNC", 12.7, 25.4 / 13),
    ("10-32", "#10-32 UNF", 4.826, 25.4 / 32),
    ("#8-36 UNF", "#8-36 UNF", 4.1656, 25.4 / 36),
    ("1-8", "1-8 UNC", 25.4, 25.4 / 8),
    ("1 1/8-7", "1 1/8-7 UNC", 28.575, 25.4 / 7),
    ("1-1/4-7 UNC", "1 1/4-7 UNC", 31.75, 25.4 / 7),
    ("3/8-20", "3/8-20", 9.525, 25.4 / 20),
]


@pytest.mark.parametrize(("written", "name", "diameter", "pitch"), NAMES, ids=[row[0] for row in NAMES])
def test_a_thread_is_read_however_it_is_written(written: str, name: str, diameter: float, pitch: float) -> None:
    """Metric and inch; a second number far too coarse for a pitch is the length of a bolt."""
    found = thread_named(written)

    assert name == found.name
    assert (diameter, pitch) == pytest.approx((found.diameter * 1e3, found.pitch * 1e3))


UNKNOWN = [
    ("M13", "M12 and M14"),
    ("3/8", "3/8-16 UNC and 3/8-24 UNF"),
    ("3/8-24 UNC", "3/8-16 UNC and 3/8-24 UNF"),
    ("11/16 UNC", "the nearest size is 5/8"),
    ("#7-32", "numbered size “7”"),
    ("G1/2", "M10x1.25"),
    ("M10x9", "9 mm is not possible for M10: known are 1.5 (coarse), 1.25 and 1"),
    ("M5x2", "2 mm is not possible for M5: known is 0.8 (coarse)"),
    ("M13x9", "not possible for M13: it lies below a third of the diameter"),
    ("M10x0", "not a thread known"),
    ("3/8-0", "not a thread known"),
    ("1/0-8", "not a thread known"),
    ("", "not a thread known"),
]


@pytest.mark.parametrize(("written", "told"), UNKNOWN, ids=[row[0] or "nothing" for row in UNKNOWN])
def test_an_unknown_thread_is_told_with_the_nearest_known_ones(written: str, told: str) -> None:
    """One sentence that ends in a full stop, and says what would be taken."""
    with pytest.raises(JointFault) as caught:
        thread_named(written)

    assert told in caught.value.sentence
    assert caught.value.sentence.endswith(".")


@given(st.text(max_size=30) | st.from_regex(r"\A[M#0-9/x .,UNCF\-]{1,16}\Z"))
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_thread_or_a_sentence(text: str) -> None:
    """Nothing that is typed ends in anything else."""
    try:
        found = thread_named(text)
    except JointFault as fault:
        assert fault.sentence.endswith(".")
    else:
        assert 0 < found.minor_diameter < found.pitch_diameter < found.diameter


@given(st.integers(1, 99), st.sampled_from([0.25, 0.5, 0.75, 1, 1.25, 1.5, 2, 3]))
@settings(max_examples=100, deadline=None)
def test_the_name_of_a_thread_reads_back_as_the_same_thread(diameter: int, pitch: float) -> None:
    """What is shown can be typed again."""
    if pitch < diameter / 3:
        thread = thread_named(f"M{diameter}x{pitch}")

        assert thread == thread_named(thread.name)
