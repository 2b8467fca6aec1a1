"""Questions about a joint: each can be left out and gone back to, and the reader decides what is an answer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from clampbook.help.keys import explain
from clampbook.procedure.guided.answers import NAMES, Answers
from clampbook.procedure.guided.questions import Several, due, place_of
from clampbook.procedure.guided.talk import (
    Refused,
    Talk,
    as_typed,
    back,
    in_words,
    lacking,
    resumed,
    sketch,
    take,
    to_the_end,
)
from clampbook.procedure.model import Tighten
from procedure.guided.test_page import answered

FLANGE = ("Coupling flange", "Coupling bolts", "12", "1", "M12", "8.8", "dry, clean", "0.16, 0.22", "70 N·m", "1")


def told(*lines: str, at: Talk | None = None) -> Talk:
    """The talk after these lines, each of which is an answer."""
    talk = Talk() if at is None else at
    for line in lines:
        taken = take(talk, line)
        assert isinstance(taken, Talk), (talk.question, taken)
        talk = taken
    return talk


def asked(name: str, talk: Talk | None = None) -> Talk:
    """The talk at the question of this name."""
    talk = Talk() if talk is None else talk
    return replace(talk, asked=[question.name for question in talk.questions].index(name))


def refused(talk: Talk, line: str) -> str:
    """The sentence that refuses this line."""
    taken = take(talk, line)
    assert isinstance(taken, Refused), taken
    return taken.sentence


def test_enter_alone_leaves_every_question_out() -> None:
    """From the first to the last nothing but Enter: two names that a file must have, and no value."""
    talk = Talk()
    while talk.question is not None:
        talk = told("", at=talk)

    assert Answers(fasteners="Bolts", revision="A") == talk.answers


def test_a_question_follows_from_the_answer_before_it() -> None:
    """Who inspects is asked of an inspection, how far off an angle may be of a turn, and of neither before."""
    names = [question.name for question in Talk().questions]
    look = told("Shaft free?", at=asked("look"))
    turned = told("90°", at=asked("angles"))

    assert not {"looker", "angle_within", "within", "across", "placed"} & set(names)
    assert "looker" in [question.name for question in look.questions]
    assert "angle_within" in [question.name for question in turned.questions]


@pytest.mark.parametrize(
    ("name", "line", "sentence"),
    [
        ("count", "twelve", "“twelve” is not a number of fasteners. Type a whole number from 1."),
        ("count", "0", "“0” is not a number of fasteners. Type a whole number from 1."),
        ("order", "9", "“9” is not a choice. Choose 1 to 5, or press Enter to leave it."),
        ("order", "cross", "“cross” is not a choice. Choose 1 to 5, or press Enter to leave it."),
    ],
)
def test_what_is_no_answer_is_told(name: str, line: str, sentence: str) -> None:
    """A number that is none, and a number of the list that is none."""
    assert sentence == refused(asked(name), line)


@pytest.mark.parametrize(
    ("name", "line", "part"),
    [
        ("target", "70", "needs its unit"),
        ("target", "70 bar", "pressure"),
        ("target", "-3 N·m", "above zero"),
        ("rounds", "30 %, 100 %", "share of a target"),
        ("angles", "90", "needs its unit"),
        ("nut_factor", "0.3, 0.2", "range"),
        ("nut_factor", "0.1, 0.2, 0.3", "Nut factor has 3 entries, not 2."),
        ("wait", "50 km", "distance"),
        ("after", "soon", "soon"),
        ("title", "x" * 81, "Joint is too long."),
    ],
)
def test_the_reader_refuses_what_it_would_refuse_in_a_file(name: str, line: str, part: str) -> None:
    """Its own sentence is told, and the question stays."""
    assert part in refused(asked(name), line)


@pytest.mark.parametrize("target", ["24 N·m", ""])
@pytest.mark.parametrize("line", ["10, 18, 24 N·m", "10 N·m, 18 N·m, 24 N·m"])
def test_rounds_in_one_unit_are_typed_as_a_manual_lists_them(target: str, line: str) -> None:
    """The unit stands once, at the end, or at the torque that was typed before."""
    at = asked("rounds", told(*FLANGE[:-2], target))

    assert ("10 N·m", "18 N·m", "24 N·m") == told(line, at=at).answers.rounds


def test_rounds_without_any_unit_are_in_that_of_the_last_torque() -> None:
    """Nothing else can be meant; where there is none, it is asked for."""
    at = asked("rounds", told(*FLANGE[:-2], "52 lbf·ft"))

    assert ("25 lbf·ft", "52 lbf·ft") == told("25, 52", at=at).answers.rounds
    assert "needs its unit" in refused(asked("rounds", told(*FLANGE[:-2], "")), "25, 52")


def test_a_torque_without_its_unit_is_in_the_one_of_the_book() -> None:
    """The last torque as well as the rounds; without such a unit it is asked for, and a unit that is typed stands."""
    at = asked("target")

    assert "68 N·m" == taken(at, "68", "N·m").answers.target
    assert "50 lbf·ft" == taken(at, "50 lbf·ft", "N·m").answers.target
    assert "needs its unit" in refused(at, "68")
    without = asked("rounds", told(*FLANGE[:-2], ""))
    assert ("20 lbf·ft", "45 lbf·ft") == taken(without, "20, 45", "lbf·ft").answers.rounds


def taken(talk: Talk, line: str, unit: str) -> Talk:
    """The talk after this line, in a book that has torques in this unit."""
    found = take(talk, line, unit)
    assert isinstance(found, Talk)
    return found


def test_the_number_of_questions_is_one_that_may_grow_until_none_can_come() -> None:
    """More are asked after the first answers; after the source only the revision is left."""
    assert Talk().may_grow
    assert not asked("source").may_grow
    assert not asked("revision").may_grow


def test_one_nut_factor_is_its_lowest_and_its_highest() -> None:
    """A manual that gives one number gives no band."""
    assert ("0.15", "0.15") == told("0.15", at=asked("nut_factor")).answers.nut_factor


@pytest.mark.parametrize("line", ["1-4-2-3", "1 - 4 - 2 - 3", "1–4–2–3", "1, 4, 2, 3"])
def test_an_order_is_typed_with_dashes_as_well(line: str) -> None:
    """As manuals print it; one dash alone is a range."""
    at = asked("written_order", told("Flange", "", "4", "1", *[""] * 7, "5"))

    assert "1, 4, 2, 3" == told(line, at=at).answers.written_order


def test_newton_metres_are_of_the_last_round_and_the_others_get_its_share() -> None:
    """5 N·m around 30 % of 10 N·m would reach below zero: it is the half of each that is said."""
    talk = told(*FLANGE[:8], "10 N·m", "1")

    assert "±5 N·m" == told("±5 N·m", at=talk).answers.within
    assert "zero" in refused(talk, "±11 N·m")


@pytest.mark.parametrize("line", ["10/18/24 N·m", "10 / 18 / 24 N.m", "10, 18, 24 N.m", "10 N·m / 18 N·m / 24 N·m"])
def test_rounds_are_taken_with_slashes_between(line: str) -> None:
    """As manuals print them, and as keyboards without a dot in the middle type the unit."""
    rounds = sketch(told(line, at=asked("rounds", told(*FLANGE[:-2], ""))).answers).stages

    assert [10, 18, 24] == [stage.target for stage in rounds if isinstance(stage, Tighten)]


def test_shares_have_their_sign_once_at_the_end() -> None:
    """30, 60 and 100 % are no 30 N·m."""
    at = asked("rounds", told(*FLANGE[:-1]))

    assert ("30 %", "60 %", "100 %") == told("30/60/100 %", at=at).answers.rounds
    assert ("30 %", "60 %", "100 %") == told("30, 60, 100 %", at=at).answers.rounds


def test_half_a_turn_is_not_two_rounds() -> None:
    """A slash before a turn is a fraction: an angle among the torques is told, and a turn takes it."""
    assert "is an angle, not a torque" in refused(asked("rounds", told(*FLANGE[:-1])), "1/2 turn")
    assert ("1/2 turn",) == told("1/2 turn", at=asked("angles")).answers.angles


@pytest.mark.parametrize("line", ["20 hours of running", "20 running hours", "20 h of running", "20 Operating hours"])
def test_hours_of_running_are_a_use_and_no_time_by_the_calendar(line: str) -> None:
    """The calendar sends them on to the use; the file has them as h."""
    sentence = f"“{line}” is a use, not a time by the calendar. Type - here, then the use."

    assert sentence == refused(asked("after"), line)
    assert "20 h" == told(line, at=asked("or_use")).answers.or_use


def test_each_example_of_the_help_is_an_answer() -> None:
    """Nobody is shown what is then refused."""
    talk = told(*FLANGE)
    talk = told("90°", at=asked("angles", talk))
    for question in talk.questions:
        for example in question.examples if isinstance(question, Several) else ():
            assert isinstance(take(asked(question.name, talk), example), Talk), (question.name, example)


def test_a_talk_goes_on_where_it_ended_and_not_with_what_nobody_can_have_said() -> None:
    """The same answers and the same question; of a circle nobody says how many are along its top."""
    talk = told(*FLANGE)

    assert talk == resumed(talk.answers, talk.asked)
    assert resumed(replace(talk.answers, across="3"), talk.asked) is None
    assert resumed(replace(talk.answers, target="70 bar"), talk.asked) is None


def test_a_drawing_must_have_as_many_positions_as_there_are() -> None:
    """One too few is told, with both numbers."""
    talk = told("Cover", "", "6", "5")

    assert "You drew 5 positions of 6. Draw each once, or go back to the number." == refused(talk, "1 2 3 / 4 5")
    assert ("1 2 3", "4 5 6") == told("1 2 3 / 4 5 6", at=talk).answers.drawn
    assert "more than once" in refused(talk, "1 2 3 / 4 5 5")


@pytest.mark.parametrize(("count", "across"), [("11", None), ("2", None), ("12", "7"), ("12", "1")])
def test_a_rectangle_that_cannot_be_drawn_is_refused(count: str, across: str | None) -> None:
    """An odd number, and more along the top than half of all."""
    talk = told("Cover", "", count)

    if across is None:
        assert "rectangle" in refused(talk, "4")
    else:
        assert "2 to 6" in refused(told("4", at=talk), across)


def test_every_answer_can_be_gone_back_to() -> None:
    """Back from the last to the first, each with what was typed."""
    talk = told(*FLANGE)
    typed = []
    while (before := back(talk)) is not None:
        assert before.question is not None
        typed.append(as_typed(before.question, before.answers))
        talk = before

    assert [*FLANGE[:9], "30 %, 60 %, 100 %"] == typed[::-1]


def test_going_back_changes_one_answer_and_leaves_the_others() -> None:
    """Another thread, and all else stays as it was."""
    talk = told(*FLANGE)

    assert replace(talk.answers, thread="M14") == told("M14", at=asked("thread", talk)).answers


def test_what_no_longer_goes_with_a_changed_answer_is_asked_again() -> None:
    """Of eight fasteners an order of twelve cannot be; without a target there are no shares, and nothing to recheck."""
    talk = told(*FLANGE, "±5 %", "", "5", "1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12", "10 min", "2")
    eight = told("8", at=asked("count", talk)).answers
    without = told("-", at=asked("target", talk)).answers

    assert replace(talk.answers, count="8", written_order=None) == eight
    assert replace(talk.answers, target=None, rounds=None, within=None, recheck=None) == without


def test_the_joint_is_drawn_as_far_as_it_is_known() -> None:
    """Twelve in a row while nothing says how they stand, then on a circle in the order that was chosen."""
    row, circle = sketch(told(*FLANGE[:3]).answers), sketch(told("1", at=asked("order", told(*FLANGE))).answers)

    assert ("line", 12) == (row.layout.kind, len(row.layout.places))
    assert ("circle", 12) == (circle.layout.kind, len(circle.layout.places))
    assert ("1", "7", "4", "10") == circle.groups[0].order[:4]


def test_what_a_walk_needs_is_told_at_the_end() -> None:
    """Left out: how far a torque may be off. Nothing else keeps this flange from being walked."""
    end = to_the_end(told(*FLANGE))

    assert end.question is None
    assert ["allowed"] == [question.short for question in lacking(end.answers)]


def test_an_answer_is_shown_in_the_words_of_its_choice() -> None:
    """In a list of answers a number says nothing."""
    talk = told(*FLANGE)
    placed = next(question for question in talk.questions if question.name == "placed")

    assert ("1", "in a circle, clockwise from the top") == (
        as_typed(placed, talk.answers),
        in_words(placed, talk.answers),
    )


def test_each_question_has_its_key_in_the_reference() -> None:
    """Help at a question says under which key the answer stands, in the words of the reference."""
    every = Answers(
        count="4",
        placed="rectangle",
        target="70 N·m",
        angles=("90°",),
        order="written out",
        look="Free?",
        after="30 d",
    )
    questions = [*due(every), *due(replace(every, placed="drawn", angles=None))]

    assert set(NAMES) == {question.name for question in questions}
    assert [] == [question.name for question in questions if explain(*place_of(question)) is None]


@settings(deadline=None)
@given(answered())
def test_an_answer_typed_again_stays_the_same(answers: Answers) -> None:
    """What stands in the field after going back is what gives that answer."""
    talk = Talk(answers)
    for at, question in enumerate(talk.questions):
        line = as_typed(question, answers)
        if line:
            taken = take(replace(talk, asked=at), line)
            assert isinstance(taken, Talk), (question, line, taken)
            assert answers.of(question.name) == taken.answers.of(question.name)
