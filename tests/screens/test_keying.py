"""What a key means at each kind of question."""

from __future__ import annotations

from decimal import Decimal
from string import ascii_letters

import pytest
from msgspec.structs import replace

from aims import thirty
from bench import G1, INES, W2, W5
from clampbook.procedure.model import Ask
from clampbook.run import prompts as ask
from clampbook.run.answers import Refused
from clampbook.run.gather.asking import named as words
from clampbook.run.gather.asking import people_listed
from clampbook.run.gather.draft import Part
from clampbook.run.gather.parts import begin
from clampbook.run.prompts import Choice, DecideChoice, Prompt, Where
from clampbook.screens.key_meaning import Back, Help, Line, Meaning, Nothing, Typed, stroke
from clampbook.screens.keying import wanted

WHERE = Where(3, 54, "1.1/3", 1, position="3")
WINDOW = (Decimal(28), Decimal(32))
CLICK = ask.Tighten(WHERE, thirty(W2), (), Decimal(2))
READING = ask.Tighten(WHERE, thirty(W5), (), Decimal(2))
MEASURE = ask.Measure(WHERE, "Gap", "mm", WINDOW)
ZERO = ask.ZeroTool(W5, WHERE)
LOOK = ask.Inspect(WHERE, "Even?", "yes")
HOLD_POINT = ask.Inspect(WHERE, "Even?", "yes", hold_point=True)
DECIDE = ask.Decide(WHERE, "over", 7, "3", "24.3", (DecideChoice("hold", "let it stand", ("reason",)),))
SIGN = ask.SignOff("assembler", True, False, (), "performed")
SERIAL = ask.StartSheet("ask:Serial", "start", True, ask=Ask(name="Serial", answer="text"))
HOURS = ask.StartSheet("ask:Hours", "start", False, ask=Ask(name="Hours", answer="number", unit="h"))
CAUTIONS = ask.StartSheet("cautions", "start", True, lines=("Eye protection on.",))
MARKS = ask.Turn(WHERE, G1, True, Decimal(90), WINDOW, Decimal(0), WINDOW, False, ())
BLOCK = ask.Confirm(WHERE, ("1", "2", "3", "4"), CLICK)
LOOSEN = ask.Loosen(WHERE, "3")
WAIT = ask.Wait(WHERE, "2026-03-02T09:00:00.000Z", Decimal(600), "10 min", "the last pull")
PUT_AWAY, WOUND_DOWN = ask.ReturnTool(W5, False), ask.ReturnTool(W2, True)
STATE = ask.StepState(WHERE)
RECHECK = ask.Recheck(WHERE, thirty(W2, judged=False), "tighten on", None, 1, 4, (), Decimal(2))
FINISHED = ask.Finished("done", 0)
SET = ask.SetTool(WHERE, thirty(W2), ("N·m", "lbf·ft"))


def meant(prompt: Prompt, key: str, field: str = "", part: Part | None = None) -> Meaning:
    """What a key means; a single sign types itself."""
    return stroke(wanted(prompt, part), field, key, key if len(key) == 1 else None)


def chooses_nothing(prompt: Prompt, line: str) -> bool:
    """Whether the line is refused, or at most a reading that nobody asked for, or one that is asked for here."""
    begun = begin(prompt, line)
    return isinstance(begun, Refused) or begun.act in ("arrived", "value")


def at_once(line: str) -> Line:
    return Line(line, at_once=True)


