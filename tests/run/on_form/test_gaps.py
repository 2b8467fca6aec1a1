"""What a form says although something beside it is missing or other: a ring without its tool, other initials."""

from __future__ import annotations

import sys
import tomllib
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from small_joints import bolts, procedure, tighten
from test_adapters import A3, LONG, WANTED
from typed_forms import Form

from bench import G1, TOMAS
from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import asked
from clampbook.run import prompts as ask
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, next_part
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from clampbook.run.progress import standing
from clampbook.run.recount import recounted
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

    record = tomllib.loads(build(*frozen(form)).decode())
    assert [("pull", "unknown", "not-on-form", False, False)] == [
        (row["kind"], row["outcome"], row["tool"], "set_to" in row, "value" in row) for row in record["reading"]
    ]
    not_measured = record["not_measured"]
    assert ("clicks" in not_measured, not_measured["left_blank"]) == (False, 1)  # a ring without a number


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

    wanted = form.prompt
    assert isinstance(wanted, ask.TakeTool)
    assert ("reading", position) == (wanted.need, wanted.where.position)


def test_a_last_torque_says_nothing_of_an_angle_that_is_blank() -> None:
    """The torque beside it is within its window; how far the bolt was turned is not known."""
    form = form_of("whinchat-pattern-c-head")
    form.until(ask.Turn)
    while not (isinstance(form.prompt, ask.Turn) and form.prompt.where.round == form.prompt.where.rounds):
        form.takes(form.steady())
    step, position = form.prompt.where.id, form.prompt.where.position or ""
    form.takes(a.Blank())
    form.until(ask.Measure)
    form.takes(a.Value("50 lbf·ft"))

    assert "unknown" == standing(form.session.progress, position).outcome
    while not isinstance(form.prompt, ask.Ended):
        form.takes(form.steady())
    rows = tomllib.loads(build(*frozen(form)).decode())["position"]
    found = next(row for row in rows if row["position"] == position)
    assert ("unknown", "unknown") == (found["state"], found["outcome"][step])


def test_other_initials_beside_a_row_are_asked_as_initials() -> None:
    """Nobody takes over: whoever types stays, and what follows was done by another person."""
    form = form_of("whinchat-coupling-flange")
    form.until(ask.Tighten)
    initials = next_part(form.prompt, form.session, Draft("hand over"))
    assert isinstance(initials, Part)
    assert "Whose initials stand there?" == initials.text

    form.takes(a.PaperTime(None, TOMAS))

    assert "Initials: Tomas." == stored(form.events[-1], form.plan)
    form.takes(a.Blank(ticked=True))
    assert "tomas" == form.session.progress.hands


def test_an_adapter_that_is_demanded_and_stands_nowhere_is_left_blank() -> None:
    """The form names W7 and not what was on it: that is a deviation, W7 stays for the whole stage and for the next one
    with such nuts, and it is asked once at each."""
    nuts, bolt = bolts(2, "Union nuts"), bolts(1, "Bracket bolts", 3)
    stages = (tighten(nuts, 1, adapter=WANTED), tighten(bolt, 2), tighten(nuts, 3, adapter=WANTED))
    form = Form(plan(procedure((nuts, bolt), stages), "invented", late=True), (LONG, G1))
    form.session = replace(form.session, adapters=(A3,))
    form.until(ask.TakeTool)
    begun = begin(form.prompt, "1")
    assert isinstance(begun, Draft)
    part = next_part(form.prompt, form.session, begun)
    assert isinstance(part, Part)
    assert ("-", "nothing stands there") == (part.choices[-1].key, part.choices[-1].text)

    while not isinstance(form.prompt, ask.Ended):
        form.takes(a.TakeUp("w7", adapter="-") if _adapter_is_asked(form.prompt) else form.steady())

    record = tomllib.loads(build(*frozen(form)).decode())
    kinds = [
        each["what"] for row in record["deviation"] for each in row["departed"] if each["kind"] == "not on the form"
    ]
    assert ["adapter", "adapter"] == [each for each in kinds if each == "adapter"]
    assert ["within"] * 5 == [row["outcome"] for row in record["reading"]]
    assert [] == list(recounted(form.plan, form.events))


def _adapter_is_asked(prompt: ask.Prompt) -> bool:
    return isinstance(prompt, ask.TakeTool) and prompt.adapter is not None


def test_a_new_nut_has_no_length() -> None:
    """Its thread and class are asked for; of a bolt its length is."""
    told = []
    for name in ("Hub nuts", "Hub bolts"):
        hub = bolts(2, name)
        form = Form(plan(procedure((hub,), (tighten(hub),)), "invented", late=True), (LONG, G1))
        form.until(ask.Tighten)
        form.takes(a.Value("34"))
        form.takes(a.Resolve("new fastener", scope="fastener"))
        form.until(ask.Inspect)
        told.append(asked.sentence(form.prompt))

    assert [
        "Hub nut 1: new fastener of the right thread and class fitted by hand? What stands on the form?",
        "Hub bolt 1: new fastener of the right length and class fitted by hand? What stands on the form?",
    ] == told
