"""The four procedures of the demo book: their steps, their order, their gates."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.procedure.model import Inspect, Measure, Procedure, Recheck, Tighten, Turn, Wait
from clampbook.procedure.reader import read_file
from clampbook.run.planning import plan

FOLDER = Path(__file__).parents[2] / "procedures"


def sample(name: str) -> Procedure:
    """One of the procedures."""
    return read_file(FOLDER / f"{name}.toml")[0]


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("whinchat-pattern-c-head", 54),  # 10 + 4 + 10 + 3 points + 2 rounds of 10 + 4 + look + wait + look
        ("whinchat-coupling-flange", 62),  # 5 times 12, and 2 points
        ("whinchat-crank-caps", 43),  # 8 lengths, 4 caps of 2 + 1 + 2 + 1, 8 lengths, 3 gates
        ("shaft-flange-16", 69),  # 4 times 16, 4 points, a wait
    ],
)
def test_number_of_steps(name: str, steps: int) -> None:
    """Counted by hand."""
    assert steps == len(plan(sample(name), name).steps)


def test_head_interleaves_its_groups() -> None:
    """Head bolts and side screws in turn, two torque rounds, two angle rounds, a gate, a wait, a look by another."""
    stages = sample("whinchat-pattern-c-head").stages
    pulls = [(type(each), each.group) for each in stages if isinstance(each, Tighten | Turn)]

    assert [
        (Tighten, "Head bolts"),
        (Tighten, "Side screws"),
        (Tighten, "Head bolts"),
        (Turn, "Head bolts"),
        (Turn, "Side screws"),
    ] == pulls
    assert [Measure, Inspect, Wait, Inspect] == [type(each) for each in stages if not isinstance(each, Tighten | Turn)]
    assert isinstance(stages[-1], Inspect)
    assert stages[-1].hold_point


@pytest.mark.parametrize("name", ["whinchat-coupling-flange", "shaft-flange-16"])
def test_flanges_go_in_star_order_until_all_is_still(name: str) -> None:
    """Shares of the target in the star order, then around until nothing moves."""
    found = sample(name)
    last = found.stages[-1]

    assert isinstance(last, Recheck)
    assert last.until_still
    assert found.groups[0].order[:2] == ("1", str(1 + len(found.groups[0].order) // 2))
    assert found.groups[0].positions == last.positions


def test_crank_is_stretched_cap_by_cap() -> None:
    """The caps from the middle out, each with its own gates, the stretch measured against the free length."""
    found = sample("whinchat-crank-caps")
    stretched = [each for each in found.stages if isinstance(each, Tighten) and each.stretch]

    assert ["cap 2", "cap 3", "cap 1", "cap 4"] == [each.name for each in found.groups[0].sets]
    assert ["free length"] == [each.stretch.minus for each in stretched if each.stretch]
    assert {"set"} == {each.each for each in stretched}
