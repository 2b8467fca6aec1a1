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
from clampbook.procedure.slips import KeyPath, Slip, either, offered, short, spoken
from clampbook.text import quoted

_YES_OR_NO = "true or false"
_SAID = {"true": "true", "yes": "true", "on": "true", "false": "false", "no": "false", "off": "false"}
_KINDS_OF_VALUE = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": _YES_OR_NO,
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
    allowed, others = ", ".join(KINDS), ", ".join(kind for kind in KINDS if kind != "tighten")
    if not isinstance(value, dict):
        return _wrong_type(at, "a table", value)
    if "do" not in value:
        return Slip(
            (*at, "do"),
            Code.NO_SUCH_STAGE,
            f"{spoken(at)} does not say what to do",
            "nothing",
            allowed,
            f'add a line like do = "tighten", or with {others}',
        )
    do = value["do"]
    meant = nearest(do, KINDS) if isinstance(do, str) else None
    return Slip(
        (*at, "do"),
        Code.NO_SUCH_STAGE,
        f"unknown kind of stage {found_text(do)}",
        found_text(do),
        allowed,
        offered(meant) if meant else f"write one of {allowed}",
    )


def _no_unit(at: KeyPath, value: object, table: type[Table]) -> Slip:
    found = "a number in the list" if isinstance(value, list) else found_text(value)
    line = example(table, next((str(part) for part in reversed(at) if isinstance(part, str)), ""))
    if is_number(value):  # the number that was typed, not that of the example
        line = re.sub(r'"[0-9.]+', lambda _: f'"{found}', line, count=1)
    return Slip(
        at,
        Code.NO_UNIT,
        f"{found} has no unit",
        found,
        "a quantity with its unit, in quotes",
        f"write {line}" if line and is_number(value) else "write it with its unit, in quotes",
    )


def _not_allowed(at: KeyPath, error: ErrorDetails, table: type[Table]) -> Slip:
    if at[0] == "sign_off" and len(at) == 2 and belongs_to_top(at[1]):
        return strayed(at)
    words = re.findall(r"'((?:[^'\\]|\\.)*)'", str(error.get("ctx", {}).get("expected", "")))
    found = error["input"]
    if isinstance(found, str) and (now := table.reworded.get(found, "")) in words:
        return Slip(at, Code.RENAMED, f"{quoted(found)} has a new name", found, now, f"write {either([now])}")
    meant = nearest(found, words) if isinstance(found, str) else None
    return Slip(
        at,
        Code.NOT_ALLOWED,
        f"{found_text(found)} is not a value of {spoken(at[-1:])}",
        found_text(found),
        ", ".join(words),
        offered(meant) if meant else f"write {either(words)}",
    )


def _wrong_type(at: KeyPath, wanted: str, value: object) -> Slip:
    found = found_text(value)
    name = next((part for part in reversed(at) if isinstance(part, str)), "")
    if wanted.startswith("a list") and isinstance(value, dict):
        return Slip(
            at,
            Code.BRACKETS,
            f"[{short(name)}] needs double brackets, as there may be several",
            f"[{short(name)}]",
            f"[[{short(name)}]]",
            f"write [[{short(name)}]]",
        )
    if wanted == "a table" and isinstance(value, list) and value and isinstance(value[0], dict):
        return Slip(
            at,
            Code.BRACKETS,
            f"[[{short(name)}]] needs single brackets, as there is only one",
            f"[[{short(name)}]]",
            f"[{short(name)}]",
            f"write [{short(name)}]",
        )
    hint = f"write {wanted}"
    if wanted.startswith("text") and is_number(value):
        found, hint = f"{found}, without quotes", f'write {short(name)} = "{found}"'
    elif wanted == _YES_OR_NO:
        said = _SAID.get(value.casefold()) if isinstance(value, str) else None
        hint = f"write {short(name)} = {said}" if said else "write one of the two"
    told = f"{short(name) or 'the value'} is {found}"
    return Slip(at, Code.WRONG_TYPE, told, found, wanted, hint)


def _bounds(at: KeyPath, error: ErrorDetails) -> Slip:
    """Numbers out of their bounds, lists and texts of the wrong length; and, in its words, all else."""
    context = error.get("ctx", {})
    found = found_text(error["input"])
    match error["type"]:
        case "greater_than_equal":
            allowed = f"{context.get('ge')} or more"
            return Slip(at, Code.OUT_OF_RANGE, f"{_last(at)} is {found}, too small", found, allowed, f"write {allowed}")
        case "less_than_equal":
            allowed = f"{context.get('le')} or less"
            return Slip(at, Code.OUT_OF_RANGE, f"{_last(at)} is {found}, too large", found, allowed, f"write {allowed}")
        case "finite_number":
            hint = "write a plain number"
            return Slip(at, Code.OUT_OF_RANGE, f"{_last(at)} is without limit", found, "a finite number", hint)
        case "string_too_short":
            return Slip(
                at, Code.WRONG_LENGTH, f"{_last(at)} is empty", found, "at least one character", "write something"
            )
        case "string_too_long":
            allowed = f"up to {context.get('max_length')} characters"
            return Slip(at, Code.WRONG_LENGTH, f"{_last(at)} is too long", found, allowed, f"shorten it to {allowed}")
        case "too_short" | "too_long":
            return _length(at, error)
        case _:
            return Slip(
                at,
                Code.WRONG_TYPE,
                f"{_last(at)} is {found}, which is not possible",
                found,
                short(error["msg"]),
                "compare the format",
            )


def _length(at: KeyPath, error: ErrorDetails) -> Slip:
    context = error.get("ctx", {})
    least, actual = context.get("min_length"), context.get("actual_length")
    if at in (("group",), ("stage",)) or at[-1] == "steps":
        name = at[-1]
        return Slip(at, Code.WRONG_LENGTH, f"{name} is empty", "none", "at least one", f"write at least one {name}")
    if error["input"] == "":
        return Slip(at, Code.WRONG_LENGTH, f"{_last(at)} is empty", "“”", "at least one character", "write something")
    allowed = f"{least or context.get('max_length')} entries"
    values = error["input"]
    bare = isinstance(values, list) and all(is_number(value) for value in values)
    hint = "write a decimal point, as a comma begins the next entry" if bare and actual == 4 else "write both ends"
    told = f"{_last(at)} has {actual} {'entry' if actual == 1 else 'entries'}, not 2"
    return Slip(at, Code.WRONG_LENGTH, told, f"{actual} entries", allowed, hint)


def _last(at: KeyPath) -> str:
    """The key whose value is meant, by its own name."""
    return next((short(part) for part in reversed(at) if isinstance(part, str)), "the value")