class TestActs:
    """What says that an act is done needs no Enter, and answers nothing that is seen or judged."""

    @pytest.mark.parametrize("prompt", [CLICK, MARKS, BLOCK, LOOSEN, CAUTIONS, WAIT, PUT_AWAY, WOUND_DOWN])
    def test_plus_and_space_say_that_it_is_done(self, prompt: Prompt) -> None:
        """Clicked, all clicked, loose, at the mark, read, done, time is up: one press, no Enter."""
        assert at_once("+") == meant(prompt, "+") == meant(prompt, " ")

    @pytest.mark.parametrize(
        "prompt", [READING, MEASURE, ZERO, LOOK, HOLD_POINT, RECHECK, STATE, DECIDE, HOURS, SET, FINISHED]
    )
    def test_they_answer_nothing_that_is_seen_or_judged(self, prompt: Prompt) -> None:
        """And leave no trace there."""
        assert (Nothing(), Nothing()) == (meant(prompt, "+"), meant(prompt, " "))

    @pytest.mark.parametrize("prompt", [CLICK, READING, BLOCK, RECHECK])
    def test_minus_opens_bad_pull(self, prompt: Prompt) -> None:
        """What the tool showed is asked next."""
        assert at_once("-") == meant(prompt, "-")

    @pytest.mark.parametrize("prompt", [LOOSEN, CAUTIONS, WAIT, ZERO, LOOK, DECIDE])
    def test_it_leaves_no_trace_where_nothing_is_pulled(self, prompt: Prompt) -> None:
        """It is no sign of a number there."""
        assert Nothing() == meant(prompt, "-")

    @pytest.mark.parametrize("sign", "0123456789.,")
    @pytest.mark.parametrize("prompt", [CLICK, MARKS, BLOCK, LOOSEN, CAUTIONS])
    def test_a_stray_digit_leaves_no_trace(self, prompt: Prompt, sign: str) -> None:
        """Else + would type "1+" after it."""
        assert Nothing() == meant(prompt, sign)


@pytest.mark.parametrize("prompt", [CLICK, READING, MEASURE, ZERO, LOOK, CAUTIONS, DECIDE, HOURS, SET])
class TestNumericPad:
    """The keys that do the same wherever no text is typed."""

    def test_star_opens_the_menu_and_slash_a_note(self, prompt: Prompt) -> None:
        """And a question mark the help."""
        assert (at_once("*"), at_once("/"), Help()) == tuple(meant(prompt, key) for key in "*/?")

    def test_backspace_takes_a_sign_back_and_then_corrects(self, prompt: Prompt) -> None:
        """The last answer is corrected from an empty field."""
        assert (Typed("2"), at_once("* 1")) == (meant(prompt, "backspace", "22"), meant(prompt, "backspace"))

    def test_escape_goes_back_and_enter_is_a_line(self, prompt: Prompt) -> None:
        """Also an empty one, which answers nothing."""
        assert (Back(), Line("22.1"), Line("")) == (
            meant(prompt, "escape", "22"),
            meant(prompt, "enter", "22.1"),
            meant(prompt, "enter"),
        )


class TestNumbers:
    """Digits, point and comma always begin a number; a minus where a measured value can have one."""

    @pytest.mark.parametrize("prompt", [READING, MEASURE, HOURS, SET])
    @pytest.mark.parametrize("sign", "0123456789.,")
    def test_they_are_typed(self, prompt: Prompt, sign: str) -> None:
        """And Enter ends them."""
        assert Typed(sign) == meant(prompt, sign)

    def test_a_unit_goes_behind_the_number(self) -> None:
        """A sign that stands in no number and no unit does not."""
        typed = [meant(READING, key, "22.1") for key in " N*m-+/?"]

        assert [Typed(f"22.1{key}") for key in " N*m-"] + [Nothing()] * 3 == typed

    def test_minus_is_a_bad_pull_or_a_sign(self) -> None:
        """Alone and with Enter it leaves out what need not be answered."""
        assert (at_once("-"), Typed("-"), Typed("-")) == tuple(meant(p, "-") for p in (READING, MEASURE, HOURS))


