"""What is told after each answer about a form: what stands there, and nothing that is to be done."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from small_joints import READING, W7, W8, bolts, procedure, tighten

from bench import INES, W5, Bench, resolved
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.asked import keys
from clampbook.run.lines import stored
from clampbook.run.planning import plan

HEAD = bolts(2)


def typed(late: bool = True) -> Bench:
    """A form of two stages: bolt 1 was over at the second, and started over."""
    roles = (m.SignOff(role="assembler", required=True, another_person=False),)
    joint = procedure((HEAD,), (tighten(HEAD), tighten(HEAD, 2)), sign_off=roles)
    form = Bench(plan(joint, "invented", late=late), READING)
    over = False
    for _ in range(100):
        if isinstance(form.prompt, ask.Ended):
            return form
        given = form.steady()
        match form.prompt:
            case ask.Tighten(where=where) if where.stage == 2 and not over:
                over, given = True, a.Value("33 N·m")
            case ask.Decide(choices=choices):
                given = resolved(next(each for each in choices if each.choice == "from the beginning"))
            case ask.SignOff(role="assembler"):
                given = a.Sign(INES)
            case _:
                pass
        assert isinstance(form.answer(given), Accepted), form.prompt
    raise AssertionError("the form does not come to its end")


def told(form: Bench, kind: type[e.Event]) -> list[str]:
    """What is told of the lines of a kind."""
    return [stored(event, form.plan, form.session.tools) for event in form.events if isinstance(event, kind)]


def test_a_tool_is_named_and_is_in_no_hand() -> None:
    """At the work it is."""
    assert set(told(typed(), e.ToolTaken)) == {f"{W7.name}."}
    assert f"{W7.name} in hand." in told(typed(late=False), e.ToolTaken)


def test_what_was_decided_was_done() -> None:
    """Nobody starts over now."""
    (said,) = told(typed(), e.Decided)
    assert said.startswith("Started over: head bolt 1.")


def test_a_name_stands_on_the_form_and_whoever_typed_it_in_typed_theirs() -> None:
    """The two signatures of a form."""
    first, last = told(typed(), e.SignedOff)
    assert first.endswith(", on the form.")
    assert last.endswith(", typed name.")


def test_zero_is_asked_once_for_each_tool() -> None:
    """A form has one box for it, however often the tool comes."""
    assert len([event for event in typed().events if isinstance(event, e.ToolZeroed)]) == 1


def test_each_tool_keeps_its_number_from_stage_to_stage() -> None:
    """Also the one that stood there at the stage before, which nobody is reminded of."""
    joint = procedure((HEAD,), (tighten(HEAD), tighten(HEAD, 2)))
    form = Bench(plan(joint, "invented", late=True), (*READING, W8, W5))
    offered = []
    while not isinstance(form.prompt, ask.Ended):
        given = form.steady()
        if isinstance(form.prompt, ask.TakeTool):
            offered.append([each.text for each in keys(form.prompt).choices])
            given = a.TakeUp("w5")
        form.answer(given)

    names = [[text.partition(" · ")[0] for text in texts] for texts in offered]
    assert len(names) == 2
    assert names[0] == names[1]
    assert not [text for texts in offered for text in texts if "used last time" in text]
