"""The JSON Schema of the procedure file, made from the very tables that read it: editors complete and check by it."""

from __future__ import annotations

from typing import Any

from clampbook.procedure.sheet import NEWEST_FORMAT, Sheet
from clampbook.procedure.sheet_stages import BLOCK, KINDS, BlockTable
from clampbook.procedure.sheet_values import Table

_NULL = {"type": "null"}
_NOTHING: dict[str, Any] = {"not": {}}  # where a key is not known: said of its value, an editor marks its very line
_OF_NAMES = ("properties", "$defs")
_TABLES: dict[str, type[Table]] = {**KINDS, BLOCK: BlockTable}
_KIND_OF = {table.__name__: name for name, table in _TABLES.items()}


def schema() -> dict[str, Any]:
    """The schema (JSON Schema, draft 2020-12) of a whole file."""
    whole = _told_apart(tidied(Sheet.model_json_schema(by_alias=True)))
    for table, name in _KIND_OF.items():
        whole["$defs"][table]["title"] = name
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:clampbook:procedure:{NEWEST_FORMAT}",
        "title": f"Clampbook procedure, format {NEWEST_FORMAT}",
        **whole,
    }


def _told_apart(part: Any) -> Any:
    """With the tables of a stage told apart by `do`: a slip is found in the one that is meant, not in none of all."""
    if isinstance(part, list):
        return [_told_apart(entry) for entry in part]
    if not isinstance(part, dict):
        return part
    tables = [str(choice.get("$ref", "")).rpartition("/")[2] for choice in part.get("oneOf", [])]
    if tables and all(table in _KIND_OF for table in tables):
        return {**{key: value for key, value in part.items() if key != "oneOf"}, **_by_kind(tables)}
    return {key: _told_apart(value) for key, value in part.items()}


def _by_kind(tables: list[str]) -> dict[str, Any]:
    """One rule a kind: if `do` is its word, then its table. A block has for_each and no `do`."""
    words = [_KIND_OF[table] for table in tables if _KIND_OF[table] != BLOCK]
    rules = [{"if": _is(_KIND_OF[table]), "then": {"$ref": f"#/$defs/{table}"}} for table in tables]
    has_one = {"required": ["do"]}
    either = has_one if len(words) == len(tables) else {"anyOf": [has_one, {"required": [BLOCK]}]}
    does = {"description": "The kind of work.", "enum": words}
    return {"type": "object", "properties": {"do": does}, **either, "allOf": rules}


def _is(kind: str) -> dict[str, Any]:
    if kind == BLOCK:
        return {"required": [BLOCK], "not": {"required": ["do"]}}
    return {"properties": {"do": {"const": kind}}, "required": ["do"]}


def tidied(part: Any) -> Any:
    """Without what TOML does not have (null) and what tells nothing (titles made from keys)."""
    if isinstance(part, list):
        return [tidied(entry) for entry in part]
    if not isinstance(part, dict):
        return part
    kept = {key: tidied(value) for key, value in part.items() if key != "title" and not _is_null_default(key, value)}
    for names in _OF_NAMES:
        if names in part:
            kept[names] = {name: tidied(value) for name, value in part[names].items()}
    if kept.get("additionalProperties") is False:
        kept["additionalProperties"] = _NOTHING
    choices = [choice for choice in kept.get("anyOf", []) if choice != _NULL]
    if len(choices) == 1:
        del kept["anyOf"]
        return {**choices[0], **kept}
    if choices:
        kept["anyOf"] = choices
    return kept


def _is_null_default(key: str, value: object) -> bool:
    return key == "default" and value is None
