"""Columns of a file of readings: the cells of a line, and of the first line which column is which, in which unit."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass

from clampbook.text import quoted
from clampbook.units import Kind, UnitFault, unit_named

_COLUMN = re.compile(r"([a-z ]+?)\s*(?:[(\[]\s*(.+?)\s*[)\]])?", re.IGNORECASE)
_KNOWN = ("reference", "indicated", "technique")


@dataclass(frozen=True, slots=True)
class Head:
    """Places of the columns from 0, and the units of both sides. `plain`: in the usual order and the tool's unit."""

    columns: int
    reference: int
    indicated: int
    technique: int | None
    reference_unit: str
    indicated_unit: str
    plain: bool

    @property
    def labelled(self) -> bool:
        """True where there is a column for the technique."""
        return self.technique is not None


def cells_of(line: str) -> list[str]:
    """The cells of one line as RFC 4180 parts them, blanks before a quote left out.

    Raises ValueError with a sentence where a quote is not closed in its line, or something stands behind it.
    """
    try:
        return next(csv.reader([line.strip()], skipinitialspace=True, strict=True), [])
    except csv.Error as error:
        raise ValueError("the quotes do not close around a whole cell") from error


def head_of(line: str, unit: str) -> Head | str:
    """The head that a line is, with `unit` where a column names none; or a sentence that says why it is none."""
    if ";" in line or "\t" in line:
        return "the columns are not separated by commas"
    try:
        cells = [cell.strip() for cell in cells_of(line)]
    except ValueError as error:
        return str(error)
    names: list[str] = []
    units: list[str] = []
    for cell in cells:
        found = _COLUMN.fullmatch(cell)
        name = found[1].casefold() if found else ""
        if name not in _KNOWN:
            return f"unknown column {quoted(cell)}"
        try:
            units.append(unit_named(found[2], Kind.TORQUE) if found and found[2] else unit)
        except UnitFault as fault:
            return f"{fault.sentence}, in column {name}"
        names.append(name)
    return _placed(names, units, unit)


def _placed(names: list[str], units: list[str], unit: str) -> Head | str:
    for name in _KNOWN:
        if names.count(name) > 1:
            return f"column {name} is there twice"
    missing = [name for name in _KNOWN[:2] if name not in names]
    if missing:
        return f"column {missing[0]} is missing"
    reference, indicated = names.index("reference"), names.index("indicated")
    technique = names.index("technique") if "technique" in names else None
    usual = (reference, indicated) == (0, 1) and technique in (None, 2)
    same = units[reference] == units[indicated] == unit
    return Head(len(names), reference, indicated, technique, units[reference], units[indicated], usual and same)
