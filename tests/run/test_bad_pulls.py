"""A jerk, chatter, a slipped socket; another position pulled; a bolt that breaks: the honest answer exists."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    READING,
    SETTING,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    inspect,
    loosen,
    refused,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.tools.model import Tool


def run_of(group: m.Group, **stage: bool) -> Bench:
    """A run of a torque and a turn, at its first pull."""
    return at_first_pull(group, tighten(group, **stage), turn(group))


class TestBadPull:
    """One key voids the pull just made."""

    def test_it_is_stored_as_void_and_kept(self) -> None:
        """A pull that was not stored has no line to name; its value may stand beside it."""
        run = run_of(bolts(2))

        voided = stored(run.answer(a.BadPull("jerk or chatter", "29")), e.Voided)

        assert (None, "29", "void") == (voided.of, voided.value, at(run, "1").outcome)

    def test_by_default_it_is_asked_how_to_go_on(self) -> None:
        """Pull again, from the beginning, a new fastener, concession, hold; and 20 may have been mistyped."""
        run = run_of(bolts(2))

        run.answer(a.BadPull(value="20"))

        assert ["pull again", "from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)

    @pytest.mark.parametrize("tools", [READING, SETTING])
    def test_one_that_may_be_over_is_loosened_not_pulled_again(self, tools: tuple[Tool, ...]) -> None:
        """Nothing was read, or nobody is sure of a click: nobody knows how far it went, and it may be over."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=tools)

        run.answer(a.BadPull())

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)
        assert "Head bolt 1: bad pull (how far is not known)." == sentence(run.prompt)

    @pytest.mark.parametrize("clicked", [True, False])
    def test_a_setting_tool_that_tells_how_far_it_went_is_pulled_again(self, clicked: bool) -> None:
        """It gave at 30, or it did not come so far."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)

        run.answer(a.BadPull(clicked=clicked))

        assert "pull again" == choices(run)[0]

    def test_it_may_be_over_until_it_is_loosened(self) -> None:
        """Loosened fully and pulled to 20, everything is known of it again."""
        run = run_of(bolts(2))
        run.answer(a.BadPull())
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Tighten)
        run.answer(a.BadPull(value="20"))

        assert "pull again" == choices(run)[0]

    def test_one_over_after_loosening_by_an_angle_spends_a_tightening(self) -> None:
        """A nut pulled far over was tightened: starting over is its second tightening of three."""
        nuts = bolts(2, "Nuts", tightenings_at_most=3)
        run = bench_for(nuts, loosen(nuts, 1, by=Decimal(30)), tighten(nuts, 2))
        walk_to(run, "2.1/1", ask.Tighten)

        run.answer(a.BadPull(value="45"))

        assert 1 == at(run, "1").tightenings
        assert asked(run, ask.Decide).choices[0].text.endswith("(tightening 2 of 3)")

    def test_a_group_can_say_pull_again(self) -> None:
        """Then nothing is asked: the same position comes once more, in the same attempt."""
        run = run_of(bolts(2, after_bad_pull="pull again"))

        run.answer(a.BadPull(value="20"))

        assert ("1.1/1", 1) == (asked(run, ask.Tighten).where.id, asked(run, ask.Tighten).where.attempt)

    def test_a_group_that_pulls_again_asks_where_it_may_be_over(self) -> None:
        """Nobody read it, so nobody knows that it did no harm."""
        run = run_of(bolts(2, after_bad_pull="pull again"))

        run.answer(a.BadPull())

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_a_group_can_say_from_the_beginning(self) -> None:
        """Then the position is loosened and looked at without a question."""
        run = run_of(bolts(2, after_bad_pull="from the beginning"))

        run.answer(a.BadPull())
        since = len(run.events)
        walk_to(run, "1.1/2", ask.Tighten)

        assert ["loosen 1", "inspect 1", "pull 1.1/1"] == steps_of(run, since)

    def test_a_bad_pull_spends_a_tightening(self) -> None:
        """It was tight, whatever was read."""
        run = run_of(bolts(2))

        run.answer(a.BadPull())

        assert 1 == at(run, "1").tightenings

    def test_a_bad_stroke_leaves_a_turn_unknown(self) -> None:
        """Nobody knows how far it went: it is decided, and pulling again is not among the ways."""
        run = run_of(bolts(2, after_bad_pull="pull again"))
        walk_to(run, "2.1/1", ask.Turn)

        run.answer(a.BadPull())

        assert ("unknown", ["from the beginning", "new fastener", "concession", "hold"]) == (
            at(run, "1").outcome,
            choices(run),
        )

    def test_a_bolt_for_one_use_is_not_pulled_again_once_its_turn_began(self) -> None:
        """New every time: after a bad stroke only a new one starts over."""
        run = run_of(bolts(2, fastener="new every time"))
        walk_to(run, "2.1/1", ask.Turn)

        run.answer(a.BadPull())

        assert ["new fastener", "concession", "hold"] == choices(run)

    def test_where_nothing_is_pulled_there_is_no_bad_pull(self) -> None:
        """At an inspection the key is refused with the way to a stored one."""
        head = bolts(1)
        run = bench_for(head, tighten(head), inspect(2))
        walk_to(run, "2.1/-", ask.Inspect)

        assert "No pull is asked for" in refused(run.answer(a.BadPull()))


class TestVoidStored:
    """A pull that was stored turns out to have been a bad one."""

    def test_it_names_its_line(self) -> None:
        """`of` is the line of the reading; the reading itself stays."""
        run = run_of(bolts(2))
        value(run, "30")
        line = len(run.events)

        voided = stored(run.answer(a.VoidStored("the socket slipped")), e.Voided)

        assert (line, "1.1/1", "void") == (voided.of, voided.step, at(run, "1").outcome)
        assert 1 == len(events_of(run, e.ReadingTaken))

    def test_pulled_again_the_work_goes_on_where_it_was(self) -> None:
        """Position 1 is pulled at once, then 2."""
        run = run_of(bolts(2))
        value(run, "30")
        run.answer(a.VoidStored("the socket slipped"))

        run.answer(a.Resolve("pull again"))

        assert "1.1/1" == asked(run, ask.Tighten).where.id
        value(run, "30")
        assert "1.1/2" == asked(run, ask.Tighten).where.id

    def test_only_the_latest_of_a_position_can_be_voided(self) -> None:
        """An older pull has been built upon: it can only be noted."""
        run = run_of(bolts(1))
        value(run, "26")
        first = len(run.events)
        value(run, "30")

        assert "note" in refused(run.answer(a.VoidStored("jerk", of=first)))

    def test_a_voided_stroke_leaves_the_turn_unknown(self) -> None:
        """The sum no longer says where the mark is."""
        run = run_of(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")

        run.answer(a.VoidStored("the gauge slipped"))

        assert ("unknown", "bad pull") == (at(run, "1").outcome, asked(run, ask.Decide).cause)

    def test_a_release_can_be_voided(self) -> None:
        """There is no number to correct, but the pull can be a bad one."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=SETTING)
        walk_to(run, "1.1/2", ask.Tighten)

        stored(run.answer(a.VoidStored("clicked twice")), e.Voided)

        assert "void" == at(run, "1").outcome

    def test_voiding_an_over_closes_its_question(self) -> None:
        """What was over was a bad pull: it is asked how to go on with that instead."""
        run = run_of(bolts(2))
        value(run, "35")

        run.answer(a.VoidStored("the socket slipped"))

        assert ["bad pull"] == [each.cause for each in run.session.progress.questions]


