"""The JSON Schema of the procedure file: what reads well keeps to it, and editors learn every key from it."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from clampbook.procedure.schema import schema
from clampbook.procedure.sheet_stages import KINDS
from clampbook.tools.schema import schema as of_the_tools
from museum import museum

ROOT = Path(__file__).parents[2]
GOOD = [
    *sorted((ROOT / "procedures").glob("*.toml")),
    *sorted((ROOT / "tests").glob("*.toml")),
    Path(__file__).with_name("manual_page.toml"),
]
COVER = """
format = 2
title = "Valve cover"
revision = "A"
source = "Workshop sheet 3 (invented)"
unit = "N·m"

[[group]]
name = "Cover screws"
positions = "1-4"

"""
# Slips of shape that a schema can see; the others are seen by the reader alone.
SHAPES = ["E107", "E115", "E116", "E117", "E118", "E119", "E120", "E121", "E122", "E124"]
WRONG = ["stage", 1]


def checking(made: dict[str, Any]) -> Draft202012Validator:
    """What an editor checks with."""
    Draft202012Validator.check_schema(made)
    return Draft202012Validator(made)


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_what_reads_well_keeps_to_the_schema(path: Path) -> None:
    """An editor does not underline what is right."""
    assert [] == list(checking(schema()).iter_errors(tomllib.loads(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize("code", SHAPES)
def test_slips_of_shape_are_seen_by_the_schema_too(code: str) -> None:
    """An editor underlines them while they are typed."""
    (example,) = (ROOT / "tests" / "faults").glob(f"{code}-*/sheet.toml")

    assert not checking(schema()).is_valid(tomllib.loads(example.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("line", "path"),
    [
        ('do = "tighten"\nto = "30 N·m"\nwihtin = "±2 N·m"', [*WRONG, "wihtin"]),
        ('do = "tighten"\nto = 30\nwithin = "±2 N·m"', [*WRONG, "to"]),
        ('do = "tighten"\nto = "30 N·m"\nwithin = "±2 N·m"\nconfirm = "all"', [*WRONG, "confirm"]),
        ('do = "tigthen"\nto = "30 N·m"', [*WRONG, "do"]),
        ('do = "turn"\nwithin = "+4° −0°"', WRONG),
        ('to = "30 N·m"', WRONG),
        ('for_each = "bolt"\nsteps = [{do = "tighten", to = "30 N·m"}]', [*WRONG, "for_each"]),
        ('for_each = "position"\nsteps = [{do = "tighten", too = "30 N·m"}]', [*WRONG, "steps", 0, "too"]),
    ],
)
def test_the_line_that_is_wrong_is_marked_and_no_other(line: str, path: list[str | int]) -> None:
    """One error at the key that has the slip; at the stage only where a key is missing in it."""
    file = tomllib.loads(COVER + f'[[stage]]\ndo = "loosen"\n\n[[stage]]\n{line}\n')

    (error,) = checking(schema()).iter_errors(file)

    assert path == list(error.absolute_path)


def test_an_editor_can_keep_them_apart() -> None:
    """Each has a name of its own that leads to no host."""
    names = [made()["$id"] for made in (schema, of_the_tools)]

    assert ["urn:clampbook:procedure:2", "urn:clampbook:tools:2"] == names


def test_the_tools_of_the_demo_keep_to_theirs(tmp_path: Path) -> None:
    """And a key that is mistyped is marked where it stands."""
    written = museum(tmp_path / "book").path("tools.toml").read_text(encoding="utf-8")
    stock = json.loads(json.dumps(tomllib.loads(written), default=str))  # a day is a text to an editor
    check = checking(of_the_tools())

    assert [] == list(check.iter_errors(stock))
    stock["tool"][1]["rnage"] = stock["tool"][1].pop("range")
    assert [["tool", 1, "rnage"]] == [list(error.absolute_path) for error in check.iter_errors(stock)]


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
