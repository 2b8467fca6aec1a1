"""Published torques are not unusual, and the slips that practice names bring them into query."""

from __future__ import annotations

import pytest

from clampbook.procedure.reader import read
from clampbook.review.review import review

# VDI 2230 Part 1:2003, Table A1: tightening torque in N·m at 90 % of yield for friction 0.10 and 0.12, hexagon bolts;
# from memory.
VDI = [
    ("M8", "8.8", 21.6, 24.6),
    ("M8", "10.9", 31.8, 36.1),
    ("M10", "8.8", 43, 48),
    ("M10", "10.9", 63, 71),
    ("M12", "8.8", 73, 84),
    ("M12", "10.9", 108, 123),
]
# ASME PCC-1-2013, Table 1M: target torque in N·m for 345 MPa at the root, uncoated bolts of friction 0.16 and coated
# ones of 0.12; read in a copy.
FLANGES = [("M14", 110, 85), ("M16", 160, 130), ("M20", 350, 250), ("M24", 550, 450), ("M30", 1150, 900)]
# FAA AC 43.13-1B, Table 7-1: torque in lbf·in, oil-free cadmium threads, tension nuts; the middle of each row.
AIRCRAFT = [("1/4-28 UNF", 60), ("5/16-24 UNF", 120), ("3/8-24 UNF", 175), ("1/2-20 UNF", 585), ("5/8-18 UNF", 1200)]


def sheet(thread: str, grade: str, torque: float, rubs: str, unit: str = "N·m") -> str:
    """A procedure of one group with one torque, held within 4 %."""
    return (
        f'format = 2\ntitle = "Joint"\nrevision = "A"\nunit = "{unit}"\nsource = "a table"\n\n'
        f'[[group]]\nname = "Bolts"\npositions = "1-4"\nthread = "{thread}"\nproperty_class = "{grade}"\n'
        f'lubrication = "as the table has it"\n{rubs}\n\n'
        f'[[stage]]\ndo = "tighten"\nto = "{torque:g} {unit}"\nwithin = "±4 %"\n'
    )


def codes(text: str) -> list[str]:
    """What is unusual."""
    return [query.code for query in review(read(text.encode())).queries]


def even(friction: float) -> str:
    """The same friction in thread and under the head, between it and a little more."""
    return f"friction = {{ thread = [{friction}, {friction + 0.04}], head = [{friction}, {friction + 0.04}] }}"


@pytest.mark.parametrize(("thread", "grade", "at_10", "at_12"), VDI)
def test_table_torque_is_not_queried(thread: str, grade: str, at_10: float, at_12: float) -> None:
    """What uses 90 % of yield at the lowest friction of its band, and 4 % more, stays below yield."""
    assert [] == codes(sheet(thread, grade, at_10, even(0.10)))
    assert [] == codes(sheet(thread, grade, at_12, even(0.12)))


@pytest.mark.parametrize(("thread", "uncoated", "coated"), FLANGES)
def test_flange_torque_is_not_queried(thread: str, uncoated: float, coated: float) -> None:
    """Targets of the flange table stand for some 60 % of the proof load of a strong bolt."""
    assert [] == codes(sheet(thread, "8.8", uncoated, even(0.14)))
    assert [] == codes(sheet(thread, "8.8", coated, even(0.10)))


@pytest.mark.parametrize(("thread", "torque"), AIRCRAFT)
def test_aircraft_torque_is_not_queried(thread: str, torque: float) -> None:
    """Torques for tension nuts, on bolts about as strong as grade 5."""
    assert [] == codes(sheet(thread, "SAE grade 5", torque, "nut_factor = [0.16, 0.24]", "lbf·in"))


@pytest.mark.parametrize("factor", [1.356, 8.85, 10, 12])
@pytest.mark.parametrize(("thread", "grade", "at_10", "at_12"), VDI)
def test_slip_upwards_is_queried(thread: str, grade: str, at_10: float, at_12: float, factor: float) -> None:
    """A torque too large by a unit or a decimal place goes beyond what the bolt bears."""
    del at_10

    assert ["W401"] == codes(sheet(thread, grade, at_12 * factor, even(0.12)))


@pytest.mark.parametrize("factor", [8.85, 10, 12])
@pytest.mark.parametrize(("thread", "grade", "at_10", "at_12"), VDI)
def test_slip_downwards_is_queried(thread: str, grade: str, at_10: float, at_12: float, factor: float) -> None:
    """A torque too small by a unit or a decimal place holds next to nothing; by 1.356 it is a usual one."""
    del at_10

    assert ["W411"] == codes(sheet(thread, grade, at_12 / factor, even(0.12)))


def test_figures_of_a_query_agree_with_the_table() -> None:
    """M10 8.8 at friction 0.10 has 30.3 kN at 43 N·m and a proof load of 33.7 kN (ISO 898-1); 75 N·m is 157 % of it."""
    query = review(read(sheet("M10", "8.8", 75 / 1.04, even(0.10)).encode())).queries[0]

    percent = float(query.text.split(" kN, ")[1].split(" %")[0])
    # What the tables' rounding allows: 43 by 1.2 %, 30.3 by 0.2 %, 33.7 by 0.3 %.
    assert 100 * 75 / 43 * 30.3 / 33.7 == pytest.approx(percent, rel=0.017)
