"""Estimated clamp loads in the record: worked out from what was read or set, and never taken for a reading."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pytest

from clampbook.procedure.model import Stretch, Window
from clampbook.procedure.reader import read
from clampbook.record.pages.blocks import Chart, Heading, Plain, Sentences
from clampbook.record.pages.clamp_loads import clamp_loads
from clampbook.record.pages.telling import Telling
from clampbook.run import events as e
from clampbook.run.plan import Clamping, Plan, StageClamp
from clampbook.run.planning import plan as plan_of
from clampbook.units import Quantity

from .daybooks import Daybook
from .flat import flat
from .head import W5, a_plan

# 700, 600 and 500 N for each N·m at the lowest, middle and highest friction: figures that can be reckoned in the head.
EACH = (500.0, 600.0, 700.0)
TURN = StageClamp(stage=2, round=1, low=40e3, likely=45e3, high=52e3)


def estimated(*stages: StageClamp) -> Plan:
    """The plan of the small head with frozen figures for the head bolts."""
    plan = a_plan()
    head = next(group for group in plan.groups if group.name == "Head bolts")
    clamping = Clamping(
        group=head.name,
        positions=head.positions,
        thread="M10×1.25",
        each_newton_metre=EACH,
        each_newton_metre_statistical=(550.0, 650.0),
        proof_load=50e3,
        stages=stages,
    )
    return msgspec.structs.replace(plan, clamping=(clamping,))


def loads(day: Daybook, stage: int = 1) -> dict[str, Any]:
    """The estimates of one stage."""
    return next(row for row in day.record()["clamp_load"] if row["stage"] == stage)


def at(day: Daybook, position: str, stage: int = 1) -> dict[str, Any]:
    """The estimate at one position."""
    return next(row for row in loads(day, stage)["at"] if row["position"] == position)


def test_a_plan_without_figures_leaves_no_estimates() -> None:
    """The record of a run of old has no such table at all."""
    day = Daybook()
    day.reading("1.1/1", "30.0")

    assert "clamp_load" not in day.record()


def test_a_reading_becomes_a_clamp_load_with_its_band() -> None:
    """30 N·m times 500, 600 and 700 N: 15.0, 18.0 and 21.0 kN."""
    day = Daybook(estimated())
    day.reading("1.1/1", "30.0")

    found = at(day, "1")
    assert ("15", "18", "21", "reading") == (found["low"], found["likely"], found["high"], found["out_of"])


def test_a_release_is_told_as_a_setting() -> None:
    """Nothing was read, so the setting stands in, and the record says so."""
    day = Daybook(estimated())
    day.clicked("1.1/2", "31.0")

    assert ("18.6", "setting") == (at(day, "2")["likely"], at(day, "2")["out_of"])


def test_evenness_is_told_from_bolt_to_bolt() -> None:
    """28 and 31.5 N·m are 16.8 and 18.9 kN, 1.12 times (by hand: 1.125, half to even)."""
    day = Daybook(estimated())
    day.reading("1.1/1", "28.0")
    day.reading("1.1/2", "31.5")

    row = loads(day)
    assert (2, "16.8", "18.9", "1.12") == (row["positions"], row["least"], row["most"], row["most_over_least"])


def test_it_calls_itself_an_estimate() -> None:
    """Whoever reads the table alone is told."""
    day = Daybook(estimated())
    day.reading("1.1/1", "30.0")

    assert loads(day)["estimated"] is True


def test_pulls_that_do_not_count_any_more_leave_no_estimate() -> None:
    """Over, loosened and pulled again: only the last stands."""
    day = Daybook(estimated())
    day.reading("1.1/3", "33.0", "over")
    day.loosened("1.1/3", "3")
    day.reading("1.1/3", "29.0", attempt=2)

    assert 1 == len(loads(day)["at"])
    assert "17.4" == at(day, "3")["likely"]


def test_a_turn_takes_over_what_the_plan_worked_out() -> None:
    """After a snug pull; and where that was never made, a turn says nothing."""
    day = Daybook(estimated(TURN))
    day.reading("1.1/1", "30.0")
    day.turned("2.1/1", "91", "91")
    day.turned("2.1/2", "91", "91")

    assert ["1"] == [row["position"] for row in loads(day, 2)["at"]]
    assert ("45", "turn") == (at(day, "1", 2)["likely"], at(day, "1", 2)["out_of"])


BY_DEGREES = msgspec.structs.replace(TURN, each_degree=300.0, levels_at=(38e3, 44e3, 50e3))


@pytest.mark.parametrize(
    ("degrees", "ends"), [("20", ("21", "24", "27")), ("80", ("38", "42", "45")), ("120", ("38", "44", "50"))]
)
def test_a_turn_adds_what_its_degrees_bring_up_to_yield(degrees: str, ends: tuple[str, str, str]) -> None:
    """15, 18 and 21 kN and 0.3 kN for each degree, level from 38, 44 and 50 kN on."""
    day = Daybook(estimated(BY_DEGREES))
    day.reading("1.1/1", "30.0")
    day.turned("2.1/1", degrees, degrees)

    found = at(day, "1", 2)
    assert (*ends, "angle") == (found["low"], found["likely"], found["high"], found["out_of"])
    assert "angle" == loads(day, 2)["turns"]


def test_a_turn_by_the_mark_has_no_degrees() -> None:
    """So what the plan worked out for the sheet's angle stands in."""
    day = Daybook(estimated(BY_DEGREES))
    day.reading("1.1/1", "30.0")
    day.turned("2.1/1", None, None)

    assert ("45", "turn") == (at(day, "1", 2)["likely"], at(day, "1", 2)["out_of"])


