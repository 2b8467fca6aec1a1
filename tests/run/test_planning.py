"""A plan: every step in order, with its name, its target and its window."""

from __future__ import annotations

from decimal import Decimal
from math import pi, radians

import pytest
from small_joints import amount, bolts, inspect, measure, procedure, tighten, turn, wait

from clampbook.procedure import model as m
from clampbook.run.plan import Plan, decode, encode
from clampbook.run.planning import plan


def planned(group: m.Group | tuple[m.Group, ...], *stages: m.Stage, trial: bool = False) -> Plan:
    """The plan of a joint of these groups and stages."""
    groups = group if isinstance(group, tuple) else (group,)
    return plan(procedure(groups, stages), "invented", trial=trial)


def names(made: Plan) -> list[str]:
    """The names of all steps in order."""
    return [step.id for step in made.steps]


class TestNames:
    """`<stage>.<round>/<position>`, a gate `/-`, in a set `/<set>`, a measuring point `/<point>`."""

    def test_a_step_is_named_by_stage_round_and_position(self) -> None:
        """Two rounds of one stage at two bolts are four steps, round by round."""
        head = bolts(2)

        assert ["1.1/1", "1.1/2", "1.2/1", "1.2/2"] == names(planned(head, tighten(head, rounds=2)))

    def test_a_gate_is_named_with_a_dash(self) -> None:
        """What is asked once for the whole joint belongs to no position."""
        head = bolts(1)

        assert ["1.1/1", "2.1/-", "3.1/-"] == names(planned(head, tighten(head), measure(2), wait(3)))

    def test_a_gate_with_points_is_asked_at_each_of_them(self) -> None:
        """A gap measured front and rear is two steps."""
        head = bolts(1)

        assert ["1.1/front", "1.1/rear"] == names(planned(head, measure(1, points=("front", "rear"))))

    def test_a_point_at_a_position_carries_both_names(self) -> None:
        """Measured at each bolt and at each point, the point stands behind the bolt."""
        head = bolts(1)
        length = measure(1, head, asked="each", points=("a", "b"))

        assert ["1.1/1@a", "1.1/1@b"] == names(planned(head, length))

    def test_bolt_by_bolt_each_step_counts_as_a_stage_of_its_own(self) -> None:
        """In a `for_each` a bolt goes through all its stages before the next one begins."""
        side = bolts(2, "Side screws", 11)
        each: dict[str, object] = {"block": 1, "each": "position"}
        made = planned(side, tighten(side, 1, **each), turn(side, 2, **each))

        assert ["1.1/11", "2.1/11", "1.1/12", "2.1/12"] == names(made)

    def test_a_gate_inside_a_set_is_named_by_the_set(self) -> None:
        """Cap by cap, what is measured once is measured once a cap."""
        caps = bolts(
            4,
            sets=(
                m.FastenerSet(name="cap 2", positions=("3", "4")),
                m.FastenerSet(name="cap 1", positions=("1", "2")),
            ),
        )
        each: dict[str, object] = {"block": 1, "each": "set"}
        made = planned(caps, tighten(caps, 1, **each), measure(2, caps, **each))

        assert ["1.1/3", "1.1/4", "2.1/cap 2", "1.1/1", "1.1/2", "2.1/cap 1"] == names(made)

    def test_steps_are_numbered_through(self) -> None:
        """`step n of N` counts every plan step, gates too."""
        head = bolts(2)
        made = planned(head, tighten(head), inspect(2), turn(head, 3))

        assert [1, 2, 3, 4, 5] == [step.number for step in made.steps]


