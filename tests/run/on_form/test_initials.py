"""Initials on a form: whose they are is asked once for each of those who did the work."""

from __future__ import annotations

from small_joints import W7, bolts, procedure, tighten
from typed_forms import Form, said

from bench import G1, TOMAS
from clampbook.run import prompts as ask
from clampbook.run.gather.parts import Part
from clampbook.run.planning import plan

LAST = "2026-03-01 20:00"


def at_the_time(*people: str) -> Form:
    """The form of one bolt and as many stages as people were named by their number, each with a round of its own,
    and one more."""
    head = bolts(1)
    stages = tuple(tighten(head, number) for number in range(1, len(people) + 2))
    form = Form(plan(procedure((head,), stages), "invented", late=True), (W7, G1))
    for hour, number in enumerate(people, 11):
        begins(form)
        assert said(form, f"2026-03-01 {hour}:00", number) is None
    begins(form)
    return form


def begins(form: Form) -> None:
    """Type on to where the next round begins."""
    form.until(ask.PaperTime)
    while not isinstance(form.prompt, ask.PaperTime) or form.prompt.until:
        form.takes(form.steady())


def test_initials_of_somebody_new_on_the_form_are_asked_about() -> None:
    """Another Tomas may be meant, whom the book does not know."""
    asked = said(at_the_time(), LAST, "T.")

    assert isinstance(asked, Part)
    assert asked.text == "T. is new here. Did you mean Tomas?"


def test_initials_of_one_who_was_named_before_are_known() -> None:
    """With a point or without, in any letters."""
    for typed in ("T.", "T", "t"):
        form = at_the_time("2", "3")

        assert said(form, LAST, typed) is None
        assert TOMAS.id == form.session.progress.hands


def test_nobody_else_on_the_form_may_have_them() -> None:
    """Ines and Maud are no Tomas."""
    form = at_the_time("1", "3")
    asked = said(form, LAST, "T")

    assert isinstance(asked, Part)
    assert asked.text == "T is new here. Did you mean Tomas?"
