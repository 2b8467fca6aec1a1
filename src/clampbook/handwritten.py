"""The small files that people write by hand into a book: a list of tables, read with all its faults at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from clampbook.faults import Faulty, nearest
from clampbook.procedure.codes import Code
from clampbook.procedure.intake import parse
from clampbook.procedure.places import Places
from clampbook.procedure.shape_words import slip_of
from clampbook.procedure.sheet_values import Table
from clampbook.procedure.slips import KeyPath, Slips, as_faults, key_text, quoted
from clampbook.procedure.washing import washed

NEWEST_FORMAT = 1

Row = TypeVar("Row", bound=Table)
Value = TypeVar("Value")


def read_rows(
    data: bytes, path: str, name: str, table: type[Row], meaning: Callable[[Row, KeyPath, Slips], Value | None]
) -> list[Value]:
    """The values of all `[[name]]` tables in the order of the file.

    `meaning` makes a value of one well-shaped table, or adds to the slips what is wrong with it and gives None.
    Raises Faulty with every fault of the file.
    """
    slips = Slips()
    clean = washed(parse(data, path), slips)
    _top(clean, name, slips)
    rows = clean.get(name, [])
    if not isinstance(rows, list):
        slips.add(Code.BRACKETS, (name,), f"{name} is no list of tables", hint=f"begin each with [[{name}]]")
        rows = []
    values = [_row(row, (name, index), table, meaning, slips) for index, row in enumerate(rows)]
    if slips.found:
        raise Faulty(as_faults(slips, path, Places(data).line))
    return [value for value in values if value is not None]


def read_table(data: bytes, path: str, table: type[Row]) -> Row:
    """A file that is itself one table. Raises Faulty with every fault of the file."""
    slips = Slips()
    clean = washed(parse(data, path), slips)
    _known_format(clean, slips)
    row = _shaped(clean, (), table, slips)
    if row is None or slips.found:
        raise Faulty(as_faults(slips, path, Places(data).line))
    return row


def _top(raw: dict[str, Any], name: str, slips: Slips) -> None:
    """Beside the list there is nothing but the number of the format."""
    for key in raw.keys() - {name, "format"}:
        meant = nearest(key, (name, "format"))
        hint = f"did you mean {quoted(meant)}?" if meant else f"every table begins with [[{name}]]"
        slips.add(Code.UNKNOWN_KEY, (key,), f"{quoted(key)} is not known here", found=key, allowed=name, hint=hint)
    _known_format(raw, slips)


def _known_format(raw: dict[str, Any], slips: Slips) -> None:
    written = raw.get("format", NEWEST_FORMAT)
    if written != NEWEST_FORMAT or isinstance(written, bool):
        told = "this file is written in a format that this program does not know"
        slips.add(Code.FORMAT, ("format",), told, allowed=str(NEWEST_FORMAT), hint="take a newer Clampbook")


def _row(
    row: object, at: KeyPath, table: type[Row], meaning: Callable[[Row, KeyPath, Slips], Value | None], slips: Slips
) -> Value | None:
    if not isinstance(row, dict):
        slips.add(Code.WRONG_TYPE, at, "a table belongs here", hint=f"begin it with [[{at[0]}]]")
        return None
    shaped = None if _known_wrong(slips, at) else _shaped(row, at, table, slips)
    return None if shaped is None else meaning(shaped, at, slips)


def _known_wrong(slips: Slips, at: KeyPath) -> bool:
    """Whether something is already known to be wrong in the table at this place."""
    return any(slip.at[: len(at)] == at for slip in slips.found)


def _shaped(data: dict[str, Any], at: KeyPath, table: type[Row], slips: Slips) -> Row | None:
    try:
        return table.model_validate(data)
    except ValidationError as refused:
        for error in refused.errors(include_url=False):
            _tell(error, (*at, *error["loc"]), table, slips)
        return None


def _tell(error: ErrorDetails, at: KeyPath, table: type[Table], slips: Slips) -> None:
    key = str(at[-1])
    known = [field.alias or name for name, field in table.model_fields.items()]
    where = key_text(at[:-1]) or "the file"
    match error["type"]:
        case "missing":
            text = f"{where} needs {quoted(key)}"
            slips.add(Code.MISSING_KEY, at, text, found="nothing", allowed=key)
        case "extra_forbidden":
            meant = nearest(key, known)
            hint = f"did you mean {quoted(meant)}?" if meant else ""
            text = f"{where} knows no key {quoted(key)}"
            slips.add(Code.UNKNOWN_KEY, at, text, found=key, allowed=", ".join(known), hint=hint)
        case _:
            slips.found.append(slip_of(error, at))