class TestOrder:
    """The order is the sheet's, never the program's."""

    def test_a_stage_keeps_its_own_order(self) -> None:
        """A stage that says 3, 1, 2 is walked 3, 1, 2, whatever the group's sequence is."""
        head = bolts(3)

        assert ["1.1/3", "1.1/1", "1.1/2"] == names(planned(head, tighten(head, positions=("3", "1", "2"))))

    def test_groups_interleave_as_the_stages_stand(self) -> None:
        """Head bolts, side screws, head bolts again: stages are one flat list."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        made = planned((head, side), tighten(head), tighten(side, 2), turn(head, 3))

        assert ["1.1/1", "2.1/11", "3.1/1"] == names(made)

    def test_no_staging_is_added(self) -> None:
        """A sheet with one pull gets one pull a bolt: a share is never imposed."""
        head = bolts(2)

        assert 2 == len(planned(head, tighten(head)).steps)

    def test_what_stands_together_is_settled_together(self) -> None:
        """`together = 2` cuts five bolts into sections of two, two and one."""
        head = bolts(5)
        made = planned(head, tighten(head, together=2))

        assert [1, 1, 2, 2, 3] == [step.section for step in made.steps]

    def test_each_round_is_settled_on_its_own(self) -> None:
        """What is skipped in a round belongs to that round."""
        head = bolts(2)
        made = planned(head, tighten(head, rounds=2))

        assert [1, 1, 2, 2] == [step.section for step in made.steps]


class TestFigures:
    """Targets and windows as the sheet has them, and in SI."""

    def test_a_torque_stays_as_the_sheet_has_it(self) -> None:
        """30 N·m between 28 and 32, in the sheet's unit."""
        head = bolts(1)
        step = planned(head, tighten(head)).steps[0]

        assert (Decimal(30), (Decimal(28), Decimal(32)), "N·m") == (step.target, step.window, step.unit)

    def test_a_torque_in_another_unit_is_kept_beside_in_newton_metres(self) -> None:
        """12 lbf·in is one lbf·ft, 1.3558 N·m (NIST SP 811, appendix B)."""
        head = bolts(1)
        pull = tighten(head, target=Decimal(12), window=window_in("11", "13"))
        made = plan(procedure((head,), (pull,), unit="lbf·in"), "invented")

        assert 1.3558179 == pytest.approx(made.steps[0].target_si, rel=1e-7)

    def test_an_angle_is_kept_beside_in_radians(self) -> None:
        """A quarter turn is half of pi, and its window goes on by four degrees."""
        head = bolts(1)
        step = planned(head, turn(head, 1)).steps[0]

        assert (pi / 2, radians(94)) == pytest.approx((step.target_si, (step.window_si or (0, 0))[1]))

    def test_a_frozen_plan_reads_back_as_it_was(self) -> None:
        """plan.json is the whole plan: reading it gives the same value."""
        head = bolts(2, tightenings_at_most=3, finish_within=amount("5", "min"))
        made = planned(head, tighten(head, rounds=2), measure(2), turn(head, 3))

        assert made == decode(encode(made))


def window_in(low: str, high: str) -> m.Window:
    """A window in lbf·in."""
    return m.Window(low=Decimal(low), high=Decimal(high), unit="lbf·in")


class TestVariants:
    """One of several joints, a follow-up, a trial."""

    def test_a_trial_leaves_out_what_says_so(self) -> None:
        """Stages marked for skipping are not walked in a trial; the others keep their stage number."""
        head = bolts(1)

        assert ["1.1/1", "3.1/-"] == names(
            planned(head, tighten(head), turn(head, 2, trial_skip=True), measure(3), trial=True)
        )

    def test_a_trial_is_not_signed(self) -> None:
        """A trial can never be signed as final, so no role is asked."""
        head = bolts(1)
        roles = (m.SignOff(role="assembler", required=True),)
        joint = procedure((head,), (tighten(head),), sign_off=roles)

        assert ((), roles) == (plan(joint, "x", trial=True).sign_off, plan(joint, "x").sign_off)

    def test_a_follow_up_has_stages_of_its_own(self) -> None:
        """Its plan holds the follow-up's work alone, with nothing asked that the first run knows."""
        head = bolts(1)
        later = m.FollowUp(
            title="After first run", after=amount("30", "min"), or_use=None, stages=(tighten(head), inspect(2))
        )
        joint = procedure((head,), (tighten(head), turn(head)), follow_ups=(later,), asks=(SERIAL,))
        made = plan(joint, "x", follow_up="After first run")

        assert (["1.1/1", "2.1/-"], ()) == (names(made), made.asks)

    def test_what_is_due_later_is_frozen_with_the_plan(self) -> None:
        """30 minutes or 50 km, whichever comes first, in seconds and as written."""
        head = bolts(1)
        later = m.FollowUp(title="Again", after=amount("30", "min"), or_use=amount("50", "km"), stages=())
        due = plan(procedure((head,), (tighten(head),), follow_ups=(later,)), "x").due_later[0]

        assert ("Again", Decimal(1800), "50 km") == (due.title, due.after, due.or_use)

    def test_a_joint_that_is_none_of_them_is_told(self) -> None:
        """The sentence names the joints that there are."""
        head = bolts(1)
        joint = procedure((head,), (tighten(head),), repeat=("port head", "starboard head"))

        with pytest.raises(ValueError, match=r"no joint “middle head”. It has port head, starboard head."):
            plan(joint, "x", joint="middle head")

    def test_a_follow_up_that_is_none_of_them_is_told(self) -> None:
        """The sentence says that there is none."""
        head = bolts(1)

        with pytest.raises(ValueError, match=r"no follow-up “Again”. It has none."):
            plan(procedure((head,), (tighten(head),)), "x", follow_up="Again")


SERIAL = m.Ask(name="Serial number", answer="text", required=True)
