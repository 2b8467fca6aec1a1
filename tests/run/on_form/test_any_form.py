"""Forms of random procedures typed in: whatever stands there is taken, orders nothing, and is recounted to the same."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented import procedures
from typed_forms import EXAMPLES, Form

from bench import INSTRUMENTS, TOOLS
from clampbook.demo import samples
from clampbook.procedure.model import Procedure
from clampbook.procedure.reader import read_file
from clampbook.record.record import build, disagreement
from clampbook.run import events as e
from clampbook.run.planning import plan
from clampbook.run.recount import recounted
from walks import frozen


def typed(procedure: Procedure, seed: int, blank: float, wrong: float, **more: Any) -> Form:
    """A form of a procedure, typed in."""
    form = Form(plan(procedure, "invented", late=True), (*TOOLS, *INSTRUMENTS), **more)
    form.types(random.Random(seed), blank, wrong)
    return form


class TestAnyForm:
    """Random procedures, tools and answers."""

    @EXAMPLES
    @given(procedure=procedures(), seed=st.integers(0, 10_000), share=st.sampled_from([0.0, 0.1, 0.5, 1.0]))
    def test_it_comes_to_its_end_and_is_recounted(self, procedure: Procedure, seed: int, share: float) -> None:
        """Blank or not: each figure is the one that its answer gives, and record and walk agree about every step."""
        form = typed(procedure, seed, blank=share, wrong=0.2)

        assert [] == list(recounted(form.plan, form.events))
        record = build(*frozen(form))
        assert disagreement(record) is None
        assert b"from_paper = true\n" in record

    @EXAMPLES
    @given(procedure=procedures(), seed=st.integers(0, 10_000))
    def test_each_line_says_when_it_was_typed_and_no_time_on_paper_falls(self, procedure: Procedure, seed: int) -> None:
        """The time of the line is that of the form."""
        form = typed(procedure, seed, blank=0.1, wrong=0.1)

        assert all(event.typed_at is not None for event in form.events)
        assert [event.at for event in form.events] == sorted(event.at for event in form.events)
        assert not any(event.late for event in form.events)

    @EXAMPLES
    @given(procedure=procedures(), seed=st.integers(0, 10_000))
    def test_a_blank_form_holds_no_number(self, procedure: Procedure, seed: int) -> None:
        """Where nothing stands there nothing is made up: no reading, no click, no tool of the book."""
        form = typed(procedure, seed, blank=1.0, wrong=0.0)

        numbers = (e.ReadingTaken, e.Clicked, e.Turned, e.Measured, e.PrevailingRead, e.Rechecked)
        assert not [event for event in form.events if isinstance(event, numbers)]
        named = {event.tool.id for event in form.events if isinstance(event, e.ToolTaken)}
        assert named <= {"not-on-form", "not-listed"}


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_nobody_signs_for_another_with_a_key(share: float) -> None:
    """Who types signs for that alone; a role has the name on the form."""

    path = next(path for path in samples() if path.stem == "whinchat-pattern-c-head")
    form = typed(read_file(path)[0], 1, blank=share, wrong=0.0)

    signed = [event for event in form.events if isinstance(event, e.SignedOff)]
    assert "typed in from a paper form" == signed[-1].meaning
    assert all(event.key is None for event in signed[:-1])
