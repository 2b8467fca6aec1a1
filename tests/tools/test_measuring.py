"""What measures lengths and pressures: read from tools.toml, and held against a window."""

from __future__ import annotations

import math
from decimal import Decimal
from statistics import NormalDist

import pytest
from msgspec.structs import replace

from clampbook.tools.against import LessSure, OffScale, TooCoarse, cause, clause
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import fitness
from clampbook.tools.measuring import finer, off_scale
from clampbook.tools.model import Judges, Stock, Tool
from clampbook.tools.ranking import looked_at, rank, ranked, reasons
from clampbook.tools.reader import read_tools
from instruments import D1, F1, P1, instrument

MICROMETER = """\
[[tool]]
id = "m1"
name = "M1"
kind = "micrometer"
unit = "mm"
range = ["75 mm", "100 mm"]
resolution = "0.001 mm"
serial = "HM-0301"
calibrated_on = 2026-01-15
interval_months = 12
certificate = "HM-C-0501 (invented)"
uncertainty = "±0.003 mm"
"""
M1 = instrument("M1", "micrometer", "mm", "75", "100", "0.01", uncertainty=Decimal("0.004"))
W1 = Tool(
    id="w1", name="W1", kind="setting", unit="N·m", minimum=Decimal(4), maximum=Decimal(40), resolution=Decimal("0.5")
)
G1 = Tool(id="g1", name="G1", kind="angle gauge", unit="°", resolution=Decimal(1))


def wanted(
    low: str | None, high: str | None, width: str | None = None, unit: str = "mm", differs: bool = False
) -> Demand:
    """What is read lies between these, and the window that judges it is so wide: as wide as they lie apart."""
    ends = (None if low is None else Decimal(low), None if high is None else Decimal(high))
    wide = None if width is None else Decimal(width)
    if wide is None and ends[0] is not None and ends[1] is not None:
        wide = ends[1] - ends[0]
    return Demand(need="measure", window=ends, unit=unit, width=wide, differs=differs)


class TestRead:
    """An instrument stands in tools.toml like any tool, in the unit of its scale."""

    def test_a_micrometer(self) -> None:
        """Its uncertainty is a length, as its certificate has it."""
        expected = Tool(
            id="m1",
            name="M1",
            kind="micrometer",
            unit="mm",
            minimum=Decimal(75),
            maximum=Decimal(100),
            resolution=Decimal("0.001"),
            serial="HM-0301",
            calibrated_on="2026-01-15",
            interval_months=12,
            certificate="HM-C-0501 (invented)",
            uncertainty=Decimal("0.003"),
        )

        assert (expected,) == read_tools(MICROMETER.encode(), "tools.toml")

    @pytest.mark.parametrize("kind", ["micrometer", "caliper", "dial gauge", "depth gauge", "feeler gauges"])
    def test_what_measures_lengths(self, kind: str) -> None:
        """Inches as well as millimetres."""
        text = MICROMETER.replace("micrometer", kind).replace(" mm", " in").replace('"mm"', '"in"')

        assert (kind, "in") == ((read := read_tools(text.encode(), "tools.toml")[0]).kind, read.unit)

    def test_a_pressure_gauge(self) -> None:
        """In bar."""
        text = MICROMETER.replace("micrometer", "pressure gauge").replace(" mm", " bar").replace('"mm"', '"bar"')

        assert "bar" == read_tools(text.encode(), "tools.toml")[0].unit


class TestScale:
    """The window must lie on the scale."""

    @pytest.mark.parametrize(
        ("low", "high", "sentence"),
        [
            ("0.10", "0.25", "M1: starts at 75 mm"),
            ("120", "121", "M1: ends at 100 mm"),
            (None, "3", "M1: starts at 75 mm"),
        ],
    )
    def test_beside_it_nothing_can_be_read(self, low: str | None, high: str, sentence: str) -> None:
        """No reason makes a micrometer for 75 to 100 mm measure a gap."""
        assert sentence == fitness(M1, wanted(low, high)).cannot

    def test_an_end_beyond_it_needs_a_reason(self) -> None:
        """Leaves up to 1 mm for a gap of up to 1.2 mm."""
        found = fitness(F1, wanted("0.20", "1.20")).against

        assert (OffScale(Decimal("1.20"), Decimal("0.05"), Decimal(1), "mm"),) == found
        assert "its scale (0.05–1.00 mm) does not reach 1.20 mm" == clause(found[0])
        assert "window beyond its scale" == cause(found[0])

    def test_a_length_is_no_pressure(self) -> None:
        """Nor the other way round."""
        assert "P1: does not measure this" == fitness(P1, wanted("0.1", "0.2")).cannot
        assert fitness(P1, wanted("300", "320", unit="bar")).suits

    def test_in_the_unit_of_its_scale(self) -> None:
        """0.10 to 0.25 mm are 0.0039 to 0.0098 in (1 in = 25.4 mm): on a dial gauge up to 0.4 in, not on 0.005 in."""
        inches = Tool(
            id="d2",
            name="D2",
            kind="dial gauge",
            unit="in",
            minimum=Decimal(0),
            maximum=Decimal("0.4"),
            resolution=Decimal("0.0005"),
        )
        short = Tool(
            id="d3",
            name="D3",
            kind="dial gauge",
            unit="in",
            minimum=Decimal(0),
            maximum=Decimal("0.005"),
            resolution=Decimal("0.0001"),
        )

        assert fitness(inches, wanted("0.10", "0.25")).suits
        assert [OffScale] == [type(each) for each in fitness(short, wanted("0.10", "0.25")).against]


