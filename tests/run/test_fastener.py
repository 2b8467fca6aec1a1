"""What the metal knows: loose, snug, tight by which torque; over until it is loosened fully or accepted."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    SETTING,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    loosen,
    recheck,
    refused,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import INES, OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence
from clampbook.run.fold.fastener import holds
from clampbook.run.lines import stored as acknowledged


class TestState:
    """One state for each fastener, from every act on it."""

    def test_before_its_first_pull_it_is_loose(self) -> None:
        """A sheet that begins with pulling finds its bolts put in by hand."""
        assert "loose" == at(at_first_pull(bolts(1)), "1").fastener.state

    @pytest.mark.parametrize("first", [loosen, recheck])
    def test_a_sheet_that_begins_with_loosening_or_rechecking_finds_it_tight(self, first: type) -> None:
        """Tight at the start, by a torque that nobody has told."""
        head = bolts(1)
        run = bench_for(head, first(head, 1), tighten(head, 2))

        assert ("tight", None) == (at(run, "1").fastener.state, holds(at(run, "1").fastener))

    def test_a_reading_is_the_torque_it_holds(self) -> None:
        """Told by a reading, in the sheet's unit."""
        run = at_first_pull(bolts(2))
        value(run, "30.5")

        assert ("tight", Decimal("30.5")) == (at(run, "1").fastener.state, holds(at(run, "1").fastener))

    def test_a_click_is_the_setting_it_holds(self) -> None:
        """Told by a setting: at least that."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tools=SETTING)
        walk_to(run, "1.1/2", ask.Tighten)

        held = at(run, "1").fastener.held

        assert held is not None
        assert (Decimal(30), "setting") == (held.torque, held.told_by)

    def test_a_lower_pull_takes_nothing_away(self) -> None:
        """A tool on a bolt that holds more moves nothing."""
        head = bolts(1)
        run = at_first_pull(
            head, tighten(head), tighten(head, 2, target=Decimal(20), window=window("18", "22")), turn(head, 3)
        )
        value(run, "30")
        value(run, "20")

        assert Decimal(30) == holds(at(run, "1").fastener)

    def test_a_later_step_below_it_says_that_the_pull_does_nothing(self) -> None:
        """30 N·m, then a step at 20: it is no over, and nothing is loosened."""
        head = bolts(1)
        lower = tighten(head, 2, target=Decimal(20), window=window("18", "22"))
        run = at_first_pull(head, tighten(head), lower, turn(head, 3))
        value(run, "30")

        assert "at 30 N·m already: this pull does nothing" in details(run.prompt)
        value(run, "20")
        assert isinstance(run.prompt, ask.TakeTool)

    def test_loosened_by_an_angle_it_is_not_loose(self) -> None:
        """By 30 degrees it still sits, and what it holds is not known."""
        head = bolts(1)
        run = at_first_pull(head, tighten(head), loosen(head, 2, by=Decimal(30)), tighten(head, 3))
        walk_to(run, "3.1/1", ask.Tighten)
        fastener = at(run, "1").fastener

        assert ("snug", Decimal(30), None) == (fastener.state, fastener.loosened_by, holds(fastener))

    def test_a_turn_is_told_from_its_mark(self) -> None:
        """60 degrees of the second stage's turn."""
        run = at_first_pull(bolts(1))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        turning = at(run, "1").fastener.turning

        assert turning is not None
        assert (1, Decimal(60)) == (turning.step, turning.degrees)

    def test_found_otherwise_than_it_was_left_it_is_not_known(self) -> None:
        """What was told of it before no longer says how it is."""
        run = at_first_pull(bolts(2))
        value(run, "30")
        run.resume(gap=3600)
        run.answer(a.Found("not started"))

        run.answer(a.Look("no"))

        assert "not known" == at(run, "1").fastener.state


