"""From the beginning: at once, loosened in reverse order, looked at, and through every earlier stage again."""

from __future__ import annotations

from decimal import Decimal

from small_joints import (
    SETTING,
    amount,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    locker,
    loosen,
    measure,
    refused,
    steps_of,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.run.questions.resolutions import asked_for


def over_at(run: Bench, step: str) -> int:
    """Everything goes well until this step, which goes over; the number of the line that says so."""
    now = walk_to(run, step, ask.Turn if "turn" in _kind(run, step) else ask.Tighten)
    value(run, "99" if isinstance(now, ask.Turn) else "35")
    assert "over" == asked(run, ask.Decide).cause
    return len(run.events)


def _kind(run: Bench, step: str) -> str:
    return run.plan.steps[run.plan.index_of[step]].kind


def start_over(run: Bench, scope: str, choice: str = "from the beginning") -> None:
    """The decision to start over by scope."""
    run.answer(a.Resolve(choice, scope=scope))


def until_next(run: Bench, step: str) -> None:
    """Everything goes well until this step comes."""
    walk_to(run, step, ask.Turn if _kind(run, step) == "turn" else ask.Tighten)


class TestOrderOfWork:
    """What is done, and in which order."""

    def test_one_fastener_is_done_at_once_through_every_earlier_stage(self) -> None:
        """Over at its turn, bolt 2 is loosened, looked at, torqued and turned before bolt 3 is turned."""
        head = bolts(3)
        run = bench_for(head, tighten(head), turn(head))
        since = over_at(run, "2.1/2")

        start_over(run, "fastener")
        until_next(run, "2.1/3")

        assert ["loosen 2", "inspect 2", "pull 1.1/2", "turn 2.1/2"] == steps_of(run, since)

    def test_a_group_is_loosened_fully_in_reverse_order(self) -> None:
        """The order of tightening, backwards: the one pulled last is loosened first."""
        head = bolts(3, order=("2", "1", "3"))
        run = bench_for(head, tighten(head), turn(head))
        since = over_at(run, "2.1/2")

        start_over(run, "group")
        until_next(run, "2.1/1")

        assert ["loosen 3", "loosen 1", "loosen 2"] == steps_of(run, since)[:3]

    def test_a_group_goes_round_by_round_and_not_bolt_by_bolt(self) -> None:
        """Started over together, the first stage is done at all of them before the second."""
        head = bolts(2)
        run = bench_for(head, tighten(head), turn(head))
        since = over_at(run, "2.1/2")

        start_over(run, "group")
        run.steadily(until=ask.Finished)

        assert ["pull 1.1/1", "pull 1.1/2", "turn 2.1/1", "turn 2.1/2"] == steps_of(run, since)[4:]

    def test_neighbours_are_those_beside_it(self) -> None:
        """In a row of four, bolt 2 takes 1 and 3 with it, and leaves 4 alone."""
        head = bolts(4)
        run = bench_for(head, tighten(head), turn(head))
        since = over_at(run, "2.1/2")

        start_over(run, "neighbours")
        until_next(run, "2.1/4")

        assert ["loosen 3", "loosen 2", "loosen 1"] == steps_of(run, since)[:3]
        assert (1, 2) == (at(run, "4").attempt, at(run, "1").attempt)

    def test_the_whole_joint_gets_new_consumables(self) -> None:
        """Before anything is pulled again, new consumables are fitted and the parts seated."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = bench_for((head, side), tighten(head), tighten(side, 2), turn(head, 3))
        since = over_at(run, "3.1/1")

        start_over(run, "joint")
        run.steadily(until=ask.Finished)

        assert [
            "loosen 11",
            "loosen 1",
            "settle -",
            "inspect 1",
            "inspect 11",
            "pull 1.1/1",
            "pull 2.1/11",
            "turn 3.1/1",
        ] == steps_of(run, since)

    def test_what_was_never_begun_is_left_alone(self) -> None:
        """Bolt 3 was not pulled yet, so starting the group over does not loosen it."""
        head = bolts(3)
        run = bench_for(head, tighten(head))
        since = over_at(run, "1.1/2")

        start_over(run, "group")
        until_next(run, "1.1/3")

        assert ["loosen 2", "loosen 1", "inspect 1", "inspect 2", "pull 1.1/1", "pull 1.1/2"] == steps_of(run, since)

    def test_all_rounds_of_a_stage_come_again(self) -> None:
        """Over in the second round, the first is pulled again too."""
        head = bolts(1)
        run = bench_for(head, tighten(head, rounds=2))
        since = over_at(run, "1.2/1")

        start_over(run, "fastener")
        run.steadily(until=ask.Finished)

        assert ["loosen 1", "inspect 1", "pull 1.1/1", "pull 1.2/1"] == steps_of(run, since)

    def test_a_neighbour_in_the_middle_of_its_stage_is_not_lost(self) -> None:
        """Neighbours not yet at this stage come to it in their turn: everybody ends through all stages."""
        head = bolts(3)
        run = bench_for(head, tighten(head), turn(head))
        over_at(run, "2.1/1")

        start_over(run, "neighbours")
        run.steadily(until=ask.Finished)

        assert ["within", "within", "within"] == [at(run, each).outcome for each in "123"]
        assert 4 == len(events_of(run, e.Turned))

    def test_a_new_fastener_is_looked_at_instead_of_the_old_one(self) -> None:
        """The right length and class, fitted by hand."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        since = over_at(run, "1.1/1")

        start_over(run, "fastener", "new fastener")
        until_next(run, "1.1/2")

        assert ["loosen 1", "new fastener 1", "pull 1.1/1"] == steps_of(run, since)

    def test_over_again_starts_over_again(self) -> None:
        """The second attempt can go wrong like the first."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")
        over_at(run, "1.1/1")

        start_over(run, "fastener")
        until_next(run, "1.1/2")

        assert (3, "within") == (at(run, "1").attempt, at(run, "1").outcome)


class TestLook:
    """The look before a fastener is used again."""

    def not_fit(self) -> Bench:
        """A run at bolt 1, started over, whose bolt is not fit to be used again."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")
        run.answer(a.Plus())
        run.answer(a.Look("no"))
        return run

    def test_not_fit_can_be_renewed_or_conceded(self) -> None:
        """Look again, a new fastener, concession, hold."""
        assert ["look again", "new fastener", "concession", "hold"] == choices(self.not_fit())

    def test_a_new_fastener_takes_its_place_in_the_same_work(self) -> None:
        """It is fitted, and the position goes on with its first stage."""
        run = self.not_fit()

        run.answer(a.Resolve("new fastener"))

        assert ("new fastener", "1") == (asked(run, ask.Inspect).work, asked(run, ask.Inspect).position)

    def test_a_measured_fastener_is_asked_for_its_measure(self) -> None:
        """`use again if measured` says so in the question."""
        head = bolts(1, fastener="use again if measured")
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")
        run.answer(a.Plus())

        assert "measured and within its limit" in asked(run, ask.Inspect).ask


