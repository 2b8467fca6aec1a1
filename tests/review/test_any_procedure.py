"""Whatever a procedure says, its review ends in sentences."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from invented import procedures

from clampbook.procedure.model import Procedure
from clampbook.review.review import review
from clampbook.units import UNITS_OF, Kind

from .sheets import queries
from .stock import TOOLS


@settings(max_examples=60, deadline=None)
@given(procedures())
def test_every_query_of_any_procedure_is_whole(procedure: Procedure) -> None:
    """Code, key, sentence and next step, for procedures that nobody thought of."""
    for query in review(procedure, TOOLS).queries:
        assert query.code and query.text and query.hint
        assert "nan" not in query.text.split()


_FIGURES = st.sampled_from(["0.001", "0.4", "7", "90", "1250", "99999"])
_THREADS = st.sampled_from(["M1", "M1.6 x 3 mm", "M300", "M30x1", "3/8-24 UNF", "no thread", "M10 x 1 mm LH"])
_UNITS = st.sampled_from(UNITS_OF[Kind.TORQUE])
_GRADES = st.sampled_from(["4.6", "12.9", "SAE grade 5", "A2-50", "none"])
_MATERIALS = st.sampled_from(["steel", "aluminium", "cheese"])


@settings(max_examples=100, deadline=None)
@given(_THREADS, _GRADES, _FIGURES, _FIGURES, _UNITS, _MATERIALS)
def test_no_figure_is_too_odd(thread: str, grade: str, torque: str, thick: str, unit: str, material: str) -> None:
    """Threads, torques and grips far from all use are queried, never stumbled over."""
    text = f"""\
format = 2
title = "Odd"
revision = "A"
unit = "N·m"

[[group]]
name = "Bolts"
positions = "1-5"
thread = "{thread}"
property_class = "{grade}"
friction = {{ thread = [0.01, 1], head = [0.01, 1] }}
clamped = ["{thick} mm {material}"]
into = "{material}"

[[stage]]
do = "tighten"
to = "{torque} {unit}"
within = "±1 %"

[[stage]]
do = "turn"
by = "{torque}°"
within = "±1 %"

[[stage]]
do = "tighten"
to = "1 N·m"
until = "stretch"
stretch_between = ["{thick} mm", "100000 mm"]
never_above = "100000 {unit}"
"""

    found = queries(text, TOOLS)

    assert found and all(query.text and query.hint for query in found)
