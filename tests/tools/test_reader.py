"""tools.toml: read into tools, or into all its faults at once."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.faults import Faulty
from clampbook.tools.model import Adapter, Tool, Withdrawn
from clampbook.tools.reader import read_stock, read_tools
from clampbook.units import Quantity

SETTING = """\
[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "ft-lb"
range = ["10 lbf·ft", "80 ft lb"]
resolution = "0,5 lbf·ft"
wound_down = true
wound_down_to = "10 lbf·ft"
serial = "0815"
calibrated_on = 2026-01-15
calibration_due = "2027-01-15"
note = "blue tape"
"""
GAUGE = """\
[[tool]]
id = "g1"
name = "G1"
kind = "angle gauge"
resolution = "1°"
"""


def faults(text: str) -> list[tuple[int | None, str, str]]:
    """Line, key and code of every fault of a tools file."""
    with pytest.raises(Faulty) as faulty:
        read_tools(text.encode(), "tools.toml")
    return [(fault.line, fault.key, fault.code) for fault in faulty.value.faults]


class TestTools:
    """What is written is what the tool is."""

    def test_a_setting_tool(self) -> None:
        """Units in whatever spelling become one, numbers stay as they were written, days become days."""
        expected = Tool(
            id="w2",
            name="W2",
            kind="setting",
            unit="lbf·ft",
            minimum=Decimal(10),
            maximum=Decimal(80),
            resolution=Decimal("0.5"),
            wound_down=True,
            wound_down_to=Decimal(10),
            serial="0815",
            calibrated_on="2026-01-15",
            calibration_due="2027-01-15",
            note="blue tape",
        )

        assert (expected,) == read_tools(SETTING.encode(), "tools.toml")

    def test_an_angle_gauge_speaks_degrees(self) -> None:
        """A gauge needs neither unit nor range, and reads angles."""
        expected = Tool(id="g1", name="G1", kind="angle gauge", unit="°", resolution=Decimal(1), reads_angle=True)

        assert (expected,) == read_tools(GAUGE.encode(), "tools.toml")

    def test_the_order_of_the_file_is_kept(self) -> None:
        """Tools are offered in the order in which somebody wrote them down."""
        tools = read_tools((GAUGE + SETTING).encode(), "tools.toml")

        assert ["g1", "w2"] == [tool.id for tool in tools]

    @pytest.mark.parametrize("text", ["", "# no tools yet\n", "format = 2\n", "tool = []\n"])
    def test_a_file_without_tools(self, text: str) -> None:
        """A book may begin with none."""
        assert () == read_tools(text.encode(), "tools.toml")


class TestFaults:
    """Each slip with its line, its key and its code."""

    @pytest.mark.parametrize(
        ("written", "instead", "expected"),
        [
            ('id = "w2"', 'id = "W 2"', (2, "tool[1].id", "E261")),
            ('kind = "setting"', 'kind = "clicker"', (4, "tool[1].kind", "E119")),
            ('unit = "ft-lb"\n', "", (1, "tool[1].unit", "E116")),
            ('unit = "ft-lb"', 'unit = "lb"', (5, "tool[1].unit", "E201")),
            ('unit = "ft-lb"', 'unit = "mm"', (5, "tool[1].unit", "E201")),
            ('range = ["10 lbf·ft", "80 ft lb"]\n', "", (1, "tool[1].range", "E265")),
            ('range = ["10 lbf·ft", "80 ft lb"]', 'range = [10, "80 ft lb"]', (6, "tool[1].range[1]", "E118")),
            ('range = ["10 lbf·ft"', 'range = ["90 lbf·ft"', (6, "tool[1].range", "E263")),
            ('range = ["10 lbf·ft"', 'range = ["10 N·m"', (6, "tool[1].range", "E262")),
            ('range = ["10 lbf·ft"', 'range = ["10°"', (6, "tool[1].range", "E201")),
            ('resolution = "0,5 lbf·ft"\n', "", (1, "tool[1].resolution", "E265")),
            ('resolution = "0,5 lbf·ft"', 'resolution = "0 lbf·ft"', (7, "tool[1].resolution", "E263")),
            ('resolution = "0,5 lbf·ft"', "resolution = 0.5", (7, "tool[1].resolution", "E118")),
            ("wound_down = true\n", "", (8, "tool[1].wound_down_to", "E264")),
            ('wound_down_to = "10', 'wound_down_to = "100', (9, "tool[1].wound_down_to", "E264")),
            ("calibrated_on = 2026-01-15", 'calibrated_on = "2026-02-30"', (11, "tool[1].calibrated_on", "E235")),
            ('serial = "0815"', "serial = 815", (10, "tool[1].serial", "E117")),
            ("serial =", "seriel =", (10, "tool[1].seriel", "E115")),
            ('note = "blue tape"', 'note = "blue\\u202etape"', (13, "tool[1].note", "E123")),
            ("[[tool]]", "[tool]", (1, "tool", "E122")),
            ("[[tool]]", "format = 3\n[[tool]]", (1, "format", "E114")),
            ("[[tool]]", "[[wrench]]", (1, "wrench", "E115")),
            ("[[tool]]", "[[tool]", (1, "", "E122")),
        ],
    )
    def test_one_slip_is_one_fault(self, written: str, instead: str, expected: tuple[int, str, str]) -> None:
        """Each way of going wrong has one fault, at the line where it stands."""
        assert written in SETTING

        assert [expected] == faults(SETTING.replace(written, instead, 1))

    def test_all_faults_at_once(self) -> None:
        """The faults of several tools, of shape and of meaning, are told together, in the order of their lines."""
        text = (
            SETTING
            + SETTING.replace('"w2"', '"w3"').replace('"W2"', '"W3"').replace('"0,5 lbf·ft"', "0.5")
            + GAUGE.replace('"1°"', '"1 mm"')
        )

        assert [(20, "E118"), (31, "E201")] == [(line, code) for line, _, code in faults(text)]

    def test_an_id_or_name_twice_is_a_fault(self) -> None:
        """Look-alikes are told apart by name, so a name that differs only in capitals is the same one."""
        text = SETTING + GAUGE.replace('"g1"', '"w2"').replace('"G1"', '"w2"')

        assert [(15, "tool[2].id", "E221"), (16, "tool[2].name", "E221")] == faults(text)

    @settings(max_examples=150, deadline=None)
    @given(st.integers(0, len(SETTING)), st.integers(0, 12), st.text(max_size=6))
    def test_no_damage_ends_in_anything_but_faults(self, place: int, length: int, other: str) -> None:
        """Cut, doubled or overwritten anywhere, the file gives tools or faults, never a failure."""
        text = SETTING[:place] + other + SETTING[place + length :]

        try:
            tools = read_tools(text.encode(), "tools.toml")
        except Faulty as faulty:
            assert all(fault.text and fault.code for fault in faulty.faults)
        else:
            assert all(isinstance(tool, Tool) for tool in tools)


OF_THE_STANDARD = SETTING.replace(
    'serial = "0815"',
    """\
iso_6789 = "II A"
working_range = ["20 lbf·ft", "70 lbf·ft"]
lever = "17 in"
directions = "clockwise"
interval_months = 12
interval_pulls = 5000
certificate = "C 12"
uncertainty = "0.8 %"
coverage = 2.05
withdrawn_on = 2026-02-20
withdrawn_because = "bent"
serial = "0815\"""",
)
ADAPTERS = """\
[[adapter]]
id = "a1"
name = "A1"
extension = "-30 mm"
offset = "0.125 turn"
note = "ring"
"""


