"""Published worked examples, run through `clampbook estimate` as anybody would."""

from __future__ import annotations

import json
from typing import Any

import pytest

from clampbook import cli

Captured = pytest.CaptureFixture[str]
LBF = 4.4482216152605


def estimated(capsys: Captured, *arguments: str) -> dict[str, Any]:
    """What the command prints as one object."""
    assert cli.status(["estimate", *arguments, "--json"]) in (0, 1)
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def pounds(found: dict[str, Any], end: str = "likely") -> float:
    """An end of the clamp load in lbf."""
    return float(found["clamp_load"][end]["value"]) * 1000 / LBF


def test_a_small_stainless_screw_of_an_examination_problem(capsys: Captured) -> None:
    """0.190-32, K 0.2, 70 % of 70 000 psi over 0.02 in² is 980 lbf, and that is 37 lbf·in.

    A practice problem on fastener torques for the fundamentals-of-engineering examination (public collection of such
    problems, number 112; problem and solution read). 37 is cut off: 0.2 · 0.19 · 980 = 37.24.
    """
    found = estimated(capsys, "--thread", "10-32", "--torque", "37.24 lbf in", "--nut-factor", "0.2")

    assert 980 == pytest.approx(pounds(found), rel=0.001)
    assert 0.02 == pytest.approx(found["stress_area"]["value"] / 25.4**2, abs=0.0005)


def test_a_reusable_bolt_of_a_handbook(capsys: Captured) -> None:
    """M10, proof stress 310 MPa, to be used again: 75 % of the proof load is 13.48 kN, at K 0.2 that is 26.96 N·m.

    Childs, Mechanical Design Engineering Handbook (2014), Example 16.1: problem read, figures of the answer from
    memory. 310 MPa is the proof stress of class 4.8.
    """
    found = estimated(capsys, "--thread", "M10", "--class", "4.8", "--torque", "26.96 N·m", "--nut-factor", "0.2")

    assert 13.48 == pytest.approx(found["clamp_load"]["likely"]["value"], abs=0.005)
    assert 75 == pytest.approx(found["share_of_proof"]["value"], abs=0.1)


def test_a_flange_bolt_of_a_laboratory_guideline(capsys: Captured) -> None:
    """5/8-11, A_t 0.226 in², K 0.2, 1 800 lbf·in, ± 35 %: 14 400 lbf nominally, 9 360 and 19 440 at the ends.

    Sandia report SAND2008-0371 (2008), Appendix C, which takes up an example of Shigley, Mechanical Engineering Design,
    7th ed. (grade 5, three quarters of the proof load of 85 kpsi). Figures that go in read; results by the report's own
    P = T/(K D) and (1 ± 0.35) P, worked out by hand. The ± 35 % on the load are one of T/K, so they are given as the
    window of the torque.
    """
    arguments = ("--torque", "1800 lbf in", "--nut-factor", "0.2", "--within", "35 %")
    found = estimated(capsys, "--thread", "5/8-11 UNC", "--class", "SAE grade 5", *arguments)

    assert [9360, 14400, 19440] == pytest.approx([pounds(found, end) for end in ("low", "likely", "high")])
    assert 0.226 == pytest.approx(found["stress_area"]["value"] / 25.4**2, abs=0.0005)
    assert 75 == pytest.approx(found["share_of_proof"]["value"], abs=0.2)


def test_a_large_bolt_of_a_textbook_problem(capsys: Captured) -> None:
    """M30, A_t 561 mm², S_p 600 MPa: F_i = 0.75 · 561 · 600 = 252.45 kN.

    Shigley, Mechanical Engineering Design, 8th ed., solution of problem 8-37, read. At K 0.2 this preload needs
    0.2 · 30 mm · 252.45 kN = 1 514.7 N·m (by hand).
    """
    found = estimated(capsys, "--thread", "M30", "--class", "8.8", "--torque", "1514.7 N·m", "--nut-factor", "0.2")

    assert 252.45 == pytest.approx(found["clamp_load"]["likely"]["value"], rel=1e-6)
    assert 561 == pytest.approx(found["stress_area"]["value"], abs=0.5)
    assert 0.75 * 561 * 0.6 == pytest.approx(0.75 * found["proof_load"]["value"], rel=0.001)
    assert 75 == pytest.approx(found["share_of_proof"]["value"], abs=0.1)


def test_a_lubricated_bolt_for_good_of_a_textbook_problem(capsys: Captured) -> None:
    """M20, S_p 600 MPa, A_t 245 mm²: F_i = 0.9 · 245 · 600 = 132.3 kN, and with K 0.18 T = 476 N·m.

    Shigley, Mechanical Engineering Design, 8th ed., solution of problem 8-29 (a), read, torque and preload alike. Both
    are cut to what is printed: 476 N·m stands for 475.5 to 476.5, which is 0.1 %.
    """
    found = estimated(capsys, "--thread", "M20", "--class", "8.8", "--torque", "476 N·m", "--nut-factor", "0.18")

    assert 132.3 == pytest.approx(found["clamp_load"]["likely"]["value"], rel=0.0015)
    assert 245 == pytest.approx(found["stress_area"]["value"], abs=0.5)
    assert 90 == pytest.approx(found["share_of_proof"]["value"], abs=0.2)


def test_a_fine_inch_screw_of_a_textbook_problem(capsys: Captured) -> None:
    """3/8-24 UNF: T = (11 475 A_t) d = 1 007.5 · 0.375 = 378 lbf·in.

    Shigley, Mechanical Engineering Design, 8th ed., end of the solution of problem 8-47, read. 11 475 is K times three
    quarters of the proof stress, 0.18 · 0.75 · 85 000 psi (K 0.18 stands in the next line there, 85 kpsi is grade 5),
    so the preload is 1 007.5/0.18 = 5 597 lbf and uses 75 % of the proof load. 378 stands for 377.5 to 378.5.
    """
    arguments = ("--torque", "378 lbf in", "--nut-factor", "0.18")
    found = estimated(capsys, "--thread", "3/8-24 UNF", "--class", "SAE grade 5", *arguments)

    assert 1007.5 / 0.18 == pytest.approx(pounds(found), rel=0.0015)
    assert 1007.5 / 11475 == pytest.approx(found["stress_area"]["value"] / 25.4**2, abs=0.00005)
    assert 75 == pytest.approx(found["share_of_proof"]["value"], abs=0.2)


def test_a_bolt_of_the_guideline_table_at_nine_tenths_of_yield(capsys: Captured) -> None:
    """M12, 10.9, friction 0.12: 123 N·m bring 63.2 kN, 90 % of yield (VDI 2230, Table A1; the torque from memory)."""
    arguments = ("--torque", "123 N·m", "--thread-friction", "0.12", "--head-friction", "0.12")
    found = estimated(capsys, "--thread", "M12", "--class", "10.9", *arguments)

    assert 63.2 == pytest.approx(found["clamp_load"]["likely"]["value"], rel=0.006)
    assert 90 == pytest.approx(found["share_of_yield"]["likely"]["value"], abs=0.7)
