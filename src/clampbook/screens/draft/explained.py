"""The key at the cursor in the words of the reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clampbook.help.at_cursor import Offered, Spot, spot
from clampbook.help.keys import TABLES, explain, says_of
from clampbook.help.reference import in_words


def explained(lines: Sequence[str], row: int, column: int, lit: Offered | None = None) -> str:
    """Tell what belongs where the cursor stands: of a key what it says and takes, else what the table is. Where
    something is offered there, tell of the line that is `lit`."""
    before = len(lines[row]) - len(lines[row].lstrip())
    found = spot(lines, row, max(column, before + 1) if lines[row][before:].startswith("[") else column)
    if found.where == "header":
        return _of_a_header(lines[row] if lit is None else lit.name)
    if lit is not None and found.where == "key":
        found = replace(found, key=lit.name)
    if lit is not None and lit.says and (found.where == "value" or found.known is None):
        return f"{lit.name}: {lit.says}"
    key = found.known
    if key is not None:
        said = in_words(key).replace("`", "").removeprefix(f"- {key.example}: ")
        return f"{key.name}: {said} Such as {key.example}"
    return _of_a_table(found)


def _of_a_table(found: Spot) -> str:
    return says_of(found.table) if found.table in TABLES else ""


def _of_a_header(line: str) -> str:
    name = line.partition("#")[0].strip().strip("[]").strip()
    above, _, last = name.rpartition(".")
    key = explain(above or "procedure", last)
    return "" if key is None else f"{name}: {key.says}"
