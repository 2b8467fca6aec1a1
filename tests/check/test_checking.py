"""A check at the bench: what is asked when, what is stored, and what comes of it."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from check.doing import R1, W2, W5, bench, steady
from clampbook.check import answers as a
from clampbook.check import events as e
from clampbook.check import prompts as ask
from clampbook.check.answers import Accepted, Refused, Unsure
from clampbook.check.checking import failed
from clampbook.check.compared import differs
from clampbook.check.progress import fold, loaded
from clampbook.check.pulls_made import pulls_in
from clampbook.tools.permitted import beside_limit


def test_first_the_temperature_then_zero_then_the_exercises() -> None:
    """Nothing is read before the reference stands at zero and the tool was loaded to its maximum."""
    checked = bench()

    kinds = []
    while not isinstance(checked.prompt, ask.Pull):
        kinds.append(type(checked.prompt).__name__)
        checked.answer(steady(checked.prompt))

    assert ["Temperature", "Zero", *["Exercise"] * 5, "SetTool"] == kinds


def test_a_temperature_that_nobody_measured_is_left_out() -> None:
    """The honest answer exists."""
    checked = bench()
    checked.answer(a.NotMeasured())

    assert checked.progress.temperature is None
    assert isinstance(checked.prompt, ask.Zero)


def test_for_a_setting_tool_only_the_reference_is_typed() -> None:
    """What it is set to stands as what it indicates."""
    checked = bench()
    pull = checked.to(ask.Pull)
    checked.shows("19.4")
    pulled = checked.events[-1]

    assert ("reference", "N·m") == (pull.type_what, pull.unit)
    assert isinstance(pulled, e.Pulled)
    assert ("20", "19.4", "3.0928") == (pulled.indicated, pulled.reference, pulled.deviation)


def test_of_an_indicating_tool_the_side_held_constant_is_not_typed() -> None:
    """Brought to the point by the reference, the tool's own reading is typed."""
    checked = bench(W5, held="reference")
    pull = checked.to(ask.Pull)
    checked.shows("20.5")
    pulled = checked.events[-1]

    assert "indicated" == pull.type_what
    assert isinstance(pulled, e.Pulled)
    assert ("20.5", "20", "2.5000") == (pulled.indicated, pulled.reference, pulled.deviation)


def test_a_reference_in_another_unit_is_read_in_its_own() -> None:
    """100 lbf·in are 11.2985 N·m (NIST SP 811): set to 12.5 N·m, the tool is 10.6 % above what there is."""
    tool = replace(W2, minimum=Decimal(5), resolution=Decimal("0.5"))
    checked = bench(tool, replace(R1, unit="lbf·in", maximum=Decimal(1000)), targets=(Decimal("12.5"),))
    checked.to(ask.Pull)
    checked.shows("100")
    pulled = checked.events[-1]

    assert isinstance(pulled, e.Pulled)
    assert ("lbf·in", "10.6343") == (pulled.unit, pulled.deviation)


def test_the_scale_is_typed_back_at_each_point() -> None:
    """Another number or another unit is refused, and nothing is stored."""
    checked = bench()
    checked.to(ask.SetTool)

    assert isinstance(checked.answer(a.ScaleShows("30", "N·m")), Refused)
    assert isinstance(checked.answer(a.ScaleShows("20", "lbf·ft")), Refused)
    assert isinstance(checked.answer(a.ScaleShows("20", "N·m")), Accepted)


def test_a_reading_far_off_is_asked_again_openly() -> None:
    """Number and unit are wanted then; a number alone is not taken, the same once more is, with its mark."""
    checked = bench()
    checked.to(ask.Pull)

    assert isinstance(checked.shows("2.01"), Unsure)
    assert isinstance(checked.shows("2.01"), Refused)
    checked.to(ask.Pull)
    assert isinstance(checked.shows("2.01"), Unsure)
    assert isinstance(checked.shows("2.01 N·m"), Accepted)
    pulled = checked.events[-1]
    assert isinstance(pulled, e.Pulled) and pulled.unusual is not None


