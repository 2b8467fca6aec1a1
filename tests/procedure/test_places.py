"""On which line a key stands, however TOML lets it be written."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.procedure.places import Places
from clampbook.procedure.slips import KeyPath, key_text

PAGE = '''\
format = 2
a.b = 2
rows = [
  "x",  # a comment
  # another one
  "y",
]
text = """
[[group]]
name = "not a key"
"""

[layout]
edges = { above = "inlet", "b c".d = 2 }

[[group]]
name = 'g'
[group.friction]
thread = 1
[[group]]
name = 'h'
[[group."sets x"]]
q = 1
[[stage]]
steps = [
  { do = "tighten" },
  { do = ["x",
    "y"] },
]
[z.y]
k = 1
[z]
l = 1
"quo\\u0074ed" = 1
\'lite.ral\' = 2
'''


@pytest.mark.parametrize(
    ("at", "line"),
    [
        (("format",), 1),
        (("a", "b"), 2),
        (("a",), 2),
        (("rows",), 3),
        (("rows", 0), 4),
        (("rows", 1), 6),
        (("text",), 8),
        (("layout",), 13),
        (("layout", "edges"), 14),
        (("layout", "edges", "above"), 14),
        (("layout", "edges", "b c", "d"), 14),
        (("group", 0), 16),
        (("group", 0, "name"), 17),
        (("group", 0, "friction"), 18),
        (("group", 0, "friction", "thread"), 19),
        (("group", 1), 20),
        (("group", 1, "name"), 21),
        (("group", 1, "sets x", 0, "q"), 23),
        (("stage", 0, "steps"), 25),
        (("stage", 0, "steps", 0, "do"), 26),
        (("stage", 0, "steps", 1, "do"), 27),
        (("stage", 0, "steps", 1, "do", 1), 28),
        (("z", "y", "k"), 31),
        (("z",), 32),
        (("z", "l"), 33),
        (("z", "quoted"), 34),
        (("z", "lite.ral"), 35),
    ],
)
def test_line_of_a_key(at: KeyPath, line: int) -> None:
    """Dotted and quoted keys, tables in braces, lists over lines and arrays of tables all have their own line."""
    assert line == Places(PAGE.encode()).line(at)


def test_what_is_missing_is_looked_for_at_its_table() -> None:
    """A key that the file lacks has the line of the header of its table."""
    places = Places(PAGE.encode())

    assert 20 == places.line(("group", 1, "positions"))
    assert 18 == places.line(("group", 0, "friction", "head"))


def test_what_is_missing_at_the_top_is_looked_for_at_the_first_line() -> None:
    """The top of the file has no header, so that its first line stands for it."""
    assert 1 == Places(PAGE.encode()).line(("revision",))


def test_where_the_file_is_no_toml_no_line_is_made_up() -> None:
    """A made-up line is worse than none."""
    assert None is Places(b"a = = 1\n").line(("a",))


def test_carriage_returns_do_not_move_lines() -> None:
    """A file from another system has the same lines."""
    places = Places(PAGE.replace("\n", "\r\n").encode())

    assert (6, 34) == (places.line(("rows", 1)), places.line(("z", "quoted")))


@pytest.mark.parametrize(
    ("at", "text"),
    [
        (("stage", 1, "to"), "stage[2].to"),
        (("group", 0, "sets", "cap 1"), 'group[1].sets."cap 1"'),
        (("stage", 0, "steps", 2, "by"), "stage[1].steps[3].by"),
        ((), ""),
    ],
)
def test_key_paths_are_counted_from_one(at: KeyPath, text: str) -> None:
    """People count from one; keys that are not plain words stand in quotes."""
    assert text == key_text(at)


names = st.text('ab-_ ."é', min_size=1, max_size=4)
plain = st.one_of(st.integers(0, 9), st.just('"x"'), st.just("'y'"))


def quoted(name: str) -> str:
    """A key in quotes."""
    return '"' + name.replace('"', '\\"') + '"'


@st.composite
def pages(draw: st.DrawFn) -> tuple[str, dict[KeyPath, int]]:
    """A page of tables and keys, and on which line each key was written."""
    lines: list[str] = []
    expected: dict[KeyPath, int] = {}
    for index in range(draw(st.integers(0, 4))):
        lines += draw(st.lists(st.sampled_from(["", "# note"]), max_size=2))
        lines.append(draw(st.sampled_from(["[[t]]", "[[ t ]]  # header"])))
        for name in draw(st.lists(names, max_size=3, unique=True)):
            expected["t", index, name] = len(lines) + 1
            value = draw(st.sampled_from(["1", '"""\n\n"""', "[\n1,\n2]", '"#"']))
            lines += f"{quoted(name)} = {value}".split("\n")
    return "\n".join(lines), expected


@given(pages())
def test_lines_are_those_on_which_the_keys_were_written(page: tuple[str, dict[KeyPath, int]]) -> None:
    """Whatever stands between and inside, each key is found on its own line."""
    text, expected = page

    places = Places(text.encode())

    assert expected == {at: places.line(at) for at in expected}


def paths(data: Any, at: KeyPath = ()) -> list[KeyPath]:
    """All key paths of some TOML data."""
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [found for key, value in entries for found in [(*at, key), *paths(value, (*at, key))]]


def test_every_key_of_a_page_has_a_line_of_its_own_file() -> None:
    """Nothing that tomllib reads is without a line."""
    places = Places(PAGE.encode())
    last = PAGE.count("\n")

    assert [] == [at for at in paths(tomllib.loads(PAGE)) if not 1 <= (places.line(at) or 0) <= last]
