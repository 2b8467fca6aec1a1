"""What is told after each answer about a form: what stands there, and nothing that is to be done."""

from __future__ import annotations

import dataclasses
import sys
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Literal

sys.path.insert(0, str(Path(__file__).parents[1]))

from msgspec import structs
from small_joints import READING, W7, W8, bolts, inspect, measure, procedure, recheck, tighten
from test_adapters import A1, LONG

from bench import G1, INES, W5, Bench, resolved
from clampbook.people import NOT_NAMED
from clampbook.procedure import model as m
from clampbook.record.record import build, disagreement
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.asked import keys, sentence
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, next_part, take
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from clampbook.run.told.stages import begins
from walks import frozen

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


def test_boxes_that_nobody_ticked_are_told_as_what_they_are_for() -> None:
    """The bolts themselves are known."""
    group = bolts(2, prepare=("Washers oiled.",))
    form = Bench(plan(procedure((group,), (tighten(group),)), "invented", late=True), READING)
    form.steadily(until=ask.StartSheet)
    form.answer(a.Blank())

    assert told(form, e.LeftBlank) == ["Not known ?: head bolts prepared, nothing on the form."]


def test_initials_that_nobody_wrote_are_nobodys_name() -> None:
    """The form has none; no person is called so."""
    form = typed()
    begun = next(event for event in form.events if isinstance(event, e.PaperTime))
    nobody = structs.replace(begun, done_by_person=NOT_NAMED)

    assert stored(nobody, form.plan, form.session.tools).endswith(", no initials.")
    assert stored(structs.replace(nobody, step=None), form.plan, form.session.tools) == "No initials on the form."


def test_movement_at_a_recheck_has_the_words_of_the_form() -> None:
    """Nobody sees now whether anything moves; at the work somebody does."""
    joint = procedure((HEAD,), (tighten(HEAD), recheck(HEAD, 2)))
    offered = {}
    for late in (True, False):
        form = Bench(plan(joint, "invented", late=late), (W8,))
        form.steadily(until=ask.Recheck)
        offered[late] = [each.text for each in keys(form.prompt).choices if each.key in ("1", "2")]

    assert offered == {True: ["no movement", "it moved"], False: ["none seen", "it moved"]}


def test_zero_is_asked_once_for_each_tool() -> None:
    """A form has one box for it before the work and one after it, however often the tool comes."""
    assert [event.after for event in typed().events if isinstance(event, e.ToolZeroed)] == [None, True]


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


def test_what_was_on_a_tool_may_stand_nowhere() -> None:
    """It is judged as if nothing was, and the record says that this is not known."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),)), "invented", late=True), (LONG, G1))
    form.session = dataclasses.replace(form.session, adapters=(A1,))
    form.steadily(until=ask.TakeTool)
    drawn = begin(form.prompt, "1")
    assert isinstance(drawn, Draft)
    part = next_part(form.prompt, form.session, drawn)
    assert isinstance(part, Part)
    assert part.text == "What is on W7, on the form?"
    assert (part.choices[-1].key, part.choices[-1].text) == ("-", "nothing stands there")

    chosen = take(drawn, part, "-", lambda _: form.by)
    assert isinstance(chosen, Draft)
    taken = next_part(form.prompt, form.session, chosen)
    assert isinstance(taken, tuple)
    assert isinstance(form.answer(taken[-1]), Accepted)
    form.steadily()

    record = tomllib.loads(build(*frozen(form)).decode())
    departed = [each for row in record["deviation"] for each in row["departed"]]
    assert {"kind": "not on the form", "what": "adapter", "tool": "w7"} in departed
    assert [event.adapter for event in form.events if isinstance(event, e.ToolTaken)] == [None]
    assert disagreement(build(*frozen(form))) is None


def test_what_is_to_be_typed_stands_on_the_form_whatever_tool_it_was() -> None:
    """Nobody knows its name, and nothing shows anything now."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),)), "invented", late=True), READING)
    while not isinstance(form.prompt, ask.Tighten):
        form.answer(a.TakeUp("not-on-form") if isinstance(form.prompt, ask.TakeTool) else form.steady())

    assert keys(form.prompt).wanted == "the reading in N·m"
    refused = form.answer(a.Value("0"))
    assert isinstance(refused, Refused)
    assert refused.sentence == "“0” is not possible here. Type what stands on the form, above zero."


def at_the_name() -> Bench:
    """A form at the name of the assembler."""
    roles = (m.SignOff(role="assembler", required=True, another_person=False),)
    joint = procedure((HEAD,), (tighten(HEAD),), sign_off=roles)
    form = Bench(plan(joint, "invented", late=True), READING)
    while not isinstance(form.prompt, ask.SignOff):
        form.answer(form.steady())
    return form


