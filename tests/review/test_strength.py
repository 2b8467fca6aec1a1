"""What the review says of strength and lengths, held against figures reckoned apart from it."""

from __future__ import annotations

import re

import pytest

from clampbook.joint.strength import NAMES

from .sheets import CAPS, COVER, STRETCHED, STUDS, changed, codes, queries


def figure(text: str, before: str) -> float:
    """The number that stands before these words."""
    found = re.search(rf"([0-9.]+)\s*{re.escape(before)}", text)
    assert found is not None
    return float(found[1])


def test_slip_of_a_decimal_is_named() -> None:
    """1.6 N·m on an M8 8.8 at K = 0.14 is 1.43 kN of 21.2 kN (ISO 898-1): ten times as much would be usual."""
    text = changed(STUDS, 'to = "16 N·m"\nwithin = "±1', 'to = "1.6 N·m"\nwithin = "±0.1')
    query = queries(text)[0]

    assert 100 * 1.6 / (0.14 * 0.008) / 21_200 == pytest.approx(figure(query.text, "% of the proof load"), abs=0.05)
    assert "16.0 N·m would be 67 %" in query.hint


def test_newton_metres_typed_as_pounds_are_named() -> None:
    """An M8 8.8 that is rightly pulled to 16 N·m does not bear 16 lbf·ft, 1.356 times as much, in every case."""
    text = changed(changed(STUDS, 'unit = "N·m"', 'unit = "lbf·ft"'), 'to = "16 N·m"', 'to = "16 lbf·ft"')
    query = queries(changed(text, "±1 N·m", "±1 lbf·ft"))[0]

    assert "W401" == query.code
    assert "16 N·m would be 67 %" in query.hint


def test_only_units_that_a_sheet_is_mistaken_with_are_named() -> None:
    """A sheet in N·m is taken for one in lbf·in or has a decimal wrong; kgf·cm stand on sheets in kgf·m alone."""
    text = changed(STUDS, 'to = "16 N·m"\nwithin = "±1', 'to = "160 N·m"\nwithin = "±10')
    hint = queries(text)[0].hint

    assert "160 lbf·in would be" in hint
    assert "16 N·m would be 67 %" in hint
    assert "kgf" not in hint


def test_what_is_no_thread_is_told_as_it_is_written() -> None:
    """With the sizes and pitches that are known, and its letter as large as it was."""
    for written, told in (("M13", "M13 has no standard coarse pitch"), ("M10x9", "known are 1.5 (coarse), 1.25 and 1")):
        query = next(each for each in queries(changed(CAPS, 'thread = "M10"', f'thread = "{written}"')))

        assert ("W451", "group[1].thread") == (query.code, query.key)
        assert told in query.text


INCH = """\
format = 2
title = "Coupling · Whinchat"
revision = "A"
source = "Workshop sheet 25 (invented), looked up on 2026-03-02"
unit = "lbf·ft"

[[group]]
name = "Coupling bolts"
positions = "1-3"
fits = { "1-3" = "3/8-24 UNF x 2 in" }
property_class = "grade 8"
lubrication = "engine oil on thread and under head"
nut_factor = [0.14, 0.18]
grip = "1.2 in"
into = "steel"
fastener = "use again"
prepare = ["Holes blown out: no oil below the bolts."]

[[stage]]
do = "tighten"
to = "30 lbf·ft"
within = "±1 lbf·ft"
"""


@pytest.mark.parametrize("length", ["1.5 in", "1 1/2 in", '1.5"', "1-1/2 in", "38.1 mm"])
def test_the_length_of_a_bolt_may_be_in_inches(length: str) -> None:
    """0.3 in engaged are 0.8 diameters of a 3/8 in bolt, where steel wants 1.2 from grade 8 on, 0.45 in."""
    assert [] == codes(INCH)
    query = queries(changed(INCH, "x 2 in", f"x {length}".replace('"', '\\"')))[0]

    assert ("W405", "0.3 in", "about 0.45 in or more into steel") == (query.code, query.found, query.allowed)


@pytest.mark.parametrize("length", ["1/0 in", "0/0 in", "1000000000000000000000000000000000000000 in"])
def test_a_length_that_is_none_is_passed_over(length: str) -> None:
    """It raises nothing."""
    assert [] == codes(changed(INCH, "x 2 in", f"x {length}"))


def test_a_turn_from_next_to_nothing_is_queried() -> None:
    """25 N·m on M10 10.9 typed as 2.5: 1.3 kN of 48.1 kN (ISO 898-1) at K 0.165, the middle of its frictions."""
    assert [] == codes(CAPS)
    query = queries(changed(CAPS, 'to = "25 N·m"\nwithin = "±2 N·m"', 'to = "2 N·m"\nwithin = "±0.5 N·m"'))[0]

    assert ("W411", "stage[1].to") == (query.code, query.key)
    assert 100 * 2 / (0.165 * 0.010) / 48_100 == pytest.approx(figure(query.text, "% of the proof load"), rel=0.03)
    assert "too little for a snug joint" in query.text


