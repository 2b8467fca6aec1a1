"""What pydantic refuses, in the words of the person who wrote the file: text, number, list and table, never types."""

from __future__ import annotations

import re
from datetime import date, datetime, time
from typing import Any

from pydantic_core import ErrorDetails

from clampbook.faults import nearest
from clampbook.procedure.codes import Code
from clampbook.procedure.sheet import (
    AcceptedTable,
    AskTable,
    EdgesTable,
    FollowUpTable,
    FrictionTable,
    GroupTable,
    LayoutTable,
    PartTable,
    ReleaseTable,
    Sheet,
)
from clampbook.procedure.sheet_stages import BLOCK, KINDS, BlockTable
from clampbook.procedure.sheet_values import Table, is_number
from clampbook.procedure.slips import KeyPath, Slip, either, key_text, quoted, short

_TABLES: dict[str, type[Table]] = {
    "ask": AskTable,
    "part": PartTable,
    "layout": LayoutTable,
    "edges": EdgesTable,
    "group": GroupTable,
    "friction": FrictionTable,
    "follow_up": FollowUpTable,
    "release": ReleaseTable,
    "accepted": AcceptedTable,
}
_STAGES: dict[str, type[Table]] = {f"<{name}>": table for name, table in KINDS.items()} | {f"<{BLOCK}>": BlockTable}
_KINDS_OF_VALUE = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list in [ … ]",
    "dict_type": "a table",
    "model_type": "a table",
    "not_labels": 'positions such as "1-4, 7" or a list of them',
    "not_limits": 'two torques, or one in words such as "at least 122 N·m"',
    "not_a_day": "a day such as 2026-03-02",
}


def slip_of(error: ErrorDetails, at: KeyPath) -> Slip:
    """The slip that one of pydantic's errors stands for; `at` is its key path without tags."""
    kind = error["type"]
    table = _table_of(error["loc"])
    if kind == "missing":
        return _missing(at, table)
    if kind == "extra_forbidden":
        return _unknown(at, table)
    if kind == "no_such_stage":
        return _no_stage(at, error["input"])
    if kind == "number_without_unit":
        return _no_unit(at, error["input"], table)
    if kind == "literal_error":
        return _not_allowed(at, error)
    if kind in _KINDS_OF_VALUE:
        return _wrong_type(at, _KINDS_OF_VALUE[kind], error["input"])
    return _bounds(at, error)


