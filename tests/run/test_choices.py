"""Choices mean what they say: what each says, by hand, against the line of the daybook that choosing it leaves.

The words are those that a person reads, so that two of them cannot change places unseen.
"""

from __future__ import annotations

import dataclasses
import random
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from invented import procedures
from msgspec.structs import replace
from small_joints import bench_for, bolts, tighten, turn, walk_to

from bench import INES, MAUD, OKKE, TOMAS, TOOLS, Bench
from clampbook.people import Person
from clampbook.procedure.model import Procedure
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.gather.asking import REASONS
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.gather.parts import begin, choices_at, follow, next_part, shows
from clampbook.run.planning import plan
from clampbook.run.progress import OF_PARTS
from clampbook.run.prompts import Choice
from clampbook.tools.model import Adapter
from clampbook.units import Quantity, plain

Fields = dict[str, Any]


@dataclass(frozen=True)
class Says:
    """A question, what one of its choices says (a pattern), its value, and what must stand in the line it leaves."""

    question: str
    text: str
    value: str
    line: Fields

    def __hash__(self) -> int:
        return hash((self.question, self.text))


TABLE = (
    Says("StartSheet", "read", "read", {"event": "cautions_read"}),
    Says("StartSheet", "yes", "yes", {"event": "asked", "value": "yes"}),
    Says("StartSheet", "no", "no", {"event": "asked", "value": "no"}),
    Says("StartSheet", "done", "done", {"event": "prepared"}),
    Says("ZeroTool", "yes", "good", {"event": "tool_zeroed", "state": "good"}),
    Says("ZeroTool", "no", "wrong", {"event": "tool_zeroed", "state": "wrong"}),
    Says("ZeroTool", "not sure", "unknown", {"event": "tool_zeroed", "state": "unknown"}),
    Says("TakeTool", "W2 · setting.*", "w2", {"event": "tool_taken", "tool": "w2"}),
    Says("TakeTool", "W3 · setting.*", "w3", {"event": "tool_taken", "tool": "w3"}),
    Says("TakeTool", "W5 · indicating.*", "w5", {"event": "tool_taken", "tool": "w5"}),
    Says("TakeTool", "G1 · angle gauge.*", "g1", {"event": "tool_taken", "tool": "g1"}),
    Says("TakeTool", ".*by the mark.*", "marks", {"event": "tool_taken", "tool": "marks"}),
    Says("Tighten", "clicked", "clicked", {"event": "clicked"}),
    Says("Confirm", "all clicked", "all_clicked", {"event": "confirmed"}),
    Says("Confirm", "read", "read", {"event": "cautions_read"}),
    Says("value", "not read", "not_read", {"event": "voided", "value": None}),
    Says("clicked", "yes", "yes", {}),  # of a bad pull, or of one on another position
    Says("clicked", "no", "no", {"event": "voided", "clicked": False}),
    Says("clicked", "not sure", "not_sure", {"event": "voided", "clicked": None}),
    Says("degrees", "not known", "not_known", {"event": "step_state", "degrees": None}),
    Says("Turn", "at the mark", "at_mark", {"event": "turned", "typed": None}),
    Says("Loosen", "loose", "loose", {"event": "loosened"}),
    Says("Loosen", "let down", "let_down", {"event": "loosened", "let_down": True}),
    Says("value", "yes", "yes", {"event": "corrected", "value": "yes"}),  # new fasteners, as they were answered for
    Says("value", "no", "no", {"event": "corrected", "value": "no"}),
    *(
        row
        for question in ("Recheck", "moved")
        for row in (
            Says(question, "none seen|no", "still", {"event": "rechecked", "moved": False}),
            Says(question, "it moved|yes", "moved", {"event": "rechecked", "moved": True}),
        )
    ),
    Says("BackOff", "done", "done", {"event": "backed_off"}),
    Says("BackAtMark", "yes", "back", {"event": "rechecked", "mark": "back", "moved": False}),
    Says("BackAtMark", "short", "short", {"event": "rechecked", "mark": "short", "moved": True}),
    Says("BackAtMark", "past it", "past", {"event": "rechecked", "mark": "past", "moved": True}),
    *(
        Says(question, "bad pull", "bad_pull", {"event": "voided", "of": None})
        for question in ("Tighten", "Turn", "Recheck", "Confirm")
    ),
    Says("Inspect", "yes", "yes", {"event": "inspected", "answer": "yes"}),
    Says("Inspect", "no", "no", {"event": "inspected", "answer": "no"}),
    Says("look back", "yes", "yes", {"event": "looked_back", "as_left": True}),
    Says("look back", "no", "no", {"event": "looked_back", "as_left": False}),
    Says("Apply", "done", "done", {"event": "applied", "lot": None}),
    Says("Apply", "lot L-9", "same_lot", {"event": "applied", "lot": "L-9"}),
    Says("Align", "aligned already", "already", {"event": "aligned", "slot": "already", "reads": False}),
    Says("Align", "turned on to the slot", "turned", {"event": "aligned", "slot": "turned"}),
    Says("Align", "does not align", "not", {"event": "aligned", "slot": "not"}),
    Says(
        "Align",
        "turned on with a plain wrench, no reading",
        "unread",
        {"event": "aligned", "slot": "turned", "reads": False},
    ),
    Says("Mark", "done", "done", {"event": "marked", "paint": "yellow paint"}),
    Says("Wait", "start", "start", {"event": "wait_begun"}),
    Says("Wait", "time is up", "time_is_up", {"event": "waited"}),
    Says("Wait", "go on early", "go_on_early", {"event": "decided", "choice": "go on early"}),
    Says("StepState", "not started", "not_started", {"event": "step_state", "state": "not started"}),
    Says(
        "StepState",
        "started, not finished",
        "started_not_finished",
        {"event": "step_state", "state": "started, not finished"},
    ),
    Says(
        "StepState",
        "started, mark still there",
        "started_mark_there",
        {"event": "step_state", "state": "started, mark still there"},
    ),
    Says(
        "StepState",
        "started, mark lost",
        "started_mark_lost",
        {"event": "step_state", "state": "mark lost"},
    ),
    Says(
        "StepState",
        "finished, not entered",
        "finished_not_entered",
        {"event": "step_state", "state": "finished, not entered"},
    ),
    Says("Decide", "Pull again", "pull_again", {"event": "decided", "choice": "pull again"}),
    Says("Decide", "Start over: .*", "start_over", {"event": "decided", "choice": "from the beginning"}),
    Says(
        "Decide",
        "Start over with (a new .*|another nut)",
        "new_fastener",
        {"event": "decided", "choice": "new fastener"},
    ),
    Says(
        "Decide",
        "Start over with another washer",
        "another_washer",
        {"event": "decided", "choice": "another washer"},
    ),
    Says("Decide", "Fit a new .*", "new_fastener", {"event": "decided", "choice": "new fastener"}),
    Says("Decide", ".*mistyped.*", "correct", {"event": "corrected"}),
    Says("Decide", ".*concession.*", "concession", {"event": "decided", "choice": "concession"}),
    Says("Decide", "Put the run on hold.*", "hold", {"event": "held"}),
    Says("Decide", r"Abandon the run \(give a reason\)", "abandon", {"event": "abandoned"}),
    Says("Decide", "Look again", "look_again", {"event": "decided", "choice": "look again"}),
    Says("Decide", "Measure again", "measure_again", {"event": "decided", "choice": "measure again"}),
    Says(
        "Decide",
        "Measure all points again",
        "measure_all_points_again",
        {"event": "decided", "choice": "measure all points again"},
    ),
    Says("Decide", "Zero it and look again", "zero_again", {"event": "decided", "choice": "zero again"}),
    Says(
        "Decide",
        "Use another tool(, one that shows torque)?",
        "another_tool",
        {"event": "decided", "choice": "another tool"},
    ),
    Says("Decide", r"Go on (with fewer )?\(.*", "go_on", {"event": "decided", "choice": "go on"}),
    Says("Decide", r"Answer again \(.*", "ask_again", {"event": "decided", "choice": "ask again"}),
    Says("Decide", r"Count again \(.*", "ask_again", {"event": "decided", "choice": "ask again"}),
    Says("Decide", "Explain the difference", "explain", {"event": "decided", "choice": "explain"}),
    Says("which", "left over, .*", "left_over", {"event": "corrected", "what": "item"}),
    *(Says("which", f"{one}, .*", one, {"event": "corrected", "what": "measure"}) for one in ("front", "rear")),
    Says("which", "at hand, .*", "at_hand", {"event": "corrected", "what": "item"}),
    Says("Decide", "Do it now", "do_it_now", {"event": "decided", "choice": "do it now"}),
    Says("Decide", "Do it again", "do_again", {"event": "decided", "choice": "do again"}),
    Says("Decide", "Leave it .*", "leave", {"event": "decided", "choice": "leave"}),
    Says("Decide", "Recheck all once more", "one_more_pass", {"event": "decided", "choice": "one more pass"}),
    Says("Decide", "Go back to an earlier stage", "go_back", {"event": "decided", "choice": "go back"}),
    Says("scope", "only this one", "fastener", {"scope": "fastener"}),
    Says("scope", "with its neighbours", "neighbours", {"scope": "neighbours"}),
    Says("scope", "the whole group", "group", {"scope": "group"}),
    Says("scope", "the whole joint.*", "joint", {"scope": "joint"}),
    *(Says("back to", f"Stage {n}: .*", str(n), {"back_to": n}) for n in range(1, 13)),
    Says("known", "the tool still shows it", "tool_shows_it", {"known": "the tool still shows it"}),
    Says("known", "from a second look", "second_look", {"known": "from a second look"}),
    Says("known", "a second person saw it", "second_person", {"known": "a second person saw it"}),
    Says("known", "from memory", "from_memory", {"known": "from memory"}),
    Says("ReturnTool", "wound down", "wound_down", {"event": "tool_returned", "wound_down": True}),
    Says("ReturnTool", "not wound down", "left_set", {"event": "tool_returned", "wound_down": False}),
    Says("ReturnTool", "put away", "put_away", {"event": "tool_returned", "wound_down": None}),
    *(
        Says(question, f"{one.name}(, worked on this run| again)?", one.id, {"person": one.id})
        for one in (INES, TOMAS, MAUD)
        for question in ("SignOff", "person")
    ),
    Says("person", "nobody: .* stays, another person pulls", "nobody", {"event": "handed_over"}),
    Says("SignOff", "leave it open", "leave_open", {"event": "asked", "item": "signed:inspector", "typed": None}),
    Says(
        "SignOff",
        "leave the others open",
        "leave_others_open",
        {"event": "asked", "item": "signed:assembler:others", "typed": None},
    ),
    Says("Finished", "close as (done|accepted)", "close", {"event": "closed"}),
    Says("Finished", "not accepted", "not_accepted", {"event": "closed", "outcome": "not accepted"}),
    Says("adapter", "a plain socket.*", "plain_socket", {"event": "tool_taken", "adapter": None}),
    Says("adapter", "A1, .*", "a1", {"event": "tool_taken", "adapter": "a1"}),
    # The menu of other actions.
    Says("item", "Pause", "pause", {"event": "paused"}),
    Says("item", "Correct the last answer", "correct", {}),
    Says("void", r"Void it \(bad pull\)", "void", {"event": "voided"}),
    Says("void", "Leave it", "leave", {}),
    Says("item", "I pulled another bolt", "pulled_another", {}),
    Says("item", "Skip this bolt for now", "skip", {"event": "skipped"}),
    Says("item", "It broke or stripped", "broken", {"event": "broken"}),
    Says(
        "item", "It does not reach the torque", "never_reaches", {"event": "broken", "how": "never reaches the torque"}
    ),
    Says("item", "Part wrong or missing", "wrong_part", {"event": "broken", "how": "wrong or missing part"}),
    Says("item", "A tool was dropped", "dropped", {"event": "tool_dropped"}),
    Says("item", "Use another tool", "change_tool", {"event": "tool_taken"}),
    Says("item", "Void the last pull", "void", {"event": "voided"}),
    Says("item", "Hand over", "hand_over", {"event": "handed_over"}),
    Says("item", "Put the run on hold", "hold", {"event": "held"}),
    Says("item", "Turn the map", "turn_map", {"event": "map_turned"}),
    Says("item", "Show the last three bolts", "last_three", {}),
    Says("item", "Abandon the run", "abandon", {"event": "abandoned"}),
    Says("item", "Help", "help", {}),
    Says("item", "Flag a tool as suspect", "suspect_tool", {"event": "tool_suspected"}),
    Says("DrawSample", ".* again", "same", {"event": "sample_drawn"}),
    Says("item", "Write a note", "note", {"event": "noted"}),
    Says("how", "it broke", "broke", {"how": "broken"}),
    Says("how", "its thread stripped", "stripped", {"how": "stripped"}),
    Says("reached", "not known", "not_known", {"reached": None}),
    Says("then", "leave it .*", "out", {"event": "tool_dropped", "going_on": None}),
    Says("then", "use it anyway .*", "go_on", {"event": "tool_dropped"}),
    Says("turned", "as drawn", "as_drawn", {"quarters": 0}),
    Says("turned", "a quarter turn clockwise", "quarter_clockwise", {"quarters": 1}),
    Says("turned", "half a turn", "half", {"quarters": 2}),
    Says("turned", "a quarter turn counterclockwise", "quarter_anticlockwise", {"quarters": 3}),
    Says("seen", "from above.*", "above", {"from_below": False}),
    Says("seen", "from below", "below", {"from_below": True}),
    Says("sure", "yes, .*", "yes", {"event": "abandoned"}),
    Says("sure", "no", "no", {}),
    Says("done_by", "no one else", "nobody", {"done_by_person": None}),
    *(Says("done_by", one.name, one.id, {"done_by_person": one.id}) for one in (INES, TOMAS, MAUD)),
    Says("tool", "W2.*", "w2", {"tool": "w2"}),
    Says("tool", "W3.*", "w3", {"tool": "w3"}),
    Says("tool", "W5.*", "w5", {"tool": "w5"}),
    Says("tool", "G1.*", "g1", {"tool": "g1"}),
    Says("tool", ".*mark.*", "marks", {"tool": "marks"}),
    Says("done up to", "none of these", "none_of_them", {}),
    Says("position", "none of these", "none_of_them", {"belongs_to": None}),
)
UNCHECKED = ("positions", "done up to")  # labels alone, proved with the stage kinds
LEVER = Quantity(Decimal(400), "mm")
A1 = Adapter(id="a1", name="A1", extension=Quantity(Decimal(70), "mm"), offset=Decimal(30))


