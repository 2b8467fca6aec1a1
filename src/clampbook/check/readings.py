"""Readings from a file, `reference,indicated[,technique]`: all of them, or all that is wrong with it, line by line."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from decimal import Decimal

from clampbook.check.codes import Code
from clampbook.check.columns import Head, cells_of, head_of
from clampbook.check.plan import PLAIN
from clampbook.faults import Fault, Faulty
from clampbook.text import TextFault, clean, counted, quoted
from clampbook.units import UnitFault, convert, number, parse, plain

MOST_BYTES = 1_000_000
MOST_READINGS = 50_000
MOST_FAULTS = 50  # told one by one; a file that is wrong throughout has more
UNNAMED = PLAIN
_LABEL = 60  # characters of a technique
# Lines as nearly all are: two plain numbers with a decimal point, and perhaps a label in plain letters.
_NUMBER = r"[0-9]{1,12}+(?:\.[0-9]{1,12}+)?+"
_PLAIN = {
    False: re.compile(rf"(?:{_NUMBER},{_NUMBER}\n)*+", re.ASCII),
    True: re.compile(rf"(?:{_NUMBER},{_NUMBER},[A-Za-z][A-Za-z0-9 -]{{0,58}}+\n)*+", re.ASCII),
}


@dataclass(frozen=True, slots=True)
class Readings:
    """Rows in the order of the file, both sides in one unit; `techniques` are the labels in order of appearance.

    `reference_text` and `indicated_text` are the same numbers as text, by which equal ones are told quickly.
    """

    reference: tuple[Decimal, ...]
    indicated: tuple[Decimal, ...]
    technique: tuple[str, ...]
    techniques: tuple[str, ...]
    reference_text: tuple[str, ...]
    indicated_text: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.reference)


def read_readings(data: bytes, path: str, unit: str) -> Readings:
    """The readings of a file, in `unit` (the tool's); columns may name another in their head: "reference (lbf·ft)".

    Raises Faulty with all its faults, each with its line.
    """
    reading = _Reading(path, unit)
    found = reading.all(data)
    if reading.faults:
        told = reading.faults[:MOST_FAULTS]
        more = len(reading.faults) - len(told)
        if more:
            told.append(reading.fault(None, Code.CELLS, f"{more} more lines have such errors"))
        raise Faulty(told)
    return found


class _Reading:
    """One file on its way to readings: every line adds what is wrong with it and goes on."""

    def __init__(self, path: str, unit: str) -> None:
        self.path = path
        self.unit = unit
        self.faults: list[Fault] = []

    def fault(self, line: int | None, code: Code, text: str, hint: str = "", found: str = "") -> Fault:
        return Fault(self.path, line, "", code.value, found[:60], "", text, hint)

    def add(self, line: int | None, code: Code, text: str, hint: str = "", found: str = "") -> None:
        self.faults.append(self.fault(line, code, text, hint, found))

    def all(self, data: bytes) -> Readings:
        """The readings, as far as there are any; what is wrong is in `faults` then."""
        text = self._text(data)
        first, _, rest = text.partition("\n")
        head = head_of(first, self.unit) if first.strip() else "the first line is empty"
        if isinstance(head, str):
            if not self.faults:
                hint = "begin with the line reference,indicated or reference,indicated,technique"
                self.add(1, Code.COLUMNS, head, hint, first)
            return _NONE
        rest = rest.rstrip("\n") + "\n"
        if not rest.strip():
            self.add(1, Code.NO_READINGS, "there are no readings", "add a line for each below the first")
            return _NONE
        if rest.count("\n") > MOST_READINGS:
            self.add(None, Code.NO_READINGS, f"there are more than {MOST_READINGS} readings", "split the file")
            return _NONE
        return _plainly(rest, head) or self._carefully(rest, head)

    def _text(self, data: bytes) -> str:
        """The file as text; empty where it is none of ours."""
        if len(data) > MOST_BYTES:
            self.add(None, Code.NO_READINGS, f"the file is larger than {MOST_BYTES // 1_000_000} MB", "split it")
            return ""
        try:
            return data.decode("utf-8-sig").replace("\r\n", "\n")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            self.add(line, Code.COLUMNS, "the text is not UTF-8", "save the file as UTF-8")
            return ""

    def _carefully(self, rest: str, head: Head) -> Readings:
        lines = rest.rstrip().split("\n")
        rows = [row for at, line in enumerate(lines, start=2) if (row := self._line(at, line, head)) is not None]
        references, indicated = tuple(row[0] for row in rows), tuple(row[1] for row in rows)
        labels = tuple(row[2] for row in rows)
        return _readings(references, indicated, labels, tuple(map(plain, references)), tuple(map(plain, indicated)))

    def _line(self, at: int, line: str, head: Head) -> tuple[Decimal, Decimal, str] | None:
        """Read a line; None where something is wrong with it."""
        if not line.strip():
            self.add(at, Code.EMPTY_LINE, "the line is empty", "remove it")
            return None
        try:
            cells = cells_of(line)
        except ValueError as error:
            self.add(
                at, Code.CELLS, str(error), "put quotes around a technique only, and write a quote in it twice", line
            )
            return None
        if len(cells) != head.columns:
            self._wrong_count(at, line, cells, head)
            return None
        before = len(self.faults)
        shown = self._torque(at, "reference", cells[head.reference], head.reference_unit)
        said = self._torque(at, "indicated", cells[head.indicated], head.indicated_unit)
        label = self._label(at, cells[head.technique]) if head.technique is not None else UNNAMED
        if len(self.faults) > before or shown is None or said is None:
            return None
        return shown, said, label

    def _wrong_count(self, at: int, line: str, cells: list[str], head: Head) -> None:
        text = f"the line has {counted(len(cells), 'column')}, not {counted(head.columns, 'column')}"
        if ";" in line:
            hint = "separate columns by commas, and write decimals with a point"
        elif len(cells) > head.columns and all(cell.strip().isdigit() for cell in cells[:4] if cell.strip()):
            hint = "write decimals with a point"
        elif len(cells) < head.columns:
            hint = "write what the reference showed, then what the tool indicated or was set to"
        else:
            hint = "put quotes around a technique with a comma"
        self.add(at, Code.CELLS, text, hint, line)

    def _torque(self, at: int, column: str, cell: str, unit: str) -> Decimal | None:
        written = cell.strip()
        if ";" in written:
            hint = "separate columns by commas, and write decimals with a point"
            self.add(at, Code.CELLS, f"{column} {quoted(written)} has a semicolon", hint, written)
            return None
        if "," in written:
            text = f"{column} {quoted(written)} has a decimal comma"
            self.add(at, Code.NUMBER, text, "write it with a point, like 30.5", written)
            return None
        try:
            value = number(written)
        except UnitFault as fault:
            self._no_number(at, column, written, fault)
            return None
        if value <= 0:
            self.add(at, Code.NOT_POSSIBLE, f"{column} {quoted(written)} is not above zero", "write what was read")
            return None
        return convert(value, unit, self.unit)

    def _no_number(self, at: int, column: str, written: str, fault: UnitFault) -> None:
        try:
            quantity = parse(written)
        except UnitFault:
            hint = "" if ". " in fault.sentence else "write digits and a decimal point"
            self.add(at, Code.NUMBER, fault.sentence, hint, written)
            return
        hint = f"write the number alone, and the unit in the first line: {column} ({quantity.unit})"
        self.add(at, Code.NUMBER, f"{column} {quoted(written)} has a unit", hint, written)

    def _label(self, at: int, cell: str) -> str:
        try:
            label = clean(cell, what="the technique", most=_LABEL)
        except TextFault as fault:
            self.add(at, Code.TECHNIQUE, fault.sentence)
            return UNNAMED
        if not label:
            self.add(at, Code.TECHNIQUE, "the technique is missing", "name it, like slow or quick")
        return label


def _plainly(rest: str, head: Head) -> Readings | None:
    """All lines at once, where each of them is as nearly all are; None where one is not."""
    if not head.plain or _PLAIN[head.labelled].fullmatch(rest) is None:
        return None
    columns = tuple(zip(*csv.reader(rest[:-1].split("\n")), strict=True))
    shown, said = columns[:2]
    labels = columns[2] if head.labelled else (UNNAMED,) * len(shown)
    references, indicated = tuple(map(Decimal, shown)), tuple(map(Decimal, said))
    if not all(references) or not all(indicated) or any(label != label.strip() for label in set(labels)):
        return None
    return _readings(references, indicated, labels, shown, said)


def _readings(
    references: tuple[Decimal, ...],
    indicated: tuple[Decimal, ...],
    labels: tuple[str, ...],
    shown: tuple[str, ...],
    said: tuple[str, ...],
) -> Readings:
    return Readings(references, indicated, labels, tuple(dict.fromkeys(labels)), shown, said)


_NONE = _readings((), (), (), (), ())
