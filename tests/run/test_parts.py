"""What one typed line means at a prompt, and how an answer of several parts is gathered."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rpds import HashTrieMap

from aims import thirty
from clampbook.people import Person
from clampbook.procedure.model import Ask, Group, Layout, Place, Procedure, Tighten, Window
from clampbook.procedure.model import Part as SheetPart
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.fold.apply import begin as at_the_start
from clampbook.run.fold.independence import Shares
from clampbook.run.gather.draft import Draft, Part, looks_like_a_number
from clampbook.run.gather.parts import begin, choices_at, follow, next_part, shows
from clampbook.run.planning import plan
from clampbook.run.progress import InHand, Standing
from clampbook.run.session import Session
from clampbook.tools.against import OffRange
from clampbook.tools.model import Tool

INES = Person("ines", "Ines")
MAUD = Person("maud", "Maud")
W2 = Tool(id="w2", name="W2", kind="setting", unit="lbf·ft", resolution=Decimal("0.1"))
W5 = Tool(id="w5", name="W5", kind="indicating", unit="lbf·ft", resolution=Decimal("0.1"))
G1 = Tool(id="g1", name="G1", kind="angle gauge", unit="°")
POSITIONS = ("1", "2", "3", "4")
WINDOW = (Decimal(28), Decimal(32))
TYPICAL = Procedure(
    title="Cover",
    revision="A",
    unit="N·m",
    layout=Layout(kind="line", places=tuple(Place(position=p, x=float(p), y=0.0) for p in POSITIONS)),
    groups=(Group(name="Screws", positions=POSITIONS, order=POSITIONS),),
    stages=(
        Tighten(
            number=1,
            group="Screws",
            positions=POSITIONS,
            target=Decimal(30),
            window=Window(low=Decimal(28), high=Decimal(32), unit="N·m"),
        ),
    ),
)
PLAN = plan(TYPICAL, "cover")
WHERE = ask.Where(number=3, of=4, id="1.1/3", stage=1, group="Screws", position="3")
IN_HAND: HashTrieMap[str, InHand] = HashTrieMap({"w2": InHand(tool=W2, taken=3)})


ANSWERED = {"last_answer": 56, "last_answer_step": "1.1/3", "last_entered": "22.1 lbf·ft"}


def session(**progress: object) -> Session:
    """A session of a small cover with W2 in hand and two people in the book."""
    known = {"by": "ines", "hand": IN_HAND, "shares": Shares(pulled=("ines",)), **progress}
    return Session(PLAN, replace(at_the_start(PLAN), **known), (W2, W5), (INES, MAUD))


def click(tool: Tool = W2) -> ask.Tighten:
    """A pull with a setting tool, which gives no number."""
    return ask.Tighten(WHERE, thirty(tool), (), Decimal(2))


READING = click(W5)
TURN = ask.Turn(WHERE, G1, False, Decimal(90), WINDOW, Decimal(0), WINDOW, True, ())
MARKS = ask.Turn(WHERE, G1, True, Decimal(90), WINDOW, Decimal(0), WINDOW, False, ())
MEASURE = ask.Measure(WHERE, "end play", "mm", WINDOW)
BLOCK = ask.Confirm(WHERE, ("1", "2", "3", "4"), click())
LOOK = ask.Inspect(WHERE, "Every mark half a turn on?", "yes", candidates=POSITIONS)
HOLD_POINT = ask.Inspect(WHERE, "Every mark half a turn on?", "yes", hold_point=True)
SCALE = ask.SetTool(WHERE, thirty(W2), ("N·m", "lbf·ft"))
WAYS = (
    ask.DecideChoice("from the beginning", "from the beginning", ("scope",), ("fastener", "group")),
    ask.DecideChoice("correct", "Correct the reading (mistyped)", ("value", "known")),
    ask.DecideChoice("concession", "accept it", ("reason", "person")),
    ask.DecideChoice("hold", "Put the run on hold", ("reason",)),
    ask.DecideChoice("go back", "go back", ("back to", "reason"), (), ((1, "stage 1"), (2, "stage 2"))),
)
DECIDE = ask.Decide(WHERE, "over", 57, "3", "24.5 lbf·ft", WAYS)
SERIAL = ask.StartSheet(
    "ask:Engine serial number", "start", False, ask=Ask(name="Engine serial number", answer="text", required=False)
)
FUEL = ask.StartSheet(
    "ask:Fuel", "start", True, ask=Ask(name="Fuel", answer="choice", choices=("petrol", "paraffin"), required=True)
)
CAUTIONS = ask.StartSheet("cautions", "start", True, lines=("Engine cold.",))
LOT = ask.StartSheet("part:Gasket", "start", True, part=SheetPart(name="Gasket", record="lot"))
SIGN = ask.SignOff("inspector", False, True, ("ines",), "independently inspected")
SEALANT = ask.Apply(WHERE, "sealant", True, "L-204", None)
WAITING = ask.Wait(WHERE, "2026-03-02T09:00:00.000Z", Decimal(600), "10 min", "the last pull")
STEP_STATE = ask.StepState(WHERE)
TURN_STATE = ask.StepState(WHERE, turn=True)
OFFERS = (
    ask.ToolOffer(W2),
    ask.ToolOffer(W5, against=(OffRange(Decimal("22.1"), Decimal(40), Decimal(80), "lbf·ft"),)),
    ask.ToolOffer(G1, cannot="G1: not a torque tool"),
)
TAKE = ask.TakeTool("torque", OFFERS, WHERE, Decimal(30), WINDOW, "N·m")
RECHECK = ask.Recheck(WHERE, thirty(W2, judged=False), "tighten on", None, 1, 4, (), Decimal(2))
READ_AGAIN = ask.Recheck(WHERE, thirty(W5, judged=False), "first movement", None, 1, 1, (), Decimal(2))
EVERY: tuple[ask.Prompt, ...] = (
    click(),
    READING,
    TURN,
    MARKS,
    MEASURE,
    BLOCK,
    LOOK,
    HOLD_POINT,
    SCALE,
    DECIDE,
    SERIAL,
    FUEL,
    CAUTIONS,
    LOT,
    SIGN,
    SEALANT,
    WAITING,
    STEP_STATE,
    TURN_STATE,
    TAKE,
    RECHECK,
    READ_AGAIN,
    ask.ZeroTool(W5, WHERE),
    ask.Loosen(WHERE, "3"),
    ask.ReturnTool(W2, True),
    ask.ReturnTool(W5, False),
    ask.Finished("done", 0),
)


def named(name: str) -> Person:
    """The book's person of this name, or a new one."""
    return next((one for one in (INES, MAUD) if one.name.casefold() == name.casefold()), Person(name.casefold(), name))