def test_the_permissible_deviation_of_the_tool_widens_the_band() -> None:
    """± 4 % of 30 N·m: 28.8 times 500 N and 31.2 times 700 N."""
    day = Daybook(estimated())
    day.add(e.ToolTaken, tool=msgspec.structs.replace(W5, permissible_deviation=Decimal(4)))
    day.reading("1.1/1", "30.0")

    assert ("14.4", "18", "21.8") == tuple(at(day, "1")[end] for end in ("low", "likely", "high"))


def test_what_ran_down_clamps_nothing() -> None:
    """A locking nut took 3 of 33 N·m: 30 are left."""
    day = Daybook(estimated())
    fields = {"typed": "3.0", "value": "3.0", "unit": "N·m", "at_fastener": "3.0", "verdict": "within"}
    day.add(e.PrevailingRead, step="1.1/1", attempt=1, tool="w5", window=(None, None), **fields)
    day.reading("1.1/1", "33.0")

    assert "18" == at(day, "1")["likely"]


@pytest.mark.parametrize(("newton_metres", "shown"), [("0.1", "0.06"), ("30.0", "18"), ("999.9", "600")])
def test_loads_have_three_digits_and_no_exponent(newton_metres: str, shown: str) -> None:
    """In kN."""
    day = Daybook(estimated())
    day.reading("1.1/1", newton_metres)

    assert shown == at(day, "1")["likely"]


def test_a_measured_stretch_tells_it_better_than_torque() -> None:
    """0.12 mm times 200 kN for each are 24 kN, within 5 %."""
    ends = Window(low=Decimal("0.10"), high=Decimal("0.14"), unit="mm")
    stretch = Stretch(window=ends, minus=None, never_above=Quantity(Decimal(95), "N·m"))
    plan = estimated()
    first = msgspec.structs.replace(plan.stages[0], stretch=stretch)
    clamping = msgspec.structs.replace(plan.clamping[0], each_millimetre=200e3)
    day = Daybook(msgspec.structs.replace(plan, clamping=(clamping,), stages=(first, *plan.stages[1:])))
    day.reading("1.1/1", "60.0")
    day.measured("1.1/1", "0.12", part="stretch", window=("0.10", "0.14"))

    found = at(day, "1")
    assert ("22.8", "24", "25.2", "stretch") == (found["low"], found["likely"], found["high"], found["out_of"])


MEASURED = b"""
format = 2
title = "Invented"
revision = "A"
unit = "N\xc2\xb7m"

[[group]]
name = "Studs"
positions = "1-2"
thread = "M10x1.25"
property_class = "10.9"
nut_factor = [0.16, 0.20]
clamped = ["72 mm steel"]

[[stage]]
do = "measure"
id = "free"
asked = "each"
what = "Free length"
between = ["94 mm", "96 mm"]

[[stage]]
do = "tighten"
to = "30 N\xc2\xb7m"
within = "\xc2\xb12 N\xc2\xb7m"

[[stage]]
do = "measure"
asked = "each"
what = "Length of the tightened stud"
minus = "free"
between = ["0.06 mm", "0.12 mm"]
"""


def test_a_length_measured_after_the_pull_tells_it_better_than_torque() -> None:
    """What it is longer by, times the newtons for each millimetre of the plan; also where it has less than before."""
    plan = plan_of(read(MEASURED), "invented")
    each = plan.clamping[0].each_millimetre
    day = Daybook(plan)
    for step, value in (("1.1/1", "95.00"), ("1.1/2", "95.00")):
        day.measured(step, value, window=("94", "96"))
    for step in ("2.1/1", "2.1/2"):
        day.reading(step, "30.0")
    day.measured("3.1/1", "0.07", window=("0.06", "0.12"))

    found = at(day, "1", 3)
    assert each is not None
    assert "stretch" == found["out_of"]
    assert 0.07 * each / 1000 == pytest.approx(float(found["likely"]), rel=0.005)
    assert [1, 2] == sorted({row["stage"] - 1 for row in day.record()["clamp_load"]})