def test_a_name_has_its_day_and_time() -> None:
    """They stand beside it; the name of who types has none but that of typing."""
    form = at_the_name()
    named = Draft("begun", (("person", INES),), begun=a.Value("Ines"))

    asked_when = next_part(form.prompt, form.session, named)
    assert isinstance(asked_when, Part)
    assert asked_when.text == "Which time stands beside the name? Type it as 9:14."
    given = next_part(form.prompt, form.session, named.adding(asked_when.name, "2026-03-02 8:30"))
    assert isinstance(given, tuple)
    assert isinstance(form.answer(given[0]), Accepted)
    signed = next(event for event in form.events if isinstance(event, e.SignedOff))
    assert signed.at == "2026-03-02T07:30:00.000Z"
    assert isinstance(next_part(form.prompt, form.session, named), tuple)


def test_a_time_beside_a_name_is_not_before_the_last_one() -> None:
    """As everywhere on a form; or it is that one."""
    form = at_the_name()
    named = Draft("begun", (("person", INES),), begun=a.Value("Ines"))

    early = next_part(form.prompt, form.session, named.adding("signed at", "2026-02-27 8:30"))
    assert isinstance(early, Refused)
    assert next_part(form.prompt, form.session, named.adding("signed at", "same")) == (a.Sign(INES),)


def test_a_name_without_a_time_has_none() -> None:
    """The record says so; the last time of the form is not that of the signature."""
    form = at_the_name()
    named = Draft("begun", (("person", INES),), begun=a.Value("Ines"))

    given = next_part(form.prompt, form.session, named.adding("signed at", "-"))
    assert isinstance(given, tuple)
    assert isinstance(form.answer(given[0]), Accepted)
    signed = next(event for event in form.events if isinstance(event, e.SignedOff))
    assert "Signed off as assembler: Ines, performed, on the form, no time beside it." == stored(signed, form.plan)
    while not isinstance(form.prompt, ask.Ended):
        form.answer(form.steady())
    rows = tomllib.loads(build(*frozen(form)).decode())["sign_off"]
    assert [True, None] == [row.get("no_time_on_form") for row in rows]


def zero_after(state: Literal["good", "wrong", "unknown", "not written"]) -> tuple[Bench, list[str]]:
    """A form with this zero after the work, and what was asked of it."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD), tighten(HEAD, 2))), "invented", late=True), (W5, G1))
    said = []
    while not isinstance(form.prompt, ask.Ended):
        given = form.steady()
        if isinstance(form.prompt, ask.ZeroTool) and form.prompt.after:
            said.append(sentence(form.prompt))
            given = a.Zero(state)
        assert isinstance(form.answer(given), Accepted), form.prompt
    return form, said


def zeros(form: Bench) -> list[tuple[str, bool]]:
    """What the record has of zeros: how they were, and which are those after the work."""
    record = tomllib.loads(build(*frozen(form)).decode())
    return [(zero["found"], zero.get("after", False)) for tool in record["tool"] for zero in tool.get("zero", ())]


def departed(form: Bench) -> list[str]:
    """The kinds of all that departs."""
    record = tomllib.loads(build(*frozen(form)).decode())
    return [each["kind"] for row in record.get("deviation", ()) for each in row["departed"]]


def test_zero_after_the_work_is_asked_once_at_its_end() -> None:
    """The form has a box for it beside each tool that has one."""
    form, said = zero_after("good")

    assert said == [f"{W5.name}: after the work, did it read zero with no load, on the form?"]
    assert zeros(form) == [("good", False), ("good", True)]
    assert departed(form) == []
    assert disagreement(build(*frozen(form))) is None


def test_no_zero_after_the_work_is_no_deviation() -> None:
    """No step asks for it."""
    form, _ = zero_after("not written")

    assert zeros(form) == [("good", False), ("not written", True)]
    assert departed(form) == []
    assert form.session.progress.deviations == 0


def test_a_zero_that_was_wrong_after_the_work_brings_its_pulls_in_question() -> None:
    """Back to the last one that was good."""
    form, _ = zero_after("wrong")

    assert departed(form) == ["zero wrong"]
    (asked_about,) = form.session.progress.in_question
    (before, _) = (event.seq for event in form.events if isinstance(event, e.ToolZeroed))
    assert (asked_about.tool, asked_about.since, asked_about.pulled) == (W5.id, before, True)
    assert disagreement(build(*frozen(form))) is None


def test_a_measuring_tool_that_the_book_does_not_have_is_named_as_it_stands_there() -> None:
    """It is kept as not listed, once for its stage."""
    gaps = measure(2, HEAD, what="Gap")
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD), gaps)), "invented", late=True), READING)
    said = []
    while not isinstance(form.prompt, ask.Ended):
        given = form.steady()
        if isinstance(form.prompt, ask.TakeTool) and form.prompt.need == "measure":
            said.append(sentence(form.prompt))
            given = a.Value("my own feeler gauge")
        assert isinstance(form.answer(given), Accepted), form.prompt

    assert said == ["Stage 2, gap: which measuring tool stands on the form?"]
    taken = [event.tool for event in form.events if isinstance(event, e.ToolTaken)]
    assert [(tool.name, tool.kind) for tool in taken][-1] == ("my own feeler gauge", "not listed")
    assert told(form, e.ToolTaken)[-1] == "my own feeler gauge. It is not in tools.toml."
    assert disagreement(build(*frozen(form))) is None


def test_a_stage_that_comes_next_is_one_of_the_form() -> None:
    """Nobody is told to tighten; the cost of what was decided is none that anybody weighs now."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD), tighten(HEAD, 2))), "invented", late=True), READING)
    before = form.prompt
    while not (isinstance(form.prompt, ask.PaperTime) and form.prompt.where.stage == 2):
        before = form.prompt
        assert isinstance(form.answer(form.steady()), Accepted), form.prompt
    assert begins(before, form.session, form.prompt) == "Next on the form: stage 2 of 2."

    while not isinstance(form.prompt, ask.Decide):
        form.answer(a.Value("33 N·m") if isinstance(form.prompt, ask.Tighten) else form.steady())
    assert {choice.costs for choice in keys(form.prompt).choices} == {""}