@pytest.mark.parametrize(
    ("target", "share", "key"), [("350 N·m", "100 %", "group[1].target"), ("35 N·m", "190 %", "stage[2].to")]
)
def test_a_share_points_to_the_figure_that_is_wrong(target: str, share: str, key: str) -> None:
    """The target of the group is ten times too much, or 190 % stands for 100 % of it."""
    text = changed(COVER, "grip =", f'target = "{target}"\ngrip =').replace("step 4: 35 N·m (26 lbf·ft)", "step 4")
    text = text.replace('to = "35 N·m"', f'to = "{share}"').replace('at = "35 N·m"', f'at = "{share}"')

    assert [("W401", key)] == [(query.code, query.key) for query in queries(text)]


def test_a_length_after_the_pull_is_held_against_the_proof_load_too() -> None:
    """0.46 mm on a 50 mm grip of M10 10.9 is far beyond it, whether it is a target or only measured."""
    measured = """to = "40 N·m"
within = "±2 N·m"

[[stage]]
do = "measure"
group = "Rod bolts"
asked = "each"
what = "Length of the tightened bolt"
minus = "free length"
between = ["0.10 mm", "0.46 mm"]
"""
    text = STRETCHED[: STRETCHED.index('to = "25 N·m"')] + measured

    assert [("W403", "stage[3].between")] == [(query.code, query.key) for query in queries(text)]
    assert [] == codes(text.replace('"0.46 mm"', '"0.16 mm"'))


def test_allowed_torque_is_where_yield_begins() -> None:
    """What is allowed instead is not doubted itself, and a little more is."""
    weak = changed(COVER, 'property_class = "8.8"', 'property_class = "4.6"')
    most = figure(queries(weak)[0].allowed, "N·m")

    assert most == pytest.approx(17.8, abs=0.5)  # 4.6 has 3/8 of the yield of 8.8 (240 and 640 MPa), 43/0.9 N·m
    for share, expected in ((0.995, []), (1.02, ["W401"])):
        low = f"{most * share * 0.95:.3f} N·m"
        high = f"{most * share:.3f} N·m"
        text = weak.replace('to = "35 N·m"\nwithin = "±2 N·m"', f'to = "{low}"\nbetween = ["10 N·m", "{high}"]')
        text = text.replace('to = "20 N·m"\nwithin = "±1 N·m"', 'to = "12 N·m"\nwithin = "±1 N·m"')
        text = text.replace('at = "35 N·m"', f'at = "{low}"').replace("step 4: 35 N·m (26 lbf·ft)", "step 4")

        assert expected == codes(text)


@pytest.mark.parametrize(
    ("into", "grade", "least"),
    [("aluminium", "8.8", 20), ("cast iron", "8.8", 12.5), ("cast iron", "10.9", 14), ("steel", "8.8", 10)],
)
def test_engagement_is_measured_in_diameters(into: str, grade: str, least: float) -> None:
    """Two diameters into aluminium (US Army TM 10-3930); the others are common practice, no source."""
    text = changed(COVER, 'into = "cast iron"', f'into = "{into}"').replace('"8.8"', f'"{grade}"')

    assert [] == codes(changed(text, "60 mm", f"{42 + least} mm"))
    assert ["W405"] == codes(changed(text, "60 mm", f"{42 + least - 0.5} mm"))


def test_material_that_is_not_known_is_not_judged() -> None:
    """Nothing is made up for it."""
    assert [] == codes(changed(changed(COVER, 'into = "cast iron"', 'into = "oak"'), "60 mm", "50 mm"))


def test_turn_of_new_bolts_beyond_yield_is_not_queried() -> None:
    """Bolts that are turned to yield and replaced every time are what such a turn is for."""
    turned = changed(CAPS, 'by = "30°"', 'by = "120°"')

    assert ["W402"] == codes(turned)
    assert [] == codes(turned.replace('"use again"', '"new every time"'))
    assert [] == codes(turned.replace('"use again"', '"use again if measured"\nprepare = ["Length measured."]'))


def test_stronger_friction_is_no_way_out_of_a_torque_too_high() -> None:
    """It is the lowest friction of the band that counts, whatever the highest is."""
    wide = COVER.replace("[0.10, 0.14]", "[0.02, 0.24]").replace('"engine oil on thread and under head"', '"as found"')

    assert ["W401"] == codes(wide)


STRUCTURAL = changed(COVER, 'property_class = "8.8"', 'property_class = "A325"')


def test_a_structural_bolt_is_asked_for_its_strength_and_offered_no_class() -> None:
    """The query stands at its name, and what it says to write is read and leaves nothing to ask."""
    (query,) = queries(STRUCTURAL)

    assert ("W451", "group[1].property_class") == (query.code, query.key)
    assert [] == [name for name in NAMES if name in query.text + query.hint.replace("manual, page 12", "")]
    written = re.search(r"strength = \{.*?\}", query.hint)
    assert written is not None
    assert [] == codes(changed(STRUCTURAL, '"A325"', f'"A325"\n{written[0]}'))


def test_figures_of_a_structural_bolt_are_held_against_its_torque() -> None:
    """Half the strength, and the same torque goes beyond it: the query names the bolt as the file does."""
    weak = 'strength = { proof = "200 MPa", yield = "220 MPa", tensile = "300 MPa", source = "manual, page 12" }'
    found = queries(changed(STRUCTURAL, '"A325"', f'"A325"\n{weak}'))

    assert ["W401"] == [query.code for query in found]
    assert "A325" in found[0].text