class TestStanding:
    """What is kept and what is forgotten."""

    def test_an_attempt_counts_from_the_beginning_only(self) -> None:
        """Pulled again after under is the same attempt; started over is the next."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head))
        value(run, "26")
        before = at(run, "1").attempt
        over_at(run, "1.1/1")
        start_over(run, "fastener")

        assert (1, 2) == (before, at(run, "1").attempt)

    def test_its_mark_says_to_do_again(self) -> None:
        """Until it is pulled, nothing of the first attempt counts."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")

        start_over(run, "fastener")

        assert "to do again" == at(run, "1").outcome

    def test_inserted_work_says_how_far_it_has_come(self) -> None:
        """Loosen, look and pull are three: `again 1 of 3`, under the number of the step it interrupts."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")

        start_over(run, "fastener")

        place = asked(run, ask.Loosen).where
        assert ((1, 3), 1, "from the beginning") == (place.again, place.number, place.reason)

    def test_the_pull_is_the_last_of_the_inserted_work(self) -> None:
        """`again 3 of 3` is the step that went over."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")

        assert (3, 3) == walk_to(run, "1.1/1", ask.Tighten).where.again


class TestGatesInBetween:
    """A gate between the first stage and the interrupted step is asked, not guessed."""

    def at_the_gate(self) -> Bench:
        """A run whose end play was measured between torque and turn, and whose first turn went over."""
        head = bolts(2)
        run = bench_for(head, tighten(head), measure(2), turn(head, 3))
        over_at(run, "3.1/1")
        start_over(run, "fastener")
        walk_to(run, "2.1/-", ask.Decide)
        return run

    def test_it_is_a_decision(self) -> None:
        """Do it again, leave it with a reason, or hold."""
        run = self.at_the_gate()

        assert (["do again", "leave", "hold"], "again at a gate") == (choices(run), asked(run, ask.Decide).cause)

    def test_done_again_it_is_measured(self) -> None:
        """The gate is asked as it was the first time."""
        run = self.at_the_gate()

        run.answer(a.Resolve("do again"))

        assert "End play" == asked(run, ask.Measure).what

    def test_left_with_a_reason_the_work_goes_on(self) -> None:
        """A reason is needed, then the turn comes."""
        run = self.at_the_gate()

        assert "Give a reason" in refused(run.answer(a.Resolve("leave")))
        run.answer(a.Resolve("leave", reason="the caps were not touched"))

        assert "3.1/1" == asked(run, ask.Turn).where.id

    def test_locker_put_on_once_for_the_group_is_asked_again(self) -> None:
        """Loosened, a bolt has lost its locker: putting it on again is a decision too, though it came first."""
        head = bolts(2)
        run = bench_for(head, locker(head, asked="once"), tighten(head, 2))
        over_at(run, "2.1/1")
        start_over(run, "fastener")
        run.answer(a.Plus())
        run.answer(a.Look("yes"))

        assert ("again at a gate", "1.1/-") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).where.id)

    def test_locker_put_on_again_for_one_bolt_leaves_the_time_of_the_others(self) -> None:
        """The other bolt's locker was put on when it was: its time runs on."""
        head = bolts(2, finish_within=amount("5", "min"))
        run = bench_for(head, locker(head, asked="once"), tighten(head, 2))
        over_at(run, "2.1/1")
        first = at(run, "2").applied
        start_over(run, "fastener")
        walk_to(run, "1.1/-", ask.Decide)
        run.answer(a.Resolve("do again"))
        walk_to(run, "2.1/1", ask.Tighten)

        assert (first, True) == (at(run, "2").applied, (at(run, "1").applied or "") > (first or ""))