def answered(prompt: ask.Prompt, *lines: str, at: Session | None = None) -> tuple[a.Answer, ...] | a.Refused | Part:
    """What these lines come to, typed one after the other at a prompt."""
    moment = at if at is not None else session()
    draft = begin(prompt, lines[0])
    rest = list(lines[1:])
    while isinstance(draft, Draft):
        found = next_part(prompt, moment, draft)
        if not isinstance(found, Part):
            return found
        line = draft.ahead if draft.ahead is not None else (rest.pop(0) if rest else None)
        if line is None:
            return found
        after = follow(prompt, draft, found, line, named)
        assert after is not None
        draft = after
    return draft


class TestOneLineOneAnswer:
    """Most answers are one short line, and all of them can be typed on a numeric pad."""

    @pytest.mark.parametrize(
        ("prompt", "line", "expected"),
        [
            (click(), "+", a.Plus()),
            (click(), " ", a.Plus()),
            (MARKS, "+", a.Plus()),
            (CAUTIONS, "+", a.Plus()),
            (BLOCK, "+", a.Plus()),
            (READING, "22.1", a.Value("22.1")),
            (READING, "22,1", a.Value("22,1")),
            (READING, ".5", a.Value(".5")),
            (TURN, "45", a.Value("45")),
            (MEASURE, "0.15", a.Value("0.15")),
            (MEASURE, "-0.02", a.Value("-0.02")),
            (READING, "- 24.5", a.BadPull(value="24.5")),
            (click(), "/ oil on the washer", a.Note("oil on the washer")),
            (click(), "pause", a.Pause()),
            (click(), "* 0", a.Pause()),
            (click(), "*0", a.Pause()),
            (LOOK, "1", a.Look("yes")),
            (LOOK, "y", a.Look("yes")),
            (FUEL, "2", a.Value("paraffin")),
            (FUEL, "petrol", a.Value("petrol")),
            (SERIAL, "C 4711", a.Value("C 4711")),
            (SERIAL, "-", a.LeaveOut()),
            (LOT, "b", a.Value("b")),
            (SEALANT, "+", a.Put("L-204")),
            (SEALANT, "L-205", a.Put("L-205")),
            (WAITING, "+", a.Plus()),
            (RECHECK, "1", a.Still(False)),
            (RECHECK, "2", a.Still(True)),
            (TAKE, "1", a.TakeUp("w2")),
            (TAKE, "W2", a.TakeUp("w2")),
            (ask.ZeroTool(W5, WHERE), "2", a.Zero("wrong")),
            (ask.ReturnTool(W2, True), "1", a.PutBack(True)),
            (ask.ReturnTool(W2, True), "2", a.PutBack(False)),
            (ask.ReturnTool(W5, False), "+", a.PutBack(None)),
            (STEP_STATE, "2", a.Found("started, not finished")),
            (STEP_STATE, "3", a.Found("finished, not entered")),
            (TURN_STATE, "3", a.Found("mark lost")),
            (ask.Finished("done", 0), "1", a.Finish(True)),
            (SIGN, "2", a.Sign(MAUD)),
            (SIGN, "maud", a.Sign(MAUD)),
            (SIGN, "-", a.SkipSignOff()),
        ],
    )
    def test_a_line_is_an_answer(self, prompt: ask.Prompt, line: str, expected: a.Answer) -> None:
        """A line in its place is the whole answer."""
        assert (expected,) == answered(prompt, line)

    def test_a_number_begins_with_a_digit_or_a_decimal_mark(self) -> None:
        """Digits, a point or a comma before a digit, and a minus begin a number; a word does not."""
        numbers = [text for text in ("1", ".5", ",5", "-2", "− 2", "x1", "-", ".", "") if looks_like_a_number(text)]

        assert ["1", ".5", ",5", "-2", "− 2"] == numbers