class TestWhatATrustedToolNeeds:
    """Standard, calibration, lever, and whether it is in use at all."""

    def test_all_of_it_is_read(self) -> None:
        """Each key becomes what it says; the deviation comes from type and class."""
        (tool,) = read_tools(OF_THE_STANDARD.encode(), "tools.toml")

        assert ("II", "A", Decimal(4)) == (tool.iso_type, tool.iso_class, tool.permissible_deviation)
        assert ((Decimal(20), Decimal(70)), Quantity(Decimal(17), "in")) == (tool.working_range, tool.lever)
        assert ("clockwise", 12, 5000, "C 12") == (
            tool.directions,
            tool.interval_months,
            tool.interval_pulls,
            tool.certificate,
        )
        assert (Decimal("0.8"), Decimal("2.05")) == (tool.uncertainty, tool.coverage)
        assert Withdrawn(on="2026-02-20", reason="bent") == tool.withdrawn

    def test_a_deviation_that_is_written_counts(self) -> None:
        """A maker may promise less than the standard allows; "±" may be written or not."""
        for written in ("±3 %", "3 %"):
            text = OF_THE_STANDARD.replace("lever =", f'permissible_deviation = "{written}"\nlever =')
            (tool,) = read_tools(text.encode(), "tools.toml")

            assert (Decimal(3), "tools.toml") == (tool.permissible_deviation, tool.permissible_from)

    def test_an_adapter(self) -> None:
        """Signed, at an angle that is kept in degrees."""
        expected = Adapter(id="a1", name="A1", extension=Quantity(Decimal(-30), "mm"), offset=Decimal(45), note="ring")

        assert (expected,) == read_stock((SETTING + ADAPTERS).encode(), "tools.toml").adapters

    def test_one_that_goes_by_its_kind_is_measured_at_pick_up(self) -> None:
        """One text or several say what it is; length and angle may be left out then."""
        for written, kinds in (('"ring end, 19 mm"', 1), ('["ring end, 19 mm", "ring end, 3/4 in"]', 2)):
            text = f'[[adapter]]\nid = "a3"\nname = "A3"\nis = {written}\n'
            (adapter,) = read_stock((SETTING + text).encode(), "tools.toml").adapters

            assert (None, None, kinds) == (adapter.extension, adapter.offset, len(adapter.kinds or ()))

    def test_one_without_kind_and_length_says_nothing(self) -> None:
        """Nobody could work out what it does."""
        assert [(14, "adapter[1]", "E116")] == faults(f'{SETTING}[[adapter]]\nid = "a3"\nname = "A3"\n')

    def test_an_adapter_must_not_be_called_like_a_tool(self) -> None:
        """At the bench both are called by name."""
        text = SETTING + ADAPTERS.replace('"A1"', '"w2"')

        assert [(16, "adapter[1].name", "E221")] == faults(text)


