"""Self-locking nuts: what runs down is measured first, and added as the sheet says."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    READING,
    W7,
    W8,
    amount,
    asked,
    at,
    bench_for,
    bolts,
    choices,
    events_of,
    recheck,
    refused,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import G1, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import words
from clampbook.run.in_hand.aim import wanted
from clampbook.tools.against import clause
from clampbook.tools.model import Tool


def at_the_prevailing(
    rule: str = "always",
    least: str | None = None,
    tools: tuple[Tool, ...] = READING,
    rounds: int = 1,
    most: str | None = None,
) -> Bench:
    """A run of two locking nuts at what runs down of the first."""
    nuts = bolts(
        2,
        "Nuts",
        prevailing=m.Prevailing(
            rule=rule,  # type: ignore[arg-type]
            least=None if least is None else amount(least, "N·m"),
            most=None if most is None else amount(most, "N·m"),
        ),
    )
    run = bench_for(nuts, tighten(nuts, rounds=rounds), turn(nuts), tools=tools)
    walk_to(run, "1.1/1", ask.Measure)
    return run


class TestRunDown:
    """Asked before the pull, under the same name."""

    def test_it_comes_before_the_pull(self) -> None:
        """With an indicating tool, while the nut runs down."""
        now = asked(at_the_prevailing(), ask.Measure)

        assert ("prevailing torque", "1.1/1", "W7") == (now.part, now.where.id, now.tool.name if now.tool else None)

    def test_a_setting_tool_cannot_measure_it(self) -> None:
        """A tool that lets go shows no running torque: another is asked for."""
        nuts = bolts(1, "Nuts", prevailing=m.Prevailing(rule="always"))
        run = bench_for(nuts, tighten(nuts), tools=(W8, W7))

        assert "reading" == asked(run, ask.TakeTool).need
        assert "shows no reading" in refused(run.answer(a.TakeUp("w8", "no other here")))

    def test_each_position_has_its_own(self) -> None:
        """The highest of several is not used for all."""
        run = at_the_prevailing()
        value(run, "3")
        walk_to(run, "1.1/2", ask.Measure)
        value(run, "5")

        assert (Decimal(3), Decimal(35)) == (at(run, "1").fastener.prevailing, asked(run, ask.Tighten).target)

    def test_it_is_measured_once(self) -> None:
        """In the second round the nut is no longer free to run."""
        run = at_the_prevailing(rounds=2)
        value(run, "3")
        walk_to(run, "1.2/1", ask.Tighten)

        assert Decimal(33) == asked(run, ask.Tighten).target

    def test_started_over_it_is_measured_again(self) -> None:
        """Loosened, the nut runs down once more, and not as before."""
        run = at_the_prevailing()
        value(run, "3")
        walk_to(run, "1.1/1", ask.Tighten)
        value(run, "40")
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        since = len(run.events)
        walk_to(run, "1.1/1", ask.Measure)

        assert (["loosen 1", "inspect 1"], None) == (steps_of(run, since), at(run, "1").fastener.prevailing)

    def test_it_can_be_corrected(self) -> None:
        """5 that was 3 makes the target 33."""
        run = at_the_prevailing()
        value(run, "5")

        run.answer(a.Correct("3", "the tool still shows it"))

        assert Decimal(33) == walk_to(run, "1.1/1", ask.Tighten).target

    def test_it_spends_no_tightening(self) -> None:
        """Running down is not tightening."""
        run = at_the_prevailing()
        value(run, "3")

        assert 0 == at(run, "1").tightenings


class TestAdded:
    """Two published rules exist, so the rule is a key of the sheet."""

    @pytest.mark.parametrize(
        ("rule", "prevailing", "target"),
        [
            ("always", "3", "33"),
            ("from a third", "9.9", "30"),
            ("from a third", "10", "40"),
            ("included", "12", "30"),
        ],
    )
    def test_target_and_window_move_by_what_the_rule_says(self, rule: str, prevailing: str, target: str) -> None:
        """From a third of 30 N·m on means from 10 on."""
        run = at_the_prevailing(rule)

        value(run, prevailing)

        now = walk_to(run, "1.1/1", ask.Tighten)
        aim = Decimal(target)
        assert (aim, (aim - 2, aim + 2)) == (now.target, now.window)

    def test_a_reading_is_judged_with_it(self) -> None:
        """31 N·m are under where 3 ran down: the window is 31 to 35; 30.9 is not there."""
        run = at_the_prevailing()
        value(run, "3")
        walk_to(run, "1.1/1", ask.Tighten)

        taken = stored(value(run, "30.9"), e.ReadingTaken)

        assert ("under", ("31", "35")) == (taken.verdict, taken.window)

    def test_a_setting_tool_is_set_with_it(self) -> None:
        """30 and 3 are 33 on the scale."""
        run = at_the_prevailing(tools=(W7, W8, G1))
        value(run, "3")
        run.answer(a.TakeUp("w8"))

        assert Decimal(33) == asked(run, ask.SetTool).to.value

    def test_a_recheck_holds_it_too(self) -> None:
        """The nut still drags: rechecked at 33."""
        nuts = bolts(1, "Nuts", prevailing=m.Prevailing(rule="always"))
        run = bench_for(nuts, tighten(nuts), recheck(nuts))
        walk_to(run, "1.1/1", ask.Measure)
        value(run, "3")

        assert Decimal(33) == walk_to(run, "2.1/1", ask.Recheck).target


class TestLeast:
    """A reused locking nut that no longer drags is refused."""

    def test_below_the_least_only_a_new_one_locks(self) -> None:
        """New fastener, correct, concession, hold."""
        run = at_the_prevailing(least="2")

        ran = stored(value(run, "1.9"), e.PrevailingRead)

        assert ("under", "prevailing torque too low", ["new fastener", "correct", "concession", "hold"]) == (
            ran.verdict,
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_the_least_itself_is_enough(self) -> None:
        """2 N·m of 2."""
        run = at_the_prevailing(least="2")

        value(run, "2")

        walk_to(run, "1.1/1", ask.Tighten)


class TestMost:
    """A nut that drags too much has a damaged thread, or its bolt has."""

    def test_above_the_most_it_is_asked_about(self) -> None:
        """8.1 N·m of at most 8, though the target is 30: fit a new fastener, correct, accept, hold."""
        run = at_the_prevailing(least="2", most="8")

        ran = stored(value(run, "8.1"), e.PrevailingRead)

        assert (
            "over",
            ("2", "8"),
            "prevailing torque too high",
            ["new fastener", "correct", "concession", "hold"],
        ) == (
            ran.verdict,
            ran.window,
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_the_most_itself_is_allowed(self) -> None:
        """8 N·m of 8."""
        run = at_the_prevailing(most="8")

        value(run, "8")

        walk_to(run, "1.1/1", ask.Tighten)

    def test_without_one_the_greatest_target_is_the_most(self) -> None:
        """A nut that takes the whole 30 N·m before it seats binds; the 90° of its turn are no torque."""
        run = at_the_prevailing()

        ran = stored(value(run, "30.1"), e.PrevailingRead)

        assert ("over", (None, "30")) == (ran.verdict, ran.window)

    def test_a_tool_need_not_show_more_than_the_most(self) -> None:
        """At most 1 N·m: a twentieth of the target is 1.5 N·m, and the tool is to show 1 N·m."""
        run = at_the_prevailing(most="1")
        step = run.plan.steps[run.plan.index_of["1.1/1"]]

        demand = wanted(run.plan, step, beside="prevailing torque")

        assert demand is not None
        assert Decimal(1) == demand.least


class TestSaid:
    """Whether prevailing torque is in the target is said at the pull."""

    @pytest.mark.parametrize(
        ("rule", "prevailing", "said"),
        [
            ("always", "3", "prevailing torque 3 N·m, added"),
            ("from a third", "10", "prevailing torque 10 N·m, added"),
            ("from a third", "9.9", "prevailing torque 9.9 N·m, not added: below a third of the target"),
            ("included", "12", "prevailing torque 12 N·m, included in the target"),
        ],
    )
    def test_the_pull_says_whether_it_is_added(self, rule: str, prevailing: str, said: str) -> None:
        """A third of 30 N·m is 10."""
        run = at_the_prevailing(rule)
        value(run, prevailing)
        pull = walk_to(run, "1.1/1", ask.Tighten)

        assert said in words(pull).matters

    @pytest.mark.parametrize(("prevailing", "said"), [("1.9", "worn"), ("8.1", "damaged")])
    def test_the_decision_says_what_it_means(self, prevailing: str, said: str) -> None:
        """Too little is a worn nut, too much a damaged thread."""
        run = at_the_prevailing(least="2", most="8")
        value(run, prevailing)
        decision = asked(run, ask.Decide)

        assert any(said in line for line in words(decision).matters)


def test_a_stretch_may_come_to_more_than_the_tool_shows() -> None:
    """Never above 95 N·m, and 20 more that the nut runs down with: W5 ends at 80 lbf·ft, 108 N·m. It is taken for a
    reason, shows no more than it has, and the stretch is measured."""
    nuts = bolts(1, "Nuts", prevailing=m.Prevailing(rule="always"))
    ends = m.Window(low=Decimal("0.10"), high=Decimal("0.14"), unit="mm")
    stretch = m.Stretch(window=ends, minus=None, never_above=amount("95", "N·m"))
    until = m.Window(low=None, high=Decimal(95), unit="N·m")
    run = bench_for(nuts, tighten(nuts, target=None, window=until, stretch=stretch), tools=(W5, G1))
    walk_to(run, "1.1/1", ask.Measure)
    value(run, "14.9 lbf·ft")

    [offer] = [offer for offer in asked(run, ask.TakeTool).offers if offer.tool.name == "W5"]
    assert ["the pull may reach 85.0 lbf·ft, above its maximum of 80 lbf·ft"] == list(map(clause, offer.against))
    run.steadily(until=ask.Measure)

    assert "80" == events_of(run, e.ReadingTaken)[-1].value


def test_it_is_added_unrounded() -> None:
    """A line keeps five digits of 35 lbf·in; a reading on the very limit that they move lies within it all the same."""
    nuts = bolts(1, "Nuts", prevailing=m.Prevailing(rule="always"))
    tool = Tool(id="w4", name="W4", kind="indicating", unit="lbf·in", minimum=Decimal(20), maximum=Decimal(600))
    run = bench_for(nuts, tighten(nuts), tools=(tool,))
    walk_to(run, "1.1/1", ask.Measure)
    value(run, "35")

    # by definition 1 lbf·in is 0.112984829... N·m (NIST SP 811, B.8): 35 of them, to more digits than a line keeps
    added = at(run, "1").fastener.prevailing
    assert added is not None
    assert Decimal("3.95446902") == added.quantize(Decimal("0.00000001"))