class TestPulledAnother:
    """Another position was pulled than the one asked for."""

    def test_its_next_step_is_stored_and_not_asked_again(self) -> None:
        """Bolt 2 instead of bolt 1: its reading stands at its own step, then 1 and 3 are asked."""
        run = run_of(bolts(3))

        taken = stored(run.answer(a.PulledAnother("2", "30")), e.ReadingTaken)

        assert ("1.1/2", "1.1/1") == (taken.step, asked(run, ask.Tighten).where.id)
        value(run, "30")
        assert "1.1/3" == asked(run, ask.Tighten).where.id

    def test_a_release_of_another_is_stored_as_one(self) -> None:
        """With a setting tool has no number here either."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)

        assert "1.1/2" == stored(run.answer(a.PulledAnother("2")), e.Clicked).step

    def test_over_at_another_is_decided_for_that_one(self) -> None:
        """The question names the position that was pulled."""
        run = run_of(bolts(3))

        run.answer(a.PulledAnother("3", "35"))

        assert ("over", "3") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_one_that_is_done_is_decided(self) -> None:
        """A completed position is never pulled again to be sure: that spends its life."""
        run = run_of(bolts(2))
        value(run, "30")

        run.answer(a.PulledAnother("1", "30"))

        assert ("pulled again", "unknown") == (asked(run, ask.Decide).cause, at(run, "1").outcome)

    def test_where_the_stage_allows_it_a_second_pull_is_a_recheck(self) -> None:
        """`may_repull = true`: kept as a recheck of pass 0, and nothing else changes."""
        run = run_of(bolts(2), may_repull=True)
        value(run, "30")

        again = stored(run.answer(a.PulledAnother("1", "31")), e.Rechecked)

        assert (0, "31", "1.1/1") == (again.pass_no, again.value, again.step)
        assert ("within", "1.1/2") == (at(run, "1").outcome, asked(run, ask.Tighten).where.id)

    def test_a_second_pull_with_a_setting_tool_holds_its_setting(self) -> None:
        """Clicked once more: what it was set to is what the bolt had."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head, may_repull=True), tools=SETTING)
        run.answer(a.Plus())

        again = stored(run.answer(a.PulledAnother("1")), e.Rechecked)

        assert ("30", "N·m", "30.000", None) == (again.set_to, again.unit, again.at_fastener, again.value)

    def test_one_that_is_not_yet_due_is_decided(self) -> None:
        """Turning a bolt that still lacks its torque says nothing about its angle."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = bench_for((head, side), tighten(head), turn(head), tighten(side, 3), turn(side, 4))
        walk_to(run, "2.1/1", ask.Turn)

        run.answer(a.PulledAnother("11", "90"))

        assert "pulled out of turn" == asked(run, ask.Decide).cause

    def test_the_one_that_is_asked_for_is_answered_as_usual(self) -> None:
        """No detour for the position at hand."""
        assert "as usual" in refused(run_of(bolts(2)).answer(a.PulledAnother("1", "30")))

    def test_one_that_is_not_there_is_refused(self) -> None:
        """The joint has no bolt 9."""
        assert "no bolt 9" in refused(run_of(bolts(2)).answer(a.PulledAnother("9", "30")))


class TestBroken:
    """A fastener is lost, and the sequence freezes."""

    HOW = ("broken", "stripped", "never reaches the torque", "wrong or missing part")

    @pytest.mark.parametrize("how", HOW)
    def test_it_offers_a_new_fastener_hold_or_giving_up(self, how: str) -> None:
        """The same fastener cannot be used, and nobody can concede a broken bolt."""
        run = run_of(bolts(2))

        run.answer(a.Broke(how))  # type: ignore[arg-type]

        assert (["new fastener", "hold", "abandon"], "broken") == (choices(run), at(run, "1").outcome)

    def test_what_was_reached_is_kept(self) -> None:
        """Torque or angle at which it let go."""
        run = run_of(bolts(2))

        broken = stored(run.answer(a.Broke("stripped", "25 N·m")), e.Broken)

        assert ("25 N·m", "25 N·m") == (broken.reached, asked(run, ask.Decide).found)

    def test_a_number_alone_is_in_the_unit_of_the_tool_in_hand(self) -> None:
        """25 on a tool that shows N·m."""
        run = run_of(bolts(2))

        broken = stored(run.answer(a.Broke("stripped", "25")), e.Broken)

        assert ("25", "N·m", "w7") == (broken.value, broken.unit, broken.tool)

    def test_what_has_no_unit_is_no_torque(self) -> None:
        """Words say how it felt, not how much it was."""
        assert "Type it with its unit" in refused(run_of(bolts(2)).answer(a.Broke("stripped", "hand tight")))

    @pytest.mark.parametrize("another", [a.PulledAnother("2", "30"), a.Skip("later"), a.BadPull(), a.Broke("broken")])
    def test_no_other_position_until_it_is_decided(self, another: a.Answer) -> None:
        """The rest of the joint holds an uneven load: nothing else is pulled."""
        run = run_of(bolts(2))
        run.answer(a.Broke("broken"))

        assert "decided first" in refused(run.answer(another))

    def test_a_new_fastener_goes_through_all_stages(self) -> None:
        """Broken at its turn, the new bolt is torqued and turned before the next is turned."""
        run = run_of(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        run.answer(a.Broke("broken"))
        since = len(run.events)

        run.answer(a.Resolve("new fastener", scope="fastener"))
        walk_to(run, "2.1/2", ask.Turn)

        assert ["stub out 1", "new fastener 1", "pull 1.1/1", "turn 2.1/1"] == steps_of(run, since)

    def test_before_a_new_one_the_old_one_must_be_out_and_its_hole_undamaged(self) -> None:
        """A damaged thread is no place for a new bolt: look again, hold, or give up."""
        run = run_of(bolts(2))
        run.answer(a.Broke("broken"))
        run.answer(a.Resolve("new fastener", scope="fastener"))

        assert "old one out, thread and hole undamaged?" == asked(run, ask.Inspect).ask
        run.answer(a.Look("no"))
        assert ["look again", "hold", "abandon"] == choices(run)

    def test_one_that_does_not_reach_its_torque_is_loosened(self) -> None:
        """It is whole, and comes out like any other."""
        run = run_of(bolts(2))
        run.answer(a.Broke("never reaches the torque", "20"))
        since = len(run.events)
        run.answer(a.Resolve("new fastener", scope="fastener"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 1", "new fastener 1"] == steps_of(run, since)

    def test_giving_up_ends_the_run(self) -> None:
        """Abandoned with its reason, nothing more is asked."""
        run = run_of(bolts(2))
        run.answer(a.Broke("broken"))

        run.answer(a.GiveUp("the block is cracked"))

        assert ("abandoned", "the block is cracked") == (
            asked(run, ask.Ended).outcome,
            asked(run, ask.Ended).reason,
        )

    def test_it_can_break_while_being_loosened(self) -> None:
        """A bolt that shears on the way out is lost like any other."""
        head = bolts(1)
        run = bench_for(head, tighten(head), loosen(head))
        walk_to(run, "2.1/1", ask.Loosen)

        stored(run.answer(a.Broke("broken")), e.Broken)

        assert "broken" == asked(run, ask.Decide).cause
