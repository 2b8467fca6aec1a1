"""A measurement outside its window leads back to a stage before it, a counted number of times."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import (
    READING,
    amount,
    asked,
    at,
    bench_for,
    bolts,
    choices,
    events_of,
    inspect,
    locker,
    loosen,
    measure,
    recheck,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    wait,
    walk_to,
)

from bench import MAUD, Bench
from clampbook.procedure import model as m
from clampbook.procedure.reader import read
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence, where_of
from clampbook.run.fold.follow import tell
from clampbook.run.lines import stored as acknowledged
from clampbook.run.planning import plan
from clampbook.run.recount import recounted

THREE = m.Adjust(back_to=1, at_most=3)
ONCE_FROM_TWO = m.Adjust(back_to=2, at_most=1)


def caps(**more: Any) -> m.Group:
    """Two cap bolts."""
    return bolts(2, "Cap bolts", **more)


def end_play(adjust: m.Adjust = THREE, group: m.Group | None = None, **more: Any) -> Bench:
    """A run that loosens two cap bolts, tightens them and measures the end play, at that measurement."""
    group = group or caps()
    run = bench_for(group, loosen(group, 1), tighten(group, 2), measure(3, adjust=adjust, **more))
    walk_to(run, f"3.1/{more['points'][0] if 'points' in more else '-'}", ask.Measure)
    return run


def adjusted(run: Bench, times: int) -> None:
    """The play stays too large, so many times."""
    for _ in range(times):
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/-", ask.Measure)


class TestTheDecision:
    """It names what was measured, and offers the way back first."""

    def test_the_fact_and_what_the_way_back_costs(self) -> None:
        """Which stage, which time, how much work."""
        run = end_play()
        value(run, "0.34")
        now = asked(run, ask.Decide)

        assert "End play is outside its window: 0.34 mm." == sentence(now)
        assert ["adjust", "measure again", "go back", "correct", "concession", "hold"] == choices(run)
        assert "Adjust, time 1 of 3: back to stage 1" == now.choices[0].text
        assert "loosens 2 bolts, about 2 pulls" == now.choices[0].costs

    def test_the_line_holds_the_stage_and_the_time(self) -> None:
        """Whoever reads the daybook years later sees which time it was."""
        run = end_play()
        value(run, "0.34")
        decided = stored(run.answer(a.Resolve("adjust")), e.Decided)

        assert (1, 1, "outside") == (decided.back_to, decided.time, decided.cause)
        assert "Adjusting, time 1, from stage 1." == acknowledged(decided, run.plan, ())

    def test_a_value_within_its_window_asks_nothing(self) -> None:
        """The work goes on."""
        run = end_play()
        value(run, "0.20")

        assert not isinstance(run.prompt, ask.Decide)

    def test_without_a_way_back_nothing_new_is_offered(self) -> None:
        """A procedure that does not adjust is asked about as ever."""
        head = caps()
        run = bench_for(head, tighten(head), measure(2))
        walk_to(run, "2.1/-", ask.Measure)
        value(run, "0.34")

        assert "adjust" not in choices(run)


class TestTheWayBack:
    """All from the named stage to the measurement, once more."""

    def test_it_loosens_tightens_and_measures_again(self) -> None:
        """In the order of the plan, and nothing else."""
        run = end_play()
        value(run, "0.34")
        since = len(run.events)
        run.answer(a.Resolve("adjust"))
        assert "to do again" == at(run, "1").outcome
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.20")

        assert ["1", "2"] == [each.position for each in events_of(run, e.Loosened)[2:]]
        assert ["pull 2.1/1", "pull 2.1/2", "measure 3.1/-"] == steps_of(run, since)
        assert 2 == at(run, "1").tightenings
        assert not isinstance(run.prompt, ask.Decide)

    def test_within_in_the_end_nothing_departs(self) -> None:
        """The procedure itself says what follows on a value outside."""
        run = end_play()
        adjusted(run, 2)
        value(run, "0.20")
        run.steadily()

        assert 0 == run.session.progress.deviations
        assert "done" == run.session.progress.ended

    def test_when_its_times_are_used_up_it_is_offered_no_more(self) -> None:
        """Somebody else must know further."""
        run = end_play(m.Adjust(back_to=1, at_most=2))
        adjusted(run, 2)
        value(run, "0.34")
        now = asked(run, ask.Decide)

        assert "adjust" not in choices(run)
        assert "adjusted 2 of 2 times" in details(now)
        run.answer(a.Resolve("concession", reason="agreed", person=MAUD))
        assert 1 == run.session.progress.deviations

    def test_going_back_by_a_decision_is_one_time_more(self) -> None:
        """It loosens and tightens the same bolts, by whatever name."""
        run = end_play(m.Adjust(back_to=1, at_most=2))
        value(run, "0.34")
        gone = stored(run.answer(a.Resolve("go back", reason="burrs", back_to=1)), e.Decided)
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.34")

        assert 1 == gone.time
        assert "Adjust, time 2 of 2: back to stage 1" == asked(run, ask.Decide).choices[0].text

    def test_going_back_when_its_times_are_used_up_says_so(self) -> None:
        """Beside the stages that reach so far, and in the line."""
        cap = caps()
        stages = tighten(cap, 1), loosen(cap, 2, by=Decimal(60)), measure(3), measure(4, adjust=ONCE_FROM_TWO)
        run = bench_for(cap, *stages)
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.20")
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.20")
        value(run, "0.34")
        back = next(each for each in asked(run, ask.Decide).choices if each.choice == "go back")
        gone = stored(run.answer(a.Resolve("go back", reason="still out", back_to=2)), e.Decided)

        assert [True, True, False] == [told.endswith(": adjusting, time 2 of 1") for _, told in back.back_to]
        assert (2, "Back to stage 2, adjusting for time 2.") == (gone.time, acknowledged(gone, run.plan, ()))

    def test_going_back_less_far_adjusts_nothing(self) -> None:
        """Only the gap before it is measured again."""
        cap = caps()
        run = bench_for(
            cap, loosen(cap, 1, by=Decimal(60)), measure(2), measure(3, adjust=m.Adjust(back_to=1, at_most=1))
        )
        walk_to(run, "2.1/-", ask.Measure)
        value(run, "0.20")
        value(run, "0.34")
        gone = stored(run.answer(a.Resolve("go back", reason="gauge slipped", back_to=2)), e.Decided)

        assert gone.time is None

    def test_an_adjusting_that_nobody_offers_is_refused(self) -> None:
        """A script cannot go back a third time of two."""
        run = end_play(m.Adjust(back_to=1, at_most=1))
        adjusted(run, 1)
        value(run, "0.34")

        assert isinstance(run.answer(a.Resolve("adjust")), a.Refused)

    def test_all_its_points_are_measured_again(self) -> None:
        """The front was good before the rear was adjusted."""
        run = end_play(points=("front", "rear"))
        value(run, "0.20")
        value(run, "0.34")
        assert "End play at rear is outside its window: 0.34 mm." == sentence(run.prompt)
        since = len(run.events)
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/front", ask.Measure)
        value(run, "0.21")
        value(run, "0.22")

        assert ["measure 3.1/front", "measure 3.1/rear"] == steps_of(run, since)[-2:]

    def test_a_group_that_the_way_neither_names_nor_loosens_stays_as_it_is(self) -> None:
        """It is tightened in between, and holds."""
        cap, side = caps(), bolts(1, "Side screws", 3)
        gap = measure(4, adjust=THREE)
        run = bench_for((cap, side), loosen(cap, 1), tighten(side, 2), tighten(cap, 3), gap)
        walk_to(run, "4.1/-", ask.Measure)
        value(run, "0.34")
        since = len(run.events)
        run.answer(a.Resolve("adjust"))
        walk_to(run, "4.1/-", ask.Measure)

        assert ["pull 3.1/1", "pull 3.1/2"] == steps_of(run, since)

    def test_a_wait_counts_anew_and_so_do_rounds_of_a_recheck(self) -> None:
        """What was waited before is over, and what stood still was loosened."""
        cap = caps()
        stages = (loosen(cap, 1), tighten(cap, 2), wait(3, since=None), recheck(cap, 4), measure(5, adjust=THREE))
        run = bench_for(cap, *stages)
        walk_to(run, "5.1/-", ask.Measure)
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        assert asked_to_wait(run).since is None
        walk_to(run, "5.1/-", ask.Measure)

        assert [1, 1, 1, 1] == [each.pass_no for each in events_of(run, e.Rechecked)]

    def test_an_inspection_may_be_where_it_begins(self) -> None:
        """A shim is changed, which no stage of a fastener says."""
        cap = caps()
        run = bench_for(cap, inspect(1), tighten(cap, 2), measure(3, adjust=THREE))
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))

        assert isinstance(run.prompt, ask.Inspect)


def asked_to_wait(run: Bench) -> ask.Wait:
    """The walk, as far as it waits again."""
    walk_to(run, "2.1/2", ask.Tighten)
    run.answer(run.steady())
    return asked(run, ask.Wait)


class TestOneBolt:
    """What is measured at each bolt is adjusted there."""

    def gaps(self, **more: Any) -> Bench:
        """Three adjusting screws, each measured; the second is outside."""
        screws = bolts(3, "Adjusting screws", **more)
        stages = loosen(screws, 1), tighten(screws, 2), measure(3, screws, asked="each", adjust=THREE)
        run = bench_for(screws, *stages)
        walk_to(run, "3.1/1", ask.Measure)
        value(run, "0.20")
        value(run, "0.34")
        return run

    def test_it_alone_is_done_again(self) -> None:
        """The others stay as they are, and the third is still to be measured."""
        run = self.gaps()
        since = len(run.events)
        assert "Adjusting screw 2 is outside its window: 0.34 mm." == sentence(run.prompt)
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/2", ask.Measure)
        value(run, "0.20")
        walk_to(run, "3.1/3", ask.Measure)

        assert ["pull 2.1/2", "measure 3.1/2"] == steps_of(run, since)

    def test_with_all_that_start_over_with_it(self) -> None:
        """Where the group says that its fasteners belong together."""
        run = self.gaps(start_over="group")
        since = len(run.events)
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/1", ask.Measure)

        assert ["pull 2.1/1", "pull 2.1/2", "pull 2.1/3"] == steps_of(run, since)

    def test_each_bolt_has_its_own_times(self) -> None:
        """The third begins to count from one."""
        run = self.gaps()
        run.answer(a.Resolve("adjust"))
        walk_to(run, "3.1/2", ask.Measure)
        value(run, "0.20")
        value(run, "0.34")

        assert asked(run, ask.Decide).choices[0].text.startswith("Adjust, time 1 of 3")


class TestWhatAFastenerMay:
    """Limits hold on the way back as on the way there."""

    def test_one_that_is_used_once_is_not_tightened_again(self) -> None:
        """Turned once, it wants a new one, which starting over gives."""
        cap = caps(fastener="new every time")
        run = bench_for(cap, loosen(cap, 1), tighten(cap, 2), turn(cap, 3), measure(4, adjust=THREE))
        walk_to(run, "4.1/-", ask.Measure)
        value(run, "0.34")

        assert "adjust" not in choices(run)

    def test_its_tightenings_are_counted(self) -> None:
        """Two are allowed: the third time it is asked about."""
        run = end_play(group=caps(tightenings_at_most=2))
        adjusted(run, 1)
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        run.answer(run.steady())
        run.answer(run.steady())

        assert "Cap bolt 1 has had all 2 of its tightenings." == sentence(run.prompt)

    def test_a_time_limit_runs_on(self) -> None:
        """The locker was applied before, and sets all the same."""
        cap = caps(finish_within=amount("10", "min"))
        run = bench_for(
            cap,
            locker(cap, 1),
            loosen(cap, 2),
            tighten(cap, 3),
            measure(4, adjust=m.Adjust(back_to=2, at_most=2)),
            pause_limit=Decimal(3600),
        )
        walk_to(run, "4.1/-", ask.Measure)
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        run.answer(run.steady())
        run.answer(run.steady())
        run.wait(700)
        run.answer(a.Note("tea"))

        assert "was not finished within 10 min" in sentence(run.prompt)


class TestWhatCounts:
    """Of several times the last one."""

    def test_what_was_done_before_counts_no_longer(self) -> None:
        """Neither the value outside nor the pulls that led to it."""
        run = end_play()
        adjusted(run, 1)
        value(run, "0.20")
        acts = tell(run.plan, run.events).acts
        told = [(act.kind, act.step, act.why_not) for act in acts if act.kind in ("loosening", "pull", "measurement")]

        once = [("loosening", "1.1/1"), ("loosening", "1.1/2"), ("pull", "2.1/1"), ("pull", "2.1/2")]
        once.append(("measurement", "3.1/-"))
        assert [*((*each, "adjusted since") for each in once), *((*each, None) for each in once)] == told

    def test_loosening_by_an_angle_adds_up(self) -> None:
        """Three times 60° are 180°: none of them was taken back."""
        cap = caps()
        stages = tighten(cap, 1), loosen(cap, 2, by=Decimal(60)), measure(3, adjust=m.Adjust(back_to=2, at_most=3))
        run = bench_for(cap, *stages)
        walk_to(run, "3.1/-", ask.Measure)
        adjusted(run, 2)
        told = [act for act in tell(run.plan, run.events).acts if act.kind in ("pull", "loosening")]

        assert 3 == len([act for act in told if act.kind == "loosening" and act.position == "1"])
        assert all(act.counts for act in told)

    def test_a_bolt_that_is_tightened_in_between_begins_anew(self) -> None:
        """Seated and backed off by 60° once more: only the last 60° are there."""
        cap = caps()
        run = bench_for(cap, tighten(cap, 1), loosen(cap, 2, by=Decimal(60)), measure(3, adjust=THREE))
        walk_to(run, "3.1/-", ask.Measure)
        adjusted(run, 1)
        told = [act.why_not for act in tell(run.plan, run.events).acts if act.kind == "loosening"]

        assert ["adjusted since", "adjusted since", None, None] == told

    def test_an_adjusting_that_was_never_finished_leaves_no_pull_that_counts(self) -> None:
        """The bolts were loosened since, and the run was abandoned."""
        run = end_play()
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        run.answer(a.GiveUp("no shims here"))

        assert not [act for act in tell(run.plan, run.events).acts if act.kind == "pull" and act.counts]

    @pytest.mark.parametrize("times", [0, 1, 3])
    def test_whoever_verifies_it_gets_the_same(self, times: int) -> None:
        """Every line again, from what was typed."""
        run = end_play()
        adjusted(run, times)
        value(run, "0.20")
        run.steadily()

        assert [] == list(recounted(run.plan, run.events))

    def test_the_value_before_can_be_corrected_no_longer(self) -> None:
        """It is asked for again anyway; only a note can be made of it."""
        run = end_play()
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))

        assert isinstance(run.answer(a.Correct("0.24", "from memory")), a.Refused)

    def test_a_value_that_was_mistyped_is_corrected_at_the_decision(self) -> None:
        """Then nothing is adjusted."""
        run = end_play()
        value(run, "0.34")
        corrected = stored(run.answer(a.Correct("0.24", "the tool still shows it")), e.Corrected)

        assert "within" == corrected.verdict
        assert not isinstance(run.prompt, ask.Decide)


class TestWhereItIsNot:
    """A plan without that stage has no way back."""

    def test_a_trial_that_leaves_the_stage_out(self) -> None:
        """There is nothing to go back to."""
        cap = caps()
        stages = loosen(cap, 1, trial_skip=True), tighten(cap, 2), measure(3, adjust=THREE)
        run = bench_for(cap, *stages, trial=True)
        walk_to(run, "3.1/-", ask.Measure)
        value(run, "0.34")

        assert "adjust" not in choices(run)

    def test_points_too_far_apart_lead_back_as_well(self) -> None:
        """Each is within, and the shaft stands askew."""
        spread = amount("0.05", "mm")
        run = end_play(points=("front", "rear"), spread=spread)
        value(run, "0.12")
        value(run, "0.24")

        assert "adjust" == choices(run)[0]


SEVERAL = """\
format = 2
title = "Valve gear"
revision = "A"
unit = "N·m"