class TestWhoSawIt:
    """A correction that a second person bears out names that person."""

    def correcting(self, *lines: str) -> tuple[a.Answer, ...] | a.Refused | Part:
        """At the decision about 24.5, which was mistyped."""
        return answered(DECIDE, "2", "22.1", "2", *lines)

    def test_a_person_of_the_book(self) -> None:
        """Chosen from the list, or typed."""
        assert (a.Correct("22.1", "a second person saw it", 57, MAUD),) == self.correcting("2")

    def test_nobody_else(self) -> None:
        """Then it is one person's memory, and nothing else is written down."""
        assert isinstance(self.correcting("-"), a.Refused)


class TestBadTurnByTheMark:
    """There is nothing to read, and a key that was touched by mistake must store nothing."""

    def test_what_was_wrong_is_asked(self) -> None:
        """Only then is it a bad pull."""
        assert (a.BadPull("socket slipped"),) == answered(MARKS, "-", "2")

    def test_the_key_alone_asks(self) -> None:
        """Esc, or *, leaves it, and nothing is changed."""
        assert isinstance(answered(MARKS, "-"), Part)


class TestBadPull:
    """A bad pull asks what its tool told, for the fastener holds it."""

    @pytest.mark.parametrize(
        ("lines", "expected"),
        [
            (("-", "24.5"), a.BadPull(value="24.5")),
            (("-", "-"), a.BadPull()),
            (("- 24.5",), a.BadPull(value="24.5")),
        ],
    )
    def test_one_that_shows_a_number_is_read(self, lines: tuple[str, ...], expected: a.BadPull) -> None:
        """Its number, or not read."""
        assert (expected,) == answered(READING, *lines)

    @pytest.mark.parametrize(("key", "clicked"), [("1", True), ("2", False), ("3", None)])
    def test_of_a_setting_tool_it_is_asked_whether_it_clicked(self, key: str, clicked: bool | None) -> None:
        """Yes, no, or not sure."""
        assert (a.BadPull(clicked=clicked),) == answered(click(), "-", key)


