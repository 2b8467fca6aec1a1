"""The JSON Schema of the procedure file, made from the very tables that read it: editors complete and check by it."""

from __future__ import annotations

from typing import Any

from clampbook.procedure.sheet import NEWEST_FORMAT, Sheet
from clampbook.procedure.sheet_stages import BLOCK, KINDS, BlockTable
from clampbook.procedure.sheet_values import Table

_NULL = {"type": "null"}
_OF_NAMES = ("properties", "$defs")


def schema() -> dict[str, Any]:
    """The schema (JSON Schema, draft 2020-12) of a whole file."""
    made = Sheet.model_json_schema(by_alias=True)
    whole = tidied(made)
    kinds: dict[str, type[Table]] = {**KINDS, BLOCK: BlockTable}
    for name, table in kinds.items():
        whole["$defs"][table.__name__]["title"] = name
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Clampbook procedure, format {NEWEST_FORMAT}",
        **whole,
    }


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
    choices = [choice for choice in kept.get("anyOf", []) if choice != _NULL]
    if len(choices) == 1:
        del kept["anyOf"]
        return {**choices[0], **kept}
    if choices:
        kept["anyOf"] = choices
    return kept


def _is_null_default(key: str, value: object) -> bool:
    return key == "default" and value is None
