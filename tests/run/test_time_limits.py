"""Sealant and locker set: from putting on to the last pull there is a time, counted bolt by bolt."""

from __future__ import annotations

from decimal import Decimal

from small_joints import (
    amount,
    asked,
    at,
    bench_for,
    bolts,
    choices,
    locker,
    refused,
    steps_of,
    stored,
    tighten,
    turn,
    value,
    walk_to,
)

from bench import Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.session import Session


def at_the_pull(*, minutes: str = "5") -> Bench:
    """A run of two bolts with locker on both, at the first pull."""
    head = bolts(2, finish_within=amount(minutes, "min"))
    run = bench_for(head, locker(head), tighten(head, 2), turn(head, 3))
    walk_to(run, "2.1/1", ask.Tighten)
    return run


def painted_again(run: Bench) -> None:
    """The prompt is shown anew at this moment."""
    now = run.session
    run.session = Session(now.plan, now.progress, now.tools, now.people, run.now, None, now.exempt)


class TestPuttingOn:
    """What starts the clock."""

    def test_the_lot_is_asked_and_kept(self) -> None:
        """Whoever reads the record years later finds the batch."""
        head = bolts(1, finish_within=amount("5", "min"))
        run = bench_for(head, locker(head), tighten(head, 2))

        assert "Type the lot" in refused(run.answer(a.Plus()))
        assert "L-9" == stored(run.answer(a.Put("L-9")), e.Applied).lot

    def test_the_lot_used_before_is_offered(self) -> None:
        """For the second bolt it need not be typed again."""
        head = bolts(2)
        run = bench_for(head, locker(head), tighten(head, 2))
        run.answer(a.Put("L-9"))

        assert "L-9" == asked(run, ask.Apply).last_lot

    def test_the_time_is_told_with_it(self) -> None:
        """Five minutes are 300 seconds from here."""
        head = bolts(1, finish_within=amount("5", "min"))

        assert Decimal(300) == asked(bench_for(head, locker(head), tighten(head, 2)), ask.Apply).finish_within

    def test_put_on_once_it_counts_for_all_of_the_group(self) -> None:
        """A face is coated once for all its bolts."""
        head = bolts(2, finish_within=amount("5", "min"))
        run = bench_for(head, locker(head, asked="once"), tighten(head, 2))
        run.answer(a.Put("L-9"))

        assert (run.session.progress.at, run.session.progress.at) == (at(run, "1").applied, at(run, "2").applied)


class TestRunOut:
    """What happens then is asked, not guessed."""

    def run_out(self) -> Bench:
        """A run whose limit ran out while the first pull was asked for."""
        run = at_the_pull()
        run.wait(400)
        painted_again(run)
        return run

    def test_within_the_time_nothing_is_asked(self) -> None:
        """Four minutes of five."""
        run = at_the_pull()
        run.wait(200)

        assert () == stored(value(run, "30"), e.ReadingTaken).noted

    def test_it_is_decided_before_the_next_pull(self) -> None:
        """Clean and from the beginning, with a new fastener, go on with a reason, hold."""
        run = self.run_out()

        assert ("limit run out", ["from the beginning", "new fastener", "go on", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_a_pull_that_came_too_late_is_kept_and_decided(self) -> None:
        """The prompt stood there while the time ran out: the reading stands, with a note, and is asked about."""
        run = at_the_pull()
        run.wait(400)

        taken = stored(value(run, "30"), e.ReadingTaken)

        assert (("after its time limit",), "limit run out") == (taken.noted, asked(run, ask.Decide).cause)

    def test_from_the_beginning_puts_it_on_again(self) -> None:
        """Loosened, looked at, new locker, and the pull."""
        run = self.run_out()
        since = len(run.events)

        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.answer(a.Plus())
        run.answer(a.Look("yes"))
        run.answer(a.Put("L-9"))
        walk_to(run, "2.1/1", ask.Tighten)

        assert "apply 1.1/1" in steps_of(run, since)

    def test_going_on_needs_a_reason_and_is_asked_once(self) -> None:
        """Bolt 1 goes on through its turn; bolt 2 is a question of its own."""
        run = self.run_out()

        assert "Give a reason" in refused(run.answer(a.Resolve("go on")))
        run.answer(a.Resolve("go on", reason="still wet, tried on a scrap"))
        assert "2.1/1" == asked(run, ask.Tighten).where.id
        value(run, "30")
        assert ("limit run out", "2") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)

    def test_after_the_last_pull_it_no_longer_matters(self) -> None:
        """A position that is finished may set."""
        head = bolts(1, finish_within=amount("5", "min"))
        run = bench_for(head, locker(head), tighten(head, 2))
        walk_to(run, "2.1/1", ask.Tighten)
        value(run, "30")
        run.wait(4000)
        painted_again(run)

        assert isinstance(run.prompt, ask.ReturnTool)
