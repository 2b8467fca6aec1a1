"""Damaged files: whatever happens to a procedure, it is read or its faults are told, and never an accident.

CLAMPBOOK_DAMAGED sets how many files are damaged (default 400).
"""

from __future__ import annotations

import os
import random
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.faults import CODES, Fault, Faulty, show
from clampbook.procedure.reader import read

from .written import sheet

ROOT = Path(__file__).parents[2]
PAGES = [path.read_bytes() for path in sorted((ROOT / "procedures").glob("*.toml"))]
PAGES += [Path(__file__).with_name("manual_page.toml").read_bytes(), sheet().encode()]
LINES = sorted({line for page in PAGES for line in page.split(b"\n")})
MANY = int(os.environ.get("CLAMPBOOK_DAMAGED", "400"))
BARE = b"30 -1 0 \" ' [ ] { } = , # true nan inf 1e400 [] {} [[stage]] [[group]] [layout] 2026-03-02 \xff \r \x00"
TEXTS = '"30 N·m" | "-5 N·m" | "90°" | "5 %" | "1-100000" | "10-1" | "±2 N·m" | "last pull" | "cap 1" | "" | "circle"'
PIECES = [
    *BARE.split(b" "),
    *TEXTS.encode().split(b" | "),
    *(b'"\\u0000" | "\\u202E" | [1, [2, [3]]]'.split(b" | ")),
    *(b"[" * 600, b"{a=" * 600, b"9" * 5000, b"0x" + b"f" * 5000, b".".join([b"a"] * 60), "\u202e".encode()),
]


def told(data: bytes) -> tuple[Fault, ...]:
    """The faults of these bytes, each looked at: a known code, a sentence, a line of the file, nothing unseen."""
    try:
        read(data)
    except Faulty as faulty:
        assert faulty.faults
        for fault in faulty.faults:
            check(fault, data.count(b"\n") + 1)
        return faulty.faults
    return ()


def check(fault: Fault, last: int) -> None:
    """One fault is what a person can use."""
    assert fault.code in CODES
    assert fault.text
    assert fault.line is None or 1 <= fault.line <= last
    shown = "".join((fault.text, fault.hint, fault.found, fault.allowed, fault.key))
    assert [] == [sign for sign in shown if unicodedata.category(sign) in ("Cc", "Cf", "Cs")]
    assert show(fault).startswith("procedure.toml")


def a_line_less(dice: random.Random, lines: list[bytes]) -> None:
    """A line is lost."""
    del lines[dice.randrange(len(lines))]


def a_line_more(dice: random.Random, lines: list[bytes]) -> None:
    """A line of another sheet gets in."""
    lines.insert(dice.randrange(len(lines) + 1), dice.choice(LINES))


def two_lines_swapped(dice: random.Random, lines: list[bytes]) -> None:
    """Two lines change places."""
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def another_value(dice: random.Random, lines: list[bytes]) -> None:
    """A key gets the value of another, or something that is none."""
    place = dice.randrange(len(lines))
    key, equals, _ = lines[place].partition(b"=")
    if equals:
        lines[place] = key + b"= " + dice.choice([dice.choice(PIECES), dice.choice(LINES).partition(b"=")[2]])


def another_key(dice: random.Random, lines: list[bytes]) -> None:
    """A value gets the key of another."""
    place = dice.randrange(len(lines))
    _, equals, value = lines[place].partition(b"=")
    if equals:
        lines[place] = dice.choice(LINES).partition(b"=")[0] + b"=" + value


def a_byte_changed(dice: random.Random, lines: list[bytes]) -> None:
    """One byte becomes another."""
    place = dice.randrange(len(lines))
    if lines[place]:
        at = dice.randrange(len(lines[place]))
        lines[place] = lines[place][:at] + bytes([dice.randrange(256)]) + lines[place][at + 1 :]


def a_piece_more(dice: random.Random, lines: list[bytes]) -> None:
    """Something gets in between."""
    place = dice.randrange(len(lines))
    at = dice.randrange(len(lines[place]) + 1)
    lines[place] = lines[place][:at] + dice.choice(PIECES) + lines[place][at:]


def cut_short(dice: random.Random, lines: list[bytes]) -> None:
    """The end is lost, in the middle of a line."""
    del lines[dice.randrange(len(lines)) + 1 :]
    lines[-1] = lines[-1][: dice.randrange(len(lines[-1]) + 1)]


DAMAGES: list[Callable[[random.Random, list[bytes]], None]] = [
    a_line_less, a_line_more, two_lines_swapped, another_value, another_value, another_key, a_byte_changed,
    a_piece_more, cut_short,
]  # fmt: skip


def damaged(number: int) -> bytes:
    """The page of this number, damaged once or several times; the same number gives the same page."""
    dice = random.Random(number)
    lines = dice.choice(PAGES).split(b"\n")
    for _ in range(dice.choice([1, 1, 1, 2, 3, 6])):
        dice.choice(DAMAGES)(dice, lines)
        lines = b"\n".join(lines).split(b"\n") or [b""]
    return b"\n".join(lines)


@pytest.mark.parametrize("part", range(4))
def test_damaged_pages_are_told_and_never_an_accident(part: int) -> None:
    """Most damages make a file that cannot be used, and every one of them is a sentence."""
    faulty = sum(bool(told(damaged(number))) for number in range(part, MANY, 4))

    assert faulty > MANY // 8


@pytest.mark.parametrize("page", PAGES, ids=range(len(PAGES)))
def test_a_page_cut_anywhere_is_told_or_read(page: bytes) -> None:
    """Wherever the writing stopped, there is a sentence for it, or the rest makes sense."""
    for end in range(0, len(page), max(1, len(page) // 40)):
        told(page[:end])


@given(st.binary(max_size=200))
def test_any_bytes_are_told(data: bytes) -> None:
    """What was never a procedure is told as well."""
    assert () != told(data)


WORDS = """
do to by within between group positions order sequence reversed steps for_each id minus since at asked name sets
rows circle fits target format title revision unit stage layout ask part follow_up release sign_off
"""
words = st.sampled_from(WORDS.split())
values = st.recursive(
    st.one_of(
        st.booleans(), st.integers(), st.floats(), st.dates(), st.text(max_size=8),
        st.sampled_from(["30 N·m", "90°", "±2 N·m", "1-4", "tighten", "turn", "measure", "position", "set", "5 %"]),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(words, inner, max_size=4)),
    max_leaves=8,
)  # fmt: skip


def toml(value: object) -> str:
    """A value as TOML has it."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            escaped = "".join(f"\\U{ord(sign):08X}" for sign in value)
            return f'"{escaped}"'
        case list():
            return f"[{', '.join(map(toml, value))}]"
        case dict():
            return "{" + ", ".join(f"{key} = {toml(entry)}" for key, entry in value.items()) + "}"
        case float():
            return str(value).replace("e+", "e")
        case _:
            return str(value)


@given(
    st.dictionaries(words, values, min_size=1, max_size=5),
    st.sampled_from(["", "[layout]\n", "[[group]]\n", "[[stage]]\n"]),
)
def test_tables_of_any_shape_are_told(table: dict[str, object], header: str) -> None:
    """Right words in wrong places, with values of any type and any depth."""
    lines = "".join(f"{key} = {toml(value)}\n" for key, value in table.items())

    assert () != told((header + lines).encode())
    told((sheet() + lines).encode())
    told((sheet().replace("\n\n[[group]]", f"\n{header}{lines}\n[[group]]", 1)).encode())