class TestOffTheScale:
    """A torque that W5 (1 to 80 lbf·ft) cannot show is typed again before it is stored."""

    PULL = click(replace(W5, minimum=Decimal(1), maximum=Decimal(80)))

    @pytest.mark.parametrize(
        ("lines", "expected"),
        [
            (("- 700", "70"), a.BadPull(value="70")),
            (("-", "700", "700 lbf·ft"), a.BadPull(value="700 lbf·ft")),
            (("* 5", "700 N·m", "70 N·m"), a.Broke("never reaches the torque", "70 N·m")),
            (("* 5", "700 N·m", "700 N·m"), a.Broke("never reaches the torque", "700 N·m")),
            (("* 2", "2", "700", "7"), a.PulledAnother("2", "7")),
        ],
    )
    def test_it_is_asked_once_more(self, lines: tuple[str, ...], expected: a.Answer) -> None:
        """What is typed then stands."""
        asked = answered(self.PULL, *lines[:-1])
        assert isinstance(asked, Part)
        assert ("again", True) == (asked.name, asked.text.startswith("700"))
        assert asked.text.endswith(". Type it again.")  # a number alone is taken

        assert (expected,) == answered(self.PULL, *lines)


class TestTurnBegun:
    """Of a turn that was begun it is asked how far it is from its mark."""

    @pytest.mark.parametrize(("typed", "degrees"), [("40", "40"), ("-", None)])
    def test_degrees_or_not_known(self, typed: str, degrees: str | None) -> None:
        """A number of degrees in all, or a lone minus."""
        assert (a.Found("started, mark still there", degrees),) == answered(TURN_STATE, "2", typed)


class TestNothingByHabit:
    """Habit and held keys pass nothing."""

    @pytest.mark.parametrize("prompt", EVERY)
    def test_an_empty_line_passes_nothing(self, prompt: ask.Prompt) -> None:
        """An empty Enter is refused at every prompt, with a sentence that says what can be typed."""
        refused = begin(prompt, "\n")

        assert isinstance(refused, a.Refused)
        assert refused.sentence.startswith("Nothing typed.")

    @pytest.mark.parametrize("prompt", [LOOK, DECIDE, STEP_STATE, ask.ZeroTool(W5, WHERE), ask.Finished("done", 0)])
    def test_the_deliberate_key_is_no_answer_to_a_question(self, prompt: ask.Prompt) -> None:
        """Where there is a choice, `+` does not choose."""
        assert isinstance(answered(prompt, "+"), a.Refused)

    def test_an_empty_line_does_not_answer_a_part(self) -> None:
        """An answer of several parts waits for each of them."""
        assert isinstance(answered(SCALE, "22.1", ""), a.Refused)

    def test_letters_are_no_keys_where_a_text_is_asked(self) -> None:
        """On a prompt that takes a text, a letter is a text."""
        assert (a.Value("r"),) == answered(SERIAL, "r")


