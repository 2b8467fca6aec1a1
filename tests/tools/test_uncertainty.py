"""How well one applied torque is known: from the limits of a tool, or from what a check found of it."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from check.doing import R1, W2, W5, bench
from clampbook.check import prompts as ask
from clampbook.check.profile import checked
from clampbook.tools.uncertainty import Checked, applied, of_reading, probability_within


def test_without_a_check_the_permissible_deviation_is_a_rectangle() -> None:
    """± 4 % is 2.3094 %; steps of 0.1 N·m at 60 N·m add 0.0481 %: 2.3099 % of 60 N·m is 1.386 N·m. By hand."""
    found = applied(W5, 60.0)

    assert found is not None
    assert pytest.approx(2.3099, abs=5e-5) == found.percent
    assert pytest.approx(1.38594, abs=5e-5) == found.standard
    assert ["permissible deviation", "resolution"] == [share.name for share in found.shares]


def test_with_a_check_mean_scatter_and_reference_take_its_place() -> None:
    """1 % off on average, 0.5 % scatter of 15 readings, reference 0.25 %: √(1 + (0.5·√(14/12))² + 0.0625 + 0.0481²)."""
    found = applied(W5, 60.0, checked=Checked(mean=1.0, scatter=0.5, readings=15, reference=0.25))

    assert found is not None
    assert pytest.approx((1 + 0.25 * 14 / 12 + 0.0625 + 0.048113**2) ** 0.5, abs=1e-5) == found.percent


def test_what_was_assumed_is_said() -> None:
    """In sentences, also for whoever pulls less evenly than the check did."""
    found = applied(W5, 60.0, repeatability=1.0)

    assert found is not None
    assert "anywhere within its permissible deviation of ±4 %" in found.assumed[0]
    assert any("1 %" in sentence for sentence in found.assumed)
    assert "independent" in found.assumed[-1]


def test_of_a_tool_that_says_nothing_nothing_is_known() -> None:
    """Nor at no torque at all."""
    assert applied(replace(W5, permissible_deviation=None), 60.0) is None
    assert applied(W5, 0.0) is None


def test_a_torque_in_another_unit_is_known_as_well_in_that_unit() -> None:
    """44.25 lbf·ft is 60 N·m: the same share of it."""
    here, there = of_reading(W5, 60.0, "N·m"), of_reading(W5, 44.2537, "lbf·ft")

    assert here is not None and there is not None
    assert pytest.approx(here / 60, rel=1e-4) == there / 44.2537


def test_a_check_at_the_bench_gives_what_the_uncertainty_wants() -> None:
    """Every pull one percent too high on the reference: the tool is 0.99 % below, without any scatter."""
    done = bench(W2, R1)
    judgement = done.to(ask.Adjust, "1.01").judgement
    found = checked(done.plan, judgement)

    assert found is not None
    assert pytest.approx(-0.990099, abs=1e-4) == found.mean
    assert (15, 0.25) == (found.readings, found.reference)


def test_a_reading_on_the_edge_of_its_window_is_within_with_even_odds() -> None:
    """Half of what it may be lies beyond; a far end changes nothing."""
    assert pytest.approx(0.5) == probability_within(28.0, (28.0, 60.0), 0.3)
    assert 1.0 == probability_within(28.0, (28.0, None), 0.0)
    assert 0.0 == probability_within(27.9, (28.0, None), 0.0)
    assert Decimal(4) == W5.permissible_deviation
