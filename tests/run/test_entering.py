"""What a person entered: named when it is corrected, asked with its unit where that is in unusual, and no oftener."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from small_joints import at_first_pull, bench_for, bolts, events_of, recheck, tighten, turn, walk_to, window

from bench import G1, W2, W5, Bench
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.asked import details
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, follow, next_part


def nobody(name: str) -> Person:
    """No question here is for a person."""
    raise AssertionError(name)


def asked_for(bench: Bench, *lines: str) -> Part | Refused | tuple[a.Answer, ...]:
    """What these lines lead to: the next question, or the answers that they make."""
    draft = begin(bench.prompt, lines[0])
    for line in (*lines[1:], None):
        assert isinstance(draft, Draft), draft
        found = next_part(bench.prompt, bench.session, draft)
        if line is None or not isinstance(found, Part):
            return found
        after = follow(bench.prompt, draft, found, line, nobody)
        assert after is not None
        draft = after
    raise AssertionError(lines)


def given(bench: Bench, *lines: str) -> Accepted | Unsure | Refused:
    """What the answers that these lines make come to."""
    found = asked_for(bench, *lines)
    assert isinstance(found, tuple), found
    return bench.answer(found[0])


def at_a_reading() -> Bench:
    """The first bolt of two is pulled with W5, which shows lbf·ft; 30 N·m are 22.1 of them."""
    return at_first_pull(bolts(2), tighten(bolts(2)), tools=(W5, G1))


def at_a_click() -> Bench:
    """The first bolt of two is pulled with W2, which clicks."""
    return at_first_pull(bolts(2), tighten(bolts(2)), tools=(W2, G1))


class TestCorrecting:
    """A correction names bolt, value and unit, never a line of the daybook."""

    def test_a_reading(self) -> None:
        """As it was typed, with the unit of the tool."""
        run = at_a_reading()
        given(run, "22.3")

        found = asked_for(run, "* 1")

        assert isinstance(found, Part)
        assert "Head bolt 1: you entered 22.3 lbf·ft. Type what is right." == found.text

    def test_a_stroke(self) -> None:
        """An angle has its degree sign."""
        run = bench_for(bolts(2), tighten(bolts(2)), turn(bolts(2)))
        walk_to(run, "2.1/1", ask.Turn)
        given(run, "92")

        found = asked_for(run, "* 1")

        assert isinstance(found, Part)
        assert "Head bolt 1: you entered 92°. Type what is right." == found.text

    def test_at_the_decision_about_it(self) -> None:
        """Over: the same question."""
        run = at_a_reading()
        given(run, "24.1")
        decide = run.prompt
        assert isinstance(decide, ask.Decide)
        number = next(n for n, way in enumerate(decide.choices, 1) if way.value == "correct")

        found = asked_for(run, str(number))

        assert isinstance(found, Part)
        assert "Head bolt 1: you entered 24.1 lbf·ft. Type what is right." == found.text

    def test_a_bad_stroke_at_the_decision_about_it(self) -> None:
        """60° and a bad 60°: the stroke is what was entered, and both together are judged."""
        run = bench_for(bolts(2), tighten(bolts(2)), turn(bolts(2)))
        walk_to(run, "2.1/1", ask.Turn)
        given(run, "60")
        given(run, "- 60")
        decide = run.prompt
        assert isinstance(decide, ask.Decide)
        number = next(n for n, way in enumerate(decide.choices, 1) if way.value == "correct")

        found = asked_for(run, str(number))

        assert isinstance(found, Part)
        assert "Head bolt 1: you entered 60°. Type what is right." == found.text
        assert ("window 90 to 94°", "turned in all 120°") == details(decide)[:2]

    def test_after_a_click_it_is_voided_or_left(self) -> None:
        """A click holds no number; what was wrong with it is asked."""
        run = at_a_click()
        given(run, "+")

        found = asked_for(run, "* 1")

        assert isinstance(found, Part)
        assert ("void", ["void", "leave"]) == (found.name, [choice.value for choice in found.choices])
        assert isinstance(given(run, "* 1", "1", "1"), Accepted)
        voided = events_of(run, e.Voided)[-1]
        assert ("1.1/1", "jerk or chatter") == (voided.step, voided.cause)

    def test_after_a_bad_pull_it_is_about_that_one(self) -> None:
        """Bolt 1 was turned to its mark; that bolt 2 was turned badly is the last answer, and bolt 1 is left alone."""
        run = bench_for(bolts(2), tighten(bolts(2)), turn(bolts(2), judged_by="mark"))
        walk_to(run, "2.1/2", ask.Turn)
        given(run, "-", "1")

        found = asked_for(run, "* 1")

        assert isinstance(found, Refused)
        assert "Head bolt 2: bad pull, no number to correct." == found.sentence

    def test_a_bad_pull_that_showed_a_number_is_corrected(self) -> None:
        """24.1 was typed with it."""
        run = at_a_reading()
        given(run, "- 24.1")

        found = asked_for(run, "* 1")

        assert isinstance(found, Part)
        assert "Head bolt 1: you entered 24.1 lbf·ft. Type what is right." == found.text

    def test_left_alone_nothing_is_changed(self) -> None:
        """And that is said."""
        run = at_a_click()
        given(run, "+")

        assert isinstance(asked_for(run, "* 1", "2"), Refused)


class TestUnusual:
    """295 for 29.5: all of it on a numeric pad."""

    def test_the_number_that_was_meant_is_taken_as_it_stands(self) -> None:
        """Nothing is in unusual about it."""
        run = at_a_reading()
        assert isinstance(given(run, "221"), Unsure)

        assert isinstance(given(run, "22.1"), Accepted)
        taken = events_of(run, e.ReadingTaken)[-1]
        assert ("22.1", "lbf·ft", None) == (taken.value, taken.unit, taken.unusual)

    def test_the_same_number_again_asks_for_its_unit_from_a_list(self) -> None:
        """Where none is offered before the others, and the choice is a number."""
        run = at_a_reading()
        given(run, "30")

        found = asked_for(run, "30")

        assert isinstance(found, Part)
        assert ("unit", "choice", "") == (found.name, found.kind, found.enter)
        assert "30 in which unit?" == found.text
        assert {"N·m", "lbf·ft", "lbf·in"} <= {choice.value for choice in found.choices}

    @pytest.mark.parametrize("line", ["20,5,3", "1,250"])
    def test_figures_that_are_no_number_are_not_asked_for_a_unit(self, line: str) -> None:
        """No unit makes a number of them: it is told at once, and with what to type."""
        run = at_a_reading()
        given(run, "999")

        found = given(run, line)

        assert isinstance(found, Refused)
        assert f"“{line}” " in found.sentence

    @pytest.mark.parametrize(("unit", "verdict"), [("lbf·ft", "over"), ("N·m", "within")])
    def test_number_and_unit_are_judged(self, unit: str, verdict: str) -> None:
        """30 lbf·ft are 40.7 N·m (NIST SP 811, appendix B.8)."""
        run = at_a_reading()
        given(run, "30")
        listed = asked_for(run, "30")
        assert isinstance(listed, Part)
        key = next(choice.key for choice in listed.choices if choice.value == unit)

        assert isinstance(given(run, "30", key), Accepted)
        taken = events_of(run, e.ReadingTaken)[-1]
        assert (verdict, unit) == (taken.verdict, taken.unit)
        assert taken.unusual is not None

    def test_another_unusual_number_is_asked_about_as_well(self) -> None:
        """222 is no better than 221."""
        run = at_a_reading()
        given(run, "221")

        assert isinstance(asked_for(run, "222"), Part)


def set_prompts(run: Bench) -> Iterator[ask.SetTool]:
    """Every time the tool is set until the run is over."""
    for _ in range(200):
        if isinstance(run.prompt, ask.Ended):
            return
        if isinstance(run.prompt, ask.SetTool):
            yield run.prompt
        run.answer(run.steady())


def test_the_unit_of_a_scale_is_asked_once_a_tool_and_run() -> None:
    """Later it stands behind the number, and nothing is asked."""
    head = bolts(2)
    run = bench_for(
        head, tighten(head), tighten(head, number=2, target=Decimal(40), window=window("38", "42")), tools=(W2,)
    )

    first, *later = [prompt.units for prompt in set_prompts(run)]

    assert len(first) > 1
    assert later
    assert {("lbf·ft",)} == set(later)


@pytest.mark.parametrize("line", ["+", "-", "*/", "..."])
def test_a_lone_sign_is_no_reason_and_no_note(line: str) -> None:
    """A key that was pressed once too often is not kept as words."""
    run = at_a_click()
    given(run, "+")

    for begun in (("* 9",), ("/",)):
        draft = begin(run.prompt, begun[0])
        assert isinstance(draft, Draft)
        part = next_part(run.prompt, run.session, draft)
        assert isinstance(part, Part)
        assert isinstance(follow(run.prompt, draft, part, line, nobody), Refused)


def test_plus_answers_no_recheck() -> None:
    """Whether it moved is seen, and chosen by number."""
    head = bolts(2)
    run = bench_for(head, tighten(head), recheck(head))
    walk_to(run, "2.1/1", ask.Recheck)

    assert isinstance(begin(run.prompt, "+"), Refused)