class TestGoBack:
    """From a gate that is outside, back to a named stage."""

    def outside(self, *stages: m.Stage, group: m.Group) -> Bench:
        """A run whose last stage, a gate, was measured outside."""
        run = bench_for(group, *stages)
        walk_to(run, f"{len(stages)}.1/-", ask.Measure)
        value(run, "0.28")
        return run

    def test_its_groups_start_at_their_first_stage(self) -> None:
        """Back over the turn means loosening all, last first, and the torque again before the turn."""
        head = bolts(2)
        run = self.outside(tighten(head), turn(head), measure(3), group=head)
        since = len(run.events)

        run.answer(a.Resolve("go back", back_to=1, reason="the shaft was not seated"))
        run.steadily(until=ask.Finished)

        assert [
            "loosen 2",
            "loosen 1",
            "inspect 1",
            "inspect 2",
            "pull 1.1/1",
            "pull 1.1/2",
            "turn 2.1/1",
            "turn 2.1/2",
            "measure 3.1/-",
        ] == steps_of(run, since)

    def test_the_choice_of_a_stage_says_what_it_loosens(self) -> None:
        """Nobody learns only afterwards that the bolts are loosened; wherever they start over at stage 1, that is the
        one choice."""
        head = bolts(3)
        run = self.outside(tighten(head), measure(2, what="Gap"), tighten(head, 3), measure(4), group=head)

        offered = next(way for way in asked(run, ask.Decide).choices if way.choice == "go back")

        assert ((1, "Stage 1: tighten, Head bolts (loosen 1–3 fully)"),) == offered.back_to

    def test_what_comes_before_the_bolts_is_a_choice_of_its_own(self) -> None:
        """The gap at the bare seat can be measured again, and the bolts start over after it."""
        head = bolts(2)
        run = self.outside(measure(1, what="Gap"), tighten(head, 2), turn(head, 3), measure(4), group=head)

        offered = next(way for way in asked(run, ask.Decide).choices if way.choice == "go back")

        assert (
            (1, "Stage 1: measure (loosen 1, 2 fully, start over at stage 2)"),
            (2, "Stage 2: tighten, Head bolts (loosen 1, 2 fully)"),
        ) == offered.back_to

    def test_a_stage_that_loosens_nothing_says_nothing_of_it(self) -> None:
        """Nothing was pulled since the gap was measured."""
        head = bolts(2)
        run = self.outside(tighten(head), measure(2, what="Gap"), measure(3), group=head)

        offered = next(way for way in asked(run, ask.Decide).choices if way.choice == "go back")

        assert "Stage 2: measure" == dict(offered.back_to)[2]

    def test_stretched_bolts_that_are_new_every_time_are_replaced(self) -> None:
        """Back over their turn, and the choice says so: nobody is asked to use them again."""
        head = bolts(2, fastener="new every time")
        run = self.outside(tighten(head), turn(head), measure(3), group=head)
        offered = next(way for way in asked(run, ask.Decide).choices if way.choice == "go back")
        since = len(run.events)

        run.answer(a.Resolve("go back", back_to=1, reason="the shaft was not seated"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert {1: "Stage 1: tighten, Head bolts (loosen 1, 2 fully, fit new fasteners)"} == dict(offered.back_to)
        assert ["loosen 2", "loosen 1", "new fastener 1", "new fastener 2"] == steps_of(run, since)

    def test_where_nothing_was_pulled_in_between_only_gates_come_again(self) -> None:
        """Back over a gate alone loosens nothing."""
        head = bolts(2)
        run = self.outside(tighten(head), measure(2, what="Gap"), measure(3), group=head)
        since = len(run.events)

        run.answer(a.Resolve("go back", back_to=2, reason="measured at the wrong place"))
        run.steadily(until=ask.Finished)

        assert ["measure 2.1/-", "measure 3.1/-"] == steps_of(run, since)

    def test_loosening_in_between_comes_again_alone(self) -> None:
        """A stage that only loosens is done again without starting the group over."""
        head = bolts(2)
        run = self.outside(tighten(head), loosen(head), measure(3), group=head)
        since = len(run.events)

        run.answer(a.Resolve("go back", back_to=2, reason="one was still tight"))
        run.steadily(until=ask.Finished)

        loosened = [(each.step, each.work) for each in events_of(run, e.Loosened) if each.seq > since]
        assert [("2.1/1", False), ("2.1/2", False)] == loosened
        assert ["measure 3.1/-"] == steps_of(run, since)

    def test_the_reasons_offered_are_those_of_the_way(self) -> None:
        """Nobody goes back as something is undamaged, or takes a gap as it is for lack of a bolt."""
        head = bolts(1)
        run = self.outside(tighten(head), measure(2), group=head)
        ways = {way.choice: way for way in asked(run, ask.Decide).choices}
        about = run.session.progress.questions[-1]

        offered = {
            name: [each.text for each in asked_for("reason", ways[name], run.session, about).choices]
            for name in ("go back", "concession")
        }

        assert {
            "go back": ["an earlier stage was not right", "something moved since"],
            "concession": ["agreed with the person in charge", "measured twice, the same"],
        } == offered

    def test_going_back_needs_a_stage_and_a_reason(self) -> None:
        """Both stand in the record."""
        head = bolts(1)
        run = self.outside(tighten(head), measure(2), group=head)

        assert "Choose the stage" in refused(run.answer(a.Resolve("go back", reason="so")))
        assert "Give a reason" in refused(run.answer(a.Resolve("go back", back_to=1)))


class TestBudget:
    """A fastener has a number of tightenings, each of which is counted."""

    def test_a_tightening_is_counted_once_until_it_is_loosened(self) -> None:
        """Two rounds and a turn are one tightening."""
        head = bolts(1)
        run = bench_for(head, tighten(head, rounds=2), turn(head))
        run.steadily(until=ask.Finished)

        assert 1 == at(run, "1").tightenings

    def test_starting_over_spends_another(self) -> None:
        """Loosened and pulled again is a second tightening."""
        head = bolts(1)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")
        run.steadily(until=ask.Finished)

        assert 2 == at(run, "1").tightenings

    def test_one_that_is_loosened_by_an_angle_and_pulled_again_spends_two(self) -> None:
        """Tightened, loosened by 90°, tightened."""
        head = bolts(1)
        run = bench_for(head, tighten(head), loosen(head, by=Decimal(90)), tighten(head, number=3))
        run.steadily(until=ask.Finished)

        assert 2 == at(run, "1").tightenings

    def test_a_new_fastener_begins_at_nothing(self) -> None:
        """Its first tightening is its first."""
        head = bolts(1)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener", "new fastener")
        run.steadily(until=ask.Finished)

        assert 1 == at(run, "1").tightenings

    def test_the_limit_is_shown_before_it_is_started_over(self) -> None:
        """Whoever decides reads which tightening this would be."""
        head = bolts(1, tightenings_at_most=5)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")

        assert "(tightening 2 of 5)" in asked(run, ask.Decide).choices[0].text

    def test_a_spent_fastener_is_not_offered_again(self) -> None:
        """With a budget of one, over leaves only a new one."""
        head = bolts(1, tightenings_at_most=1)
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")

        assert "from the beginning" not in choices(run)

    def test_neighbours_whose_budget_is_spent_get_new_ones_too(self) -> None:
        """Nobody looks whether a bolt is fit for a second use that it does not have."""
        head = bolts(2, tightenings_at_most=1, fastener="new every time")
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/2")
        since = len(run.events)
        start_over(run, "group", "new fastener")
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 2", "loosen 1", "new fastener 1", "new fastener 2"] == steps_of(run, since)

    def test_a_bolt_that_is_new_every_time_is_not_asked_to_be_used_again(self) -> None:
        """In its first use it is only looked at."""
        head = bolts(2, fastener="new every time")
        run = bench_for(head, tighten(head))
        over_at(run, "1.1/1")
        start_over(run, "fastener")
        run.answer(a.Plus())

        assert "used again" not in asked(run, ask.Inspect).ask

    def test_a_sheet_that_asks_for_more_than_the_budget_is_decided(self) -> None:
        """Tighten, loosen, tighten with a budget of one: new fastener, concession or hold."""
        head = bolts(1, tightenings_at_most=1)
        run = bench_for(head, tighten(head), loosen(head), tighten(head, 3))
        walk_to(run, "3.1/1", ask.Decide)

        assert ("budget used up", ["new fastener", "concession", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_beyond_the_budget_by_concession_it_is_pulled(self) -> None:
        """A second person accepts one tightening more."""
        head = bolts(1, tightenings_at_most=1)
        run = bench_for(head, tighten(head), loosen(head), tighten(head, 3))
        walk_to(run, "3.1/1", ask.Decide)

        run.answer(a.Resolve("concession", reason="looked at under the glass", person=OKKE))
        run.steadily(until=ask.Finished)

        assert ("within", 2) == (at(run, "1").outcome, at(run, "1").tightenings)

    def test_a_pull_with_a_setting_tool_counts_too(self) -> None:
        """A click is a tightening like any other."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=SETTING)
        run.steadily(until=ask.Finished)

        assert 1 == at(run, "1").tightenings


def test_a_group_with_a_time_limit_starts_its_clock_anew() -> None:
    """Started over, locker is put on again and the time counts from there."""
    head = bolts(1, finish_within=amount("5", "min"))
    run = bench_for(head, locker(head), tighten(head, 2))
    since = over_at(run, "2.1/1")
    before = at(run, "1").applied
    start_over(run, "fastener")
    run.steadily(until=ask.Finished)

    assert ["loosen 1", "inspect 1", "apply 1.1/1", "pull 2.1/1"] == steps_of(run, since)
    assert before != at(run, "1").applied


class TestLooseAlready:
    """What was fully loosened before starting over is not ordered to be loosened once more."""

    def test_the_sheets_own_loosening_is_only_gone_past(self) -> None:
        """The sheet loosens by 30° what is tight at its start; a nut begun again is loose, and + goes on."""
        head = bolts(2)
        run = bench_for(head, loosen(head, 1, by=Decimal(30)), tighten(head, 2))
        walk_to(run, "1.1/1", ask.Loosen)
        first = sentence(run.prompt)
        run.steadily(until=ask.Tighten)
        value(run, "45")
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Loosen)
        while asked(run, ask.Loosen).work:
            run.answer(a.Plus())
            walk_to(run, "1.1/1", ask.Loosen)

        assert "loosen 30°" in first
        assert "Head bolt 1: loose already. Nothing to loosen." == sentence(run.prompt)
        run.answer(a.Plus())
        assert ("2.1/1", "loose") == (asked(run, ask.Tighten).where.id, at(run, "1").fastener.state)
