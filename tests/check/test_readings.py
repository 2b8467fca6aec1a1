"""Readings from a file: taken exactly, or told what is wrong, line by line and all at once."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from check.doing import R1, W2, W5
from clampbook.check import rests_on
from clampbook.check.codes import Code
from clampbook.check.from_file import judge_file, plan_of_file
from clampbook.check.planning import NoCheck
from clampbook.check.readings import MOST_FAULTS, read_readings
from clampbook.faults import CODES, Faulty, show
from clampbook.tools.model import Tool
from error_examples import FOLDERS, TOLD
from error_examples import told as told_of

EXAMPLES = FOLDERS[1]


def told(data: bytes) -> str:
    """What is told of these bytes."""
    try:
        read_readings(data, "readings.csv", "N·m")
    except Faulty as faulty:
        return "".join(f"{show(fault)}\n" for fault in faulty.faults)
    return ""


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.iterdir()))
def test_a_wrong_file_is_told_as_written_beside_it(name: str) -> None:
    """Every wrong line has a sentence with its number, all of them at once."""
    assert (EXAMPLES / name / TOLD).read_text(encoding="utf-8") == told_of(EXAMPLES / name)


def test_every_code_has_an_example_and_an_explanation() -> None:
    """No fault of a file of readings is without a reproduction."""
    assert {code.value for code in Code} == {path.name[:4] for path in EXAMPLES.iterdir()}
    assert [] == [code.value for code in Code if code.value not in CODES]


def test_readings_keep_their_order_and_their_digits() -> None:
    """Numbers are taken as they are written."""
    found = read_readings(b"reference,indicated,technique\n20.10,20,slow\n19.9,20,quick\n", "f", "N·m")

    assert (Decimal("20.10"), Decimal("19.9")) == found.reference
    assert ("slow", "quick") == found.techniques


def test_a_plain_file_and_the_same_with_quotes_say_the_same() -> None:
    """Quotes, blanks, the order of columns and line ends make no difference."""
    plain = read_readings(b"reference,indicated,technique\n20.1,20,slow\n", "f", "N·m")
    quoted = read_readings(b'\xef\xbb\xbf"technique", indicated ,reference\r\n"slow", 20 ,20.1\r\n', "f", "N·m")

    assert plain == quoted


def test_a_column_in_another_unit_is_converted() -> None:
    """10 lbf·ft are 13.558179483314 N·m (NIST SP 811: 1.355 818)."""
    found = read_readings("reference (lbf·ft),indicated (N·m)\n10,13.6\n".encode(), "f", "N·m")

    assert (Decimal("13.558179483314004"),) == found.reference


def test_a_technique_with_a_comma_stands_in_quotes() -> None:
    """The comma is kept."""
    found = read_readings(b'reference,indicated,technique\n20.1,20,"slow, steady"\n', "f", "N·m")

    assert ("slow, steady",) == found.techniques


@pytest.mark.parametrize("cell", ['"slow, steady', '"slow" steady', '"slow ""steady'])
def test_quotes_that_do_not_close_around_a_cell_are_told(cell: str) -> None:
    """A quote left open would take in the lines below it: it is told where it stands, and each line is read alone."""
    found = told(f"reference,indicated,technique\n20.1,20,{cell}\n20.2,20,quick\n".encode())

    assert "readings.csv line 2, E282: the quotes do not close around a whole cell" in found
    assert 1 == found.count("readings.csv line")


def test_a_quote_within_a_technique_is_written_twice() -> None:
    """As spreadsheets do."""
    found = read_readings(b'reference,indicated,technique\n20.1,20,"the ""slow"" way"\n', "f", "N·m")

    assert ('the "slow" way',) == found.techniques


def test_what_is_not_utf_8_is_told_with_its_line() -> None:
    """A file from an old spreadsheet."""
    assert "readings.csv line 3, E281" in told(b"reference,indicated\n20,20\n20,2\xb0\n")


def test_a_file_that_is_wrong_throughout_is_told_with_an_end() -> None:
    """Nobody reads ten thousand sentences."""
    lines = told(b"reference,indicated\n" + b"x,y\n" * 10_000).count(", E28")

    assert MOST_FAULTS + 1 == lines


def test_points_and_series_come_out_of_the_readings() -> None:
    """Each torque that was held is a point, each label a series."""
    data = b"reference,indicated,technique\n" + b"20.1,20,slow\n60.3,60,slow\n20.3,20,quick\n60.9,60,quick\n" * 5
    plan, readings = plan_of_file(W2, R1, data, "f")
    found = judge_file(plan, readings)

    assert [Decimal(20), Decimal(60)] == [point.value for point in plan.points]
    assert ["slow", "quick"] == [each.series.technique for each in found.series]
    assert "passed" == found.verdict
    assert 2 == len(found.beside)


def test_of_an_indicating_tool_the_side_that_stays_the_same_was_held() -> None:
    """Brought to the point by the reference, the tool's readings vary."""
    plan, _ = plan_of_file(W5, R1, b"reference,indicated\n60,60.3\n60,59.8\n60,60.1\n", "f")

    assert "reference" == plan.held


