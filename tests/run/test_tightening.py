"""A pull to a torque: read from an indicating tool, or one click of a setting tool."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import (
    READING,
    SETTING,
    W7,
    W8,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    choices,
    events_of,
    refused,
    stored,
    tighten,
    unusual,
    value,
    walk_to,
    window,
)

from bench import G1, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import keys, sentence
from clampbook.tools.model import Gives, Tool


def at_the_first_pull(*, group: m.Group | None = None, tools: tuple[Tool, ...] = READING, **stage: Any) -> Bench:
    """A run of two bolts at its first pull."""
    head = group or bolts(2)
    return at_first_pull(head, tighten(head, **stage), tools=tools)


class TestVerdict:
    """Within goes on, under is pulled again, over is decided."""

    @pytest.mark.parametrize("reading", ["28", "30.4", "32"])
    def test_within_goes_on_to_the_next_position(self, reading: str) -> None:
        """Both ends of the window belong to it."""
        run = at_the_first_pull()

        taken = stored(value(run, reading), e.ReadingTaken)

        assert ("within", "within", "1.1/2") == (
            taken.verdict,
            at(run, "1").outcome,
            asked(run, ask.Tighten).where.id,
        )

    def test_under_asks_the_same_position_again(self) -> None:
        """A torque that was not reached is pulled again, and what was read so far stays in sight."""
        run = at_the_first_pull()

        taken = stored(value(run, "27.9"), e.ReadingTaken)

        again = asked(run, ask.Tighten)
        assert ("under", "1.1/1", "27.9") == (taken.verdict, again.where.id, again.last_value)

    def test_over_is_decided_before_anything_else(self) -> None:
        """A fastener that went over is not backed off until it reads right: somebody decides."""
        run = at_the_first_pull()

        taken = stored(value(run, "32.1"), e.ReadingTaken)

        question = asked(run, ask.Decide)
        assert ("over", "over", "1", taken.seq or 0) == (
            taken.verdict,
            question.cause,
            question.position,
            question.about - len(run.events),
        )

    def test_over_offers_start_over_new_fastener_correct_concession_and_hold(self) -> None:
        """The five honest ways to go on, always in this order."""
        run = at_the_first_pull()

        value(run, "34")

        assert ["from the beginning", "new fastener", "correct", "concession", "hold"] == choices(run)

    def test_the_scope_starts_where_the_sheet_says(self) -> None:
        """`start_over = "neighbours"` does not offer the fastener alone."""
        run = at_the_first_pull(group=bolts(2, start_over="neighbours"))

        value(run, "34")

        assert ("neighbours", "group", "joint") == asked(run, ask.Decide).choices[0].scopes

    def test_the_verdict_is_taken_on_the_exact_product(self) -> None:
        """23.6 lbf·ft are 31.997 N·m and within; 23.7 are 32.13 and over (lbf·ft as in NIST SP 811)."""
        verdicts = []
        for reading in ("23.6", "23.7"):
            run = at_the_first_pull(tools=(W5, G1))
            verdicts.append(stored(value(run, reading), e.ReadingTaken).verdict)

        assert ["within", "over"] == verdicts

    def test_a_reading_is_kept_as_typed_and_at_the_fastener(self) -> None:
        """What was typed stays in the tool's unit; beside it stands the value in the sheet's, in five digits."""
        run = at_the_first_pull(tools=(W5, G1))

        taken = stored(value(run, "22,1"), e.ReadingTaken)

        assert ("22,1", "22.1", "lbf·ft", "29.964", ("28", "32")) == (
            taken.typed,
            taken.value,
            taken.unit,
            taken.at_fastener,
            taken.window,
        )


class TestWindowForTheHand:
    """What is shown in the tool's unit."""

    def test_a_converted_window_is_rounded_inwards(self) -> None:
        """28 to 32 N·m are 20.652 to 23.602 lbf·ft; whatever reads inside what is shown is inside."""
        run = at_the_first_pull(tools=(W5, G1))
        low, high = asked(run, ask.Tighten).aim.on_tool

        assert low is not None
        assert high is not None
        assert low >= Decimal("20.6517")
        assert high <= Decimal("23.6020")

    def test_the_mark_to_stop_at_is_one_of_the_tool(self) -> None:
        """30 N·m are 22.127 lbf·ft; a tool in steps of 0.1 is stopped at 22.1."""
        assert Decimal("22.1") == asked(at_the_first_pull(tools=(W5, G1)), ask.Tighten).stop_at


