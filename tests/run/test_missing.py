"""What is still missing, and until when: stretch, time for sealant or locker, points that lie apart."""

from __future__ import annotations

from decimal import Decimal

from small_joints import (
    amount,
    asked,
    at_first_pull,
    bench_for,
    bolts,
    locker,
    measure,
    tighten,
    value,
    walk_to,
    window,
)

from bench import G1, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence


def stretched(first: str) -> Bench:
    """A bolt that is to be stretched by 0.15 to 0.18 mm, never above 60 N·m; its first pull gave so much."""
    wanted = m.Stretch(window=window("0.15", "0.18", "mm"), minus=None, never_above=amount("60", "N·m"))
    head = bolts(1)
    pull = tighten(head, target=Decimal(40), window=window(None, "60"), stretch=wanted)
    run = at_first_pull(head, pull, tools=(W5, G1))
    value(run, "29.5")
    asked(run, ask.Measure)
    value(run, first)
    return run


class TestStretch:
    """A stretch says how much is missing; the torque of the pull before says nothing any more."""

    def test_what_is_missing_is_said_and_the_torque_not_to_pass(self) -> None:
        """0.12 of 0.15 mm: 0.03 mm more; 60 N·m are 44.2 lbf·ft, rounded inwards (NIST SP 811, appendix B.8)."""
        pull = asked(stretched("0.12"), ask.Tighten)

        assert "Head bolt 1: stretch 0.03 mm more, W5 not above 44.2 lbf·ft. Type W5's reading." == sentence(pull)
        assert "missing 0.03 to 0.06 mm of stretch" == details(pull)[0]
        assert pull.stop_at is None

    def test_what_is_missing_is_never_rounded_down(self) -> None:
        """0.10005 of 0.15 mm: 0.04995 mm, told with three digits, would stay under with less."""
        pull = asked(stretched("0.10005"), ask.Tighten)

        assert "stretch 0.05 mm more" in sentence(pull)
        assert "missing 0.04995 to 0.07995 mm of stretch" == details(pull)[0]

    def test_no_old_reading_stands_beside_it(self) -> None:
        """It was no torque to reach."""
        assert not [line for line in details(asked(stretched("0.12"), ask.Tighten)) if "last reading" in line]


class TestTimeLimit:
    """Sealant and locker are to be under torque in time."""

    def run(self) -> Bench:
        """Two screws with locker on both, to be finished within ten minutes."""
        group = bolts(2, finish_within=amount("10", "min"))
        run = bench_for(group, locker(group, lot=False), tighten(group, number=2), tools=(W5, G1))
        walk_to(run, "2.1/1", ask.Tighten)
        return run

    def test_minutes_left_stand_at_each_pull(self) -> None:
        """Rounded down: a few seconds are gone already."""
        assert "finish within 9 min" in details(asked(self.run(), ask.Tighten))

    def test_when_they_are_over_it_is_asked_before_the_pull(self) -> None:
        """Not after it."""
        run = self.run()
        run.wait(700)
        run.session = run.session.__class__(
            **{name: getattr(run.session, name) for name in run.session.__dataclass_fields__} | {"painted": run.now}
        )

        assert "limit run out" == asked(run, ask.Decide).cause


class TestPoints:
    """Measuring points that may lie only so far apart."""

    def run(self, *values: str) -> Bench:
        """A gap at front, middle and rear, at most 0.05 mm apart."""
        gap = measure(
            1, points=("front", "middle", "rear"), spread=amount("0.05", "mm"), window=window("0.1", "2", "mm")
        )
        run = bench_for(bolts(1), gap)
        walk_to(run, "1.1/front", ask.Measure)
        for each in values:
            value(run, each)
        return run

    def test_limit_and_points_so_far_are_told_while_measuring(self) -> None:
        """So that a slip shows at once."""
        lines = details(asked(self.run("1.20", "1.22"), ask.Measure))

        assert "points at most 0.05 mm apart" in lines
        assert "so far: front 1.20 mm, middle 1.22 mm" in lines

    def test_the_verdict_names_the_pair_and_the_wide_side(self) -> None:
        """1.28 at the rear is 0.08 mm from the front."""
        told = sentence(asked(self.run("1.20", "1.22", "1.28"), ask.Decide))

        assert "Points front and rear are 0.08 mm apart, 0.05 mm allowed. The larger is at rear." == told
