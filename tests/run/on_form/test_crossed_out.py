"""A row that is crossed out on the form: a bad pull, as the form says to write it."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from typed_forms import Form, said

from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.acts import menu
from clampbook.run.answers import Refused
from clampbook.run.gather.parts import Part
from clampbook.run.planning import plan
from walks import frozen


def flange(*, reading: bool) -> Form:
    """The form of the coupling flange at its first row with a ring, or with a number."""
    path = next(path for path in samples() if path.stem == "whinchat-coupling-flange")
    form = Form(plan(read_file(path)[0], "invented", late=True))
    for _ in range(200):
        if isinstance(form.prompt, ask.Tighten) and form.prompt.reading is reading:
            return form
        with_w5 = reading and isinstance(form.prompt, ask.TakeTool) and form.prompt.need != "measure"
        form.takes(a.TakeUp("w5") if with_w5 else form.steady())
    raise AssertionError(form.prompt)


def last_row(form: Form) -> dict[str, Any]:
    """The last reading of its record."""
    rows: list[dict[str, Any]] = tomllib.loads(build(*frozen(form)).decode())["reading"]
    return rows[-1]


def bolt(form: Form) -> str | None:
    """The bolt whose row is asked about."""
    assert isinstance(form.prompt, ask.Tighten | ask.Decide | ask.Loosen | ask.Inspect)
    return form.prompt.where.position


def voided(form: Form) -> e.Voided:
    """The line that was stored last, of a pull that does not count."""
    last = form.events[-1]
    assert isinstance(last, e.Voided)
    return last


@pytest.mark.parametrize("sign", ["x", "X", "×"])
def test_a_cross_with_its_number_is_a_bad_pull(sign: str) -> None:
    """It is void at its bolt, and the same bolt is asked about next."""
    form = flange(reading=True)
    position = bolt(form)

    assert said(form, f"{sign} 15.5") is None

    assert ("void", position, "15.5") == tuple(last_row(form)[key] for key in ("outcome", "position", "typed"))
    assert bolt(form) == position


def test_a_cross_alone_asks_for_the_number_that_is_crossed_out() -> None:
    """There may be none: how far the pull went is then not known."""
    form = flange(reading=True)
    asked = said(form, "x")
    assert isinstance(asked, Part)
    assert "Crossed out: which number stands there" in asked.text

    assert said(form, "x", "") is None

    row = last_row(form)
    assert row["outcome"] == "void"
    assert "typed" not in row


def test_a_ring_that_is_crossed_out_is_a_click_that_does_not_count() -> None:
    """A cross alone says nothing of a click."""
    for stands, clicked in (("1", True), ("2", None)):
        form = flange(reading=False)
        assert said(form, "x", stands) is None
        assert voided(form).clicked is clicked


def test_it_stands_in_the_menu_for_a_numeric_pad() -> None:
    """Only at a row with a pull."""
    form = flange(reading=True)
    assert "This pull is crossed out (x)" in [choice.text for choice in menu.choices(form.prompt)]
    assert said(form, "*19", "15.5") is None
    assert last_row(form)["outcome"] == "void"

    form.until(ask.PaperTime)

    assert "This pull is crossed out (x)" not in [choice.text for choice in menu.choices(form.prompt)]


def test_the_last_pull_is_named_where_it_is_crossed_out() -> None:
    """No reason need stand there."""
    form = flange(reading=True)
    here = bolt(form)
    form.takes(a.Value("15.5"))
    asked = said(form, "*9")
    assert isinstance(asked, Part)
    assert asked.text == f"Coupling bolt {here}: the last pull is crossed out. Type the reason."

    assert said(form, "*9", "-") is None

    assert (here, "bad pull") == (voided(form).step.partition("/")[2], voided(form).cause)


def test_a_number_beside_a_tool_that_shows_none_is_told_what_to_do() -> None:
    """It is no answer, and nothing of it is stored."""
    form = flange(reading=False)
    lines = len(form.events)

    refused = said(form, "24")

    assert isinstance(refused, Refused)
    assert "shows no number. Press + for a ring or tick, / for a note" in refused.sentence
    assert lines == len(form.events)


def test_the_next_number_of_a_row_is_not_taken_for_one_that_came_in_unasked() -> None:
    """What was done about the pull is asked first."""
    form = flange(reading=True)
    said(form, "x 15.5")
    while not isinstance(form.prompt, ask.Decide):
        said(form, "x 15.5")
    before = len(form.events)
    refused = said(form, "31.5")

    assert isinstance(refused, Refused)
    assert refused.sentence.startswith("Choose first what was done")
    assert before == len(form.events)