def said_of(question: str, choice: Choice) -> Says:
    """The row of the table; a choice that nobody wrote down is a gap in this table."""
    text = "no one else" if (question, choice.key) == ("done_by", NONE) else choice.text  # or whoever takes over alone
    found = [row for row in TABLE if row.question == question and re.fullmatch(row.text, text)]
    assert len(found) == 1, f"{len(found)} rows for {question}: {choice}"
    return found[0]


def question_of(asked: ask.Prompt) -> str:
    """What a prompt is called in the table."""
    if isinstance(asked, ask.Inspect) and asked.work == "look back":
        return "look back"
    return type(asked).__name__


def line_of(event: e.Event) -> Fields:
    """The line's fields, with ids in place of tools, adapters and people; whoever signs or takes over is `person`."""
    found = {
        name: value["id"] if isinstance(value, dict) and "id" in value else value
        for name, value in e.fields(event).items()
    }
    for other in ("inspector", "to"):
        if found.get(other) is not None:
            found["person"] = found[other]
    return found


def proved(question: str, choice: Choice, line: Fields) -> Says | None:
    """The line that was left is what the choice says; gives the row that says so, if it is not said by a rule."""
    if choice.key == choice.text or (question in UNCHECKED and choice.key != NONE):
        assert choice.text in (choice.value, choice.value.partition(":")[2])  # labels of positions
        return None
    if question == "unit":
        assert choice.value == choice.text
        assert choice.text in (line.get("unit"), str(line.get("typed")).rpartition(" ")[2]), (choice, line)
        return None
    if question == "reason":
        assert any(choice.value in reasons and choice.text == reasons[choice.value] for reasons in REASONS.values())
        assert choice.text in line.values(), (choice, line)
        return None
    row = said_of(question, choice)
    assert row.value == choice.value, (question, choice)
    for name, expected in row.line.items():
        assert line.get(name) == expected, (question, choice, line)
    return row


