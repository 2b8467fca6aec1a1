"""Each stage of a plan for scripts: its limits as values, in the words of the file's keys."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import bolts, inspect, procedure, recheck, tighten, wait

from clampbook.commands.stage_objects import of_stage
from clampbook.procedure import model as m
from clampbook.run.planning import plan

BOLTS = bolts(3)
STAGES: list[tuple[m.Stage, dict[str, Any]]] = [
    (
        recheck(BOLTS, still=Decimal(5)),
        {
            "kind": "recheck",
            "method": "tighten on",
            "still": {"value": 5.0, "unit": "°"},
            "until_still": True,
            "at_most": 4,
        },
    ),
    (
        recheck(BOLTS, method="back off and tighten again", back_off=Decimal("22.5"), until_still=False, at_most=1),
        {"kind": "recheck", "method": "back off and tighten again", "back_off": {"value": 22.5, "unit": "°"}},
    ),
    (wait(2), {"kind": "wait", "for": {"value": 600.0, "unit": "s"}, "since": "last pull"}),
    (wait(2, since="snug"), {"kind": "wait", "for": {"value": 600.0, "unit": "s"}, "since_stages": [1]}),
    (wait(2, since=None), {"kind": "wait", "for": {"value": 600.0, "unit": "s"}}),
    (inspect(2, expect="no"), {"kind": "inspect", "ask": "Every mark a quarter turn on?", "expect": "no"}),
]


@pytest.mark.parametrize(("stage", "told"), STAGES)
def test_a_stage_has_all_its_limits(stage: m.Stage, told: dict[str, Any]) -> None:
    """No more than it has: what a file leaves out is left out."""
    of = plan(procedure((BOLTS,), (tighten(BOLTS, id="snug"), stage)), "invented")
    group = {} if stage.group is None else {"group": "Head bolts"}

    assert {"stage": 2, **group, **told} == of_stage(of, of.stages[1])


def test_a_wait_for_all_joints_counts_from_the_stage_of_each() -> None:
    """Interleaved, all are waited for at once."""
    joints = m.Joints(one=None, names=("port", "starboard"), walk="interleaved")
    stages = (tighten(BOLTS, id="snug"), wait(2, since="snug"))
    of = plan(procedure((BOLTS,), stages, joints=joints), "invented")

    assert [1, 2] == of_stage(of, of.stages[2])["since_stages"]
