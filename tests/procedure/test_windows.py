"""Which values are allowed: deviations and ends, exact, in the sheet's unit or in degrees."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.procedure.amounts import Reading
from clampbook.procedure.slips import Slips
from clampbook.procedure.windows import ends, pull_window, torque_limits
from clampbook.units import Kind


def within(text: str, target: str = "30", kind: Kind = Kind.TORQUE) -> tuple[str, str] | list[str]:
    """Both ends of the window as text, or the codes of what is wrong."""
    slips = Slips()
    window = pull_window(
        Reading(slips, "N·m"),
        ("stage", 0),
        target=Decimal(target),
        within=text,
        between=None,
        kind=kind,
        needed=True,
    )
    if window is None or slips.found:
        return [str(slip.code) for slip in slips.found]
    return str(window.low), str(window.high)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("±2 N·m", "28", "32"),
        ("+/- 2 Nm", "28", "32"),
        ("+-2 Nm", "28", "32"),
        ("± 5 %", "28.5", "31.5"),
        ("+0 −3 N·m", "27", "30"),
        ("+0 -3 N·m", "27", "30"),
        ("-3 N·m +0", "27", "30"),
        ("+2 N·m −1 N·m", "29", "32"),
        ("+2 N·m / −1 N·m", "29", "32"),
        ("+10 % −0 %", "30", "33.0"),
        ("+10 % −1 N·m", "29", "33.0"),
        ("±0,5 N·m", "29.5", "30.5"),
    ],
)
def test_deviation_of_a_torque(text: str, low: str, high: str) -> None:
    """The signs tell which way; the unit may stand at one of the two; shares are of the stage's own target."""
    assert (Decimal(low), Decimal(high)) == tuple(map(Decimal, within(text)))


def test_deviation_of_an_angle() -> None:
    """A tolerance of an angle is often one-sided."""
    assert ("90", "94") == within("+4° −0°", "90", Kind.ANGLE)
    assert ("90", "94") == within("+4 −0 deg", "90", Kind.ANGLE)


def test_deviation_in_another_unit_is_converted_exactly() -> None:
    """1 lbf·ft is 1.3558179483314004 N·m (NIST SP 811, by definition of inch, pound and standard gravity)."""
    assert ("28.6441820516685996", "31.3558179483314004") == within("±1 lbf·ft")


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("2 N·m", ["E206"]),
        ("+2 N·m", ["E206"]),
        ("+2 +3 N·m", ["E206"]),
        ("about right", ["E206"]),
        ("", ["E206"]),
        ("±2", ["E118"]),
        ("+2 −1", ["E118"]),
        ("±2°", ["E202"]),
        ("±2 lb", ["E201"]),
        ("±31 N·m", ["E206"]),
        ("±0 N·m", ["E204"]),
    ],
)
def test_deviation_that_says_no_window(text: str, codes: list[str]) -> None:
    """One slip, one fault."""
    assert codes == within(text)


def window_between(low: str, high: str, target: str = "30") -> list[str]:
    """The codes of what is wrong with a window of two ends."""
    slips = Slips()
    pull_window(
        Reading(slips, "N·m"),
        ("stage", 0),
        target=Decimal(target),
        within=None,
        between=[low, high],
        kind=Kind.TORQUE,
        needed=True,
    )
    return [str(slip.code) for slip in slips.found]


@pytest.mark.parametrize(
    ("low", "high", "codes"),
    [
        ("28 N·m", "32 N·m", []),
        ("30 N·m", "33 N·m", []),
        ("20 lbf·ft", "25 lbf·ft", []),
        ("32 N·m", "28 N·m", ["E204"]),
        ("30 N·m", "30 N·m", ["E204"]),
        ("31 N·m", "33 N·m", ["E205"]),
        ("-1 N·m", "33 N·m", ["E206"]),
        ("28", "32 N·m", ["E118"]),
        ("28 mm", "32°", ["E202", "E202"]),
    ],
)
def test_window_between_two_ends(low: str, high: str, codes: list[str]) -> None:
    """Lower end first, the target inside, both of the right kind; both ends are told of."""
    assert codes == window_between(low, high)


def test_window_of_another_unit_has_exact_ends() -> None:
    """Ends are converted without rounding."""
    window = ends(Reading(Slips(), "N·m"), (), ["20 lbf·ft", "25 lbf·ft"], Kind.TORQUE, "N·m")

    assert window is not None
    assert (Decimal("27.116358966628008"), Decimal("33.89544870828501")) == (window.low, window.high)


@pytest.mark.parametrize(
    ("texts", "low", "high"),
    [
        (["at least 122 N·m"], "122", None),
        (["At most 95 N·m"], None, "95"),
        (["55 N·m", "95 N·m"], "55", "95"),
    ],
)
def test_limits_of_a_final_torque(texts: list[str], low: str | None, high: str | None) -> None:
    """One open end in words, or two ends."""
    window = torque_limits(Reading(Slips(), "N·m"), (), texts)

    assert window is not None
    assert (low, high) == (window.low and str(window.low), window.high and str(window.high))


numbers = st.decimals(min_value="0.01", max_value="999", places=2)


@given(numbers, numbers, numbers)
def test_the_window_reaches_as_far_as_it_says(target: Decimal, above: Decimal, below: Decimal) -> None:
    """target − below to target + above, to the last digit, unless it would begin below zero."""
    found = within(f"+{above} −{below} N·m", str(target))

    assert found == (["E206"] if below > target else (str(target - below), str(target + above)))


@given(st.text("+-−±0123456789.,% N·m°/ ", max_size=14))
def test_any_text_is_a_window_or_a_slip(text: str) -> None:
    """Whatever is typed, there is a window around the target or a code, and never an accident."""
    found = within(text)

    assert isinstance(found, list) or Decimal(found[0]) <= 30 <= Decimal(found[1])
    assert found != []