class TestPages:
    """In the report: after each stage, over the joint in the order of the work."""

    def blocks(self, day: Daybook) -> list[Plain]:
        """The part of the report."""
        return list(flat(clamp_loads(Telling(day.record()))))

    def test_a_run_without_figures_has_no_such_part(self) -> None:
        """Nothing is promised that cannot be kept."""
        day = Daybook()
        day.reading("1.1/1", "30.0")

        assert [] == self.blocks(day)

    def test_it_says_what_it_is_before_the_first_chart(self) -> None:
        """Not measured, and none of it a reading."""
        day = Daybook(estimated())
        day.reading("1.1/1", "28.0")
        day.reading("1.1/2", "31.5")
        title, said, after, even, _ = self.blocks(day)

        assert Heading("Estimated clamp load", "not measured") == title
        assert isinstance(said, Sentences)
        assert "None of it is a reading." in said.lines[0]
        assert Heading("After stage 1", level=3) == after
        told = "From bolt to bolt about 16.8 to 18.9 kN, 1.12 times, as far as torque can tell."
        assert Sentences((told,), small=True, sticky=True) == even

    @pytest.mark.parametrize(
        ("kilonewtons", "told"),
        [
            (("17", "17"), ""),
            (("17", "25"), "The estimates from torque and from stretch do not overlap at 2: "),
            (("10", "25"), "The estimates from torque and from stretch do not overlap: "),
        ],
    )
    def test_a_stretch_that_contradicts_the_torque_is_told(self, kilonewtons: tuple[str, str], told: str) -> None:
        """30 N·m with a nut factor of 0.16 to 0.20 and 10 mm are 15 to 18.75 kN."""
        plan = plan_of(read(MEASURED), "invented")
        each = plan.clamping[0].each_millimetre
        assert each is not None
        day = Daybook(plan)
        for position, load in zip("12", kilonewtons, strict=True):
            day.measured(f"1.1/{position}", "95.00", window=("94", "96"))
            day.reading(f"2.1/{position}", "30.0")
            day.measured(f"3.1/{position}", f"{1000 * float(load) / each:.4f}", window=("0.01", "0.99"))

        said = " ".join(line for block in self.blocks(day) if isinstance(block, Sentences) for line in block.lines)
        ends = "check the thread’s friction and the lengths."
        assert (f"{told}{ends}" in said) if told else "overlap" not in said

    def test_what_tells_it_is_named(self) -> None:
        """A turn counts as the sheet has it, a stretch as it was measured, and neither is called torque."""
        day = Daybook(estimated(TURN))
        for step in ("1.1/1", "1.1/2"):
            day.reading(step, "30.0")
        for step in ("2.1/1", "2.1/2"):
            day.turned(step, "91", "91")
        said = self.blocks(day)[-2]

        assert (
            Sentences(
                ("About 45 kN at each of 2 positions, as far as the procedure's turn can tell, not each bolt's own.",),
                small=True,
                sticky=True,
            )
            == said
        )

    def test_bolts_of_two_sizes_are_not_compared_with_each_other(self) -> None:
        """After the same torque an M12 holds less than an M10, and neither is uneven for that."""
        folder = Path(__file__).parents[1] / "golden" / "clamp-loads"
        record = tomllib.loads((folder / "record.toml").read_text("utf-8"))
        said = next(block for block in list(flat(clamp_loads(Telling(record))))[2:] if isinstance(block, Sentences))

        assert (
            "M10×1.25: about 12.4 kN at each of 2 positions, as far as torque can tell.",
            "M12: about 10.3 kN at each of 2 positions, as far as torque can tell.",
        ) == said.lines

    def test_the_share_of_the_proof_load_stands_beside_it(self) -> None:
        """18.0 and 18.9 kN of 50 kN; nothing where the class of the bolts is not known."""
        day = Daybook(estimated())
        for position, torque in (("1", "30.0"), ("2", "31.5")):
            day.reading(f"1.1/{position}", torque)
        said = list(flat(clamp_loads(Telling(day.record()), day.plan)))[-2]

        assert isinstance(said, Sentences)
        assert "18 to 18.9 kN, 1.05 times, 36 to 38 % of proof load, as far as" in said.lines[0]
        assert "proof load" not in str(self.blocks(day))

    def test_torque_and_angle_tell_it_together(self) -> None:
        """Where the degrees of each bolt count, they are named."""
        day = Daybook(estimated(BY_DEGREES))
        for position, degrees in (("1", "20"), ("2", "30")):
            day.reading(f"1.1/{position}", "30.0")
            day.turned(f"2.1/{position}", degrees, degrees)
        said = self.blocks(day)[-2]

        assert isinstance(said, Sentences)
        assert said.lines[0].endswith("24 to 27 kN, 1.12 times, as far as torque and angle can tell.")

    def test_each_position_is_a_bar_and_a_line_and_no_mark_of_a_reading(self) -> None:
        """Two positions are two bars, two lines and two labels; the higher clamp load stands higher."""
        day = Daybook(estimated())
        day.reading("1.1/1", "28.0")
        day.reading("1.1/2", "31.5")
        chart = self.blocks(day)[-1]

        assert isinstance(chart, Chart)
        bars, lines = chart.bands[:2], chart.bands[2:]
        assert ((), ["1", "2"]) == (chart.marks, [tick.text for tick in chart.across])
        assert all(line.top == line.bottom for line in lines)
        assert all(bar.top < line.top < bar.bottom for bar, line in zip(bars, lines, strict=True))
        assert lines[1].top < lines[0].top


