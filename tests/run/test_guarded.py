"""Guarded acceptance: a reading counts as within only where its tool's uncertainty allows (JCGM 106:2012)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from msgspec.structs import replace
from small_joints import W7, W8, asked, at, bench_for, bolts, recheck, stored, tighten, value, walk_to, window

from bench import G1, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.plan import decode, encode
from clampbook.tools.guard import accepted, band
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.uncertainty import probability_within

# ± 3 % as a rectangle: 3/√3 = 1.732 %; steps of 0.1 N·m at 60 N·m: 0.1/√12/60 = 0.0481 %; together 1.7327 %, twice
# that of 60 N·m is 2.0793 N·m, and three digits upwards 2.08 N·m. Worked by hand.
W6 = replace(W7, id="w6", name="W6", permissible_deviation=Decimal(3))
BAND = Decimal("2.08")


def guarded(low: str = "55", high: str = "65", tool: object = W6) -> Bench:
    """Three bolts to 60 N·m, guarded."""
    stage = tighten(bolts(), target=Decimal(60), window=window(low, high))
    return bench_for(bolts(), stage, tools=(tool, G1), accept="guarded")  # type: ignore[arg-type]


def test_the_band_is_twice_the_standard_uncertainty_of_one_reading() -> None:
    """Permissible deviation and resolution, combined, rounded upwards."""
    assert BAND == band(W6, Decimal(60), "N·m", STRAIGHT)


def test_a_tool_that_says_nothing_of_itself_is_taken_for_one_of_the_widest_deviation() -> None:
    """ISO 6789-1 allows 6 % at most: 6/√3 = 3.4641 %, twice that of 60 N·m is 4.157."""
    assert Decimal("4.16") == band(W7, Decimal(60), "N·m", STRAIGHT)


def test_the_window_is_made_narrower_at_both_ends() -> None:
    """55 to 65 becomes 57.08 to 62.92, and the sheet's own is kept beside it."""
    now = walk_to(guarded(), "1.1/1", ask.Tighten)

    assert (Decimal("57.08"), Decimal("62.92")) == now.window
    assert (Decimal(55), Decimal(65)) == now.aim.allowed


@pytest.mark.parametrize(("shown", "verdict"), [("57.0", "under"), ("57.1", "within"), ("62.9", "within")])
def test_a_reading_inside_the_window_and_within_the_band_is_not_enough(shown: str, verdict: str) -> None:
    """57.0 lies inside 55 to 65, and not beyond unusual; the daybook holds the window that judged it."""
    bench = guarded()
    walk_to(bench, "1.1/1", ask.Tighten)
    bench.answer(a.Value(shown))
    taken = bench.events[-1]

    assert isinstance(taken, e.ReadingTaken)
    assert (verdict, ("57.08", "62.92")) == (taken.verdict, taken.window)


def test_what_is_just_accepted_lies_within_with_97_7_percent() -> None:
    """One limit, U = 2u: Φ(2) = 0.97725 (JCGM 106:2012, 8.3.2); the band is rounded upwards, so it is a little more."""
    u = float(BAND) / 2

    assert 0.977 < probability_within(55 + float(BAND), (55.0, None), u) < 0.978


def test_a_corrected_reading_is_judged_by_the_same_window() -> None:
    """The tool that it was read from has not changed."""
    bench = guarded()
    walk_to(bench, "1.1/1", ask.Tighten)
    bench.answer(a.Value("60"))
    bench.answer(a.Correct("57.0", "the tool still shows it"))
    corrected = bench.events[-1]

    assert isinstance(corrected, e.Corrected)
    assert ("under", ("57.08", "62.92")) == (corrected.verdict, corrected.window)


