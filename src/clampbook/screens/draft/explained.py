"""The key at the cursor in the words of the reference."""

from __future__ import annotations

from collections.abc import Sequence

from clampbook.help.at_cursor import Spot, spot
from clampbook.help.keys import TABLES, explain, says_of
from clampbook.help.reference import in_words


def explained(lines: Sequence[str], row: int, column: int) -> str:
    """Tell what belongs where the cursor stands: of a key what it says and takes, else what the table is."""
    found = spot(lines, row, column)
    if found.where == "header":
        return _of_a_header(lines[row])
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
