"""Around the work on the form: what its fasteners are, how they lie, and what is due after it."""

from __future__ import annotations

import pytest
from small_joints import amount, bolts, procedure, tighten

from clampbook.procedure import model as m
from clampbook.record.form.blocks import Ending, Section
from clampbook.record.form.picture import captions
from clampbook.record.paper_form import blocks
from clampbook.run.plan import Plan
from clampbook.run.planning import plan

LONG = "M10x1.25 x 91 mm"


def of(group: m.Group, *follow_ups: m.FollowUp) -> Plan:
    """The plan of a joint of this group alone."""
    return plan(procedure((group,), (tighten(group),), follow_ups=follow_ups), "invented")


def fasteners(group: m.Group) -> str:
    """What stands on the form about a group."""
    found = (each for each in blocks(of(group)) if isinstance(each, Section) and each.text == "Fasteners")
    return next(found).lines[0]


@pytest.mark.parametrize(
    ("fits", "thread", "told"),
    (
        (("1",), None, f"{LONG} at 1"),
        (("1",), "M10x1.25", f"{LONG} at 1, M10x1.25 at 2, 3"),
        (("1", "2", "3"), "M10x1.25", LONG),
        ((), "M10x1.25", "M10x1.25"),
    ),
)
def test_what_fits_at_some_bolts_is_told_of_these_alone(fits: tuple[str, ...], thread: str | None, told: str) -> None:
    """The others take what the group takes, where the file says it."""
    group = bolts(3, fits=dict.fromkeys(fits, LONG), thread=thread)

    assert f"Head bolts: {told} · use again" == fasteners(group)


def test_one_nut_alone_is_left_hand() -> None:
    """Said of one as of several."""
    found = captions(of(bolts(1, "Castle nut", left_hand=True)))

    assert "Castle nut: 1 alone. Left-hand (L): counterclockwise tightens." == found[-1]


def test_each_follow_up_has_a_line_of_its_own() -> None:
    """After a time, or use."""
    group = bolts(3)
    look = m.FollowUp(title="Look", after=amount("24", "h"), or_use=None, stages=(tighten(group),))
    again = m.FollowUp(title="Retorque", after=amount("30", "min"), or_use=amount("50", "km"), stages=(tighten(group),))
    ending = next(each for each in blocks(of(group, look, again)) if isinstance(each, Ending))
    (lines,) = [each.lines for each in ending.after if isinstance(each, Section) and each.lines]

    assert ("Follow-up: Look, after 24 h.", "Follow-up: Retorque, after 30 min or 50 km of use.") == lines
