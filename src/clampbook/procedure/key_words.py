"""Keys that are missing or not known, told to the person who wrote the file, with the line that would be right."""

from __future__ import annotations

from functools import lru_cache

from clampbook.faults import nearest
from clampbook.procedure.codes import Code
from clampbook.procedure.lines import line
from clampbook.procedure.sheet import EdgesTable, LayoutTable, Sheet
from clampbook.procedure.sheet_groups import FrictionTable, GroupTable, StrengthTable
from clampbook.procedure.sheet_stages import KINDS
from clampbook.procedure.sheet_values import Table
from clampbook.procedure.slips import KeyPath, Slip, either, offered, short, spoken
from clampbook.procedure.tables import BELOW_THE_TOP, STAGES
from clampbook.text import quoted

_STAGES: dict[str, type[Table]] = {f"<{does}>": table for does, table in STAGES.items()}
_TABLES: dict[str, type[Table]] = {
    name.rpartition(".")[2]: table for name, table in BELOW_THE_TOP.items() if table not in _STAGES.values()
}
_AROUND: dict[type[Table], type[Table]] = {
    FrictionTable: GroupTable,
    StrengthTable: GroupTable,
    EdgesTable: LayoutTable,
}


def table_of(loc: tuple[str | int, ...]) -> type[Table]:
    """The table in which the last key of one of pydantic's places stands."""
    for part in reversed(loc[:-1]):
        if part in _STAGES:
            return _STAGES[str(part)]
        if part in _TABLES:
            return _TABLES[str(part)]
    return Sheet


@lru_cache(maxsize=4096)
def meant(key: str, table: type[Table]) -> str | None:
    """The known key of the table that this unknown one was probably meant to be; none where it belongs elsewhere."""
    if key in table.renamed:
        return table.renamed[key]
    return None if _kinds_with(key, table) else nearest(key, _keys(table))


def example(table: type[Table], key: str) -> str:
    """A line that would be right, such as `by = "90°"`; "" where there is no example."""
    field = next((field for name, field in table.model_fields.items() if key in (name, field.alias)), None)
    return line(key, field.examples[0]) if field and field.examples else ""


def missing(at: KeyPath, table: type[Table]) -> Slip:
    """A table lacks a key that it must have."""
    key = str(at[-1])
    if key == "stage" or at == ("group",):
        header = f"[[{'.'.join(part for part in at if isinstance(part, str))}]]"
        return Slip(at, Code.MISSING_KEY, f"there is no {header}", hint=f"add at least one {header}")
    line = example(table, key)
    return Slip(
        at,
        Code.MISSING_KEY,
        f"{spoken(at[:-1])} needs the key {short(key)}",
        "nothing",
        line or key,
        f"add a line like {line}" if line else f"add {short(key)}",
    )


def unknown(at: KeyPath, table: type[Table]) -> Slip:
    """A table has a key that it cannot have: one that strayed from the top, one of another kind, or a misspelling."""
    key = str(at[-1])
    if key in table.renamed:
        return renamed(at, table)
    if key in _keys(Sheet) and table is not Sheet and not _kinds_with(key, table):
        return strayed(at)
    if table in _AROUND and key in _keys(_AROUND[table]):
        return Slip(
            at,
            Code.BELOW_A_TABLE,
            f"{short(key)} belongs to {spoken(at[:-2])}, not below {spoken(at[-2:-1])}",
            key,
            f"above {spoken(at[-2:-1])}",
            f"move the line up, or write {at[-2]} = {{ … }} on one line",
        )
    if key == "confirm" and table is KINDS["turn"]:
        return Slip(
            at,
            Code.NOT_CONFIRMED,
            "every turn is answered by itself, never by the round",
            "confirm",
            "tighten only",
            "remove confirm",
        )
    return Slip(
        at,
        Code.UNKNOWN_KEY,
        f"unknown key {quoted(key)} in {spoken(at[:-1])}",
        key,
        ", ".join(_keys(table)),
        _instead(key, table),
    )


def renamed(at: KeyPath, table: type[Table]) -> Slip:
    """A key stands under the name that it had once."""
    key = str(at[-1])
    now = table.renamed[key]
    return Slip(at, Code.RENAMED, f"key {short(key)} has a new name", key, now, f"write {now}")


def strayed(at: KeyPath) -> Slip:
    """A key of the file's top stands below a table."""
    key = str(at[-1])
    return Slip(
        at,
        Code.BELOW_A_TABLE,
        f"key {short(key)} belongs to the top of the file, not below {_header(at[:-1])}",
        key,
        "above the first line in [brackets]",
        _move(key),
    )


def belongs_to_top(key: str | int) -> bool:
    """True where this is a key of the file's top."""
    return key in _keys(Sheet)


def _instead(key: str, table: type[Table]) -> str:
    close = meant(key, table)
    if close:
        return offered(close)
    others = _kinds_with(key, table)
    if others:
        return f"move it to a stage with do = {either(others)}, or remove it"
    return f"use one of {', '.join(_keys(table))}"


def _kinds_with(key: str, table: type[Table]) -> list[str]:
    """For a key in a stage's table: the kinds of stage that know it."""
    return [kind for kind, stage in KINDS.items() if key in _keys(stage)] if table in _STAGES.values() else []


def _keys(table: type[Table]) -> list[str]:
    return [field.alias or name for name, field in table.model_fields.items()]


def _header(at: KeyPath) -> str:
    """The header line of the table at this path, as it stands in the file."""
    match at:
        case (str() as name,):
            return f"[{short(name)}]"
        case (str() as name, int()):
            return f"[[{short(name)}]]"
        case _:
            return spoken(at)


def _move(key: str) -> str:
    if key in ("layout", "sign_off", "release"):
        return f"write it as a table of its own: [{key}]"
    if key in ("ask", "part", "group", "stage", "follow_up", "accepted"):
        return f"write it as a table of its own: [[{key}]]"
    return "move the line up, above the first line in [brackets]"