class TestRelease:
    """A setting tool gives no number."""

    def test_a_release_is_an_outcome_of_its_own(self) -> None:
        """It is stored as clicked at a setting, and no reading exists."""
        run = at_the_first_pull(tools=SETTING)

        let_go = stored(run.answer(a.Plus()), e.Clicked)

        assert ("30", "N·m", "clicked", []) == (
            let_go.set_to,
            let_go.unit,
            at(run, "1").outcome,
            events_of(run, e.ReadingTaken),
        )

    def test_a_number_is_refused_from_a_tool_that_shows_none(self) -> None:
        """Nobody can type a reading of a setting tool."""
        run = at_the_first_pull(tools=SETTING)

        assert "gives no reading" in refused(run.answer(a.Value("30")))

    def test_a_reading_is_not_passed_by_a_key(self) -> None:
        """The one deliberate key belongs to setting tools; an indicating tool's reading is typed."""
        run = at_the_first_pull()

        assert "Type it" in refused(run.answer(a.Plus()))

    @pytest.mark.parametrize("nothing", ["", " "])
    def test_an_empty_enter_passes_no_pull(self, nothing: str) -> None:
        """Nothing typed is no reading."""
        run = at_the_first_pull()

        refused(run.answer(a.Value(nothing)))

        assert "1.1/1" == asked(run, ask.Tighten).where.id