def test_a_bad_pull_does_not_count_and_is_pulled_again() -> None:
    """One key; the place in the check stays where it is."""
    checked = bench()
    before, loaded = checked.to(ask.Pull), sum(checked.progress.loaded.values())
    checked.answer(a.BadPull("the socket slipped"))

    assert before == checked.prompt
    assert loaded + 1 == sum(checked.progress.loaded.values())


def test_each_loading_counts_on_its_own_day() -> None:
    """Five exercises before midnight, a pull and a bad one after it, whatever becomes of them."""
    checked = bench()
    checked.to(ask.Pull)
    day = next(iter(checked.progress.loaded))
    last = checked.progress
    after = replace(last, at="2026-12-31T00:01:00.000Z")

    assert ({day: 5}, {"w2": {day: 5, "2026-12-31": 2}}) == (
        last.loaded,
        pulls_in(checked.plan, loaded(loaded(after))),
    )


def test_a_stored_pull_that_was_a_bad_one_is_taken_back() -> None:
    """It stays in the daybook and counts no more."""
    checked = bench()
    checked.to(ask.Pull)
    checked.shows("20.1")
    checked.answer(a.VoidStored("jerk"))

    assert () == checked.progress.pulls
    assert 2 == sum(isinstance(event, e.Pulled | e.Voided) for event in checked.events)


def test_a_mistyped_reading_is_put_right_and_the_first_value_stays() -> None:
    """How the right one is known is stored with it."""
    checked = bench()
    checked.to(ask.Pull)
    checked.shows("21.9")
    checked.answer(a.Correct("20.9", "the tool still shows it"))

    assert [Decimal("20.9")] == [pull.reference for pull in checked.progress.pulls]


def test_a_tool_found_within_passes_and_is_left_alone() -> None:
    """Every reading one percent off, limit four, reference known to half a percent."""
    checked = bench()
    checked.to(ask.Ended, "1.01")
    closed = checked.events[-1]

    assert isinstance(closed, e.Closed)
    assert ("passed", None) == (closed.as_found, closed.as_left)
    assert not failed(checked.plan, checked.progress)


def test_a_tool_found_outside_fails_as_soon_as_all_is_pulled_as_found() -> None:
    """It is withdrawn before anybody says whether it was adjusted."""
    checked = bench()
    checked.to(ask.Adjust, "0.9")

    assert failed(checked.plan, checked.progress)


def test_nothing_has_failed_before_all_was_pulled() -> None:
    """A single reading that is off may still be put right."""
    checked = bench()
    checked.to(ask.Pull)
    checked.shows("18")

    assert not failed(checked.plan, checked.progress)


def test_near_the_limit_it_cannot_be_decided() -> None:
    """3.8 % off with a reference that knows half a percent: neither within nor outside four."""
    checked = bench()
    prompt = checked.to(ask.Adjust, "0.9634")

    assert "undecided" == prompt.judgement.verdict


def test_without_a_known_uncertainty_nothing_is_called_within() -> None:
    """A perfect series against a reference of unknown worth proves nothing."""
    checked = bench(reference=None)

    assert "undecided" == checked.to(ask.Adjust).judgement.verdict


def test_after_an_adjustment_all_is_pulled_once_more_as_left_and_both_are_kept() -> None:
    """The adjustment between them is a line of its own."""
    checked = bench()
    checked.to(ask.Adjust, "0.9")
    checked.answer(a.WasAdjusted("main spring, a quarter turn"))
    checked.to(ask.Ended, "1.005")
    closed = checked.events[-1]

    assert isinstance(closed, e.Closed)
    assert ("failed", "passed") == (closed.as_found, closed.as_left)
    assert 30 == len(checked.progress.pulls)


