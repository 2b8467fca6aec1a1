"""The tables of a record, written as the library for TOML writes them."""

from __future__ import annotations

import tomllib

import pytest
import tomli_w

from clampbook.record import tables


@pytest.mark.parametrize(
    "text",
    [
        "Whinchat",
        "",
        "22.1 lbf·ft − “as typed”",
        'a "quoted" word',
        "back\\slash",
        "two\nlines",
        "tab\there",
        "\x00\x1f\x7f",
        "\x85\u2028",
        "true",
        "'",
    ],
)
def test_a_text_stands_in_a_record_as_the_library_writes_it_and_is_read_back(text: str) -> None:
    """Whatever a person typed."""
    made = tables.heading({"name": text})
    assert made == tomli_w.dumps({"name": text})
    assert tomllib.loads(made) == {"name": text}


@pytest.mark.parametrize("key", ["1", "front left", "a.b", 'x"y', "", "é", "A-1_b"])
@pytest.mark.parametrize("value", ["text", 7, -3, True, False, ["a", 'b"'], [1, 2]])
def test_a_key_with_anything_behind_it_is_written_as_the_library_writes_it(
    key: str, value: str | int | bool | list[str] | list[int]
) -> None:
    """Names of positions are keys too."""
    assert tables.heading({key: value}) == tomli_w.dumps({key: value})


def test_plain_values_come_before_the_tables_below_them() -> None:
    """Else what stands after a table would be read as a part of it."""
    row: tables.Row = {"person": {"id": "ines"}, "line": 7, "note": None, "lots": []}
    assert tables.rows("deviation", [row]) == '\n[[deviation]]\nline = 7\n\n[deviation.person]\nid = "ines"\n'
