"""A block of lines of which some are ticked on the form, and others are not."""

from __future__ import annotations

import tomllib
from typing import Any

from typed_forms import Form, said

from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.record import build
from clampbook.run.answers import Refused
from clampbook.run.gather.parts import Part
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from walks import frozen


def flange() -> Form:
    """The form of the coupling flange, which begins with its cautions."""
    path = next(path for path in samples() if path.stem == "whinchat-coupling-flange")
    return Form(plan(read_file(path)[0], "invented", late=True))


def record(form: Form) -> dict[str, Any]:
    """Its record."""
    return tomllib.loads(build(*frozen(form)).decode())


def test_of_three_cautions_two_are_ticked() -> None:
    """Those two are told as ticked, and the others as not."""
    form = flange()
    first, second, *others = form.plan.cautions
    asked = said(form, "2")
    assert isinstance(asked, Part)
    assert [first, second, *others] == [choice.text for choice in asked.choices]

    assert said(form, "2", "1, 2") is None

    (caution,) = record(form)["caution"]
    assert [first, second] == caution["read"]
    (departed,) = [each for row in record(form)["deviation"] for each in row["departed"]]
    assert {"kind": "not all ticked", "not_ticked": others} == departed
    assert form.session.progress.deviations == 1
    told = stored(form.events[-1], form.plan, form.session.tools)
    assert told == "Not known ?: cautions, only 2 ticked on the form."


def test_all_that_are_named_are_the_whole_block() -> None:
    """As with +."""
    form = flange()

    assert said(form, "2", "all") is None

    assert form.session.progress.deviations == 0
    assert list(form.plan.cautions) == record(form)["caution"][0]["read"]


def test_a_line_that_is_not_there_is_refused() -> None:
    """Nothing is stored."""
    form = flange()
    lines = len(form.events)

    assert isinstance(said(form, "2", "4"), Refused)

    assert lines == len(form.events)
