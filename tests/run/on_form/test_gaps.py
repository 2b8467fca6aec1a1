"""What a form says although something beside it is missing or other: a ring without its tool, other initials."""

from __future__ import annotations

import tomllib

from typed_forms import Form

from bench import TOMAS
from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import next_part
from clampbook.run.lines import stored
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


def test_other_initials_beside_a_row_are_asked_as_initials() -> None:
    """Nobody takes over: whoever types stays, and what follows was done by another person."""
    form = form_of("whinchat-coupling-flange")
    form.until(ask.Tighten)
    asked = next_part(form.prompt, form.session, Draft("hand over"))
    assert isinstance(asked, Part)
    assert "Whose initials stand there?" == asked.text

    form.takes(a.PaperTime(None, TOMAS))

    assert "Initials: Tomas." == stored(form.events[-1], form.plan)
    form.takes(a.Blank(ticked=True))
    assert "tomas" == form.session.progress.hands
