"""The small files that people write by hand into a book: a list of tables, read with all its faults at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pydantic import ValidationError

from clampbook.faults import Faulty, nearest
from clampbook.procedure.codes import Code
from clampbook.procedure.intake import parse
from clampbook.procedure.sheet_values import Table, is_number
from clampbook.procedure.slips import KeyPath, Slips, as_faults, offered, spoken
from clampbook.procedure.washing import washed
from clampbook.text import quoted

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

NEWEST_FORMAT = 2

Row = TypeVar("Row", bound=Table)
Value = TypeVar("Value")


@dataclass(slots=True)
class Rows(Generic[Row, Value]):
    """One of the lists of a file: the name of its tables, their shape, and how a well-shaped one becomes a value.

    `meaning` makes a value of one table, or adds to the slips what is wrong with it and gives None. `values` are there
    once the file was read.
    """

    name: str
    table: type[Row]
    meaning: Callable[[Row, KeyPath, Slips], Value | None]
    values: list[Value] = field(default_factory=list)

    def read(self, clean: dict[str, Any], slips: Slips) -> None:
        """Take the values of this list out of the data of the file."""
        rows = clean.get(self.name, [])
        if not isinstance(rows, list):
            told = f"{self.name} is not a list of tables"
            slips.add(Code.BRACKETS, (self.name,), told, hint=f"begin each table with [[{self.name}]]")
            return
        for index, row in enumerate(rows):
            value = _row(row, (self.name, index), self.table, self.meaning, slips)
            if value is not None:
                self.values.append(value)


def read_rows(
    data: bytes, path: str, name: str, table: type[Row], meaning: Callable[[Row, KeyPath, Slips], Value | None]
) -> list[Value]:
    """The values of all `[[name]]` tables in the order of the file; `meaning` as in Rows.

    Raises Faulty with every fault of the file.
    """
    rows = Rows(name, table, meaning)
    read_lists(data, path, (rows,))
    return rows.values


def read_lists(data: bytes, path: str, lists: Sequence[Rows[Any, Any]]) -> None:
    """Fill the values of the lists, all that a file holds. Raises Faulty with every fault of the file."""
    slips = Slips()
    clean = washed(parse(data, path), slips)
    _top(clean, [rows.name for rows in lists], slips)
    for rows in lists:
        rows.read(clean, slips)
    if slips.found:
        raise _faulty(slips, path, data)


def read_table(data: bytes, path: str, table: type[Row], newest: int) -> Row:
    """A file that is itself one table, of the format `newest`. Raises Faulty with every fault of the file."""
    slips = Slips()
    clean = washed(parse(data, path), slips)
    _known_format(clean, slips, newest)
    row = _shaped(clean, (), table, slips)
    if row is None or slips.found:
        raise _faulty(slips, path, data)
    return row


def _faulty(slips: Slips, path: str, data: bytes) -> Faulty:
    """The faults with their lines; what finds these is only loaded once something is wrong."""
    from clampbook.procedure.places import Places

    return Faulty(as_faults(slips, path, Places(data).line))


def _top(raw: dict[str, Any], names: Sequence[str], slips: Slips) -> None:
    """Beside the lists there is nothing but the number of the format."""
    for key in raw.keys() - {*names, "format"}:
        meant = nearest(key, (*names, "format"))
        begins = " or ".join(f"[[{name}]]" for name in names)
        hint = offered(meant) if meant else f"begin every table with {begins}"
        told = f"unknown key {quoted(key)}"
        slips.add(Code.UNKNOWN_KEY, (key,), told, found=key, allowed=", ".join(names), hint=hint)
    _known_format(raw, slips, NEWEST_FORMAT)


def _known_format(raw: dict[str, Any], slips: Slips, newest: int) -> None:
    """An older format is told with what to write; of a newer one, that a newer version reads it."""
    written = raw.get("format", newest)
    if written == newest and not isinstance(written, bool):
        return
    before = is_number(written) and written < newest
    told = "the file is in a format that this version does not know"
    if before:
        told = f"the file is in format {written}, and this version reads format {newest}"
    hint = f"write format = {newest}" if before else "use a newer Clampbook"
    slips.add(Code.FORMAT, ("format",), told, allowed=str(newest), hint=hint)


def _row(
    row: object, at: KeyPath, table: type[Row], meaning: Callable[[Row, KeyPath, Slips], Value | None], slips: Slips
) -> Value | None:
    if not isinstance(row, dict):
        slips.add(Code.WRONG_TYPE, at, "this is not a table", hint=f"begin it with [[{at[0]}]]")
        return None
    shaped = None if _known_wrong(slips, at) else _shaped(row, at, table, slips)
    return None if shaped is None else meaning(shaped, at, slips)


def _known_wrong(slips: Slips, at: KeyPath) -> bool:
    """True where something is already known to be wrong in the table at this place."""
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
    from clampbook.procedure.key_words import renamed  # the tables of a procedure come with these
    from clampbook.procedure.shape_words import slip_of

    known = [field.alias or name for name, field in table.model_fields.items()]
    where = spoken(at[:-1])
    match error["type"]:
        case "missing":
            slips.add(
                Code.MISSING_KEY, at, f"{where} needs the key {key}", found="nothing", allowed=key, hint=f"add {key}"
            )
        case "extra_forbidden" if key in table.renamed:
            slips.found.append(renamed(at, table))
        case "extra_forbidden":
            meant = nearest(key, known)
            hint = offered(meant) if meant else f"use one of {', '.join(known)}"
            text = f"unknown key {quoted(key)}"
            slips.add(Code.UNKNOWN_KEY, at, text, found=key, allowed=", ".join(known), hint=hint)
        case _:
            slips.found.append(slip_of(error, at))
