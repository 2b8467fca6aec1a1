"""Strength of bolts: proof stress, yield and tensile strength by property class, in pascals."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from clampbook.joint.unknown import JointFault, above_zero, nearest
from clampbook.text import quoted

MPA = 1e6
KSI = 6.894757293168e6  # NIST SP 811:2008, B.8
MM, INCH = 0.001, 0.0254


class Strength(Struct, frozen=True):
    """The least strength of a material in Pa: S_p (no lasting set), R_eL or R_p0.2, R_m, and who says so.

    `note` says what a reader must know of the figures, such as a proof stress that no standard gives.
    """

    name: str
    proof: float
    yield_: float
    tensile: float
    source: str
    note: str = ""


class StrengthNeeded(JointFault):
    """No table here has this bolt: its strength has to be written out, and no class that looks alike is offered."""


def custom(name: str, proof: float, yield_: float, tensile: float, source: str) -> Strength:
    """A strength that no class here has, in Pa, with where it is printed.

    Raises JointFault unless 0 < proof ≤ yield ≤ tensile, and where the source is not named.
    """
    if not source.strip():
        raise JointFault(f"The strength of {quoted(name)} needs its source. Say where the figures are printed.")
    above_zero("A proof stress", proof)
    if not proof <= yield_ <= tensile:
        raise JointFault(
            f"The figures of {quoted(name)} do not agree. Proof stress, yield and tensile strength "
            f"must rise in this order, and are {proof / MPA:g}, {yield_ / MPA:g}, {tensile / MPA:g} MPa."
        )
    return Strength(name, proof, yield_, tensile, source)


class _Row(Struct, frozen=True):
    """One line of a table: for diameters above `over` up to `up_to` (metres)."""

    over: float
    up_to: float
    strength: Strength


def _iso(name: str, proof: float, yield_: float, tensile: float, over: float = 0, up_to: float = 39) -> _Row:
    source = "ISO 898-1:2013, Table 3"
    return _Row(over * MM, up_to * MM, Strength(name, proof * MPA, yield_ * MPA, tensile * MPA, source))


def _sae(grade: int, proof: float, yield_: float, tensile: float, over: float, up_to: float) -> _Row:
    figures = (proof * KSI, yield_ * KSI, tensile * KSI)
    return _Row(over * INCH, up_to * INCH, Strength(f"grade {grade}", *figures, "SAE J429, Table 1"))


def _stainless(steel: str, level: int, yield_: float, tensile: float, up_to: float) -> _Row:
    note = "ISO 3506 gives no proof stress, so its 0.2 % limit is used"
    figures = (yield_ * MPA, yield_ * MPA, tensile * MPA)
    return _Row(0, up_to * MM, Strength(f"{steel}-{level}", *figures, "ISO 3506-1:2009, Table 3", note))


# ISO 898-1 and the inch grades as printed in public copies, so the strengths of stainless 70 and 80; those of 50 and
# how far stainless rows go (24 and 39 mm) from memory.
_ROWS = (
    _iso("4.6", 225, 240, 400),
    _iso("4.8", 310, 340, 420),
    _iso("5.6", 280, 300, 500),
    _iso("5.8", 380, 420, 520),
    _iso("6.8", 440, 480, 600),
    _iso("8.8", 580, 640, 800, up_to=16),
    _iso("8.8", 600, 660, 830, over=16),
    _iso("9.8", 650, 720, 900, up_to=16),
    _iso("10.9", 830, 940, 1040),
    _iso("12.9", 970, 1100, 1220),
    _sae(2, 55, 57, 74, 0, 0.75),
    _sae(2, 33, 36, 60, 0.75, 1.5),
    _sae(5, 85, 92, 120, 0, 1),
    _sae(5, 74, 81, 105, 1, 1.5),
    _sae(8, 120, 130, 150, 0, 1.5),
    *(_stainless(steel, 50, 210, 500, 39) for steel in ("A2", "A4")),
    *(_stainless(steel, 70, 450, 700, 24) for steel in ("A2", "A4")),
    *(_stainless(steel, 80, 600, 800, 24) for steel in ("A2", "A4")),
)
_BY_NAME: Mapping[str, tuple[_Row, ...]] = MappingProxyType(
    {name: tuple(row for row in _ROWS if row.strength.name == name) for name in {r.strength.name: 0 for r in _ROWS}}
)
NAMES = tuple(_BY_NAME)
# What is written like the classes of one table, and may be a slip for one of them. Grades of other standards, such as
# A325 or B7, look like some of these to a computer and are none; common practice, no source.
_LIKE: tuple[tuple[re.Pattern[str], tuple[str, ...]], ...] = (
    (re.compile(r"[0-9]{1,3}(\.[0-9]+)?"), tuple(name for name in NAMES if name[0].isdigit())),
    (re.compile(r"(?:grade|gr\.?)\s*[0-9]", re.IGNORECASE), tuple(name for name in NAMES if name.startswith("grade"))),
    (re.compile(r"A[1-5](?:[\s-][0-9]{2})?", re.IGNORECASE), tuple(name for name in NAMES if name[0] == "A")),
)
# Without a blank only the levels that there are: A490 and A286 are not stainless classes.
_WRITE_IT = "Write its strength, with where that is printed."
_FOR_ANOTHER = "For another, write its strength."
_STAINLESS = re.compile(r"(A[24])(?:[\s-]+(?=[0-9]{2,3}$)|(?=50$|70$|80$))([0-9]+)", re.IGNORECASE)
_GRADE = re.compile(r"(?:SAE\s*)?(?:J\s*429\s*)?-?\s*(?:grade|gr\.?|g)?\s*([258])", re.IGNORECASE)
_SLACK = 1e-9


def strength_named(name: str, diameter: float) -> Strength:
    """The strength of a class as sheets write it ("8.8", "class 10.9", "SAE grade 5", "A2-70") for a diameter in m.

    Range: the diameters of each table (ISO 898-1 up to 39 mm, J429 up to 1½ in, ISO 3506 up to 24 or 39 mm); below
    the smallest printed inch size the figures of the smallest hold. Raises JointFault with the nearest known names.
    """
    rows = _rows_of(name)
    for row in rows:
        if row.over + _SLACK < diameter <= row.up_to + _SLACK:
            return row.strength
    name, ends = rows[0].strength.name, max(row.up_to for row in rows) / MM
    raise StrengthNeeded(
        f"{rows[0].strength.source} has no {name} of {diameter / MM:g} mm, as it ends at {ends:g} mm. {_WRITE_IT}"
    )


def is_a_class(name: str) -> None:
    """Raise JointFault where no table here has this class, whatever the diameter."""
    _rows_of(name)


def _rows_of(name: str) -> tuple[_Row, ...]:
    rows = _BY_NAME.get(_tidy(name))
    if rows is None:
        raise _not_a_class(name)
    return rows


def _not_a_class(name: str) -> JointFault:
    """A bare 5 or 8 is asked for in full, what is written like a class gets the nearest, any other its own strength."""
    whole = _tidy(name)
    meant = [known for known in NAMES if known.split(".")[0] in (whole, f"grade {whole}")]
    if whole.isdigit() and meant:
        return JointFault(f"{quoted(name)} is a part of a class. Write {' or '.join(meant)} in full.")
    kin = next((names for like, names in _LIKE if like.fullmatch(whole)), ())
    if kin:
        return JointFault(
            f"{quoted(name)} is not a property class. The nearest are {nearest(whole, kin)}. {_FOR_ANOTHER}"
        )
    return StrengthNeeded(f"{quoted(name)} is not a class of ISO 898-1, SAE J429 or ISO 3506. {_WRITE_IT}")


def _tidy(name: str) -> str:
    plain = " ".join(name.replace(",", ".").split())
    plain = re.sub(r"^(?:property class|class|cl\.?|grade(?=\s*[0-9]+\.))\s*", "", plain, flags=re.IGNORECASE).rstrip()
    if stainless := _STAINLESS.fullmatch(plain):
        return f"{stainless[1].upper()}-{stainless[2]}"
    # A bare "5" or "8" could be a piece of another class, so the word or the standard has to stand there.
    grade = None if plain.isdigit() else _GRADE.fullmatch(plain)
    return f"grade {grade[1]}" if grade else plain
