"""Tools that stand on a form: judged by what was known on its day."""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest
from msgspec import structs
from small_joints import W7, bolts, procedure, tighten
from test_adapters import LONG
from typed_forms import Form, said

from bench import G1
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.gather.parts import Part
from clampbook.run.in_hand.offers import ToolOffer
from clampbook.run.in_hand.on_paper import as_it_was_used
from clampbook.run.planning import plan
from clampbook.tools.against import Ahead, One, OutOfService, Overdue
from clampbook.tools.model import Adapter, Tool

W1 = Tool(id="w1", name="W1", kind="setting", unit="N·m")
DAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("against", "then"),
    [
        (Ahead("2026-10-01"), ()),
        (OutOfService("2026-10-01", "damaged"), ()),
        (OutOfService("2026-03-01", "damaged"), (OutOfService("2026-03-01", "damaged"),)),
        (Overdue("2026-02-01"), (Overdue("2026-02-01"),)),
    ],
)
def test_what_came_after_its_day_says_nothing_against_a_tool(against: One, then: tuple[One, ...]) -> None:
    """Calibrated, or taken out of service, after the work that stands on the form."""
    assert then == as_it_was_used(ToolOffer(W1, (against,)), DAY, in_hand=False).against


def test_a_later_calibration_says_nothing_for_it_either() -> None:
    """Nobody knows from tools.toml how it stood then."""
    (note,) = as_it_was_used(ToolOffer(W1, (Ahead("2026-10-01"),)), DAY, in_hand=False).notes

    assert "calibrated since, on 2026-10-01: how it stood is not known" == note


UNMEASURED = Adapter(id="a4", name="A4", offset=None)
OVERDUE = structs.replace(W7, calibrated_on="2024-01-01", calibration_due="2025-01-01")


def two_stages(tool: Tool) -> Form:
    """The form of one bolt that is tightened twice, where a tool is asked for first."""
    head = bolts(1)
    form = Form(plan(procedure((head,), (tighten(head, 1), tighten(head, 2))), "invented", late=True), (tool, G1))
    form.until(ask.TakeTool)
    return form


def taken(form: Form) -> list[tuple[bool, str | None]]:
    """Of each tool that was named: whether anything speaks against it, and the reason on the form."""
    return [(bool(event.against), event.reason) for event in form.events if isinstance(event, e.ToolTaken)]


def test_the_reason_for_an_overdue_tool_is_asked_as_it_stands_on_the_form() -> None:
    """Its calibration was over on the day of the form, and the form has a box for why it was used."""
    form = two_stages(OVERDUE)
    asked = said(form, "W7")

    assert isinstance(asked, Part)
    assert asked.text.endswith("Which reason stands on the form for W7?")
    assert "calibration overdue" in asked.text
    assert said(form, "W7", "no other tool here") is None
    assert [(True, "no other tool here")] == taken(form)


def test_a_reason_that_is_missing_on_the_form_is_none() -> None:
    """The deviation stands without one."""
    form = two_stages(OVERDUE)

    assert said(form, "W7", "-") is None
    assert [(True, None)] == taken(form)
    assert 1 == form.session.progress.deviations


def test_a_further_stage_has_a_reason_and_a_deviation_of_its_own() -> None:
    """Each stage of a form names its tools, with a box for the reason."""
    form = two_stages(OVERDUE)
    said(form, "W7", "no other tool here")
    while not (isinstance(form.prompt, ask.TakeTool) and form.prompt.where.stage == 2):
        form.takes(form.steady())

    assert said(form, "W7", "still no other") is None
    assert [(True, "no other tool here"), (True, "still no other")] == taken(form)
    assert 2 == form.session.progress.deviations


def test_nothing_is_asked_of_a_tool_that_suited() -> None:
    """Its box stays empty."""
    form = two_stages(W7)

    assert said(form, "W7") is None
    assert [(False, None)] == taken(form)


@pytest.mark.parametrize("lines", [("-",), ("60", "-")])
def test_a_length_or_angle_that_does_not_stand_on_the_form_is_left_blank(lines: tuple[str, ...]) -> None:
    """How an adapter reached the bolt is then not known, as where none is named."""
    form = two_stages(LONG)
    form.session = dataclasses.replace(form.session, adapters=(UNMEASURED,))

    assert said(form, "W7", "2", *lines) is None

    (named,) = (event for event in form.events if isinstance(event, e.ToolTaken))
    assert (None, True) == (named.adapter, named.adapter_blank)