class TestChoices:
    """A choice is its number and then Enter, everywhere."""

    @pytest.mark.parametrize("prompt", [ZERO, LOOK, RECHECK, STATE, DECIDE, HOLD_POINT, FINISHED])
    def test_a_digit_only_stands_in_the_field(self, prompt: Prompt) -> None:
        """Also one that no choice has: what was typed stands whole, and nothing is made of a part of it."""
        assert (Typed("1"), Typed("9"), Typed("30")) == (
            meant(prompt, "1"),
            meant(prompt, "9"),
            meant(prompt, "0", "3"),
        )
        assert chooses_nothing(prompt, "30")

    @pytest.mark.parametrize("prompt", [ZERO, LOOK, RECHECK, STATE, DECIDE, HOLD_POINT, FINISHED])
    def test_a_reading_typed_at_a_list_chooses_nothing(self, prompt: Prompt) -> None:
        """The eyes are on the bolt, and the question is another one than was thought."""
        field = ""
        for key in "22.1":
            typed = meant(prompt, key, field)
            assert isinstance(typed, Typed)
            field = typed.field

        assert "22.1" == field
        assert chooses_nothing(prompt, field)

    @pytest.mark.parametrize("prompt", [DECIDE, HOLD_POINT, FINISHED, SIGN])
    def test_nothing_typed_ahead_answers_a_decision_a_signature_or_the_end(self, prompt: Prompt) -> None:
        """Their digit only stands in the field."""
        assert (Typed("1"), True) == (meant(prompt, "1"), wanted(prompt, None).deliberate)

    def test_of_a_long_list_every_number_can_be_typed(self) -> None:
        """12 lines have no 13th: it stands there, and Enter says so."""
        part = Part("item", "Other actions", "choice", words("abcdefghijkl"))

        assert [Typed("8"), Typed("1"), Typed("12"), Typed("13")] == [
            meant(CLICK, key, field, part=part) for key, field in (("8", ""), ("1", ""), ("2", "1"), ("3", "1"))
        ]

    def test_positions_are_always_typed_out(self) -> None:
        """What is right for 8 must not be wrong for 1."""
        part = Part("position", "Which?", "choice", tuple(Choice(p, p, p) for p in ("1", "8", "14")))

        assert [Typed("1"), Typed("8")] == [meant(CLICK, key, part=part) for key in "18"]

    def test_star_goes_back_from_a_question_of_several(self) -> None:
        """A numeric pad has no Esc."""
        part = Part("known", "How do you know?", "choice", words("ab"))

        assert Back() == meant(READING, "*", part=part)


class TestText:
    """On a text nothing but function keys and Esc acts."""

    @pytest.mark.parametrize("prompt", [SERIAL, SIGN])
    def test_every_sign_is_typed(self, prompt: Prompt) -> None:
        """Also those that are keys elsewhere."""
        assert [Typed(sign) for sign in "+-/*? rbmpch"] == [meant(prompt, sign) for sign in "+-/*? rbmpch"]

    def test_what_was_answered_last_time_is_one_key_away(self) -> None:
        """Where it is offered, and only on an empty field: a number may well hold a plus."""
        again = replace(SERIAL, last="C 47")

        assert [at_once("+"), Typed("C+")] == [meant(again, "+"), meant(again, "+", field="C")]

    def test_so_it_is_for_a_reason_or_a_name(self) -> None:
        """Parts that are lines."""
        parts = (Part("reason", "Why?", "line"), Part("person", "Who?", "person", people_listed((INES,)), (INES,)))

        assert [Typed("*"), Typed("1")] == [
            meant(READING, key, part=part) for key, part in zip("*1", parts, strict=True)
        ]


class TestLetters:
    """No letter acts by itself: what is told nowhere must not happen."""

    @pytest.mark.parametrize("prompt", [CLICK, READING, CAUTIONS])
    def test_none_is_a_key_of_any_question(self, prompt: Prompt) -> None:
        """Neither those that once did something nor any other."""
        assert {Nothing} == {type(meant(prompt, letter)) for letter in ascii_letters}

    @pytest.mark.parametrize("prompt", [LOOK, ZERO, DECIDE])
    def test_a_name_typed_at_a_list_stands_whole(self, prompt: Prompt) -> None:
        """Of "W2" the 2 alone would be the second line of the list, whatever stands there."""
        assert (Typed("W"), Typed("W2")) == (meant(prompt, "W"), meant(prompt, "2", "W"))
        assert chooses_nothing(prompt, "W2")

    @pytest.mark.parametrize("prompt", [CLICK, READING])
    @pytest.mark.parametrize("letter", "rbmpch")
    def test_typed_as_a_line_it_is_refused(self, prompt: Prompt, letter: str) -> None:
        """With what can be typed instead."""
        assert isinstance(begin(prompt, letter), Refused)


def test_keys_without_a_sign_mean_nothing_here() -> None:
    """They are the screen's own matter."""
    assert {Nothing} == {type(meant(READING, key)) for key in ("tab", "left", "f9", "ctrl+a")}
