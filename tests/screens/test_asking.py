"""What stands on the screen of a question that is chosen or signed, and of one of several questions of an answer."""

from __future__ import annotations

from small_joints import bench_for, bolts, inspect, tighten, walk_to

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import prompts as ask
from clampbook.run.gather.parts import Draft, Part, begin, next_part
from clampbook.screens.asking import of_prompt
from clampbook.screens.shown import Shown, of_part


def keys(shown: Shown) -> list[str]:
    """The keys of the question itself, as they stand in the line at the bottom."""
    return [hint.shown for hint in shown.keys if hint.key not in ("/", "*", "*0", "Bksp", "F1", "F2")]


def at_a_hold_point() -> Bench:
    """All is pulled, and another person looks."""
    head = bolts(2)
    run = bench_for(head, tighten(head), inspect(2, hold_point=True))
    walk_to(run, "2.1/-", ask.Inspect)
    return run


def begun(run: Bench) -> Draft:
    """Yes was chosen."""
    draft = begin(run.prompt, "1")
    assert isinstance(draft, Draft)
    return draft


def test_a_hold_point_is_answered_like_a_decision() -> None:
    """A number alone is no answer where somebody signs."""
    run = at_a_hold_point()
    shown = of_prompt(run.prompt, run.session)

    assert (["1–2 or ↑↓ choose", "Enter save"], "number") == (keys(shown), shown.field)


def test_who_signs_is_chosen_like_that_too_and_the_map_stays() -> None:
    """Whoever looks compares the joint with the map until they have signed."""
    run = at_a_hold_point()
    part = next_part(run.prompt, run.session, begun(run))
    assert isinstance(part, Part)

    shown = of_part(part, picture=of_prompt(run.prompt, run.session).picture)

    assert (["1–3 or a name choose", "Enter save", "Esc back"], True) == (keys(shown), shown.picture)


def test_on_a_text_a_sign_that_answers_wants_its_enter() -> None:
    """A minus may begin a work order; alone and with Enter it leaves the item out."""
    head = bolts(1)
    run = bench_for(head, tighten(head), asks=(m.Ask(name="Work order", answer="text"),))

    assert ["Enter save", "- then Enter leave it out", "* then Enter other"] == [
        hint.shown for hint in of_prompt(run.prompt, run.session).keys[:3]
    ]


def test_where_another_person_is_wanted_the_list_tells_who_did_the_work() -> None:
    """They can be chosen, with a reason, where nobody else is in the house; but never by mistake."""
    run = at_a_hold_point()
    part = next_part(run.prompt, run.session, begun(run))
    assert isinstance(part, Part)

    assert ["Ines, worked on this run", "Tomas", "Maud"] == [choice.text for choice in part.choices]