def test_what_is_under_and_has_no_second_reading_is_known() -> None:
    """27.0 stands there; that nothing else does makes it no unknown."""
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),)), "invented", late=True), READING)
    while not (isinstance(form.prompt, ask.Tighten) and form.prompt.last_value is not None):
        form.answer(a.Value("27") if isinstance(form.prompt, ask.Tighten) else form.steady())
    assert isinstance(form.answer(a.Blank()), Accepted)

    assert stored(form.events[-1], form.plan, form.session.tools) == "No other reading on the form: head bolt 1."


def test_a_wait_that_was_cut_short_is_told_so() -> None:
    """Six minutes of ten."""
    stages = (tighten(HEAD), m.Wait(number=2, lasts=Decimal(600), as_written="10 min"), tighten(HEAD, 3))
    form = Bench(plan(procedure((HEAD,), stages), "invented", late=True), READING)
    while not isinstance(form.prompt, ask.Wait):
        assert isinstance(form.answer(form.steady()), Accepted), form.prompt
    assert isinstance(form.answer(a.Value("11:30")), Accepted)
    assert isinstance(form.answer(a.Value("11:36")), Accepted)

    assert stored(form.events[-1], form.plan, form.session.tools) == "Waited 6 min of 10 min, cut short."


OVERDUE = structs.replace(W7, calibrated_on="2024-01-01", calibration_due="2025-01-01")


def at_the_hold_point() -> Bench:
    """A form of two bolts, pulled by Ines with a tool whose calibration was overdue; then another person looks."""
    joint = procedure((HEAD,), (tighten(HEAD), inspect(hold_point=True)))
    form = Bench(plan(joint, "invented", late=True), (OVERDUE, G1))
    for _ in range(100):
        if isinstance(form.prompt, ask.Inspect):
            return form
        assert isinstance(form.answer(form.steady()), Accepted), form.prompt
    raise AssertionError("there is no hold point")


def test_who_did_the_work_is_marked_where_another_person_looked() -> None:
    """As in the list at the work."""
    form = at_the_hold_point()
    begun = begin(form.prompt, "1")
    assert isinstance(begun, Draft)
    part = next_part(form.prompt, form.session, begun)

    assert isinstance(part, Part)
    assert [each.text for each in part.choices if each.text.startswith("Ines")] == ["Ines, worked on this run"]


def test_a_name_at_a_hold_point_stands_on_the_form() -> None:
    """Nobody types theirs; and that the same person looked again is told at once."""
    form = at_the_hold_point()
    form.answer(a.Look("yes", inspector=INES))
    (line,) = (event for event in form.events if isinstance(event, e.Inspected))

    assert "Ines looked, inspected again by the same person, on the form." in stored(line, form.plan, ())
    assert "typed name" not in stored(line, form.plan, ())


def test_a_tool_of_a_stage_departs_there_and_not_at_its_first_bolt() -> None:
    """All bolts of the stage had it."""
    form = at_the_hold_point()
    record = tomllib.loads(build(*frozen(form)).decode())

    (row,) = (row for row in record["deviation"] if row["departed"][0]["kind"] == "unsuitable tool")
    assert (1, False, False) == (row["stage"], "position" in row, "step" in row)
