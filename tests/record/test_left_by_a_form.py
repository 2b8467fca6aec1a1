"""Page one says what a paper form left open: what is not known, what was outside with nothing decided."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from small_joints import READING, bolts, procedure, tighten

from bench import Bench, resolved
from clampbook.procedure import model as m
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Title
from clampbook.record.pages.marks import state
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.planning import plan
from walks import frozen

from .flat import flat

HEAD = bolts(4)


def typed(readings: tuple[str | None, ...], decided: tuple[str, ...] = ()) -> Title:
    """The head of page one of a form with these readings, and what it says was done about those that are over."""
    roles = (m.SignOff(role="inspector", required=True, another_person=True),)
    form = Bench(plan(procedure((HEAD,), (tighten(HEAD),), sign_off=roles), "invented", late=True), READING)
    left, ways = list(readings), list(decided)
    for _ in range(100):
        match form.prompt:
            case ask.Ended():
                break
            case ask.Tighten():
                text = left.pop(0)
                given: a.Answer = a.Blank() if text is None else a.Value(f"{text} N·m")
            case ask.Decide(choices=choices):
                way = ways.pop(0)
                given = resolved(next(each for each in choices if each.choice == way))
            case ask.SignOff(role="inspector"):
                given = a.Blank()
            case _:
                given = form.steady()
        assert isinstance(form.answer(given), Accepted), form.prompt
    files = frozen(form)
    told = tomllib.loads(build(*files).decode())
    found = flat(blocks(read(*files).plan, told, {"daybook.jsonl": files[2]}))
    return next(each for each in found if isinstance(each, Title))


class TestPageOne:
    """A reader in a hurry is not told that all is well."""

    def test_what_is_not_known_and_what_is_over_stand_there_by_name(self) -> None:
        """Bolt 2 is blank, 3 is over and nobody wrote what was done; the inspector's line is empty."""
        head = typed(("30", None, "33", "30"), ("nothing written",))

        assert "Entered late from paper: done" in head.outcome
        assert ", 1 position not known, 1 outside with nothing decided, not signed as inspector" in head.outcome
        assert head.notices[:3] == (
            "Not known: head bolt 2.",
            "Over, nothing decided on the form: head bolt 3.",
            "Nobody signed on the form as inspector.",
        )

    def test_a_concession_for_one_says_nothing_of_another(self) -> None:
        """Bolt 1 was accepted, bolt 3 was not."""
        head = typed(("33", "30", "33", "30"), ("concession", "nothing written"))

        assert head.outcome.startswith("Entered late from paper: accepted in part, 1 outside with nothing decided")
        assert "Over, nothing decided on the form: head bolt 3." in head.notices

    def test_a_form_with_all_of_it_leaves_nothing_open(self) -> None:
        """But its signature."""
        head = typed(("30", "30", "30", "30"))

        assert not [each for each in head.notices if "nothing decided" in each or "Not known" in each]


def test_a_step_that_is_not_known_hides_no_other_that_is_over() -> None:
    """In the picture of the joint."""
    assert state("unknown", {"1.1/3": "unknown", "2.1/3": "over"}) == "over"
    assert state("unknown", {"1.1/3": "unknown", "2.1/3": "within"}) == "unknown"