class Chooser:
    """Walks a procedure by choosing at random; `met` are the rows of the table that were proved on the way."""

    def __init__(self, procedure: Procedure, seed: int) -> None:
        self.bench = Bench(plan(procedure, "invented"), tuple(replace(tool, lever=LEVER) for tool in TOOLS))
        self.bench.session = dataclasses.replace(self.bench.session, adapters=(A1,))
        self.luck = random.Random(seed)
        self.met: set[Says] = set()

    def walk(self, most: int) -> None:
        """So many answers; between two choices the work goes on well."""
        for _ in range(most):
            if isinstance(self.bench.prompt, ask.Ended):
                if not self.bench.session.progress.stopped:
                    return
                self.bench.resume(self.luck.choice((30, 7000)))
            elif self.luck.random() < 0.5:
                self.choose()
            else:
                if isinstance(self.bench.prompt, ask.Wait):
                    self.bench.wait(161)
                self.bench.answer(self.bench.steady())

    def one_of(self, choices: tuple[Choice, ...]) -> Choice:
        """Any, but seldom one that ends the run."""
        choice = self.luck.choice(choices)
        again = choice.value in ("abandon", "close", "not_accepted") and self.luck.random() < 0.8
        return self.luck.choice(choices) if again else choice

    def choose(self) -> None:
        """One choice at the prompt or from the menu, with all that is asked for then."""
        asked = self.bench.prompt
        own = choices_at(asked, self.bench.session)
        chosen: list[tuple[str, Choice]] = []
        if isinstance(asked, ask.Wait):
            self.bench.wait(self.luck.choice((1, 161)))
        line = "*" if self.luck.random() < 0.5 else self.number(asked)
        if own and self.luck.random() < 0.7:
            choice = self.one_of(own)
            line = choice.key
            chosen.append((question_of(asked), choice))
        self.finish(begin(asked, line), chosen)

    def number(self, asked: ask.Prompt) -> str:
        """A number typed at the prompt, in place of a choice."""
        match asked:
            case ask.SetTool():
                return plain(asked.to.value)
            case ask.Recheck(stop_at=stop_at) if stop_at is not None:
                return plain(stop_at)
            case ask.Measure(window=window):
                return self.luck.choice(("0.12", "0.29", "0.5")) if window is not None else "22.1"
            case ask.Apply():
                return "L-9"
            case ask.StartSheet(part=part) if part is not None and part.record == "count":
                return self.luck.choice(("0", "3", "40"))
            case _:
                return self.luck.choice(("22.1", "23.9", "60"))

    def finish(self, draft: Draft | Refused | None, chosen: list[tuple[str, Choice]]) -> None:
        """Ask for the parts, choose in each, and look at what was stored."""
        while isinstance(draft, Draft) and shows(draft) is None:
            found = next_part(self.bench.prompt, self.bench.session, draft)
            if isinstance(found, Refused):
                return
            if not isinstance(found, Part):
                self.stored(found, chosen)
                return
            if draft.ahead is not None:
                draft = follow(self.bench.prompt, draft, found, draft.ahead, named)
                continue
            counting = isinstance(self.bench.prompt, ask.Decide) and self.bench.prompt.cause in OF_PARTS
            number = self.luck.choice(("0", "7")) if counting else "22.1"
            line = {"line": "as agreed", "number": number, "person": "Okke"}.get(found.kind, "")
            if found.choices:
                choice = self.one_of(found.choices)
                chosen.append((found.name, choice))
                line = choice.key
            draft = follow(self.bench.prompt, draft, found, line, named)

    def stored(self, answers: tuple[a.Answer, ...], chosen: list[tuple[str, Choice]]) -> None:
        """Where the answers were taken, the last line is what was chosen."""
        for answer in answers:
            if not isinstance(self.bench.answer(answer), Accepted):
                return
        line = line_of(self.bench.events[-1])
        self.met |= {row for question, choice in chosen if (row := proved(question, choice, line)) is not None}