def test_a_pull_on_a_finished_nut_by_mistake_is_judged_by_its_own_guarded_window() -> None:
    """A locking nut with 3 N·m to run it down is aimed at 63: 58 to 68 less twice 1.7327 % of 63 at each end, 60.19 to
    65.81 with three digits upwards. 66.5 on it is over, though the sheet alone would allow it, and so is a correction
    to it."""
    nuts = bolts(2, "Cover nuts", prevailing=m.Prevailing(rule="always"))
    stage = tighten(nuts, target=Decimal(60), window=window("55", "65"))
    run = bench_for(nuts, stage, tools=(W6, G1), accept="guarded")
    walk_to(run, "1.1/1", ask.Measure)
    for typed in ("3", "63", "3"):
        value(run, typed)
    walk_to(run, "1.1/2", ask.Tighten)
    pulled = stored(run.answer(a.PulledAnother("1", "65")), e.Voided)
    put_right = stored(run.answer(a.Correct("66.5", "the tool still shows it")), e.Corrected)

    assert (("60.19", "65.81"), "within") == (pulled.window, pulled.verdict)
    assert (("60.19", "65.81"), "over") == (put_right.window, put_right.verdict)
    assert (Decimal("60.19"), Decimal("65.81")) == asked(run, ask.Decide).window
    assert at(run, "1").fastener.over is not None


def test_pulling_a_finished_nut_again_is_judged_where_the_stage_allows_it_too() -> None:
    """The sheet allows up to 65; 64 lies beyond what is guarded, and is decided like any over."""
    nuts = bolts(2)
    stage = tighten(nuts, target=Decimal(60), window=window("55", "65"), may_repull=True)
    run = bench_for(nuts, stage, tools=(W6, G1), accept="guarded")
    walk_to(run, "1.1/2", ask.Tighten)
    run.answer(a.PulledAnother("1", "62"))
    unharmed = asked(run, ask.Tighten).where.id
    run.answer(a.PulledAnother("1", "64"))

    assert "1.1/2" == unharmed
    assert ("over", ("57.08", "62.92")) == (run.events[-1].verdict, run.events[-1].window)  # type: ignore[union-attr]
    assert "pulled again" == asked(run, ask.Decide).cause


def test_a_corrected_recheck_is_judged_by_the_guarded_window_too() -> None:
    """62.95 lies within 55 to 65, and over what is beyond unusual."""
    nuts = bolts(1)
    stages = (
        tighten(nuts, target=Decimal(60), window=window("55", "65")),
        recheck(nuts, target=Decimal(60), window=window("55", "65"), until_still=False),
    )
    run = bench_for(nuts, *stages, tools=(W6, G1), accept="guarded")
    walk_to(run, "2.1/1", ask.Recheck)
    run.answer(a.Still(moved=False, text="60"))
    put_right = stored(run.answer(a.Correct("62.95", "the tool still shows it")), e.Corrected)

    assert ("recheck", ("57.08", "62.92"), "over") == (put_right.what, put_right.window, put_right.verdict)


def test_a_tool_that_leaves_nothing_of_the_window_cannot_be_taken() -> None:
    """59 to 61 is narrower than two bands of 2.08."""
    bench = guarded("59", "61")
    now = bench.prompt

    assert isinstance(now, ask.TakeTool)
    assert now.offers[0].cannot is not None and "uses up the window" in now.offers[0].cannot


def test_a_release_shows_no_number_and_is_not_guarded() -> None:
    """What a setting tool let go at nobody read."""
    ends = (Decimal(59), Decimal(61))

    assert ends == accepted("guarded", W8, Decimal(60), ends, "N·m", STRAIGHT)


def test_without_the_key_nothing_changes() -> None:
    """Simple acceptance is the rule of most sheets."""
    ends = (Decimal(59), Decimal(61))

    assert ends == accepted("simple", W6, Decimal(60), ends, "N·m", STRAIGHT)


def test_how_it_is_accepted_is_frozen_with_the_plan() -> None:
    """A run taken up again judges as it began."""
    plan = guarded().plan

    assert "guarded" == decode(encode(plan)).accept


def test_a_pull_on_another_bolt_is_judged_by_the_narrowed_window_too() -> None:
    """64 lies inside 55 to 65, and beyond 62.92: bolt 1, pulled again by mistake, is over."""
    bench = guarded()
    walk_to(bench, "1.1/1", ask.Tighten)
    bench.answer(a.Value("60"))
    bench.answer(a.PulledAnother("1", "64"))
    voided = bench.events[-1]

    assert isinstance(voided, e.Voided)
    assert ("over", ("57.08", "62.92")) == (voided.verdict, voided.window)