def test_two_techniques_stand_beside_each_other_with_their_difference() -> None:
    """Slow pulls right, quick ones let go 2 % higher: set to 60 the tool then gives 61.2."""
    checked = bench(techniques=("slow", "quick"), targets=(Decimal(60),))
    while not isinstance(checked.prompt, ask.Adjust):
        now = checked.prompt
        checked.to(ask.Pull)
        if isinstance(now, ask.Pull):
            pulled = Decimal("60.0") if now.where.way.technique == "slow" else Decimal("61.2")
            checked.shows(str(pulled + now.where.reading % 2 * Decimal("0.1")))
    (beside,) = checked.to(ask.Adjust).judgement.beside

    assert ("slow", "quick") == (beside.first.technique, beside.second.technique)
    assert pytest.approx(-1.957, abs=0.002) == float(beside.apart.mean)
    assert "lower" == differs(beside.apart)


def test_after_a_break_zero_is_looked_at_and_the_scale_typed_back_again() -> None:
    """What was pulled stays; who had the tool meanwhile nobody knows."""
    checked = bench()
    checked.to(ask.Pull)
    checked.shows("20.1")
    checked.store(e.Resumed(at="2026-03-02T10:00:00.000Z", offset="+01:00", by="ines", gap="3600"))

    assert isinstance(checked.prompt, ask.Zero)
    assert 1 == len(checked.progress.pulls)
    assert 2 == checked.to(ask.Pull).where.reading


def test_a_pause_ends_the_asking_until_the_check_is_taken_up() -> None:
    """The prompt says so, and the next start asks the same again."""
    checked = bench()
    checked.to(ask.Pull)
    checked.answer(a.Pause())

    assert ask.Ended("paused") == checked.prompt


def test_what_was_found_counts_also_where_the_check_is_given_up() -> None:
    """Giving up does not make a bad tool good."""
    checked = bench(targets=(Decimal(60),), readings=3)
    checked.to(ask.Pull)
    checked.shows("50")
    checked.answer(a.GiveUp("the day is over"))

    assert failed(checked.plan, checked.progress)


def test_folding_the_same_lines_twice_gives_the_same_state() -> None:
    """The state is its lines and nothing else."""
    checked = bench(techniques=("slow", "quick"))
    checked.to(ask.Ended, "1.02")

    assert checked.progress == fold(checked.plan, checked.events)


def test_an_answer_that_does_not_fit_is_refused_at_every_prompt() -> None:
    """Whatever is asked, the wrong kind of answer stores nothing."""
    checked = bench()
    seen = set()
    while not isinstance(checked.prompt, ask.Ended):
        wrong = a.Finish() if not isinstance(checked.prompt, ask.Finished) else a.Plus()
        seen.add(type(checked.prompt))
        before = len(checked.events)
        assert isinstance(checked.answer(wrong), Refused)
        assert before == len(checked.events)
        checked.answer(steady(checked.prompt))

    assert {ask.Temperature, ask.Zero, ask.Exercise, ask.SetTool, ask.Pull, ask.Adjust, ask.Finished} == seen


def test_an_indicating_tool_is_zeroed_too() -> None:
    """A zero that came back wrong is stored and asked again."""
    checked = bench(W5)
    checked.answer(a.NotMeasured())
    checked.answer(a.ZeroIs("good"))
    prompt = checked.prompt
    checked.answer(a.ZeroIs("wrong"))

    assert isinstance(prompt, ask.Zero) and not prompt.is_reference
    assert prompt == checked.prompt


@pytest.mark.parametrize(
    ("off", "place", "told"),
    [("4.004", "0.01", "4.004"), ("-4.04", "0.1", "-4.04"), ("4.06", "0.1", "4.1"), ("3.96", "0.1", "4.0")],
)
def test_what_is_beyond_the_limit_never_reads_as_the_limit(off: str, place: str, told: str) -> None:
    """4.004 % of permitted 4 % is beyond, as 4.00 it would contradict the word, so it gets one place more."""
    assert Decimal(told) == beside_limit(Decimal(off), Decimal(4), Decimal(place))


def test_what_is_permitted_never_reads_as_beyond() -> None:
    """3.98 % of permitted 3.98 %, to one place."""
    assert Decimal("3.98") == beside_limit(Decimal("3.98"), Decimal("3.98"), Decimal("0.1"))