def named(name: str) -> Person:
    """The person of a typed name."""
    return next(one for one in (INES, TOMAS, MAUD, OKKE) if one.name == name)


def test_every_choice_of_100_random_walks_leaves_the_line_that_it_says() -> None:
    """What a person reads is what is written down, and its value is the one that scripts were promised."""
    met: set[Says] = set()

    @settings(
        max_examples=100,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(procedures(several=False), st.integers(0, 2**32))
    def walked(procedure: Procedure, seed: int) -> None:
        chooser = Chooser(procedure, seed)
        chooser.walk(200)
        met.update(chooser.met)

    walked()

    assert len(met) > 60, "too few choices were met to prove anything"


@pytest.mark.parametrize("row", [row for row in TABLE if row.question == "StepState"], ids=lambda row: row.value)
def test_what_is_found_after_a_break_is_what_is_written(row: Says) -> None:
    """Each sentence, where a turn was broken off, or a pull."""
    head = bolts(2)
    of_a_pull = row.value == "started_not_finished"
    run = bench_for(head, tighten(head), turn(head))
    walk_to(run, *(("1.1/1", ask.Tighten) if of_a_pull else ("2.1/1", ask.Turn)))
    run.resume(7000)
    choice = next(each for each in choices_at(run.prompt, run.session) if re.fullmatch(row.text, each.text))

    draft = begin(run.prompt, choice.key)
    assert isinstance(draft, Draft)
    answers = next_part(run.prompt, run.session, draft)
    if isinstance(answers, Part):  # how far it is from its mark: not known
        further = follow(run.prompt, draft, answers, "-", named)
        assert isinstance(further, Draft)
        answers = next_part(run.prompt, run.session, further)
    assert isinstance(answers, tuple)
    assert isinstance(run.answer(answers[0]), Accepted)

    assert row == proved("StepState", choice, line_of(run.events[-1]))


def test_no_value_stands_for_two_things_at_one_question() -> None:
    """A script that reads the value needs no text."""
    for question in {row.question for row in TABLE}:
        rows = {(row.value, tuple(sorted(row.line.items(), key=str))) for row in TABLE if row.question == question}
        assert len(rows) == len({value for value, _ in rows}), question