@pytest.mark.parametrize(
    ("before", "now"),
    [('useful = ["20 N·m", "100 N·m"]', "working_range"), ("interval_cycles = 5000", "interval_pulls")],
)
def test_a_name_that_a_key_had_once_is_answered_with_the_one_it_has_now(before: str, now: str) -> None:
    """Whoever wrote the file before is told what to write, at the line."""
    row = '[[tool]]\nid = "w1"\nname = "W1"\nkind = "setting"\nunit = "N·m"\nrange = ["20 N·m", "100 N·m"]\n'

    with pytest.raises(Faulty) as faulty:
        read_tools(f"{row}{before}\n".encode(), "tools.toml")

    old = before.split(" ")[0]
    assert [(7, "E125", old, now)] == [
        (fault.line, fault.code, fault.found, fault.allowed) for fault in faulty.value.faults
    ]


class TestGives:
    """How a setting tool tells that its torque is there."""

    ROW = '[[tool]]\nid = "w1"\nname = "W1"\nunit = "N·m"\nrange = ["20 N·m", "100 N·m"]\nresolution = "1 N·m"\n'

    @pytest.mark.parametrize(
        ("written", "given"), [("", "click"), ('gives = "slip"\n', "slip"), ('gives = "break"\n', "break")]
    )
    def test_it_is_a_click_where_nothing_is_written(self, written: str, given: str) -> None:
        """Else as it is written."""
        (tool,) = read_tools(f'{self.ROW}kind = "setting"\n{written}'.encode(), "tools.toml")

        assert given == tool.gives

    def test_a_tool_that_shows_its_torque_has_nothing_to_give(self) -> None:
        """The key was meant for another tool."""
        with pytest.raises(Faulty) as faulty:
            read_tools(f'{self.ROW}kind = "indicating"\ngives = "slip"\n'.encode(), "tools.toml")

        assert ["E270"] == [fault.code for fault in faulty.value.faults]
