"""Changes to tools.toml that leave a person's comments, order and layout as they are.

tomlkit is taken for this and for nothing else: it is the library that keeps what stands around a value when the value
changes; tomli-w writes a file anew and loses it. Pure: bytes in, bytes out; whoever writes them compares first.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

import tomli_w

from clampbook.procedure.sheet_values import Table
from clampbook.tools.tables import AdapterTable, ToolTable

if TYPE_CHECKING:
    from tomlkit.items import Item

List = Literal["tool", "adapter"]
Value = str | bool | int | float | date | list[str]
Changes = Mapping[str, Value | None]  # None takes the key away


def _keys(table: type[Table]) -> dict[str, str]:
    """The keys as they are written, each with its purpose."""
    return {field.alias or name: field.description or "" for name, field in table.model_fields.items()}


_ABOUT: dict[List, dict[str, str]] = {"tool": _keys(ToolTable), "adapter": _keys(AdapterTable)}
# In the order in which they are asked for.
KEYS: dict[List, tuple[str, ...]] = {kind: tuple(keys) for kind, keys in _ABOUT.items()}


class NotEdited(ValueError):  # noqa: N818 - a refusal that carries a sentence
    """The file cannot be changed by the program; `sentence` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def about(kind: List, key: str) -> str:
    """Purpose of a key, in a sentence; empty where its name says it."""
    return _ABOUT[kind][key]


def entries(data: bytes, kind: List) -> tuple[dict[str, Any], ...]:
    """The entries as they are written, in the order of the file. Raises NotEdited where it is not TOML."""
    rows = _held(data).get(kind, [])
    return tuple(rows) if isinstance(rows, list) and all(isinstance(row, dict) for row in rows) else ()


def added(data: bytes, kind: List, entry: Mapping[str, Value]) -> bytes:
    """The file with one more tool or adapter at its end, everything before it byte for byte as it was.

    Raises NotEdited.
    """
    row = {key: entry[key] for key in KEYS[kind] if key in entry}
    before = data if data.endswith(b"\n") or not data else data + b"\n"
    gap = b"\n" if before.strip() else b""
    longer = before + gap + f"[[{kind}]]\n".encode() + tomli_w.dumps(row).encode()
    held = _held(data)
    return _sure(longer, {**held, kind: [*held.get(kind, []), row]})


def changed(data: bytes, kind: List, id: str, changes: Changes) -> bytes:
    """The file with some keys of one entry changed, added or (None) taken away; all else stays. Raises NotEdited."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    held = _held(data)
    at = next((n for n, row in enumerate(entries(data, kind)) if row.get("id") == id), None)
    if at is None:
        raise NotEdited(f"there is no {kind} {id} in this file any more. Open it again")
    try:
        document = tomlkit.parse(data.decode())
        table: Any = document[kind][at]
        for key, value in changes.items():
            _change(table, key, value)
        text = tomlkit.dumps(document)
    except TOMLKitError as error:
        raise NotEdited(
            f"the file is written in a way that the program cannot change: {error}. Change it by hand"
        ) from error
    wanted = dict(held[kind][at])
    for key, value in changes.items():
        wanted.pop(key, None) if value is None else wanted.update({key: value})
    rows = [wanted if n == at else row for n, row in enumerate(held[kind])]
    return _sure(text.encode(), {**held, kind: rows})


def _change(table: Any, key: str, value: Value | None) -> None:
    if value is None:
        table.pop(key, None)
    elif key in table:
        table[key] = value
    else:
        _added_key(table, key, value)


def _added_key(table: Any, key: str, value: Value) -> None:
    """A new key stands below the last one, above the blank lines and comments that belong to what comes next."""
    body: list[tuple[object, Item]] | None = getattr(table.value, "body", None)
    behind: list[tuple[object, Item]] = []
    while body and body[-1][0] is None:
        behind.insert(0, body.pop())
    table[key] = value
    if body is not None:
        body.extend(behind)


def _held(data: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(data.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise NotEdited("tools.toml is not TOML. Correct it by hand first") from error


def _sure(data: bytes, wanted: dict[str, Any]) -> bytes:
    """The bytes, where they mean exactly what was wanted; a file that would say something else is never written."""
    try:
        if tomllib.loads(data.decode()) == wanted:
            return data
    except tomllib.TOMLDecodeError:
        pass
    raise NotEdited("the file is written in a way that the program cannot change. Change it by hand")