class TestPartByPart:
    """An answer of several parts is asked part by part, and is complete with the last."""

    def test_the_unit_of_a_scale_is_asked_for_and_never_preselected(self) -> None:
        """After the number, the unit is chosen by its place in a fixed list."""
        asked = answered(SCALE, "22.1")

        assert isinstance(asked, Part)
        assert ("unit", ["N·m", "lbf·ft"]) == (asked.name, [choice.text for choice in asked.choices])
        assert (a.ScaleShows("22.1", "lbf·ft"),) == answered(SCALE, "22.1", "2")

    def test_a_scale_typed_with_its_unit_is_complete(self) -> None:
        """Whoever types the unit along is not asked for it again."""
        assert (a.ScaleShows("22.1", "lbf·ft"),) == answered(SCALE, "22.1 ft-lb")

    def test_positions_are_named_where_a_look_is_not_as_expected(self) -> None:
        """The look at all of them names those that are not so; blanks, commas and plus signs stand between."""
        assert (a.Look("no", ("2", "4")),) == answered(LOOK, "2", "2+4")
        assert (a.Look("no", ("1", "3")),) == answered(LOOK, "no", "1, 3")
        assert (a.Look("no", POSITIONS),) == answered(LOOK, "2", "all")

    def test_another_person_looks_at_a_hold_point(self) -> None:
        """Inspection and sign-off are one answer of a person who did no work in the run."""
        assert (a.Look("yes", (), MAUD),) == answered(HOLD_POINT, "1", "2")

    def test_the_same_person_at_a_hold_point_says_why(self) -> None:
        """Who worked in the run may look only with a reason, chosen by number or typed."""
        assert (a.Look("yes", (), INES, "nobody else here"),) == answered(HOLD_POINT, "1", "Ines", "1")
        assert (a.Look("yes", (), INES, "Maud is ill"),) == answered(HOLD_POINT, "1", "Ines", "Maud is ill")

    def test_the_one_who_did_the_work_signs_as_inspector_only_with_a_reason(self) -> None:
        """Signing for another person's role asks why there is no other person."""
        assert (a.Sign(INES, "nobody else here"),) == answered(SIGN, "1", "1")

    def test_a_tool_that_does_not_suit_needs_a_reason(self) -> None:
        """Its sentence stands in the question, so that the reason answers it."""
        asked = answered(TAKE, "2")

        assert isinstance(asked, Part)
        assert "below its working range" in asked.text
        assert (a.TakeUp("w5", "no other tool here"),) == answered(TAKE, "2", "1")

    def test_a_tool_that_cannot_do_it_is_refused_with_its_reason(self) -> None:
        """No reason makes a gauge a torque tool."""
        assert a.Refused("G1: not a torque tool.") == answered(TAKE, "3")

    def test_a_reading_at_a_recheck_is_asked_whether_it_moved(self) -> None:
        """The number alone does not say whether anything moved."""
        assert (a.Still(True, "23.0"),) == answered(READ_AGAIN, "23.0", "2")

    def test_a_wait_is_cut_short_only_with_a_reason(self) -> None:
        """Going on early asks why."""
        assert (a.GoOnEarly("agreed with the person in charge"),) == answered(WAITING, "2", "1")

    def test_a_run_is_not_accepted_with_a_reason(self) -> None:
        """Closing without accepting asks why."""
        assert (a.Finish(False, "gasket torn"),) == answered(ask.Finished("done", 0), "2", "gasket torn")


class TestDeciding:
    """A decision is a choice by number and then its parts."""

    def test_from_the_beginning_asks_how_far(self) -> None:
        """The scope is chosen from those that the sheet allows."""
        assert (a.Resolve("from the beginning", "group"),) == answered(DECIDE, "1", "2")

    def test_a_concession_needs_a_reason_and_a_person(self) -> None:
        """Both are asked, in this order."""
        expected = a.Resolve("concession", reason="no other fastener here", person=MAUD)

        assert (expected,) == answered(DECIDE, "3", "2", "Maud")

    def test_a_mistyped_value_is_corrected_about_its_own_line(self) -> None:
        """The value is typed anew, how it is known is asked, and the line stays named."""
        assert (a.Correct("22.5", "from memory", 57),) == answered(DECIDE, "2", "22.5", "3")

    def test_going_back_asks_to_which_stage_and_why(self) -> None:
        """The stage is chosen from the list."""
        assert (a.Resolve("go back", reason="end play too large", back_to=2),) == answered(
            DECIDE, "5", "2", "end play too large"
        )

    def test_hold_is_an_answer_of_its_own(self) -> None:
        """A run that waits says for what."""
        assert (a.Hold("waiting for a part"),) == answered(DECIDE, "4", "1")


