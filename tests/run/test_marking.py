"""Marks across head and part, put on after the last pull, so that a bolt that moved is seen later."""

from __future__ import annotations

from small_joints import bench_for, bolts, events_of, inspect, mark, refused, stored, tighten, value, walk_to

from bench import Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.run.told.the_round import marks


def at_the_mark() -> Bench:
    """Two bolts that are tight, and the first is to be marked."""
    head = bolts(2)
    run = bench_for(head, tighten(head), mark(head))
    walk_to(run, "2.1/1", ask.Mark)
    return run


def test_bolt_and_paint_are_named() -> None:
    """The line goes across this bolt, with this paint."""
    assert "Head bolt 1: mark head and part across with yellow paint." == sentence(at_the_mark().prompt)


def test_each_bolt_is_marked_on_its_own() -> None:
    """One line a bolt, with the paint."""
    run = at_the_mark()
    run.steadily()

    assert [("2.1/1", "yellow paint"), ("2.1/2", "yellow paint")] == [
        (each.step, each.paint) for each in events_of(run, e.Marked)
    ]


def test_a_mark_that_is_on_stands_on_the_map() -> None:
    """As anything that was put on."""
    run = at_the_mark()

    stored(run.answer(a.Plus()), e.Marked)

    assert "applied" == marks(run.session, run.prompt)["1"]


def test_a_number_is_no_answer() -> None:
    """Nothing is measured here."""
    assert "Press +" in refused(at_the_mark().answer(a.Value("30")))


def test_who_marked_it_is_not_independent_of_it() -> None:
    """Hands were laid on the joint."""
    assert e.Marked.handles


def test_a_bolt_that_starts_over_is_marked_again() -> None:
    """A mark on a bolt that was loosened tells nothing."""
    head = bolts(1)
    run = bench_for(head, tighten(head), mark(head), tighten(head, 3))
    walk_to(run, "3.1/1", ask.Tighten)
    value(run, "34")

    run.answer(a.Resolve("from the beginning", scope="fastener"))
    run.steadily()

    assert [1, 2] == [each.attempt for each in events_of(run, e.Marked)]


def test_a_later_look_asks_for_it_in_the_words_of_the_procedure() -> None:
    """A follow-up looks at each mark with `inspect`, and no kind of its own is needed."""
    head = bolts(2)
    run = bench_for(head, inspect(1, head, ask="mark still in line?", asked="each"))
    walk_to(run, "1.1/1", ask.Inspect)

    assert "Head bolt 1: mark still in line?" == sentence(run.prompt)
