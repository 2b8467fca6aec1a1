"""Telling a tool that types, a key that is held, and two fingers from a person's keys."""

from __future__ import annotations

import pytest

from clampbook.screens.bursts import Bursts, ToolLine


def typed(text: str, *, apart: float, begin: float = 10.0) -> tuple[Bursts, float]:
    """The signs of a text, evenly apart, and when the next one would come."""
    bursts = Bursts()
    for n, sign in enumerate(text):
        bursts.sign(sign, begin + n * apart)
    return bursts, begin + len(text) * apart


def test_signs_faster_than_a_person_that_end_in_enter_are_one_line() -> None:
    """With the moment at which the line began."""
    bursts, at = typed("22.1", apart=0.005)

    assert ToolLine("22.1", 10.0) == bursts.line(at)


@pytest.mark.parametrize("apart", [0.030, 0.1, 2.0])
def test_a_quick_person_is_no_tool(apart: float) -> None:
    """From 30 ms on it may be fingers."""
    bursts, at = typed("22.1", apart=apart)

    assert bursts.line(at) is None


def test_two_signs_and_enter_may_be_two_hands() -> None:
    """Unless a question is asked at which not even those may count."""
    bursts, at = typed("22", apart=0.005)
    assert bursts.line(at) is None

    bursts, at = typed("22", apart=0.005)
    assert bursts.line(at, least=1) == ToolLine("22", 10.0)


def test_an_enter_that_comes_late_ends_no_line() -> None:
    """A person's Enter after what a tool left without one."""
    bursts, at = typed("22.1", apart=0.005)

    assert bursts.line(at + 0.5) is None


def test_only_what_came_together_is_the_line() -> None:
    """What a person typed before stands apart from it."""
    bursts, at = typed("1", apart=0.005)
    for n, sign in enumerate("22.1"):
        bursts.sign(sign, at + 1 + n * 0.005)

    assert ToolLine("22.1", at + 1) == bursts.line(at + 1.02)


@pytest.mark.parametrize(("text", "one"), [("+++", True), ("+-", False), ("1", True)])
def test_a_key_that_bounces_is_one_press(text: str, one: bool) -> None:
    """The same sign again and again, and no other."""
    assert one == typed(text, apart=0.004)[0].one_press()


@pytest.mark.parametrize(
    ("key", "apart", "held"),
    [("1", 0.033, True), ("1", 0.2, False), ("space", 0.5, True), ("plus", 0.66, True), ("space", 0.8, False)],
)
def test_a_key_that_comes_again_too_soon_is_held_down(key: str, apart: float, held: bool) -> None:
    """The deliberate key waits as long as a keyboard takes until it repeats what is held."""
    bursts = Bursts()

    assert [False, held] == [bursts.held(key, 10.0), bursts.held(key, 10.0 + apart)]


@pytest.mark.parametrize(("apart", "held"), [(0.033, True), (0.1, True), (0.2, False), (0.35, False)])
def test_rings_are_copied_from_paper_as_quickly_as_they_are_read(apart: float, held: bool) -> None:
    """Nobody pulls there; a press that comes so soon may still be the first sign of a key that is held."""
    bursts = Bursts()

    assert [False, held] == [bursts.held("plus", 10.0, copying=True), bursts.held("plus", 10.0 + apart, copying=True)]
    assert bursts.may_repeat() is not held


def test_a_held_key_stays_held_however_long() -> None:
    """Ten seconds of repeats are one press."""
    bursts = Bursts()
    presses = [bursts.held("space", 10 + n * 0.033) for n in range(300)]

    assert 1 == presses.count(False)
