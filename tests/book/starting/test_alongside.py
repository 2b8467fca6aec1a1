"""Open runs of the same procedure, told before a second one begins."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.book.starting.alongside import Alongside, alongside
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from sealing import Shop, shop, walked


@pytest.fixture
def whinchat(tmp_path: Path) -> Shop:
    """The book, with a run of the valve cover that Ines began on engine 3."""
    found = shop(tmp_path / "book", keys=False)
    begin(found, "engine 3")
    return found


def begin(at: Shop, unit: str | None) -> str:
    """A run that stays open, by its name."""
    work = work_named(at.book, "cover")
    return open_run(at.book, work, Terms(person=at.ines, equipment=unit), at.clock, "handed in").id


@pytest.mark.parametrize(
    ("unit", "expected"), [("Engine 3", "on engine 3"), (None, "on engine 3, perhaps the same equipment")]
)
def test_a_run_on_the_same_thing_is_told(whinchat: Shop, unit: str | None, expected: str) -> None:
    """Without regard to capitals; where the thing is not said, it may be the same."""
    run = whinchat.book.open_runs()[0].id

    told = [each.told for each in alongside(whinchat.book, "cover", None, unit)]

    assert [True] == [line.startswith(f"Run {run} of this procedure is open, {expected}, by ") for line in told]


@pytest.mark.parametrize(
    (("slug", "joint", "unit")),
    [("cover", None, "engine 4"), ("head", None, "engine 3"), ("cover", "port", "engine 3")],
)
def test_other_work_is_not(whinchat: Shop, slug: str, joint: str | None, unit: str) -> None:
    """Another engine, another procedure, another of several joints."""
    assert () == alongside(whinchat.book, slug, joint, unit)


def test_a_run_that_is_over_is_not(tmp_path: Path) -> None:
    """It is in nobody's way."""
    at = shop(tmp_path / "book", keys=False)
    walked(at)

    assert () == alongside(at.book, "cover", None, "Whinchat")


def test_a_run_whose_thing_is_not_known_may_be_the_same(whinchat: Shop) -> None:
    """It may still be answered on its start sheet."""
    unknown = begin(whinchat, None)

    told = [(each.run, "is open, perhaps on the same equipment, by" in each.told) for each in _beside(whinchat)]
    assert [(unknown, True)] == told


def _beside(at: Shop) -> tuple[Alongside, ...]:
    return alongside(at.book, "cover", None, "engine 4")
