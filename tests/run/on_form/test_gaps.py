"""What a form says although something beside it is missing: a ring without its tool, the last torque of a turn."""

from __future__ import annotations

import tomllib

from typed_forms import Form

from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.planning import plan
from walks import frozen


def form_of(sample: str) -> Form:
    """The form of a sample, nothing of it typed in."""
    path = next(path for path in samples() if path.stem == sample)
    return Form(plan(read_file(path)[0], "invented", late=True))


def test_a_ring_is_a_click_of_a_tool_that_is_not_known() -> None:
    """It stands among the pulls, with no number and no setting."""
    form = form_of("whinchat-coupling-flange")
    form.until(ask.TakeTool)
    form.takes(a.TakeUp("not-on-form"))
    form.until(ask.Tighten)
    form.takes(a.Blank(ticked=True))

    rows = tomllib.loads(build(*frozen(form)).decode())["reading"]
    assert [("pull", "unknown", "not-on-form", False, False)] == [
        (row["kind"], row["outcome"], row["tool"], "set_to" in row, "value" in row) for row in rows
    ]


def test_the_last_torque_of_a_turn_that_is_over_is_asked_for() -> None:
    """Nothing is written about the turn; the form has a box for the torque all the same."""
    form = form_of("whinchat-pattern-c-head")
    form.until(ask.Turn)
    while not (isinstance(form.prompt, ask.Turn) and form.prompt.where.round == form.prompt.where.rounds):
        form.answer(form.steady())
    while not isinstance(form.prompt, ask.Decide):
        form.takes(a.Value("97"))
    position = form.prompt.position
    form.takes(a.Resolve("nothing written"))

    asked = form.prompt
    assert isinstance(asked, ask.TakeTool)
    assert ("reading", position) == (asked.need, asked.where.position)