class TestOver:
    """Told over: no torque and no turn until it is loosened fully, or accepted by a second person."""

    def test_calling_the_pull_bad_does_not_wash_it_away(self) -> None:
        """45 in a window of 28 to 32, then 'the socket slipped': it is not pulled again."""
        run = at_first_pull(bolts(2))
        value(run, "45")

        run.answer(a.VoidStored("the socket slipped"))

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_a_group_that_pulls_again_after_a_bad_pull_asks_here(self) -> None:
        """`after_bad_pull = "pull again"` is for pulls that did no harm."""
        run = at_first_pull(bolts(2, after_bad_pull="pull again"))
        value(run, "45")

        run.answer(a.VoidStored("the socket slipped"))

        assert ("bad pull", False) == (asked(run, ask.Decide).cause, "pull again" in choices(run))

    def test_one_persons_memory_does_not_wash_it_away(self) -> None:
        """Typed 45, remembered as 30: nobody else saw it, so it is decided all the same."""
        run = at_first_pull(bolts(2))
        value(run, "45")

        run.answer(a.Correct("30", "from memory"))

        decide = asked(run, ask.Decide)
        assert ("over", "45 N·m", Decimal(45)) == (decide.cause, decide.found, holds(at(run, "1").fastener))
        assert decide.judged is not None
        assert (Decimal(45), Decimal(45)) == (decide.judged.typed, decide.judged.shown)

    @pytest.mark.parametrize("known", ["the tool still shows it", "a second person saw it"])
    def test_what_can_be_seen_puts_it_right(self, known: str) -> None:
        """Then it was a slip of the fingers, and the next bolt is pulled."""
        run = at_first_pull(bolts(2))
        value(run, "45")

        run.answer(a.Correct("30", known, person=OKKE))  # type: ignore[arg-type]

        assert "1.1/2" == asked(run, ask.Tighten).where.id
        assert Decimal(30) == holds(at(run, "1").fastener)

    def test_who_saw_it_is_somebody_else_and_named(self) -> None:
        """A second person without a name is a memory; whoever does the work is none."""
        run = at_first_pull(bolts(2))
        value(run, "45")

        assert "did this work" in refused(run.answer(a.Correct("30", "a second person saw it", person=INES)))
        unnamed = stored(run.answer(a.Correct("30", "a second person saw it")), e.Corrected)

        assert (False, "over") == (unnamed.counts, asked(run, ask.Decide).cause)

    def test_a_memory_can_still_be_borne_out(self) -> None:
        """A second person who saw it may come later."""
        run = at_first_pull(bolts(2))
        value(run, "45")
        run.answer(a.Correct("30", "from memory"))

        run.answer(a.Correct("30", "a second person saw it", person=OKKE))

        assert "1.1/2" == asked(run, ask.Tighten).where.id

    def test_a_turn_too_far_is_not_remembered_away_either(self) -> None:
        """99 degrees of 90 to 94."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "99")

        run.answer(a.Correct("92", "from memory"))

        assert "over" == asked(run, ask.Decide).cause

    def test_loosened_fully_it_is_over_no_more(self) -> None:
        """Then it is looked at and pulled."""
        run = at_first_pull(bolts(2))
        value(run, "45")
        since = len(run.events)
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 1", "inspect 1"] == steps_of(run, since)
        assert at(run, "1").fastener.over is None

    def test_a_second_person_may_accept_it(self) -> None:
        """By concession it goes on as it is."""
        run = at_first_pull(bolts(2))
        value(run, "45")

        run.answer(a.Resolve("concession", reason="as agreed", person=OKKE))

        assert "1.1/2" == asked(run, ask.Tighten).where.id
        assert at(run, "1").fastener.over is None


class TestNeverSnugged:
    """A turn starts from a snug bolt."""

    def test_after_a_pull_that_was_left_out_no_turn_is_ordered(self) -> None:
        """Skipped at its torque and accepted so, bolt 1 is loose when its turn comes."""
        run = at_first_pull(bolts(2))
        run.answer(a.Skip("hole wants cleaning"))
        value(run, "30")
        run.answer(a.Resolve("concession", reason="as agreed", person=OKKE))

        decide = asked(run, ask.Decide)

        assert ("not snug", "2.1/1") == (decide.cause, decide.where.id)
        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_a_sheet_that_begins_with_a_turn_asks_whether_it_is_snug(self) -> None:
        """Going on needs a reason; then the turn is ordered."""
        head = bolts(1)
        run = bench_for(head, turn(head, 1))

        assert ["go on", "concession", "hold"] == choices(run)
        run.answer(a.Resolve("go on", reason="snugged by hand"))
        walk_to(run, "1.1/1", ask.Turn)
        assert ("snug", 1) == (at(run, "1").fastener.state, at(run, "1").tightenings)


class TestStartingOver:
    """Everything of the scope that is not known to be loose is loosened, in reverse order."""

    def test_one_that_only_a_recheck_tightened_is_loosened(self) -> None:
        """Bolt 2 had its torque left out, but was pulled in the recheck."""
        head = bolts(2, start_over="group")
        run = at_first_pull(head, tighten(head), recheck(head, 2, window=window("28", "32")), tighten(head, 3))
        value(run, "30")
        run.answer(a.Skip("no room"))
        run.answer(a.Resolve("concession", reason="as agreed", person=OKKE))
        walk_to(run, "3.1/1", ask.Tighten)
        value(run, "45")
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="group"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 2", "loosen 1"] == steps_of(run, since)[:2]

    def test_what_is_known_to_be_loose_is_not_loosened(self) -> None:
        """Bolts 2 and 3 were never pulled."""
        head = bolts(3, start_over="group")
        run = at_first_pull(head)
        value(run, "45")
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="group"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 1", "inspect 1"] == steps_of(run, since)


class TestBadPull:
    """A bad pull was a pull: the fastener holds what its tool told of it."""

    def test_its_value_is_judged_like_a_reading(self) -> None:
        """With its unit, the torque at the bolt, the window and the verdict."""
        run = at_first_pull(bolts(2))

        voided = stored(run.answer(a.BadPull(value="29")), e.Voided)

        assert ("29", "N·m", ("28", "32"), "within", "w7") == (
            voided.value,
            voided.unit,
            voided.window,
            voided.verdict,
            voided.tool,
        )
        assert Decimal(29) == holds(at(run, "1").fastener)

    @pytest.mark.parametrize("rule", ["ask", "pull again"])
    def test_over_its_window_it_is_never_pulled_again(self, rule: m.AfterBadPull) -> None:
        """45 in a window of 28 to 32: whatever the group says, it is loosened fully first."""
        run = at_first_pull(bolts(2, after_bad_pull=rule))

        run.answer(a.BadPull(value="45"))

        assert ["from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)
        assert "Head bolt 1 is at 45 N·m. Loosen it fully first." == sentence(run.prompt)

    def test_a_mistyped_one_is_put_right_where_the_tool_still_shows_it(self) -> None:
        """45 was 25: then it may be pulled again."""
        run = at_first_pull(bolts(2))
        run.answer(a.BadPull(value="45"))

        run.answer(a.Correct("25", "the tool still shows it"))

        assert ("bad pull", "pull again") == (asked(run, ask.Decide).cause, choices(run)[0])
        assert Decimal(25) == holds(at(run, "1").fastener)

    def test_what_clicked_holds_its_setting(self) -> None:
        """The jerk came after the click: it has its 30 N·m all the same."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)

        voided = stored(run.answer(a.BadPull(clicked=True)), e.Voided)

        assert ("30", "within", True) == (voided.set_to, voided.verdict, voided.clicked)
        assert ("tight", Decimal(30)) == (at(run, "1").fastener.state, holds(at(run, "1").fastener))

    @pytest.mark.parametrize("clicked", [False, None])
    def test_what_did_not_click_is_snug_by_nobody_knows_how_much(self, clicked: bool | None) -> None:
        """It was pulled, and no more is known."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)

        run.answer(a.BadPull(clicked=clicked))

        assert ("snug", None) == (at(run, "1").fastener.state, holds(at(run, "1").fastener))

    def test_a_setting_tool_has_no_number_to_tell(self) -> None:
        """It is asked whether it clicked."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=SETTING)

        assert "gives no reading" in refused(run.answer(a.BadPull(value="45")))

    def test_a_bad_stroke_too_far_is_over(self) -> None:
        """60 typed, then 50 more with the socket off: 110 of 90 to 94 degrees."""
        run = at_first_pull(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")

        voided = stored(run.answer(a.BadPull(value="50")), e.Voided)

        assert ("50", "°", "over") == (voided.value, voided.unit, voided.verdict)
        assert "Head bolt 1 is at 110°. Loosen it fully first." == sentence(run.prompt)


class TestAnotherPosition:
    """Another position was pulled than the one asked for."""

    def test_done_before_its_turn_is_out_of_order(self) -> None:
        """Bolt 3 instead of bolt 1 stands at its own step, and is a deviation."""
        run = at_first_pull(bolts(3))

        taken = stored(run.answer(a.PulledAnother("3", "30")), e.ReadingTaken)

        assert ("1.1/3", ("out of order",)) == (taken.step, taken.noted)
        assert acknowledged(taken, run.plan).endswith(" Done out of order. The record says so.")

    def test_one_that_is_done_is_judged_by_the_torque_it_has_reached(self) -> None:
        """Bolt 1 had its 30 N·m; 45 on it is over, and it is loosened fully first."""
        run = at_first_pull(bolts(2))
        value(run, "30")

        voided = stored(run.answer(a.PulledAnother("1", "45")), e.Voided)

        assert ("pulled again", "over", ("28", "32"), "w7") == (
            voided.cause,
            voided.verdict,
            voided.window,
            voided.tool,
        )
        assert "Head bolt 1 is at 45 N·m. Loosen it fully first." == sentence(run.prompt)

    def test_with_a_setting_tool_it_holds_the_setting(self) -> None:
        """Which tool, and what it was set to."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        later = tighten(side, 2, target=Decimal(10), window=window("9", "11"))
        run = at_first_pull((head, side), tighten(head), later, tools=SETTING)

        voided = stored(run.answer(a.PulledAnother("11")), e.Voided)

        assert ("pulled out of turn", "w8", "30", "over") == (voided.cause, voided.tool, voided.set_to, voided.verdict)
        held = at(run, "11").fastener.held
        assert held is not None
        assert (Decimal(30), "another position") == (held.torque, held.told_by)

    def test_what_has_reached_no_torque_is_judged_by_its_first(self) -> None:
        """A side screw of 9 to 11 pulled at 30 is over, and loosened before all else."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        later = tighten(side, 2, target=Decimal(10), window=window("9", "11"))
        run = at_first_pull((head, side), tighten(head), later, tools=SETTING)

        voided = stored(run.answer(a.PulledAnother("11")), e.Voided)

        told = "Void ×: side screw 11, pulled out of turn, clicked at 30 N·m, over ▀."
        assert told == acknowledged(voided, run.plan)
        assert "Side screw 11 is at 30.0 N·m. Loosen it fully first." == sentence(run.prompt)
        assert ("window 9.0 to 11.0 N·m", "at the fastener 30.0 N·m") == details(run.prompt)[:2]
        assert "over" == at(run, "11").outcome

    def test_accepted_as_it_is_its_next_torque_is_pulled_all_the_same(self) -> None:
        """Bolt 1 was pulled to 30 once more by mistake: the 60 N·m of the next stage are still to come."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tighten(head, 2, target=Decimal(60), window=window("58", "62")))
        walk_to(run, "1.1/2", ask.Tighten)

        run.answer(a.PulledAnother("1", "30"))
        run.answer(a.Resolve("concession", reason="it is at its torque", person=OKKE))
        value(run, "30")

        assert "2.1/1" == asked(run, ask.Tighten).where.id

    def test_the_decision_stands_at_the_step_that_judged_it(self) -> None:
        """Not at a step that is still to come, with another torque."""
        head = bolts(2)
        run = bench_for(head, tighten(head), tighten(head, 2, target=Decimal(60), window=window("58", "62")))
        walk_to(run, "1.1/2", ask.Tighten)

        run.answer(a.PulledAnother("1", "30"))

        assert ("1.1/1", (Decimal(28), Decimal(32))) == (asked(run, ask.Decide).where.id, asked(run, ask.Decide).window)

    def test_a_turn_made_out_of_its_turn_counts_as_the_next(self) -> None:
        """It cannot be made twice: the choice says so, and the torque at its end is still read."""
        head = bolts(2)
        final = window("50", "90")
        run = bench_for(head, tighten(head), turn(head), turn(head, 3, final_torque=final))
        walk_to(run, "2.1/2", ask.Turn)

        run.answer(a.PulledAnother("1", "92"))
        ways = [each.text for each in asked(run, ask.Decide).choices if each.choice == "concession"]
        run.answer(a.Resolve("concession", reason="turned as far as it should be", person=OKKE))
        walk_to(run, "3.1/1", ask.Measure)

        assert ["Have a second person accept it, and its next turn as done (concession)"] == ways
        assert "final torque" == asked(run, ask.Measure).part

    def test_it_is_loosened_when_it_starts_over(self) -> None:
        """Pulled by mistake, it is not loose any more."""
        head, side = bolts(1), bolts(1, "Side screws", 11)
        run = at_first_pull((head, side), tighten(head), tighten(side, 2))
        run.answer(a.PulledAnother("11", "30"))
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 11", "inspect 11"] == steps_of(run, since)[:2]


class TestCounts:
    """What was at hand is what was used and what is left over."""

    def run(self, at_hand: str) -> Bench:
        """Two bolts are needed."""
        head = bolts(2)
        part = m.Part(name="Head bolts", record="count", needed=2, left_over=True)
        run = bench_for(head, tighten(head), parts=(part,))
        run.answer(a.Value(at_hand))
        return run

    def to_the_end(self, run: Bench) -> None:
        """Everything goes well until the parts left over are asked for."""
        while not (isinstance(run.prompt, ask.StartSheet) and run.prompt.when == "end"):
            run.answer(run.steady())

    def test_what_adds_up_is_not_asked_about(self) -> None:
        """Five, two used, three left over."""
        run = self.run("5")
        self.to_the_end(run)
        run.answer(a.Value("3"))

        assert not isinstance(run.prompt, ask.Decide)

    def test_one_that_is_missing_is_asked_about(self) -> None:
        """It may lie in the engine."""
        run = self.run("5")
        self.to_the_end(run)
        run.answer(a.Value("2"))

        decide = asked(run, ask.Decide)
        assert ("count differs", ["explain", "correct", "hold"]) == (decide.cause, choices(run))
        assert "Head bolts: 5 at hand, 2 used, 2 left over, 1 missing" == decide.found

    def test_a_replacement_is_counted(self) -> None:
        """One broke: three were used."""
        run = self.run("5")
        walk_to(run, "1.1/1", ask.Tighten)
        run.answer(a.Broke("broken"))
        run.answer(a.Resolve("new fastener", scope="fastener"))
        self.to_the_end(run)
        run.answer(a.Value("2"))

        assert not isinstance(run.prompt, ask.Decide)

    def test_it_is_explained_or_counted_again(self) -> None:
        """Either way it stands in the daybook."""
        explained, counted = self.run("5"), self.run("5")
        for run in (explained, counted):
            self.to_the_end(run)
            run.answer(a.Value("2"))

        explained.answer(a.Resolve("explain", reason="one fell into the bilge"))
        counted.answer(a.Correct("3", "from memory"))

        assert not isinstance(explained.prompt, ask.Decide)
        assert not isinstance(counted.prompt, ask.Decide)