class TestSomethingElse:
    """The honest answer exists at every prompt, under a number that stays the same."""

    @pytest.mark.parametrize(
        ("lines", "expected"),
        [
            (("* 2", "4", "1"), a.PulledAnother("4")),
            (("* 2", "4", "2"), a.PulledAnother("4", clicked=False)),
            (("* 3", "1"), a.Skip("no room for the tool")),
            (("* 4", "2", "18"), a.Broke("stripped", "18")),
            (("* 4", "1", "-"), a.Broke("broken")),
            (("* 5", "17.5"), a.Broke("never reaches the torque", "17.5")),
            (("* 6",), a.Broke("wrong or missing part")),
            (("* 7", "1"), a.Drop("w2")),
            (("* 7", "2", "1"), a.Drop("w2", "no other tool here")),
            (("* 9", "1"), a.VoidStored("jerk or chatter")),
            (("* 10", "1", "-"), a.HandTo(MAUD)),
            (("* 10", "Ines", "Maud"), a.HandTo(INES, MAUD)),
            (("* 11", "3"), a.Hold("end of the day")),
            (("* 12", "3", "2"), a.TurnMap(2, True)),
            (("* 14", "started by mistake", "2"), a.GiveUp("started by mistake")),
            (("* 16", "1"), a.SuspectTool("w2", "readings drift")),
            (("* 17", "found dry"), a.Note("found dry")),
            (("*", "3", "2"), a.Skip("waiting for a part")),
        ],
    )
    def test_a_line_of_the_menu(self, lines: tuple[str, ...], expected: a.Answer) -> None:
        """Each line of the menu asks its parts and becomes one answer."""
        third = Standing(latest=56, latest_step=2, latest_what="reading")
        at = session(
            last_pull="2026-03-02T09:00:00.000Z",
            last_answer=56,
            last_answer_step="1.1/3",
            last_entered="22.1 lbf·ft",
            positions=HashTrieMap({"3": third}),
        )

        assert (expected,) == answered(click(), *lines, at=at)

    def test_a_reading_tool_at_another_position_asks_what_it_showed(self) -> None:
        """The value belongs to the position that was pulled."""
        assert (a.PulledAnother("4", "22.3"),) == answered(READING, "* 2", "4", "22.3")

    def test_another_tool_is_offered_with_what_speaks_against_it(self) -> None:
        """At a pull with W2 the other torque tools are offered, and one that does not suit needs a reason."""
        asked = answered(click(), "* 8")

        assert isinstance(asked, Part)
        assert ["W5"] == [choice.text.split(" · ")[0] for choice in asked.choices]
        assert (a.TakeUp("w5"),) == answered(click(), "* 8", "1")

    def test_no_tool_is_taken_where_none_is_needed(self) -> None:
        """A start sheet needs no tool."""
        assert isinstance(answered(CAUTIONS, "* 8"), a.Refused)

    def test_correcting_asks_how_the_value_is_known(self) -> None:
        """The last answer is put right with how that is known."""
        at = session(**ANSWERED)

        assert (a.Correct("22.3", "the tool still shows it"),) == answered(READING, "* 1", "22.3", "1", at=at)

    def test_nothing_stored_is_nothing_to_correct(self) -> None:
        """Before the first answer, correcting is refused in words."""
        assert a.Refused("Nothing to correct yet.") == answered(READING, "* 1")

    def test_what_does_not_fit_is_refused(self) -> None:
        """A start sheet has no position that could be skipped."""
        assert isinstance(answered(CAUTIONS, "* 3"), a.Refused)

    def test_abandoning_can_still_be_declined(self) -> None:
        """The last question is whether it is meant."""
        assert a.Refused("The run goes on.") == answered(click(), "* 14", "1", "1")

    def test_help_and_the_last_three_are_only_shown(self) -> None:
        """They are no answers and store nothing."""
        drafts = [begin(click(), line) for line in ("?", "* 15", "* 13")]

        assert ["help", "help", "last three"] == [shows(draft) for draft in drafts if isinstance(draft, Draft)]

    def test_a_number_where_none_is_asked_is_kept(self) -> None:
        """A line that a tool typed by itself is kept, and asked to which position it belongs."""
        assert (a.Arrived("22.4", "2"),) == answered(click(), "22.4", "2")
        assert (a.Arrived("22.4"),) == answered(LOOK, "22.4", "-")


