"""What a file says of its bolts for the sake of an estimate, and what is missing for one."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure.fastening import CLAMP, SHARE, TURN, Fastening, known_of
from clampbook.procedure.model import Clamped, Group
from clampbook.units import Quantity
from procedure.written import procedure, sheet, told

BOLT = 'thread = "M10x1.25"\nproperty_class = "10.9"\nnut_factor = [0.14, 0.18]\n'
SPRINGS = 'clamped = ["12 mm steel", "60 mm aluminium"]\ninto = "cast iron"\nshank = "50 mm"\n'


def group(lines: str) -> Group:
    """The one group of a file with these lines in it."""
    return procedure(sheet(group=lines)).groups[0]


def found(lines: str) -> Fastening:
    """The bolt of that group."""
    one = group(lines)
    fastening = known_of(one, one.thread).fastening
    assert fastening is not None
    return fastening


def lacking(lines: str) -> list[tuple[str, str]]:
    """Key and what it would bring, for everything that is missing."""
    one = group(lines)
    return [(lack.key, lack.gives) for lack in known_of(one, one.thread).lacks]


def test_clamped_parts_are_read_from_the_head_on() -> None:
    """A thickness and a material each."""
    expected = (
        Clamped(thickness=Quantity(Decimal(12), "mm"), material="steel"),
        Clamped(thickness=Quantity(Decimal(60), "mm"), material="aluminium"),
    )

    assert expected == group(BOLT + SPRINGS).clamped


def test_a_bolt_with_everything_lacks_nothing() -> None:
    """Thread, class, nut factor and what is clamped: strength and springs are both known."""
    fastening = found(BOLT + SPRINGS)

    assert [] == lacking(BOLT + SPRINGS)
    assert fastening.bolt is not None
    assert fastening.springs is not None


@pytest.mark.parametrize(
    ("lines", "key", "gives"),
    [
        ("", "thread", CLAMP),
        ('thread = "M13"\n', "thread", CLAMP),
        ('thread = "M10"\n', "friction", CLAMP),
        ('thread = "M10"\nnut_factor = [0.14, 0.18]\n', "property_class", SHARE),
        ('thread = "M10"\nnut_factor = [0.14, 0.18]\nproperty_class = "8"\n', "property_class", SHARE),
        (BOLT, "clamped", TURN),
        (BOLT + 'clamped = ["3 mm gasket paper"]\n', "clamped", TURN),
        (BOLT + 'waist = "14 mm"\n', "waist", SHARE),
    ],
)
def test_what_is_missing_is_named_with_what_it_would_bring(lines: str, key: str, gives: str) -> None:
    """The key of the file, for whoever wants the estimate; nothing is guessed meanwhile."""
    assert (key, gives) in lacking(lines)


def test_a_strength_of_ones_own_is_taken_with_its_source() -> None:
    """Instead of a property class."""
    own = 'strength = { proof = "600 MPa", yield = "700 MPa", tensile = "900 MPa", source = "sheet 12" }\n'
    bolt = found('thread = "M10"\nnut_factor = [0.14, 0.18]\n' + own).bolt

    assert bolt is not None
    assert (600e6, "sheet 12") == (bolt.strength.proof, bolt.strength.source)


@pytest.mark.parametrize(
    ("lines", "key", "code"),
    [
        ('clamped = ["12 steel"]\n', "group[1].clamped[1]", "E201"),
        ('clamped = ["steel"]\n', "group[1].clamped[1]", "E201"),
        ('clamped = ["12 N·m steel"]\n', "group[1].clamped[1]", "E202"),
        ('shank = "50"\n', "group[1].shank", "E118"),
        ('head = "round"\n', "group[1].head", "E119"),
        (
            'strength = { proof = "800 MPa", yield = "700 MPa", tensile = "900 MPa", source = "sheet 12" }\n',
            "group[1].strength",
            "E207",
        ),
        ('strength = { proof = "800 MPa" }\n', "group[1].strength.source", "E116"),
    ],
)
def test_slips_are_told_where_they_stand(lines: str, key: str, code: str) -> None:
    """No unit, no material, another kind of quantity, strengths that do not grow."""
    assert (key, code) in [(where, which) for _, where, which in told(sheet(group=lines))]