LATER = """\
format = 2
title = "Shaft bearing"
revision = "A"
unit = "N·m"

[[group]]
name = "Nuts"
positions = "1-2"
thread = "M20x1.5"
property_class = "8.8"
nut_factor = [0.12, 0.18]
grip = "20 mm"

[[stage]]
do = "tighten"
to = "40 N·m"
within = "±4 N·m"

[[stage]]
"""
BACK_OFF = 'do = "loosen"\nby = "60°"\n'
TO_ITS_SLOT = 'do = "align"\nslots = 6\nat_most = "60 N·m"\nlock = "Split pin"\n'
TIGHTEN_AGAIN = '\n[[stage]]\ndo = "tighten"\nto = "20 N·m"\nwithin = "±2 N·m"\n'


def nuts(later: str) -> Daybook:
    """Both nuts at 40 N·m, in a procedure with this later stage."""
    day = Daybook(plan_of(read((LATER + later).encode()), "invented"))
    day.reading("1.1/1", "40.0")
    day.reading("1.1/2", "40.0")
    return day


def backed_off(day: Daybook, position: str) -> None:
    """By its stage, not before starting over."""
    day.add(e.Loosened, step=f"2.1/{position}", position=position, attempt=1, work=False)


class TestSince:
    """What a later stage did to a fastener after its last estimate."""

    def test_a_nut_that_was_backed_off_is_not_left_with_its_load(self) -> None:
        """Only the first one was; the other still has what its pull brought."""
        day = nuts(BACK_OFF)
        backed_off(day, "1")

        assert "loosened" == at(day, "1")["since"]
        assert "since" not in at(day, "2")

    def test_nor_one_that_was_turned_on_to_its_slot(self) -> None:
        """It holds more by an angle that nobody read."""
        day = nuts(TO_ITS_SLOT)
        day.add(e.Aligned, step="2.1/1", attempt=1, slot="turned")
        day.add(e.Aligned, step="2.1/2", attempt=1, slot="already")

        assert "turned on" == at(day, "1")["since"]
        assert "since" not in at(day, "2")

    def test_a_later_estimate_says_it_all(self) -> None:
        """Backed off and tightened to 20 N·m: each estimate is that after its own stage."""
        day = nuts(BACK_OFF + TIGHTEN_AGAIN)
        backed_off(day, "1")
        day.reading("3.1/1", "20.0")

        assert "since" not in at(day, "1")
        assert "since" not in at(day, "1", 3)

    def test_one_that_is_tightened_once_more_has_the_load_of_that_pull(self) -> None:
        """The way back began at the tightening, and ended there."""
        adjusting = '\n[[stage]]\ndo = "measure"\nwhat = "Play"\nat_most = "0.1 mm"\nadjust_at_most = 3\n'
        first = (LATER + BACK_OFF + adjusting + 'adjust_from = "seat"\n').replace('"tighten"', '"tighten"\nid = "seat"')
        day = Daybook(plan_of(read(first.encode()), "invented"))
        for position in ("1", "2"):
            day.reading(f"1.1/{position}", "40.0")
        for position in ("1", "2"):
            backed_off(day, position)
        about = day.measured("3.1/-", "0.2", "over", window=(None, "0.1"))
        day.decided(about, "adjust", "outside", step="3.1/-", back_to=1, time=1)
        day.reading("1.1/1", "41.0")

        assert ["1"] == [row["position"] for row in loads(day)["at"]]
        assert "since" not in at(day, "1")

    @pytest.mark.parametrize(
        ("positions", "told"),
        [
            ("1", "Loosened since at 1: not the final load."),
            ("12", "Loosened since: not the final load."),
        ],
    )
    def test_the_page_says_so(self, positions: str, told: str) -> None:
        """Beside the figure, before anybody takes it for the end."""
        day = nuts(BACK_OFF)
        for position in positions:
            backed_off(day, position)
        said = list(flat(clamp_loads(Telling(day.record()), day.plan)))[-2]

        assert isinstance(said, Sentences)
        assert told == said.lines[-1]
