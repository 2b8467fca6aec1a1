"""`estimate`: the clamp load of a torque, without any book."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from clampbook.joint.band import STATISTICAL, WORST_CASE

from . import saying
from .saying import Captured

HEAD_BOLT = ("--thread", "M10x1.25", "--torque", "30 N·m", "--within", "± 2 N·m")
OILED = ("--thread-friction", "0.10-0.14", "--head-friction", "0.10-0.14")
CLAMPED = ("--part", "72 mm aluminium", "--into", "cast iron", "--shank", "50 mm")


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """No line is folded."""
    monkeypatch.setenv("COLUMNS", "400")


def said(capsys: Captured, *arguments: str) -> tuple[int, str, str]:
    """Exit status, output and talk of `estimate` with these arguments."""
    return saying.said(capsys, "estimate", *arguments)


def found(capsys: Captured, *arguments: str) -> dict[str, Any]:
    """The one object."""
    told: dict[str, Any] = json.loads(said(capsys, *arguments, "--json")[1])
    return told


def test_the_clamp_load_comes_first_and_is_called_an_estimate(capsys: Captured) -> None:
    """With its band put together in both ways, each labelled."""
    status, out, talk = said(capsys, *HEAD_BOLT, *OILED, "--class", "10.9")

    assert (0, "") == (status, talk)
    assert out.startswith("estimated clamp load 18.6 kN at 30.0 N·m (22.1 lbf·ft)\n")
    assert WORST_CASE in out
    assert STATISTICAL in out
    assert "of the proof load 37 %" in out


def test_one_figure_each_is_no_band_and_is_called_so(capsys: Captured) -> None:
    """A nut factor of 0.2 without any spread says nothing of how sure it is."""
    out = said(capsys, "--thread", "M10", "--torque", "40 N·m", "--nut-factor", "0.2")[1]

    assert "no band" in out
    assert WORST_CASE not in out


def test_whoever_types_pounds_reads_pounds_first(capsys: Captured) -> None:
    """1 800 lbf·in at K 0.2 on 5/8-11 are 14 400 lbf; area and diameters follow the thread, kN and mm stand beside."""
    inch = ("--thread", "5/8-11", "--torque", "1800 lbf in", "--nut-factor", "0.18-0.22", "--class", "grade 5")
    out = said(capsys, *inch)[1]

    assert out.startswith("estimated clamp load 14400 lbf (64.1 kN) at 1800 lbf·in (203 N·m)")
    assert "  13000 to 16000 lbf (58.2 to 71.2 kN), tightening factor 1.22" in out
    assert "stress area 0.226 in² (145.8 mm²), d2 0.5660 in (14.375 mm)" in out
    assert "proof load 19200 lbf (85.5 kN)" in out
    assert " lbf·in (" in out.partition("begins to yield")[2]


def test_an_inch_thread_pulled_in_newton_metres_has_newtons_first(capsys: Captured) -> None:
    """Loads follow the torque as typed."""
    out = said(capsys, "--thread", "5/8-11", "--torque", "203.4 N·m", "--nut-factor", "0.2")[1]

    assert out.startswith("estimated clamp load 64.1 kN (14400 lbf) at 203.4 N·m")
    assert "0.226 in² (145.8 mm²)" in out


def test_whoever_types_no_inches_reads_none(capsys: Captured) -> None:
    """A metric bolt in N·m has its loads in kN alone."""
    out = said(capsys, *HEAD_BOLT, *OILED, "--class", "10.9", "--angle", "90°", *CLAMPED)[1]

    assert " lbf " not in out
    assert " in²" not in out


@pytest.mark.parametrize(("thread", "area"), [("M300x6", "68060 mm²"), ("1-8", "0.606 in² (390.8 mm²)")])
def test_an_area_has_no_exponent(capsys: Captured, thread: str, area: str) -> None:
    """However large the thread."""
    assert f"stress area {area}," in said(capsys, "--thread", thread, "--torque", "30 N·m", "--nut-factor", "0.2")[1]


def test_figures_without_a_spread_give_an_angle_without_ends(capsys: Captured) -> None:
    """One torque and one nut factor: one angle."""
    one = ("--thread", "M10", "--class", "8.8", "--torque", "30 N·m", "--nut-factor", "0.18", "--angle", "20")

    assert re.search(r"yield at about \d+°, counted", said(capsys, *one, "--part", "30 mm steel")[1])


def test_the_face_below_an_inch_head_is_told_in_inches(capsys: Captured) -> None:
    """Half as wide again as a 3/8 in bolt, around it."""
    out = said(capsys, "--thread", "3/8-24", "--torque", "20 lbf ft", *OILED)[1]

    assert "(0.562 in around 0.375 in, a mean of 1.25 d" in out


def test_a_turn_is_told_in_pounds_to_whoever_typed_pounds(capsys: Captured) -> None:
    """With its band in both."""
    pull = ("--thread", "3/8-24", "--torque", "20 lbf ft", "--class", "grade 8", "--angle", "20°", *CLAMPED)
    out = said(capsys, *pull, *OILED)[1]
    line = next(line for line in out.splitlines() if line.startswith("after the turn"))

    assert re.fullmatch(
        r"after the turn about \d+ lbf \(\d+ to \d+\), [\d.]+ kN \([\d.]+ to [\d.]+\), an estimate", line
    )


def test_the_torque_for_a_wanted_clamp_load_is_told(capsys: Captured) -> None:
    """Problem 8-29 of Shigley, 8th ed., as it is asked there: 132.3 kN, 90 % of the proof load, needs 476 N·m."""
    bolt = ("--thread", "M20", "--class", "8.8", "--nut-factor", "0.18")

    assert said(capsys, *bolt, "--clamp-load", "132.3 kN")[1].startswith("torque about 476 N·m (351 lbf·ft)")
    assert 476 == pytest.approx(found(capsys, *bolt, "--clamp-load", "90 %")["torque"]["value"], rel=0.002)


@pytest.mark.parametrize("prevailing", ["0 N·m", "3 N·m"])
def test_there_and_back_is_the_same_clamp_load(capsys: Captured, prevailing: str) -> None:
    """With what a locking nut takes added on the way there."""
    bolt = ("--thread", "3/8-24", *OILED, "--prevailing", prevailing)
    torque = found(capsys, *bolt, "--clamp-load", "5000 lbf")["torque"]
    back = found(capsys, *bolt, "--torque", f"{torque['value']} {torque['unit']}")["clamp_load"]["likely"]["value"]

    assert "lbf·ft" == torque["unit"]
    assert 5000 * 4.4482216152605 / 1000 == pytest.approx(back, rel=1e-6)


def test_a_stainless_bolt_gives_more(capsys: Captured) -> None:
    """10° after 20 N·m at K 0.16 on M12 through 50 mm of steel: 20.25 kN with A4-80 (195 GPa), 20.68 with 205 GPa.

    By hand from VDI 2230 Part 1:2003, 5.1, with the cone integrated by scipy.
    """
    pull = ("--thread", "M12", "--torque", "20 N·m", "--nut-factor", "0.16", "--angle", "10", "--part", "50 mm steel")
    turned = [found(capsys, *pull, "--class", name)["after_turn"]["clamp_load"] for name in ("A4-80", "8.8")]

    assert [20.2465, 20.6773] == pytest.approx([each["likely"]["value"] for each in turned], rel=1e-4)


def test_yield_below_the_proof_load_is_explained(capsys: Captured) -> None:
    """M20 8.8 at K 0.18: 147 kN proof load, yet yield begins at 142 kN, since the torque twists the bolt as well."""
    out = said(capsys, "--thread", "M20", "--class", "8.8", "--torque", "476 N·m", "--nut-factor", "0.18")[1]

    assert "of the proof load 90 %, twist left out" in out
    assert "begins to yield at about 142 kN, 509 N·m (376 lbf·ft), below its proof load since friction twists it" in out


def test_torque_plus_an_angle_says_where_the_bolt_begins_to_yield(capsys: Captured) -> None:
    """30 N·m and 90° on a 10.9 head bolt through 72 mm of aluminium reach yield on the way."""
    told = found(capsys, *HEAD_BOLT, *OILED, "--class", "10.9", "--angle", "90°", *CLAMPED)["after_turn"]

    assert told["beyond_yield"]
    assert 65 < told["yields_at"]["value"] < 78
    assert (
        "reaches yield at about 72°"
        in said(capsys, *HEAD_BOLT, *OILED, "--class", "10.9", "--angle", "90", *CLAMPED)[1]
    )


def test_without_a_class_only_the_clamp_load_is_told(capsys: Captured) -> None:
    """What the bolt bears is not guessed, and what would tell it is named."""
    status, out, _ = said(capsys, *HEAD_BOLT, "--nut-factor", "0.16 to 0.20")

    assert 0 == status
    assert "--class" in out
    assert found(capsys, *HEAD_BOLT, "--nut-factor", "0.16-0.20")["share_of_proof"] is None


def test_a_torque_that_may_yield_the_bolt_is_something_to_look_at(capsys: Captured) -> None:
    """Exit status 1, and a sentence."""
    status, out, _ = said(capsys, "--thread", "M12", "--class", "8.8", "--torque", "90 N·m", "--nut-factor", "0.1-0.2")

    assert 1 == status
    assert "The bolt yields at the high end of the band" in out


def test_prevailing_torque_and_tool_widen_and_lower_the_band(capsys: Captured) -> None:
    """5 of 30 N·m clamp nothing; a tool with ± 4 % reaches further at both ends."""
    bare = found(capsys, *HEAD_BOLT, "--nut-factor", "0.2")["clamp_load"]
    locked = found(capsys, *HEAD_BOLT, "--nut-factor", "0.2", "--prevailing", "5 N·m")["clamp_load"]
    with_tool = found(capsys, *HEAD_BOLT, "--nut-factor", "0.2", "--tool", "4 %")["clamp_load"]

    assert 15.0 == pytest.approx(bare["likely"]["value"])
    assert 12.5 == pytest.approx(locked["likely"]["value"])
    assert with_tool["low"]["value"] < bare["low"]["value"] < bare["high"]["value"] < with_tool["high"]["value"]


@pytest.mark.parametrize(
    ("prevailing", "told"), [("90 N·m", "even at its highest"), ("29 N·m", "at its lowest"), ("27 N·m", None)]
)
def test_a_torque_that_a_locking_nut_takes_whole_is_told(capsys: Captured, prevailing: str, told: str | None) -> None:
    """30 ± 2 N·m: above 32 nothing is clamped at all, above 28 it may be so."""
    status, out, _ = said(capsys, *HEAD_BOLT, *OILED, "--prevailing", prevailing)

    assert (told is not None) == ("clamps nothing" in out) == (status == 1)
    assert (told or "") in out


def test_a_strength_of_ones_own_comes_with_its_source(capsys: Captured) -> None:
    """600 MPa over 58 mm² are 34.8 kN; without a source it is not taken."""
    own = (
        "--thread",
        "M10",
        "--torque",
        "40 N·m",
        "--nut-factor",
        "0.2",
        "--strength",
        "600 MPa",
        "700 MPa",
        "900 MPa",
    )

    assert 34.8 == pytest.approx(found(capsys, *own, "--source", "sheet 12")["proof_load"]["value"], abs=0.05)
    assert 2 == said(capsys, *own)[0]


SLIPS = [
    (("--thread", "M13", "--torque", "30 N·m", "--nut-factor", "0.2"), "M12 and M14"),
    (("--thread", "M12", "--torque", "30", "--nut-factor", "0.2"), "needs its unit"),
    (("--thread", "M12", "--torque", "30 mm", "--nut-factor", "0.2"), "torque"),
    (("--thread", "M12", "--torque", "30 N·m"), "--nut-factor"),
    (("--thread", "M12", "--nut-factor", "0.2"), "--clamp-load"),
    (("--thread", "M12", "--nut-factor", "0.2", "--torque", "30 N·m", "--clamp-load", "9 kN"), "--clamp-load"),
    (("--thread", "M12", "--nut-factor", "0.2", "--clamp-load", "75 %"), "needs the class"),
    (("--thread", "M12", "--nut-factor", "0.2", "--clamp-load", "20"), "20 kN"),
    (("--thread", "M12", "--torque", "30 N·m", "--thread-friction", "0.1"), "--head-friction"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--head-friction", "0.1"), "not both"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "12"), "at most 1"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.1-0.2-0.3"), "lowest and the highest"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "much"), "--nut-factor"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--class", "8"), "8.8"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--angle", "90"), "--class"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--class", "8.8", "--angle", "90"), "--part"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--between", "31 N·m", "35 N·m"), "--between"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--within", "200 %"), "--within"),
    (("--thread", "M12", "--torque", "-30 N·m", "--nut-factor", "0.2"), "more than zero"),
    (("--thread", "M12", "--torque", "30 N·m", "--nut-factor", "0.2", "--bearing", "10 mm", "12 mm"), "hole"),
]


@pytest.mark.parametrize(("arguments", "told"), SLIPS, ids=[told for _, told in SLIPS])
def test_a_slip_ends_in_one_sentence(capsys: Captured, arguments: tuple[str, ...], told: str) -> None:
    """Exit status 2, nothing on standard output, and what would be taken."""
    status, out, talk = said(capsys, *arguments)

    assert (2, "") == (status, out)
    assert told in talk
    assert 1 == talk.count("\n")


def test_a_quantity_is_a_value_and_its_unit(capsys: Captured) -> None:
    """The keys that others rely on."""
    told = found(capsys, *HEAD_BOLT, *OILED, "--class", "10.9")

    assert {"value": pytest.approx(61.2, abs=0.02), "unit": "mm²"} == told["stress_area"]
    assert {"value": pytest.approx(50.8, abs=0.05), "unit": "kN"} == told["proof_load"]
    assert {"low", "likely", "high"} <= set(told["clamp_load"])
    assert "%" == told["share_of_proof"]["unit"]