class TestResolution:
    """Ten scale lines in the width of the window are fine, five are enough, fewer need a reason."""

    @pytest.mark.parametrize(
        ("width", "notes", "against"), [("0.10", 0, 0), ("0.09", 1, 0), ("0.05", 1, 0), ("0.04", 0, 1)]
    )
    def test_against_the_width(self, width: str, notes: int, against: int) -> None:
        """Lines 0.01 mm apart."""
        found = fitness(D1, wanted("1.00", str(Decimal("1.00") + Decimal(width))))

        assert (notes, against) == (len(found.notes), len(found.against))

    def test_what_is_said(self) -> None:
        """Leaves of 0.05 mm for a window of 0.15 mm."""
        found = fitness(F1, wanted("0.10", "0.25")).against

        assert (TooCoarse(Decimal("0.05"), Decimal("0.15"), "mm"),) == found
        assert "scale lines 0.05 mm apart, coarse for a window 0.15 mm wide" == clause(found[0])

    @pytest.mark.parametrize(
        ("judges", "said"),
        [("spread", "the spread of 0.15 mm"), ("difference", "the window of the difference, 0.15 mm wide")],
    )
    def test_what_the_width_is_of_is_said(self, judges: Judges, said: str) -> None:
        """The window of the gap itself, 0.8 mm wide, is not what the points are held against."""
        narrow = replace(wanted("0.20", "1.00"), width=Decimal("0.15"), judges=judges)

        (found,) = fitness(F1, narrow).against

        assert f"scale lines 0.05 mm apart, coarse for {said}" == clause(found)

    def test_where_nothing_is_judged_any_will_do(self) -> None:
        """No window, no width."""
        assert fitness(F1, wanted(None, None)).suits


class TestUncertainty:
    """What the certificate leaves open must fit into the window (JCGM 106)."""

    def test_more_than_the_window_leaves_needs_a_reason(self) -> None:
        """±0.004 mm in a window of 0.006 mm, which leaves 0.003 mm either way."""
        found = fitness(M1, wanted("80.000", "80.006")).against

        assert LessSure(Decimal("0.004"), Decimal("0.003"), "mm") in found

    def test_two_readings_are_less_sure_than_one(self) -> None:
        """A stretch is the difference of two lengths: 0.004 mm times the root of two are 0.00566 mm."""
        one, two = wanted("80.00", "80.01"), wanted("80.00", "80.01", differs=True)

        assert LessSure not in {type(each) for each in fitness(M1, one).against}
        assert LessSure(Decimal("0.00566"), Decimal("0.005"), "mm") in fitness(M1, two).against

    def test_how_probably_it_holds_the_window(self) -> None:
        """In the middle of 0.02 mm, with u of 0.002 mm (k = 2) and a step of 0.01 mm (0.01 / √12): 2Φ(0.01/u) - 1."""
        u = math.hypot(0.002, 0.01 / math.sqrt(12))
        expected = 2 * NormalDist().cdf(0.01 / u) - 1

        found = ranked(M1, wanted("80.00", "80.02"), Circumstances()).probability

        assert found is not None
        assert expected == pytest.approx(found, abs=1e-9)

    def test_a_certificate_that_says_nothing_is_told(self) -> None:
        """Then nobody can say how probably."""
        one = ranked(D1, wanted("0.10", "0.25"), Circumstances())

        assert one.probability is None
        assert ("its uncertainty is not known",) == reasons(one, wanted("0.10", "0.25"))


class TestRanking:
    """The best first, of those that measure what is asked for."""

    def test_torque_tools_measure_nothing_else(self) -> None:
        """Where a gap is measured no wrench stands in the list, and no micrometer where torque is asked for."""
        tools = looked_at(Stock((W1, M1, F1, D1, P1, G1)))

        assert ["D1", "F1", "M1"] == [each.tool.name for each in rank(tools, wanted("0.10", "0.25"))]
        assert ["W1", "G1"] == [each.tool.name for each in rank(tools, Demand(need="torque"))]
        assert ["G1", "W1"] == [each.tool.name for each in rank(tools, Demand(need="angle"))]


class TestReading:
    """What an instrument can show."""

    @pytest.mark.parametrize(("shown", "between"), [("95.20", False), ("95.205", True), ("95.2", False)])
    def test_between_two_lines(self, shown: str, between: bool) -> None:
        """Lines 0.01 mm apart."""
        assert between == finer(M1, Decimal(shown))

    @pytest.mark.parametrize(("shown", "off"), [("74.99", True), ("75", False), ("100", False), ("100.01", True)])
    def test_off_its_scale(self, shown: str, off: bool) -> None:
        """75 to 100 mm, both ends on it."""
        assert off == off_scale(M1, Decimal(shown))