def test_many_different_torques_are_sorted_to_the_points_of_the_standard() -> None:
    """Whoever never meets the same mark twice has points all the same."""
    rows = "".join(f"{20 + n / 10},{20 + n / 10 + 0.05:.2f}\n" for n in range(50))
    plan, readings = plan_of_file(W5, R1, f"reference,indicated\n{rows}".encode(), "f")

    assert [Decimal(20)] == [point.value for point in plan.points]
    assert 50 == sum(each.figures.n for each in judge_file(plan, readings).series if each.figures is not None)


@pytest.mark.parametrize(("tool", "torque"), [(W2, "101"), (W2, "19"), (W5, "111"), (W5, "5000"), (W5, "17.9")])
def test_a_torque_that_the_tool_cannot_have_shown_is_refused(tool: Tool, torque: str) -> None:
    """W2 and W5 go from 20 to 100 N·m: the file is of another tool, or in another unit."""
    with pytest.raises(NoCheck, match="outside the scale"):
        plan_of_file(tool, R1, f"reference,indicated\n{torque},{torque}\n".encode(), "f")


def test_a_torque_that_the_reference_cannot_have_shown_is_refused() -> None:
    """R1 ends at 200 N·m."""
    with pytest.raises(NoCheck, match=r"221 N·m lies outside the scale of R1"):
        plan_of_file(replace(W5, maximum=Decimal(400)), R1, b"reference,indicated\n60,60\n221,220\n", "f")


def test_a_pull_by_hand_may_end_a_little_beyond_the_last_mark() -> None:
    """Within a tenth of the scale of an indicating tool."""
    plan, _ = plan_of_file(W5, R1, b"reference,indicated\n100.4,101.2\n", "f")

    assert [Decimal("101.2")] == [point.value for point in plan.points]


def test_a_file_is_judged_against_a_reference_only() -> None:
    """As at the bench: another workshop tool would add its own error unseen, and a tool agrees with itself."""
    for other in (W2, W5):
        with pytest.raises(NoCheck):
            plan_of_file(W5, other, b"reference,indicated\n60,60\n", "f")


def test_a_direction_in_which_the_tool_does_not_work_is_refused() -> None:
    """A tool that works clockwise only has no readings anticlockwise."""
    with pytest.raises(NoCheck, match="clockwise only"):
        one_way = replace(W5, directions="clockwise")
        plan_of_file(one_way, R1, b"reference,indicated\n60,60\n", "f", direction="anticlockwise")


def test_a_file_with_few_readings_is_told_so() -> None:
    """ISO 6789-1 has five at each of three points; one at one of them shows little of a tool."""
    few = rests_on.told(plan_of_file(W5, R1, b"reference,indicated\n60,60\n", "f")[0])
    rows = "".join(f"{at},{at}\n" * 5 for at in (20, 60, 100))
    enough = rests_on.told(plan_of_file(W5, R1, f"reference,indicated\n{rows}".encode(), "f")[0])

    assert [True, False] == ["less than ISO 6789-1 has" in " ".join(told) for told in (few, enough)]


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_give_readings_or_sentences(data: bytes) -> None:
    """Never a traceback."""
    told(data)


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet='0123456789.,;-"\n ax·N', max_size=80))
def test_any_lines_below_a_good_head_give_readings_or_sentences(rest: str) -> None:
    """Each sentence names a line, or the file as a whole."""
    said = told(f"reference,indicated\n{rest}".encode())

    assert said == "" or said.startswith(("readings.csv line ", "readings.csv, "))
