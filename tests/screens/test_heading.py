"""The top line of the walk: what gives way where columns are few."""

from __future__ import annotations

import pytest
from rich.cells import cell_len
from small_joints import at_first_pull, bench_for, bolts, tighten, value

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.screens.heading import heading, shortened


def answered() -> Bench:
    """A run of one bolt whose engine was named on the start sheet."""
    head = bolts(1)
    serial = m.Ask(name="Engine serial number", answer="text", searched_as="equipment", required=True)
    run = bench_for(head, tighten(head), title="Cylinder head, pattern C · Whinchat", asks=(serial,))
    run.answer(a.Value("C 47"))
    return run


def top(width: int) -> str:
    """The line at this width."""
    run = answered()
    return heading(run.prompt, run.session, width)


def test_what_is_worked_on_stands_there_where_there_is_room() -> None:
    """The serial number as it was answered, and the revision."""
    assert top(78).startswith("Cylinder head, pattern C · Whinchat · C 47   ")
    assert top(118).startswith("Cylinder head, pattern C · Whinchat · C 47 · revision ")


@pytest.mark.parametrize(("width", "title"), [(60, "Cylinder head, pattern C · Whinchat "), (38, "Cylinder head… ")])
def test_whole_parts_give_way_and_no_word_is_cut(width: int, title: str) -> None:
    """The title is the last to be shortened, and never ends on a comma."""
    assert top(width).startswith(title)


@pytest.mark.parametrize("width", [24, 38, 60, 78, 118])
def test_step_and_person_always_stand(width: int) -> None:
    """At the right end of the line, which is never too long."""
    assert top(width).endswith("step 1 of 1 · Ines")
    assert cell_len(top(width)) <= width


def test_where_no_word_fits_there_is_none() -> None:
    """Half a word says nothing."""
    assert ("", "Head…") == (shortened("Cylinder head", 5), shortened("Head bolts", 6))


def test_in_a_narrow_line_a_look_back_leaves_room_for_the_person() -> None:
    """40 columns have room for the step, for which of the looks it is, and for who is there."""
    head = bolts(3)
    run = at_first_pull(head, tighten(head))
    for _ in range(2):
        value(run, "30")
    run.resume(gap=3600)
    run.answer(a.Found("not started"))

    assert "looking back 1 of 2 · Ines" == heading(run.prompt, run.session, 36).strip()
