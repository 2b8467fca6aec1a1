"""Tables of the record as TOML text: one header a row and keys in the order given, whatever their length.

Values are written by tomli-w, but for numbers, and for texts in which nothing has to be escaped: tomli-w looks at each
of their characters, and a record is made again whenever its run is verified. The headers stand here, because tomli-w
draws short tables together into one line and puts those before the long ones, and then the record would not begin with
its deviations.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import cast

import tomli_w

Value = str | int | bool | Sequence[str] | Sequence[int]
Row = Mapping[str, "Value | Row | Sequence[Row] | None"]
_bare = re.compile(r"[A-Za-z0-9_-]+").fullmatch  # a key that needs no quotes
_as_it_is = re.compile(r'[^\x00-\x1f"\\\x7f]*').fullmatch  # a text in which nothing has to be escaped


def heading(row: Row) -> str:
    """The keys that stand before any table."""
    return "".join(_body(row, ""))


def table(name: str, row: Row) -> str:
    """One table; nothing where it holds nothing."""
    body = "".join(_body(row, name))
    return f"\n[{name}]\n{body}" if body else ""


def rows(name: str, several: Iterable[Row]) -> str:
    """An array of tables, one header for each."""
    return "".join(_rows(name, several))


def _rows(name: str, several: Iterable[Row]) -> Iterator[str]:
    for row in several:
        yield f"\n[[{name}]]\n"
        yield from _body(row, name)


def _body(row: Row, name: str) -> Iterator[str]:
    """First the plain values, then the tables below; what is None or an empty list is left out."""
    below: list[str] = []
    for key, value in row.items():
        if isinstance(value, str | int):
            yield _line(key, value)
        elif not value:
            continue
        elif isinstance(value, Mapping):
            below.append(table(f"{name}.{key}", value))
        elif isinstance(value[0], str | int):
            yield _line(key, cast("Sequence[str] | Sequence[int]", value))
        else:
            below.append(rows(f"{name}.{key}", (each for each in value if isinstance(each, Mapping))))
    yield from below


def _line(key: str, value: Value) -> str:
    if type(value) is str and _as_it_is(value) and _bare(key):
        return f'{key} = "{value}"\n'
    if type(value) is int and _bare(key):
        return f"{key} = {value}\n"
    return tomli_w.dumps({key: value})