class TestGoingBack:
    """A draft can be left at any part, and leaves no trace."""

    def test_back_gives_the_draft_up(self) -> None:
        """A star or the escape key at a part goes back."""
        draft = Draft("skip")
        part = next_part(click(), session(), draft)

        assert isinstance(part, Part)
        assert [None, None] == [follow(click(), draft, part, line, named) for line in ("*", "\x1b")]

    def test_pausing_is_possible_in_the_middle_of_an_answer(self) -> None:
        """The telephone does not wait for the last part."""
        assert (a.Pause(),) == answered(click(), "* 3", "pause")


class TestSeveralInOneAnswer:
    """Where several pulls are confirmed in one answer, everything special first asks how far they are done."""

    @pytest.mark.parametrize(
        ("lines", "expected"),
        [
            (("-", "2", "1"), (a.DoneUpTo("2"), a.BadPull(clicked=True))),
            (("-", "-", "2"), (a.BadPull(clicked=False),)),
            (("pause", "3"), (a.DoneUpTo("3"), a.Pause())),
            (("* 3", "1", "1"), (a.DoneUpTo("1"), a.Skip("no room for the tool"))),
            (("* 7", "4", "1"), (a.DoneUpTo("4"), a.Drop("w2"))),
        ],
    )
    def test_done_up_to_comes_first(self, lines: tuple[str, ...], expected: tuple[a.Answer, ...]) -> None:
        """The pulls that are done are stored before the special answer."""
        assert expected == answered(BLOCK, *lines)

    def test_a_note_does_not_ask(self) -> None:
        """A note changes no count."""
        assert (a.Note("second cup of tea"),) == answered(BLOCK, "/ second cup of tea")

    def test_the_question_names_the_position_that_is_next(self) -> None:
        """After those that are done are taken off, the next one is meant."""
        asked = answered(BLOCK, "* 3", "2")

        assert isinstance(asked, Part)
        assert "Why skip screw 3?" == asked.text


class TestAnyLine:
    """Whatever is typed becomes an answer, a question or a sentence."""

    @settings(max_examples=300, deadline=None)
    @given(
        st.sampled_from(EVERY),
        st.lists(
            st.one_of(
                st.text(max_size=12),
                st.sampled_from(["+", "-", "*", "* 3", "* 14", "1", "2", "22.1", "/ x", "Ines", "all", "pause", "4 5"]),
            ),
            min_size=1,
            max_size=6,
        ),
    )
    def test_any_lines_at_any_prompt(self, prompt: ask.Prompt, lines: list[str]) -> None:
        """No line breaks the gathering, and every refusal is a sentence."""
        moment = session(
            last_pull="2026-03-02T09:00:00.000Z", last_answer=56, last_answer_step="1.1/3", last_entered="22.1 lbf·ft"
        )
        draft: Draft | a.Refused | None = begin(prompt, lines[0])
        for line in (*lines[1:], "1", "1"):
            if not isinstance(draft, Draft) or shows(draft):
                break
            found = next_part(prompt, moment, draft)
            if not isinstance(found, Part):
                assert isinstance(found, a.Refused) or found
                break
            draft = follow(prompt, draft, found, draft.ahead or line, named)
        if isinstance(draft, a.Refused):
            assert draft.sentence.endswith((".", "?"))

    @pytest.mark.parametrize("prompt", EVERY)
    def test_every_key_shown_begins_an_answer(self, prompt: ask.Prompt) -> None:
        """What a prompt lists as a key is never refused as unknown."""
        for choice in choices_at(prompt, session()):
            begun = begin(prompt, choice.key)

            assert isinstance(begun, Draft) or "G1: not a torque tool." == begun.sentence
