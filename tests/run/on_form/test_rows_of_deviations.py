"""Rows of “Deviations and decisions” on a form: each with its bolt, its time and its initials."""

from __future__ import annotations

import tomllib
from datetime import datetime
from typing import Any

import pytest
from small_joints import W7, bolts, procedure, tighten
from typed_forms import Form, said

from bench import G1
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Refused
from clampbook.run.gather.parts import Part
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from walks import frozen


@pytest.fixture
def form() -> Form:
    """A form of three bolts whose rounds are typed in; the names come next."""
    head = bolts(3)
    typed = Form(plan(procedure((head,), (tighten(head),)), "invented", late=True), (W7, G1))
    typed.until(ask.SignOff)
    return typed


def row(form: Form) -> e.Noted:
    """The row that was typed last."""
    last = form.events[-1]
    assert isinstance(last, e.Noted)
    return last


def notes(form: Form) -> list[dict[str, Any]]:
    """The notes of its record."""
    found: list[dict[str, Any]] = tomllib.loads(build(*frozen(form)).decode())["note"]
    return found


def people(form: Form) -> list[str]:
    """The people of its record."""
    return [each["name"] for each in tomllib.loads(build(*frozen(form)).decode())["person"]]


def test_a_row_has_its_bolt_its_time_and_its_initials(form: Form) -> None:
    """Not those of the row that was typed last."""
    asked = said(form, "/2 @2026-03-01 7:15 nut galled, new one")
    assert isinstance(asked, Part)
    assert asked.text == "Whose initials stand there?"

    assert said(form, "/2 @2026-03-01 7:15 nut galled, new one", "2") is None

    told = row(form)
    assert ("nut galled, new one", "2", None) == (told.text, told.position, told.step)
    assert told.stands is not None
    assert datetime.fromisoformat(told.stands) < datetime.fromisoformat(told.at)
    assert told.initials == form.session.people[1]
    assert stored(told, form.plan, ()) == f"Noted: 07:15, head bolt 2, {form.session.people[1].name}."


def test_the_record_tells_of_it_with_these(form: Form) -> None:
    """The time of the last round stands beside no row that is older."""
    said(form, "/2 @2026-03-01 7:15 nut galled", "1")

    (told,) = notes(form)
    assert ("2", "nut galled", form.session.people[0].id) == (told["position"], told["note"], told["initials"])
    assert told["time_on_form"].startswith("2026-03-01T07:15")


def test_whoever_is_named_by_such_initials_alone_is_among_the_people(form: Form) -> None:
    """They did nothing else on this form."""
    before = people(form)
    said(form, "/2 @2026-03-01 7:15 nut galled", "2")

    assert (name := form.session.people[1].name) not in before
    assert [*before, name] == people(form)


def test_a_row_may_belong_to_no_bolt_and_have_no_initials(form: Form) -> None:
    """It has a time, and its words."""
    assert said(form, "/@2026-03-01 7:15 rain came in", "-") is None

    assert ("rain came in", None, None) == (row(form).text, row(form).position, row(form).initials)


def test_a_bolt_that_the_joint_does_not_have_is_refused(form: Form) -> None:
    """Nothing is stored."""
    before = len(form.events)
    refused = said(form, "/9 @2026-03-01 7:15 nut galled", "-")

    assert isinstance(refused, Refused)
    assert refused.sentence == "This joint has no bolt 9."
    assert before == len(form.events)


def test_a_time_that_is_still_to_come_is_refused(form: Form) -> None:
    """Nobody wrote it down yet."""
    assert isinstance(said(form, "/2 @2036-03-01 7:15 nut galled", "-"), Refused)


def test_a_note_that_begins_with_a_number_stays_a_note(form: Form) -> None:
    """Only a time makes a row of it."""
    assert said(form, "/4 bolts were greased") is None

    assert ("4 bolts were greased", None, None) == (row(form).text, row(form).stands, row(form).position)
