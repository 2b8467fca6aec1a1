"""The reference of the files that people write: every key of the tables that read them, and none besides."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from clampbook.faults import Faulty
from clampbook.help.keys import OF_THE_BOOK, OF_THE_TOOLS, Key, keys_of, table_at
from clampbook.procedure.reader import read
from clampbook.procedure.schema import schema as of_a_procedure
from clampbook.procedure.tables import OF_A_PROCEDURE
from clampbook.tools.reader import read_stock
from clampbook.tools.schema import schema as of_the_tools
from help.frames import with_key

KEYS = [key for table in OF_A_PROCEDURE | OF_THE_TOOLS for key in keys_of(table)]


def read_with(key: Key, value: object) -> None:
    """Read a file with this key in its place. Raises Faulty."""
    data = with_key(key.table, key.name, value)
    if key.table in OF_THE_TOOLS:
        read_stock(data, "tools.toml")
    else:
        read(data)


def keys_in(schema: dict[str, Any]) -> set[tuple[str, str]]:
    """Every key of a JSON Schema, with the name of its table."""
    tables = {"": schema, **schema["$defs"]}
    return {(name, key) for name, table in tables.items() for key in table.get("properties", ())}


@pytest.mark.parametrize(
    ("tables", "schema"),
    [(OF_A_PROCEDURE, of_a_procedure()), (OF_THE_TOOLS, of_the_tools())],
    ids=["procedure", "tools"],
)
def test_the_reference_names_each_key_that_the_reader_knows_and_none_besides(
    tables: dict[str, type[Any]], schema: dict[str, Any]
) -> None:
    """The schema for editors is made by the library that reads the files, so it knows them all."""
    whole_files = ("procedure", "tools")
    named = {("" if at in whole_files else of.__name__, key.name) for at, of in tables.items() for key in keys_of(at)}

    assert keys_in(schema) == named


@pytest.mark.parametrize("key", [key for at in OF_A_PROCEDURE | OF_THE_TOOLS | OF_THE_BOOK for key in keys_of(at)])
def test_each_key_is_told_in_a_sentence_with_an_example(key: Key) -> None:
    """It begins with a capital, or with the name of a command, and ends."""
    assert key.says.endswith((".", "?"))
    assert ";" not in key.says
    assert key.example.startswith((f"{key.name} = ", "["))


@pytest.mark.parametrize("key", KEYS, ids=lambda key: f"{key.table}.{key.name}")
def test_each_example_can_be_read(key: Key) -> None:
    """Whoever copies it into a file gets no error for it."""
    for example in key.examples:
        told = tomllib.loads(example)
        if example.startswith("["):
            assert table_at(example.strip("[]"), "tighten") is not None
            continue
        try:
            read_with(key, told[key.name])
        except Faulty as refused:
            pytest.fail(f"{example}: {[fault.text for fault in refused.faults]}")


OTHER = {
    "torque": "30 N·m",
    "angle": "90°",
    "length": "25 mm",
    "force": "18 kN",
    "time": "10 min",
    "pressure": "85 bar",
}


@pytest.mark.parametrize("key", KEYS, ids=lambda key: f"{key.table}.{key.name}")
def test_a_quantity_of_a_kind_that_is_not_named_is_refused(key: Key) -> None:
    """What a key takes is said in full: nothing else can be written there."""
    kinds = [kind for kind in OTHER if kind in key.takes.rpartition(":")[2]]
    if not kinds or key.allowed:
        return
    for kind in OTHER.keys() - kinds:
        value = [OTHER[kind]] * 2 if "two quantities" in key.takes else OTHER[kind]
        with pytest.raises(Faulty):
            read_with(key, value)