[joints]
one = "Cylinder"
count = 2
walk = "{}"

[[group]]
name = "Rocker bolts"
positions = "1-2"

[[stage]]
id = "slacken"
do = "loosen"

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"

[[stage]]
do = "measure"
what = "Gap"
between = ["0.10 mm", "0.25 mm"]
adjust_from = "slacken"
adjust_at_most = 2
"""


class TestSeveralJoints:
    """Each joint is adjusted by itself."""

    @pytest.mark.parametrize("order", ["one after the other", "interleaved"])
    def test_the_others_stay_as_they_are(self, order: str) -> None:
        """The second cylinder goes back to its own loosening, and counts its own times."""
        run = Bench(plan(read(SEVERAL.format(order).encode()), "invented"), READING, True)
        gaps = [step for step in run.plan.steps if step.kind == "measure"]
        walk_to(run, gaps[0].id, ask.Measure)
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        walk_to(run, gaps[0].id, ask.Measure)
        value(run, "0.20")
        walk_to(run, gaps[1].id, ask.Measure)
        value(run, "0.34")
        assert asked(run, ask.Decide).choices[0].text.startswith("Adjust, time 1 of 2")
        since = len(run.events)
        run.answer(a.Resolve("adjust"))
        walk_to(run, gaps[1].id, ask.Measure)
        value(run, "0.20")

        again = [event.position for event in run.events[since:] if isinstance(event, e.Loosened)]
        assert ["2:1", "2:2"] == again
        assert [("1:1", True), ("1:2", True)] == [
            (act.position, act.counts)
            for act in tell(run.plan, run.events).acts
            if act.kind == "pull" and act.position in ("1:1", "1:2") and act.counts
        ]


class TestHowFar:
    """ "again 1 of 9" at the first of what is done again, "again 9 of 9" at the last, nothing left out between."""

    def counted(self, run: Bench, last: str) -> list[tuple[int, int]]:
        """How far each step says that it is, from the way back to the measurement at its end."""
        value(run, "0.34")
        run.answer(a.Resolve("adjust"))
        found: list[tuple[int, int]] = []
        while True:
            where = where_of(run.prompt)
            assert where is not None and where.again is not None
            found += [] if found[-1:] == [where.again] else [where.again]
            if where.id == last:
                return found
            run.answer(a.Look("yes", inspector=MAUD) if isinstance(run.prompt, ask.Inspect) else run.steady())

    def test_the_gates_of_other_joints_are_not_counted(self) -> None:
        """Three injectors, each stage at all of them: two bolts, a look and a measurement at the first one."""
        clamp = bolts(2, "Clamp bolts")
        several = m.Joints(one="Injector", names=("1", "2", "3"), walk="interleaved")
        stages = tighten(clamp), inspect(2), measure(3, adjust=THREE)
        run = bench_for(clamp, *stages, joints=several)
        now = walk_to_measure(run)

        assert [(1, 4), (2, 4), (3, 4), (4, 4)] == self.counted(run, now)

    def test_what_was_not_drawn_is_not_counted(self) -> None:
        """Five bolts are tightened, one of them was drawn and is looked at, then it is measured: seven steps."""
        cap = bolts(5, "Cap bolts")
        look = inspect(2, cap, asked="each", hold_point=True, sample=m.Sample(least=1))
        run = bench_for(cap, tighten(cap), look, measure(3, adjust=THREE))
        while not isinstance(run.prompt, ask.Measure):
            drawn = isinstance(run.prompt, ask.DrawSample)
            looked = isinstance(run.prompt, ask.Inspect)
            run.answer(a.Draw("7", MAUD) if drawn else a.Look("yes", inspector=MAUD) if looked else run.steady())

        assert [(each, 7) for each in range(1, 8)] == self.counted(run, "3.1/-")


def walk_to_measure(run: Bench) -> str:
    """Everything goes well up to the first measurement; its step."""
    while not isinstance(run.prompt, ask.Measure):
        run.answer(run.steady())
    return run.prompt.where.id