class TestLeastPullTime:
    """A click counts only after the time a slow pull takes."""

    def hurried(self, seconds: float, **stage: Any) -> Bench:
        """A run at a click, this many seconds after the prompt was painted (the bench adds three)."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head, **stage), tools=SETTING, exempt=False)
        run.wait(seconds - 3)
        return run

    def test_a_key_sooner_than_two_seconds_is_no_pull(self) -> None:
        """A held key or a resting elbow does not tick bolts off."""
        assert "do not pull again" in refused(self.hurried(1.9).answer(a.Plus()))

    def test_a_key_after_two_seconds_is_one(self) -> None:
        """Two seconds, where the stage says nothing else."""
        stored(self.hurried(2).answer(a.Plus()), e.Clicked)

    def test_a_stage_can_ask_for_longer(self) -> None:
        """A long lever takes its time: the stage says how much."""
        hurried = refused(self.hurried(3.5, least_pull=Decimal(5)).answer(a.Plus()))
        assert "Too soon for a slow pull. If it has clicked, do not pull again: press + in 2 s." == hurried


class TestUnusual:
    """A value that looks like a slip is asked again openly."""

    def test_an_unusual_value_never_offers_the_value_that_would_fit(self) -> None:
        """Typed in lbf·ft on a tool in N·m, neither 30 nor 29.96 is named: a real over must not be talked away."""
        run = at_the_first_pull()

        again = unusual(run.answer(a.Value("22.1")))

        assert ("unit", "22.1 N·m is unusua") == (again.code, again.unusual[:18])
        assert [] == [each for each in ("29.9", "30", "lbf", "kgf") if each in again.unusual]

    def test_an_unusual_value_is_not_stored(self) -> None:
        """It lives in the session only; the daybook has no line of it."""
        run = at_the_first_pull()
        before = len(run.events)

        run.answer(a.Value("300"))

        assert before == len(run.events)

    def test_the_answer_to_an_unusual_value_needs_number_and_unit(self) -> None:
        """The number alone once more would be habit."""
        run = at_the_first_pull()
        run.answer(a.Value("300"))

        assert "with its unit" in refused(run.answer(a.Value("300")))

    def test_a_real_over_stays_over(self) -> None:
        """Typed again with its unit it is stored as it is, with the unusual value beside it."""
        run = at_the_first_pull()
        run.answer(a.Value("40.7"))

        taken = stored(run.answer(a.Value("40.7 N·m")), e.ReadingTaken)

        assert ("40.7", "over", "unit") == (taken.value, taken.verdict, taken.unusual)

    def test_another_unit_is_taken_only_when_it_was_asked_for(self) -> None:
        """The tool shows N·m; a lbf·ft typed out of the blue is refused."""
        run = at_the_first_pull()

        assert "reads in N·m, not lbf·ft" in refused(run.answer(a.Value("22.1 lbf·ft")))

    def test_a_value_within_its_window_is_never_unusual(self) -> None:
        """Wide windows hold values far from their target; inside is inside."""
        run = at_the_first_pull(window=window("20", "45"))

        stored(run.answer(a.Value("40.7")), e.ReadingTaken)


class TestEqualReadings:
    """The same number twice is suspicious only where the tool could tell them apart."""

    def test_a_fine_tool_notes_them(self) -> None:
        """0.1 N·m is finer than a tenth of 4 N·m."""
        run = at_the_first_pull()
        value(run, "30.2")

        assert ("the same as the reading before",) == stored(value(run, "30.2"), e.ReadingTaken).noted

    def test_a_coarse_tool_does_not(self) -> None:
        """In steps of 0.5 N·m equal readings are what honest work gives."""
        coarse = replace(W7, resolution=Decimal("0.5"))
        run = at_the_first_pull(tools=(coarse, G1))
        value(run, "30")

        assert () == stored(value(run, "30"), e.ReadingTaken).noted

    def test_exactly_a_tenth_is_not_finer(self) -> None:
        """0.4 N·m against a window of 4 N·m."""
        run = at_the_first_pull(tools=(replace(W7, resolution=Decimal("0.4")), G1))
        value(run, "30")

        assert () == stored(value(run, "30"), e.ReadingTaken).noted

    def test_the_same_number_on_another_tool_is_another_torque(self) -> None:
        """22.5 on a tool in lbf·ft and 22.5 on one in N·m have nothing to do with each other."""
        run = at_the_first_pull(tools=(W5, W7, G1), window=window("20", "45"))
        run.answer(a.TakeUp("w5"))
        run.answer(a.Zero("good"))
        value(run, "22.5")
        run.answer(a.TakeUp("w7"))
        run.answer(a.Zero("good"))

        assert () == stored(value(run, "22.5"), e.ReadingTaken).noted


class TestTogether:
    """Small sets are shown as one; answers stay one a position."""

    def test_a_set_is_shown_whole_and_shrinks(self) -> None:
        """Three together: all three at first, then those that are left."""
        head = bolts(4)
        run = bench_for(head, tighten(head, together=3))
        shown = [walk_to(run, f"1.1/{position}", ask.Tighten).together for position in "123"]

        assert [("1", "2", "3"), ("2", "3"), ("3",)] == shown

    def test_the_next_set_waits_for_the_last_of_this_one(self) -> None:
        """What was skipped in a set is asked before the next set begins."""
        head = bolts(4)
        run = at_first_pull(head, tighten(head, together=2))
        run.answer(a.Skip("no room"))
        value(run, "30")

        assert ("skipped", "1") == (asked(run, ask.Decide).cause, asked(run, ask.Decide).position)


@pytest.mark.parametrize(
    ("gives", "until", "done"),
    [
        ("click", "slowly to one click.", "clicked"),
        ("slip", "slowly until it slips, then stop.", "slipped"),
        ("break", "slowly until it gives, then stop.", "gave"),
    ],
)
def test_a_setting_tool_is_pulled_until_it_tells_in_its_own_way(gives: Gives, until: str, done: str) -> None:
    """One that slips or folds at its torque does not click, and is to be stopped."""
    head = bolts(2)
    run = bench_for(head, tighten(head), tools=(replace(W8, gives=gives),))
    now = walk_to(run, "1.1/1", ask.Tighten)

    assert sentence(now).endswith(until)
    assert ("+", done) == (keys(now).choices[0].key, keys(now).choices[0].text)