def found_text(value: object) -> str:
    """A value of the file as it is named in a sentence."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return quoted(value)
        case int() if abs(value) >= 10**20:
            return "a very large number"
        case int() | float():
            return str(value)
        case list():
            return "a list"
        case dict():
            return "a table"
        case datetime() | time():
            return f"the time {value.isoformat()}"
        case date():
            return f"the day {value.isoformat()}"
        case _:
            return "something else"


def _table_of(loc: tuple[str | int, ...]) -> type[Table]:
    """The table in which the last key of this place stands."""
    for part in reversed(loc[:-1]):
        if part in _STAGES:
            return _STAGES[str(part)]
        if part in _TABLES:
            return _TABLES[str(part)]
    return Sheet


def _keys(table: type[Table]) -> list[str]:
    return [field.alias or name for name, field in table.model_fields.items()]


def _example(table: type[Table], key: str) -> str:
    """A line that would be right, such as `by = "90°"`; "" where there is no example."""
    field = next((field for name, field in table.model_fields.items() if key in (name, field.alias)), None)
    example = field.examples[0] if field and field.examples else None
    match example:
        case str():
            return f'{key} = "{example}"'
        case list():
            return f"{key} = {_listed(example)}"
        case _:
            return ""


def _listed(values: list[Any]) -> str:
    return "[" + ", ".join(f'"{value}"' for value in values) + "]"


def _where(at: KeyPath) -> str:
    return key_text(at) if at else "the top of the file"


def _missing(at: KeyPath, table: type[Table]) -> Slip:
    key = str(at[-1])
    field = next((field for name, field in table.model_fields.items() if key in (name, field.alias)), None)
    if at in (("group",), ("stage",)):
        return Slip(at, Code.MISSING_KEY, f"there is no [[{key}]]", hint=f"write at least one table [[{key}]]")
    return Slip(
        at,
        Code.MISSING_KEY,
        f"{_where(at[:-1])} needs {quoted(key)}",
        "nothing",
        short((field.description or "") if field else ""),
        f"add such a line: {line}" if (line := _example(table, key)) else "",
    )


def _unknown(at: KeyPath, table: type[Table]) -> Slip:
    key = str(at[-1])
    known = _keys(table)
    if key in _keys(Sheet) and table is not Sheet:
        return Slip(
            at,
            Code.BELOW_A_TABLE,
            f"{quoted(key)} belongs to the top of the file; below {_header(at[:-1])} TOML counts it to that table",
            key,
            "above the first line in [brackets]",
            _move(key),
        )
    meant = nearest(key, known)
    others = [kind for kind, stage in KINDS.items() if key in _keys(stage)]
    if key == "confirm" and table is KINDS["turn"]:
        return Slip(
            at,
            Code.NOT_CONFIRMED,
            "a turn is answered for one by one, never confirmed by round",
            "confirm",
            "tighten only",
            "take confirm away",
        )
    hint = f"did you mean {quoted(meant)}?" if meant else ""
    if not meant and others and table in _STAGES.values():
        hint = f"{quoted(key)} belongs to {', '.join(others)}"
    return Slip(at, Code.UNKNOWN_KEY, f"{_where(at[:-1])} knows no key {quoted(key)}", key, ", ".join(known), hint)


def _header(at: KeyPath) -> str:
    """The header line of the table at this path, as it stands in the file."""
    names = ".".join(str(part) for part in at if isinstance(part, str))
    return f"[[{short(names)}]]" if at and isinstance(at[-1], int) else f"[{short(names)}]"


def _move(key: str) -> str:
    if key in ("layout", "sign_off", "release"):
        return f"write it as a table of its own: [{key}]"
    if key in ("ask", "part", "group", "stage", "follow_up", "accepted"):
        return f"write it as a table of its own: [[{key}]]"
    return "move the line up, above the first line in [brackets]"


def _no_stage(at: KeyPath, value: object) -> Slip:
    allowed = ", ".join(KINDS)
    if not isinstance(value, dict):
        return _wrong_type(at, "a table", value)
    if "do" not in value:
        return Slip(
            (*at, "do"),
            Code.NO_SUCH_STAGE,
            f"{key_text(at)} does not say what is to be done",
            "nothing",
            allowed,
            'add such a line: do = "tighten"',
        )
    do = value["do"]
    meant = nearest(do, KINDS) if isinstance(do, str) else None
    return Slip(
        (*at, "do"),
        Code.NO_SUCH_STAGE,
        f"there is no stage of the kind {found_text(do)}",
        found_text(do),
        allowed,
        f"did you mean {quoted(meant)}?" if meant else f"write one of {allowed}",
    )


def _no_unit(at: KeyPath, value: object, table: type[Table]) -> Slip:
    found = "a list with a bare number" if isinstance(value, list) else found_text(value)
    line = _example(table, next((str(part) for part in reversed(at) if isinstance(part, str)), ""))
    return Slip(
        at,
        Code.NO_UNIT,
        f"{found} has no unit",
        found,
        "a quantity with its unit, in quotes",
        f"write it with its unit in quotes, such as {line}" if line else "write it with its unit, in quotes",
    )


def _not_allowed(at: KeyPath, error: ErrorDetails) -> Slip:
    words = re.findall(r"'((?:[^'\\]|\\.)*)'", str(error.get("ctx", {}).get("expected", "")))
    found = error["input"]
    meant = nearest(found, words) if isinstance(found, str) else None
    return Slip(
        at,
        Code.NOT_ALLOWED,
        f"{found_text(found)} is not one of the words that are known here",
        found_text(found),
        ", ".join(words),
        f"did you mean {quoted(meant)}?" if meant else f"write {either(words)}",
    )


def _wrong_type(at: KeyPath, wanted: str, value: object) -> Slip:
    found = found_text(value)
    name = next((part for part in reversed(at) if isinstance(part, str)), "")
    if wanted.startswith("a list") and isinstance(value, dict):
        return Slip(
            at,
            Code.BRACKETS,
            f"[{short(name)}] stands in single brackets, but there may be several",
            f"[{short(name)}]",
            f"[[{short(name)}]]",
            f"write [[{short(name)}]]",
        )
    if wanted == "a table" and isinstance(value, list) and value and isinstance(value[0], dict):
        return Slip(
            at,
            Code.BRACKETS,
            f"[[{short(name)}]] stands in double brackets, but there is only one",
            f"[[{short(name)}]]",
            f"[{short(name)}]",
            f"write [{short(name)}]",
        )
    hint = ""
    if wanted.startswith("text") and is_number(value):
        hint = f'write it in quotes: {short(name)} = "{found}"'
    return Slip(at, Code.WRONG_TYPE, f"{wanted} belongs here, found {found}", found, wanted, hint)


def _bounds(at: KeyPath, error: ErrorDetails) -> Slip:
    """Numbers out of their bounds, lists and texts of the wrong length; and, in its words, all else."""
    context = error.get("ctx", {})
    found = found_text(error["input"])
    match error["type"]:
        case "greater_than_equal":
            allowed = f"{context.get('ge')} or more"
            return Slip(at, Code.OUT_OF_RANGE, f"{found} is too small here, allowed is {allowed}", found, allowed)
        case "less_than_equal":
            allowed = f"up to {context.get('le')}"
            return Slip(at, Code.OUT_OF_RANGE, f"{found} is too large here, allowed is {allowed}", found, allowed)
        case "finite_number":
            return Slip(at, Code.OUT_OF_RANGE, "a number without bounds is not possible here", found, "a finite number")
        case "string_too_short":
            return Slip(at, Code.WRONG_LENGTH, "the text is empty", found, "at least one character")
        case "too_short" | "too_long":
            return _length(at, error)
        case _:
            return Slip(at, Code.WRONG_TYPE, f"{found} is not possible here", found, short(error["msg"]))


def _length(at: KeyPath, error: ErrorDetails) -> Slip:
    context = error.get("ctx", {})
    least, actual = context.get("min_length"), context.get("actual_length")
    if at in (("group",), ("stage",)) or at[-1] == "steps":
        name = at[-1]
        return Slip(
            at, Code.WRONG_LENGTH, f"{quoted(str(name))} is empty", "none", "at least one", f"write at least one {name}"
        )
    allowed = f"{least or context.get('max_length')} entries"
    values = error["input"]
    bare = isinstance(values, list) and all(is_number(value) for value in values)
    hint = "a bare number takes a decimal point; a comma begins the next entry" if bare and actual == 4 else ""
    return Slip(at, Code.WRONG_LENGTH, f"the list has {actual} entries, not 2", f"{actual} entries", allowed, hint)
