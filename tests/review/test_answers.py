"""Before a file is saved it is told what a walk needs and was left out, else what the review asks."""

from __future__ import annotations

from dataclasses import replace

from clampbook.procedure.guided.answers import Answers
from clampbook.review.answers import told

COVER = Answers(
    title="Cover",
    count="4",
    placed="circle",
    thread="M8",
    property_class="8.8",
    lubrication="dry",
    nut_factor=("0.16", "0.24"),
    target="20 N·m",
    within="±5 %",
    order="cross",
    source="Sheet 4",
)


def test_of_full_answers_nothing_is_told() -> None:
    """The review asks nothing."""
    assert () == told(COVER)


def test_a_turn_of_bolts_that_are_new_every_time_leaves_no_query() -> None:
    """What is clamped, and that nobody uses them again, is asked of a turn."""
    turned = replace(
        COVER,
        thread="M10",
        target="30 N·m",
        angles=("90°",),
        angle_within="+5° −0°",
        clamped=("72 mm aluminium",),
        fastener="new every time",
    )

    assert () == told(turned)


def test_what_a_walk_needs_is_told_first() -> None:
    """A file that cannot be read has no queries yet."""
    answers = replace(COVER, title=None, within=None, source=None)

    assert ("Left out, and needed before a walk: joint, allowed.",) == told(answers)


def test_what_only_the_review_misses_is_told_as_it_asks() -> None:
    """Nothing is on the threads, and nobody says where the values come from."""
    threads, source = told(replace(COVER, lubrication=None, source=None))

    assert threads.startswith("Nothing says what is on the threads of “Bolts”.")
    assert source.startswith("Nothing says where the values come from.")


def test_an_unknown_thread_does_not_hide_an_unknown_class() -> None:
    """Both are named in one query, so that both can be mended at once."""
    answers = replace(COVER, thread="abc", property_class="xyz")

    (query,) = told(answers)
    assert "“abc” is not a thread known here" in query
    assert "“xyz” is not a class of ISO 898-1" in query
