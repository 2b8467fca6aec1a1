"""The kinds of value that a person writes into a procedure file, as pydantic types.

Each is one type with one way of going wrong, so that one slip gives one fault; what a value means is read later.
"""

import os
from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, WithJsonSchema
from pydantic_core import PydanticCustomError

# What else is installed beside this program has no say in how a sheet is read, and is not looked through for it.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


class Table(BaseModel):
    """A TOML table whose keys are all known: a misspelled key is a fault and never silently left out."""

    # Built when the first file is read: whoever only needs another table does not wait for these. In the modules of
    # tables annotations are no text (as `from __future__ import annotations` makes them): each would be compiled anew.
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    renamed: ClassVar[Mapping[str, str]] = {}  # names that keys had once, each with its name now
    reworded: ClassVar[Mapping[str, str]] = {}  # the same of words that stand as values


def is_number(value: object) -> bool:
    """True for a TOML number; a TOML truth value is none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _with_unit(value: object) -> object:
    if is_number(value):
        raise PydanticCustomError("number_without_unit", "a number without its unit")
    return value


def _bare_too(value: object) -> object:
    """Take a bare number as its text: whether it needs a unit is known where the unit is."""
    return str(value) if is_number(value) else value


def _labels(value: object) -> tuple[str, ...]:
    """Turn text or a list of texts and whole numbers into the written pieces; ranges stay as they are."""
    pieces = value if isinstance(value, list) else [value]
    return tuple(_label(piece) for piece in pieces)


def _label(piece: object) -> str:
    if isinstance(piece, str):
        return piece
    if isinstance(piece, int) and not isinstance(piece, bool) and 0 <= piece < 10**9:
        return str(piece)
    raise PydanticCustomError("not_labels", "neither text nor a list of labels")


def _torque_limits(value: object) -> tuple[str, ...]:
    """Turn `["55 N·m", "95 N·m"]` or `"at least 122 N·m"` into its written texts (two or one)."""
    if isinstance(value, str):
        return (value,)
    if isinstance(value, list) and len(value) == 2 and all(isinstance(end, str) for end in value):
        return (value[0], value[1])
    if is_number(value) or (isinstance(value, list) and any(is_number(end) for end in value)):
        raise PydanticCustomError("number_without_unit", "a number without its unit")
    raise PydanticCustomError("not_limits", "neither two torques nor a limit")


def _texts(value: object) -> object:
    """Take one text as a list of one."""
    return [value] if isinstance(value, str) else value


def _day(value: object) -> object:
    """Take a TOML date as its text; text is checked later."""
    if isinstance(value, datetime):
        raise PydanticCustomError("not_a_day", "a time where a day belongs")
    return value.isoformat() if isinstance(value, date) else value


_LABELS_SCHEMA: dict[str, Any] = {
    "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": ["string", "integer"]}, "minItems": 1}],
    "examples": ["1-10", "1-4, 7", ["A1", "A2"]],
}
_TEXTS_SCHEMA: dict[str, Any] = {
    "anyOf": [
        {"type": "string", "minLength": 1},
        {"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": 1},
    ],
}
_LIMIT_SCHEMA: dict[str, Any] = {"anyOf": [{"type": "string", "minLength": 1}, {"type": "integer", "minimum": 0}]}
_LIMITS_SCHEMA: dict[str, Any] = {
    "anyOf": [
        {"type": "string", "examples": ["at least 122 N·m", "at most 95 N·m"]},
        {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2},
    ],
    "examples": [["55 N·m", "95 N·m"], "at least 122 N·m"],
}

Text = Annotated[str, StringConstraints(min_length=1)]
"""Text with at least one character."""

Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
"""The name of something; short enough to stand in a line with other things."""

Texts = Annotated[list[Text], BeforeValidator(_texts), Field(min_length=1), WithJsonSchema(_TEXTS_SCHEMA)]
"""One text, or several in a list."""

Amount = Annotated[str, BeforeValidator(_with_unit), StringConstraints(min_length=1)]
"""A quantity with its unit, a share in %, or a deviation such as "+0 −3 N·m": always text."""

Ends = Annotated[list[Amount], Field(min_length=2, max_length=2)]
"""The lower and the upper end of a window."""

Limit = Annotated[str, BeforeValidator(_bare_too), WithJsonSchema(_LIMIT_SCHEMA)]
"""A quantity with its unit, or of a count a whole number alone."""

LimitEnds = Annotated[list[Limit], Field(min_length=2, max_length=2)]
"""The lower and the upper limit of what is measured or counted."""

Limits = Annotated[tuple[str, ...], BeforeValidator(_torque_limits), WithJsonSchema(_LIMITS_SCHEMA)]
"""Two ends, or one open limit in words."""

Labels = Annotated[tuple[str, ...], BeforeValidator(_labels), WithJsonSchema(_LABELS_SCHEMA)]
"""Positions as written: "1-10", "1-4, 7", or a list."""

Number = Annotated[float, Field(allow_inf_nan=False)]
"""A plain number, for what has no unit: friction, nut factor, coordinates."""

Band = Annotated[list[Number], Field(min_length=2, max_length=2)]
"""Lowest and highest of a plain number."""

Spot = Annotated[list[Annotated[float, Field(ge=-1e6, le=1e6)]], Field(min_length=2, max_length=2)]
"""Coordinates: x to the right, y downwards, in any measure that all of them share."""

Day = Annotated[
    str, BeforeValidator(_day), WithJsonSchema({"type": "string", "format": "date", "examples": ["2026-03-02"]})
]
"""A day as a TOML date or as text in ISO 8601."""

Count = Annotated[int, Field(ge=1, le=1_000_000)]
"""A whole number from 1."""

Few = Annotated[int, Field(ge=1, le=50)]
"""A small whole number from 1: rounds, passes."""
