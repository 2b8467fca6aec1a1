"""What the metal knows: loose, snug, tight by which torque; over until it is loosened fully or accepted."""

from __future__ import annotations

from decimal import Decimal

import pytest
from small_joints import (
    SETTING,
    asked,
    at,
    bench_for,
    bolts,
    choices,
    loosen,
    recheck,
    steps_of,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.fastener import holds


def run_of(group: m.Group, *stages: m.Stage) -> Bench:
    """A run of these stages, at its first pull, with a tool that shows N·m."""
    run = bench_for(group, *(stages or (tighten(group), turn(group))))
    walk_to(run, "1.1/1", ask.Tighten)
    return run


class TestState:
    """One state for each fastener, from every act on it."""

    def test_before_its_first_pull_it_is_loose(self) -> None:
        """A sheet that begins with pulling finds its bolts put in by hand."""
        assert "loose" == at(run_of(bolts(1)), "1").fastener.state

    @pytest.mark.parametrize("first", [loosen, recheck])
    def test_a_sheet_that_begins_with_loosening_or_rechecking_finds_it_tight(self, first: type) -> None:
        """Tight at the start, by a torque that nobody has told."""
        head = bolts(1)
        run = bench_for(head, first(head, 1), tighten(head, 2))

        assert ("tight", None) == (at(run, "1").fastener.state, holds(at(run, "1").fastener))

    def test_a_reading_is_the_torque_it_holds(self) -> None:
        """Told by a reading, in the sheet's unit."""
        run = run_of(bolts(2))
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
        run = run_of(
            head, tighten(head), tighten(head, 2, target=Decimal(20), window=window("18", "22")), turn(head, 3)
        )
        value(run, "30")
        value(run, "20")

        assert Decimal(30) == holds(at(run, "1").fastener)

    def test_loosened_by_an_angle_it_is_not_loose(self) -> None:
        """By 30 degrees it still sits, and what it holds is not known."""
        head = bolts(1)
        run = run_of(head, tighten(head), loosen(head, 2, by=Decimal(30)), tighten(head, 3))
        walk_to(run, "3.1/1", ask.Tighten)
        fastener = at(run, "1").fastener

        assert ("snug", Decimal(30), None) == (fastener.state, fastener.loosened_by, holds(fastener))

    def test_a_turn_is_told_from_its_mark(self) -> None:
        """60 degrees of the second stage's turn."""
        run = run_of(bolts(1))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "60")
        turning = at(run, "1").fastener.turning

        assert turning is not None
        assert (1, Decimal(60)) == (turning.step, turning.degrees)

    def test_found_otherwise_than_it_was_left_it_is_not_known(self) -> None:
        """What was told of it before no longer says how it is."""
        run = run_of(bolts(2))
        value(run, "30")
        run.resume(gap=3600)
        run.answer(a.Found("not begun"))

        run.answer(a.Look("no"))

        assert "not known" == at(run, "1").fastener.state


class TestOver:
    """Told over: no torque and no turn until it is loosened fully, or accepted by a second person."""

    def test_calling_the_pull_bad_does_not_wash_it_away(self) -> None:
        """45 in a window of 28 to 32, then 'the socket slipped': it is not pulled again."""
        run = run_of(bolts(2))
        value(run, "45")

        run.answer(a.VoidStored("the socket slipped"))

        assert ["from the beginning", "new fastener", "concession", "hold"] == choices(run)

    def test_a_group_that_pulls_again_after_a_bad_pull_asks_here(self) -> None:
        """`after_bad_pull = "pull again"` is for pulls that did no harm."""
        run = run_of(bolts(2, after_bad_pull="pull again"))
        value(run, "45")

        run.answer(a.VoidStored("the socket slipped"))

        assert ("bad pull", False) == (asked(run, ask.Decide).cause, "pull again" in choices(run))

    def test_one_persons_memory_does_not_wash_it_away(self) -> None:
        """Typed 45, remembered as 30: nobody else saw it, so it is decided all the same."""
        run = run_of(bolts(2))
        value(run, "45")

        run.answer(a.Correct("30", "from memory"))

        decide = asked(run, ask.Decide)
        assert ("over", "45 N·m", Decimal(45)) == (decide.cause, decide.found, holds(at(run, "1").fastener))

    @pytest.mark.parametrize("known", ["the tool still shows it", "a second person saw it"])
    def test_what_can_be_seen_puts_it_right(self, known: str) -> None:
        """Then it was a slip of the fingers, and the next bolt is pulled."""
        run = run_of(bolts(2))
        value(run, "45")

        run.answer(a.Correct("30", known))  # type: ignore[arg-type]

        assert "1.1/2" == asked(run, ask.Tighten).where.id
        assert Decimal(30) == holds(at(run, "1").fastener)

    def test_a_memory_can_still_be_borne_out(self) -> None:
        """A second person who saw it may come later."""
        run = run_of(bolts(2))
        value(run, "45")
        run.answer(a.Correct("30", "from memory"))

        run.answer(a.Correct("30", "a second person saw it"))

        assert "1.1/2" == asked(run, ask.Tighten).where.id

    def test_a_turn_too_far_is_not_remembered_away_either(self) -> None:
        """99 degrees of 90 to 94."""
        run = run_of(bolts(2))
        walk_to(run, "2.1/1", ask.Turn)
        value(run, "99")

        run.answer(a.Correct("92", "from memory"))

        assert "over" == asked(run, ask.Decide).cause

    def test_loosened_fully_it_is_over_no_more(self) -> None:
        """Then it is looked at and pulled."""
        run = run_of(bolts(2))
        value(run, "45")
        since = len(run.events)
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 1", "inspect 1"] == steps_of(run, since)
        assert at(run, "1").fastener.over is None

    def test_a_second_person_may_accept_it(self) -> None:
        """By concession it goes on as it is."""
        run = run_of(bolts(2))
        value(run, "45")

        run.answer(a.Resolve("concession", reason="as agreed", person=OKKE))

        assert "1.1/2" == asked(run, ask.Tighten).where.id
        assert at(run, "1").fastener.over is None


class TestNeverSnugged:
    """A turn starts from a snug bolt."""

    def test_after_a_pull_that_was_left_out_no_turn_is_ordered(self) -> None:
        """Skipped at its torque and accepted so, bolt 1 is loose when its turn comes."""
        run = run_of(bolts(2))
        run.answer(a.LeaveForLater("hole wants cleaning"))
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
        run = run_of(head, tighten(head), recheck(head, 2, window=window("28", "32")), tighten(head, 3))
        value(run, "30")
        run.answer(a.LeaveForLater("no room"))
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
        run = run_of(head)
        value(run, "45")
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="group"))
        walk_to(run, "1.1/1", ask.Tighten)

        assert ["loosen 1", "inspect 1"] == steps_of(run, since)
