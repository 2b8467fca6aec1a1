"""The values that a key takes, in words: read off the type of its field, so that it is said nowhere else."""

from __future__ import annotations

import re
import types
from collections.abc import Iterator, Sequence
from typing import Annotated, Literal, Union, get_args, get_origin

from clampbook.procedure import sheet_values as values
from clampbook.procedure.lines import written
from clampbook.procedure.sheet_values import Table
from clampbook.tools import tables as of_tools
from clampbook.tools.lever import MOST_RATIO
from clampbook.unit_names import kind_of, unit_named
from clampbook.unit_table import Kind

_QUANTITY = "quantity"
_WORDS: tuple[tuple[object, str], ...] = (
    (values.Text, "text"),
    (values.Name, "text of up to 80 characters"),
    (values.Texts, "text, or a list of texts"),
    (values.Amount, _QUANTITY),
    (values.Ends, "two quantities"),
    (values.Limit, "quantity, or whole number"),
    (values.LimitEnds, "two quantities, or two whole numbers"),
    (values.Limits, "two quantities, or one after at least or at most"),
    (values.Labels, "positions"),
    (values.Number, "number"),
    (values.Band, "two numbers"),
    (values.Spot, "x and y"),
    (values.Day, "day"),
    (values.Count, "whole number from 1"),
    (values.Few, "whole number from 1 to 50"),
    (of_tools.Months, "whole number from 1 to 120"),
    (of_tools.Factor, "number from 1 to 4"),
    (of_tools.Ratio, f"number from 1 to {MOST_RATIO}"),
    (bool, "true or false"),
    (int, "whole number"),
)
_FEW = 3  # a key with examples of more kinds than these takes any
_UNIONS = (Union, types.UnionType)


def takes(kind: object, examples: Sequence[object]) -> str:
    """Say what a key of this type takes; of quantities also which, such as "two quantities: torque". Its examples have
    one of each kind that it takes."""
    said = words(kind)
    kinds = dict.fromkeys(found for each in examples for found in _kinds(each)) if "quantit" in said else {}
    if not 0 < len(kinds) <= _FEW:
        return said
    named = _either(list(kinds))
    return said.replace(_QUANTITY, named) if said.startswith(_QUANTITY) else f"{said}: {named}"


def _kinds(example: object) -> Iterator[str]:
    """The kinds of the quantities in it, each known by what stands behind its last digit."""
    if isinstance(example, list):
        for each in example:
            yield from _kinds(each)
    elif isinstance(example, str) and (unit := re.search(r"\d([^\d]+)$", example)):
        kind = kind_of(unit_named(unit[1]))
        yield "share in %" if kind == Kind.SHARE else str(kind)


def words(kind: object) -> str:
    """Say what a field of this type takes, such as "quantity". Raises ValueError for a type without words."""
    for known, said in _WORDS:
        if kind == known:
            return said
    parts = get_args(kind)
    match get_origin(kind):
        case origin if origin is Literal:
            return _either([written(word) for word in parts])
        case origin if origin in _UNIONS:
            return _either([words(part) for part in parts if part is not type(None)])
        case origin if origin is list:
            return "tables" if tables(kind) else f"list of {_several(words(parts[0]))}"
        case origin if origin is dict:
            return f"table: {_several(words(parts[0]))}, each with {words(parts[1])}"
        case _ if tables(kind):
            return "table"
    raise ValueError(f"no words for {kind}")


def allowed(kind: object) -> tuple[str, ...]:
    """The words of which one stands there; none where other values may."""
    if get_origin(kind) is Literal:
        return tuple(map(str, get_args(kind)))
    if get_origin(kind) in _UNIONS:
        parts = [part for part in get_args(kind) if part is not type(None)]
        return allowed(parts[0]) if len(parts) == 1 else ()
    return ()


def tables(kind: object) -> tuple[type[Table], ...]:
    """The tables that a field of this type takes, itself or in a list."""
    if isinstance(kind, type) and issubclass(kind, Table):
        return (kind,)
    if get_origin(kind) in (*_UNIONS, list, Annotated):
        return tuple(table for part in get_args(kind) for table in tables(part))
    return ()


def _several(words: str) -> str:
    return {"text": "texts", "text of up to 80 characters": "texts of up to 80 characters"}.get(words, words)


def _either(each: list[str]) -> str:
    return each[0] if len(each) == 1 else f"{', '.join(each[:-1])} or {each[-1]}"
