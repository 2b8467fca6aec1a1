"""The refusals of pydantic in the words of whoever wrote the file: text, number, list and table, never types."""

from __future__ import annotations

import re
from datetime import date, datetime, time

from pydantic_core import ErrorDetails

from clampbook.faults import nearest
from clampbook.procedure.codes import Code
from clampbook.procedure.key_words import belongs_to_top, example, missing, strayed, table_of, unknown
from clampbook.procedure.sheet_stages import KINDS
from clampbook.procedure.sheet_values import Table, is_number
from clampbook.procedure.slips import KeyPath, Slip, either, key_text, quoted, short

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
    table = table_of(error["loc"])
    if kind == "missing":
        return missing(at, table)
    if kind == "extra_forbidden":
        return unknown(at, table)
    if kind == "no_such_stage":
        return _no_stage(at, error["input"])
    if kind == "number_without_unit":
        return _no_unit(at, error["input"], table)
    if kind == "literal_error":
        return _not_allowed(at, error, table)
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
            return "another thing"


def _no_stage(at: KeyPath, value: object) -> Slip:
    allowed = ", ".join(KINDS)
    if not isinstance(value, dict):
        return _wrong_type(at, "a table", value)
    if "do" not in value:
        return Slip(
            (*at, "do"),
            Code.NO_SUCH_STAGE,
            f"{key_text(at)} does not say what to do",
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
    line = example(table, next((str(part) for part in reversed(at) if isinstance(part, str)), ""))
    return Slip(
        at,
        Code.NO_UNIT,
        f"{found} has no unit",
        found,
        "a quantity with its unit, in quotes",
        f"write it with its unit in quotes, such as {line}" if line else "write it with its unit, in quotes",
    )


def _not_allowed(at: KeyPath, error: ErrorDetails, table: type[Table]) -> Slip:
    if at[0] == "sign_off" and len(at) == 2 and belongs_to_top(at[1]):
        return strayed(at)
    words = re.findall(r"'((?:[^'\\]|\\.)*)'", str(error.get("ctx", {}).get("expected", "")))
    found = error["input"]
    if isinstance(found, str) and (now := table.reworded.get(found, "")) in words:
        told = f"{quoted(found)} is now {quoted(now)}"
        return Slip(at, Code.RENAMED, told, found, now, f"write {quoted(now)} in its place")
    meant = nearest(found, words) if isinstance(found, str) else None
    return Slip(
        at,
        Code.NOT_ALLOWED,
        f"{found_text(found)} is not known here; known are {either(words)}",
        found_text(found),
        ", ".join(words),
        f"did you mean {quoted(meant)}?" if meant else "",
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
        case "string_too_long":
            allowed = f"up to {context.get('max_length')} characters"
            return Slip(at, Code.WRONG_LENGTH, f"the text is too long here, allowed are {allowed}", found, allowed)
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
