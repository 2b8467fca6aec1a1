"""Prevailing torque of self-locking nuts, against what was published."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

import pytest
from small_joints import amount, bench_for, bolts, choices, stored, tighten, value, walk_to

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.tools.model import Tool

DIAL = Tool(
    id="d1",
    name="D1",
    kind="indicating",
    unit="lbf·in",
    minimum=Decimal(1),
    maximum=Decimal(1000),
    resolution=Decimal(1),
)
Rule = Literal["always", "from a third", "included"]


def nut(rule: Rule, low: str, high: str, *, least: str | None = None) -> Bench:
    """One locking nut to be tightened between two torques in lbf·in, at what runs down."""
    prevailing = m.Prevailing(rule=rule, least=None if least is None else amount(least, "lbf·in"))
    group = bolts(1, "Nuts", prevailing=prevailing)
    window = m.Window(low=Decimal(low), high=Decimal(high), unit="lbf·in")
    stage = tighten(group, target=(Decimal(low) + Decimal(high)) / 2, window=window)
    run = bench_for(group, stage, tools=(DIAL,), unit="lbf·in")
    walk_to(run, "1.1/1", ask.Measure)
    return run


def window_after(run: Bench, prevailing: str) -> tuple[Decimal | None, Decimal | None]:
    """The window of the pull after this much ran down."""
    value(run, prevailing)
    return walk_to(run, "1.1/1", ask.Tighten).window


class TestAlwaysAdded:
    """FAA AC 43.13-1B, par. 7-40: the final torque is the desired torque and the friction drag torque."""

    def test_a_three_eighths_nut_in_tension(self) -> None:
        """3/8-24, tension nut 160–190 lbf·in (table 7-1) with 14 lbf·in of drag: 174–204 (worked by hand)."""
        assert (Decimal(174), Decimal(204)) == window_after(nut("always", "160", "190"), "14")

    def test_however_little_it_is(self) -> None:
        """1/4-28, tension nut 50–70 lbf·in (table 7-1) with 2 lbf·in of drag: 52–72 (worked by hand)."""
        assert (Decimal(52), Decimal(72)) == window_after(nut("always", "50", "70"), "2")


class TestFromAThird:
    """US Army TB 43-0218: prevailing torque is left out below a third of the target."""

    def test_below_a_third_nothing_is_added(self) -> None:
        """58 lbf·in against a target of 175: 3 × 58 is 174 (worked by hand)."""
        assert (Decimal(160), Decimal(190)) == window_after(nut("from a third", "160", "190"), "58")

    def test_from_a_third_on_it_is(self) -> None:
        """59 lbf·in against a target of 175: 3 × 59 is 177, so 219–249 (worked by hand)."""
        assert (Decimal(219), Decimal(249)) == window_after(nut("from a third", "160", "190"), "59")


class TestLeastOfAReusedNut:
    """FAA AC 43.13-1B, table 7-2: minimum prevailing torque of reused self-locking nuts, in lbf·in."""

    TABLE = (
        ("1/2-20", 10),
        ("5/8-18", 18),
        ("3/4-16", 27),
        ("1-14", 55),
        ("1/2-13", 10),
        ("5/8-11", 20),
        ("3/4-10", 27),
        ("1-8", 51),
    )

    @pytest.mark.parametrize(("thread", "least"), TABLE)
    def test_a_nut_below_it_is_replaced(self, thread: str, least: int) -> None:
        """One lbf·in less than the table, and only a new nut is offered, or somebody's word."""
        run = nut("always", "480", "690", least=str(least))

        ran = stored(value(run, str(least - 1)), e.PrevailingRead)

        assert ("under", "new fastener") == (ran.verdict, choices(run)[0]), thread

    @pytest.mark.parametrize(("thread", "least"), TABLE)
    def test_a_nut_that_reaches_it_is_used_again(self, thread: str, least: int) -> None:
        """The figure of the table itself is enough."""
        run = nut("always", "480", "690", least=str(least))

        assert "within" == stored(value(run, str(least)), e.PrevailingRead).verdict, thread
