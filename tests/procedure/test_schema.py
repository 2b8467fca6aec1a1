"""The JSON Schema of the procedure file: what reads well keeps to it, and editors learn every key from it."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from clampbook.procedure.schema import schema
from clampbook.procedure.sheet_stages import KINDS

ROOT = Path(__file__).parents[2]
GOOD = [*sorted((ROOT / "procedures").glob("*.toml")), Path(__file__).with_name("manual_page.toml")]
# Slips of shape that a schema can see; the others are seen by the reader alone.
SHAPES = ["E107", "E115", "E116", "E117", "E118", "E119", "E120", "E121", "E122", "E124"]
TYPES = {"string": str, "integer": int, "boolean": bool, "object": dict, "array": list, "number": int | float}


def keeps(value: Any, rule: dict[str, Any], whole: dict[str, Any]) -> bool:
    """Whether a value keeps to the part of JSON Schema that the schema here is written in."""
    if "$ref" in rule:
        return keeps(value, whole["$defs"][rule["$ref"].rpartition("/")[2]], whole)
    if "anyOf" in rule and not any(keeps(value, choice, whole) for choice in rule["anyOf"]):
        return False
    if "oneOf" in rule and 1 != sum(keeps(value, choice, whole) for choice in rule["oneOf"]):
        return False
    types = rule.get("type", [])
    types = [types] if isinstance(types, str) else types
    if types and not any(
        isinstance(value, TYPES[name]) and (name == "boolean") == isinstance(value, bool) for name in types
    ):
        return False
    if value != rule.get("const", value) or value not in rule.get("enum", [value]):
        return False
    if isinstance(value, dict):
        return keeps_table(value, rule, whole)
    if isinstance(value, list):
        fits = rule.get("minItems", 0) <= len(value) <= rule.get("maxItems", len(value))
        return fits and all(keeps(entry, rule.get("items", {}), whole) for entry in value)
    if isinstance(value, str):
        return bool(rule.get("minLength", 0) <= len(value) <= rule.get("maxLength", len(value)))
    return bool(rule.get("minimum", value) <= value <= rule.get("maximum", value))


def keeps_table(table: dict[str, Any], rule: dict[str, Any], whole: dict[str, Any]) -> bool:
    """The same for a table: required keys, known keys, and all others."""
    known = rule.get("properties", {})
    others = rule.get("additionalProperties", {})
    if not set(rule.get("required", [])) <= set(table) or (others is False and not set(table) <= set(known)):
        return False
    return all(keeps(value, known.get(key, others), whole) for key, value in table.items())


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_what_reads_well_keeps_to_the_schema(path: Path) -> None:
    """An editor does not underline what is right."""
    made = schema()

    assert keeps(tomllib.loads(path.read_text(encoding="utf-8")), made, made)


@pytest.mark.parametrize("code", SHAPES)
def test_slips_of_shape_are_seen_by_the_schema_too(code: str) -> None:
    """An editor underlines them while they are typed."""
    made = schema()
    (example,) = (ROOT / "tests" / "faults").glob(f"{code}-*/sheet.toml")

    assert not keeps(tomllib.loads(example.read_text(encoding="utf-8")), made, made)


def test_every_kind_of_stage_and_every_key_is_explained() -> None:
    """Whoever completes a key in an editor reads what it means."""
    made = schema()
    tables = {name: table["properties"] for name, table in made["$defs"].items()} | {"": made["properties"]}
    silent = [
        (name, key)
        for name, keys in tables.items()
        for key, rule in keys.items()
        if key != "do" and "description" not in rule
    ]

    assert set(KINDS) <= {table["title"] for table in made["$defs"].values() if "title" in table}
    assert [] == silent


def test_keys_are_those_of_the_file() -> None:
    """Words that Python keeps for itself stand in the schema as in the file, and nothing is null."""
    made = schema()

    assert "for" in made["$defs"]["WaitTable"]["properties"]
    assert "is" in made["$defs"]["AskTable"]["properties"]
    assert "null" not in json.dumps(made)
