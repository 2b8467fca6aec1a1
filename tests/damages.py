"""Ways to damage what is read: bytes of any file, values of a sheet, lines of a daybook that is chained anew."""

from __future__ import annotations

import json
import os
import random
import unicodedata
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.run import plan as plans

Lines = list[dict[str, Any]]  # of a daybook
ALL = int(os.environ.get("CLAMPBOOK_DAMAGED", "10000"))
PARTS = 4  # of each kind, so that several can be looked at side by side
GOLDEN = Path(__file__).parent / "golden"
FINISHED = ("crank", "flange", "follow-up", "given-up", "head")


def numbers(part: int, share: int) -> range:
    """The numbers of a part of what one kind of damage has of all, in tenths."""
    return range(part, ALL * share // 10, PARTS)


def chances(kind: str, part: int, share: int) -> Iterator[random.Random]:
    """Dice for each of them."""
    for number in numbers(part, share):
        yield random.Random(f"{kind} {number}")


@cache
def frozen(name: str) -> tuple[bytes, bytes, bytes]:
    """Procedure, plan and daybook of a finished run."""
    procedure, plan, daybook = (
        (GOLDEN / name / each).read_bytes() for each in ("procedure.toml", "plan.json", "daybook.jsonl")
    )
    return procedure, plan, daybook


@cache
def planned(name: str) -> plans.Plan:
    """Its plan."""
    return plans.decode(frozen(name)[1])


@cache
def kept(name: str) -> Lines:
    """The lines of its daybook."""
    return [json.loads(line) for line in frozen(name)[2].splitlines()]


def told(sentence: str) -> None:
    """A sentence that can be printed and says something."""
    assert len(sentence) > 10, sentence
    assert "Traceback" not in sentence
    assert [] == [sign for sign in sentence if unicodedata.category(sign) in ("Cc", "Cf", "Cs") and sign != "\n"]


PIECES = (
    *(
        b"=",
        b'"',
        b"'",
        b"[",
        b"]",
        b"{",
        b"}",
        b",",
        b"#",
        b"\n",
        b"\r",
        b"\t",
        b"\x00",
        b"\xff",
        b"\xc3",
        b"\xed\xa0\x80",
    ),
    *(
        b"[[stage]]\n",
        b"[layout]\n",
        b"x = 1\n",
        b'"""',
        b"9" * 5000,
        b"[" * 3000,
        b"{a=" * 300,
        b"a." * 300 + b"a = 1\n",
    ),
    *("−5 °".encode(), "\u202e".encode(), "\u2028".encode(), b"\xef\xbb\xbf", b"\xff\xfe", b"nan", b"-inf", b"1e999"),
)
OTHERS: tuple[Any, ...] = (  # what stands where something else belongs
    *(None, True, False, 0, 1, -1, 3, 10**18, 10**300, 1.5, float("nan"), float("inf"), -0.0),
    *(
        "",
        " ",
        "x",
        "0",
        "-1",
        "1e400",
        "9" * 400,
        "30 N·m",
        "±2 N·m",
        "90°",
        "5 %",
        "1-100000",
        "10-1",
        "\u202e30",
        "NaN",
    ),
    *(
        "Infinity",
        "1.1/1",
        "9.9/99",
        "within",
        "over",
        "new fastener",
        "concession",
        "2026-03-02T09:00:00Z",
        "yesterday",
    ),
    *([], {}, [[]], ["1"], ["1", "1"], [1, 2], [None, None], {"a": {"b": []}}, {"id": "ines", "name": "Ines"}),
)


def bytes_damaged(chance: random.Random, data: bytes) -> bytes:
    """A few bytes flipped, cut, doubled, swapped, or something else put between."""
    for _ in range(chance.choice((1, 1, 2, 5))):
        data = chance.choice((_flipped, _cut, _torn_out, _doubled, _swapped, _put_between))(chance, data) or b"\n"
    return data


def _flipped(chance: random.Random, data: bytes) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + bytes([data[at] ^ (1 << chance.randrange(8))]) + data[at + 1 :]


def _cut(chance: random.Random, data: bytes) -> bytes:
    return data[: chance.randrange(len(data))]


def _torn_out(chance: random.Random, data: bytes) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + data[at + chance.randint(1, 60) :]


def _doubled(chance: random.Random, data: bytes) -> bytes:
    lines = data.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    return b"".join(lines[: at + 1] + lines[at:])


def _swapped(chance: random.Random, data: bytes) -> bytes:
    lines = data.splitlines(keepends=True)
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"".join(lines)


def _put_between(chance: random.Random, data: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice(PIECES) + data[at:]


def value_damaged(chance: random.Random, tree: dict[str, Any]) -> None:
    """Somewhere in a tree of tables and lists a value becomes another, moves to another key, doubles, or is lost."""
    holder, key = chance.choice(list(_places(tree)))
    match chance.randrange(6):
        case 0:
            del holder[key]
        case 1 if isinstance(holder, list):
            holder.insert(0, deepcopy(holder[key]))
        case 2 if isinstance(holder, dict):
            holder[chance.choice(("x", "to", "do", "group", "positions", "between", "for", "rows"))] = deepcopy(
                holder[key]
            )
        case 3:
            other, place = chance.choice(list(_places(tree)))
            holder[key] = deepcopy(other[place])
        case 4:
            holder[key] = _nested(chance.choice((3, 30)), holder[key])
        case _:
            holder[key] = deepcopy(chance.choice(OTHERS))


def without_none(tree: Any) -> Any:
    """TOML has no word for nothing; what is nothing is left out."""
    match tree:
        case dict():
            return {key: without_none(value) for key, value in tree.items() if value is not None}
        case list():
            return [without_none(value) for value in tree if value is not None]
        case _:
            return tree


def _places(tree: Any) -> list[tuple[Any, Any]]:
    """Every place in a tree: what holds it, and its key there."""
    keys = list(tree) if isinstance(tree, dict) else range(len(tree)) if isinstance(tree, list) else ()
    return [(tree, key) for key in keys] + [place for key in keys for place in _places(tree[key])]


def _nested(depth: int, value: Any) -> Any:
    for _ in range(depth):
        value = [value]
    return value


def daybook_damaged(chance: random.Random, lines: Lines) -> Lines:
    """Lines lost, doubled, swapped or given other values, as if written by another program."""
    found = [dict(line) for line in lines]
    for _ in range(chance.choice((1, 1, 2, 4))):
        if len(found) > 2:
            chance.choice(_DAYBOOK)(chance, found)
    return found


def chained(lines: Lines) -> list[bytes]:
    """The lines numbered and chained anew, so that nothing shows but what they say."""
    found: list[bytes] = []
    for number, line in enumerate(lines, start=1):
        before = digest(found[-1]) if found else NOTHING_BEFORE
        whole = {**line, "seq": number, "prev": before}
        found.append(json.dumps(whole, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode())
    return found


def _a_line_less(chance: random.Random, lines: Lines) -> None:
    del lines[chance.randrange(1, len(lines))]


def _a_line_twice(chance: random.Random, lines: Lines) -> None:
    lines.insert(chance.randrange(1, len(lines)), dict(lines[chance.randrange(len(lines))]))


def _lines_swapped(chance: random.Random, lines: Lines) -> None:
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _the_end_lost(chance: random.Random, lines: Lines) -> None:
    del lines[chance.randrange(1, len(lines)) :]


def _another_value(chance: random.Random, lines: Lines) -> None:
    line = lines[chance.randrange(len(lines))]
    line[chance.choice(sorted(line))] = chance.choice(OTHERS)


def _a_value_from_elsewhere(chance: random.Random, lines: Lines) -> None:
    line = lines[chance.randrange(len(lines))]
    key = chance.choice(sorted(line))
    line[key] = chance.choice([each[key] for each in lines if key in each])


def _a_value_less(chance: random.Random, lines: Lines) -> None:
    line = lines[chance.randrange(len(lines))]
    del line[chance.choice(sorted(line))]


def _another_number(chance: random.Random, lines: Lines) -> None:
    """A line that names another one names a third."""
    naming = [(line, key) for line in lines for key in ("of", "about", "since") if isinstance(line.get(key), int)]
    if naming:
        line, key = chance.choice(naming)
        line[key] = chance.choice((0, -1, 1, len(lines), len(lines) + 5, chance.randrange(len(lines))))


_DAYBOOK: tuple[Callable[[random.Random, Lines], None], ...] = (
    _a_line_less,
    _a_line_twice,
    _lines_swapped,
    _the_end_lost,
    _another_value,
    _another_value,
    _a_value_from_elsewhere,
    _a_value_from_elsewhere,
    _a_value_less,
    _another_number,
)
