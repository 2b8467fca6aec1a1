"""A book with something damaged in kind, and every command on it: sentences and a status of the program's own.

Each damage has a number, and the same number is always the same damage. Run in one process, as fast as it goes:
`python -m endurance.damaged_books FIRST MANY` from the folder tests; it is a row of the table, too.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import shutil
import sys
import tempfile
import tomllib
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

import tomli_w

from clampbook import cli
from clampbook.book.book import Book
from clampbook.streams import Outlet, StreamFault
from damages import bytes_damaged, chained, daybook_damaged, value_damaged, without_none
from signers import PHRASE

CLOCK = "2026-03-04T09:00:00Z+3s"
ODD_LINES = (
    b"{}",
    b"null",
    b"[]",
    b"5",
    b'"x"',
    b'{"event":5}',
    b'{"event":null,"run":[]}',
    b'{"event":"run_opened","run":5}',
    b'{"event":"key_added","person":[],"public":5}',
    b'{"event":"tool_checked","tool":5,"check":{}}',
    b'{"event":"tools_used","run":"x","pulls":[]}',
    b'{"event":"tools_used","run":"x","pulls":{"w5":5}}',
    b'{"event":"tools_used","run":"x","used":[5]}',
    b'{"event":"cycles_added","tool":"w5","count":"x"}',
    b'{"event":"tool_dropped","tool":5,"at":5}',
    b'{"event":"released","sha256":5,"procedure":[]}',
    b'{"event":"merged","runs":5}',
    b'{"event":"\xff"}',
    b"[" * 5000,
    b'{"a":' * 3000,
    b'{"event":' + b"9" * 5000 + b"}",
    b'{"event":"paused","seq":' + b"9" * 5000 + b"}",
    b"\x00" * 200,
    b"\xef\xbb\xbf{}",
    '{"event":"noted","text":"\u202e\u001b[2J"}'.encode(),
)
RUN, CHECK = "RUN", "CHECK"  # stand for the name of a run, and of a check
COMMANDS: tuple[tuple[str, ...], ...] = (
    (),
    ("runs",),
    ("runs", "--json"),
    ("due",),
    ("due", "--all", "--json"),
    ("due", "--cross-off", RUN, "--as", "Ines", "--reason", "done on the slip"),
    ("record", RUN),
    ("record", RUN, "--json"),
    ("record", CHECK),
    ("find", "cover"),
    ("find", "--json"),
    ("export", "--csv", "--clicks"),
    ("trend",),
    ("trend", "--json"),
    ("affected", "w5"),
    ("affected", "w2", "--json"),
    ("tools",),
    ("tools", "--json"),
    ("keys",),
    ("keys", "--json"),
    ("keys", "--allowed-signers"),
    ("keys", "make", "Okke"),
    ("keys", "revoke", "Maud"),
    ("verify",),
    ("verify", "--json"),
    ("verify", RUN),
    ("seal", RUN),
    ("addendum", RUN, "--as", "Ines", "--text", "words"),
    ("close-damaged", RUN, "--as", "Ines"),
    ("close-damaged", CHECK, "--as", "Ines"),
    ("walk", "cover", "--plain", "--as", "Ines"),
    ("walk", "cover", "--json", "--as", "Ines"),
    ("walk", "--resume", RUN, "--plain", "--as", "Ines"),
    ("walk", "--resume", RUN, "--json", "--as", "Ines"),
    ("check", "w2", "--plain", "--as", "Ines"),
    ("check", "w2", "--new-check", "--plain", "--as", "Ines"),
    ("plan", "cover"),
    ("release", "cover", "--as", "Ines", "--compared-with", "the manual"),
    ("match", "cover"),
    ("review", "cover"),
    ("merge", "OTHER"),
)
SLOW: tuple[tuple[str, ...], ...] = (("report", RUN), ("report", CHECK), ("form", "cover"))
TYPED = b"1\n+\nW5\n1\n30.1\n35\n/ a note\n*\n2\n-\n+\n" * 2


PHRASES = f"{PHRASE}\n{PHRASE}\n".encode()


@dataclass
class Damaged:
    """What came of them: how often a command was run, and what each failure says."""

    tries: int = 0
    failures: list[str] = field(default_factory=list)


def damaged(book: Path, numbers: range, commands: int = 3) -> Damaged:
    """Damage a copy of the book once for each number, and run a few commands on it, each on a copy of its own."""
    found = Damaged()
    with tempfile.TemporaryDirectory(prefix="clampbook-damaged-") as name:
        own = Path(name) / "book"
        for number in numbers:
            chance = random.Random(f"damaged book {number}")
            copied(book, own)
            try:
                told = _damage(chance, own)
            except (ValueError, RecursionError, OverflowError):  # nothing that this writer can write
                continue
            for command in _some(chance, commands):
                found.tries += 1
                wrong = ran(own, book, chance, command)
                if wrong:
                    found.failures.append(f"{number}: {told}: {' '.join(command)}: {wrong}")
    return found


def ran(own: Path, other: Path, chance: random.Random, command: tuple[str, ...]) -> str:
    """What is wrong with what a command did; "" where nothing is."""
    with contextlib.chdir(own.parent):  # what it prints into a file lies there, and goes with it
        status, out, talk = said(written(own, other, chance, command))
    if status not in (0, 1, 2, 130):
        return f"status {status}"
    if "Traceback" in out + talk or "not foreseen" in out + talk:
        return talk[-2000:]
    if status == 2 and not (talk + out).strip():
        return "nothing is said"
    odd = {sign for sign in out + talk if unicodedata.category(sign) in ("Cc", "Cf", "Cs") and sign not in "\n\r"}
    return f"prints {odd!r}" if odd else ""


def written(own: Path, other: Path, chance: random.Random, command: tuple[str, ...]) -> list[str]:
    """A command as it is typed for a book: with a run and a check of it by name, and the book itself."""
    names = {RUN: _name(chance, own / "runs"), CHECK: _name(chance, own / "checks")}
    arguments = [names.get(word, word) for word in command]
    if command[:1] in (("review",), ("plan",), ("form",)):
        arguments = [str(own / "procedures" / "cover.toml") if word == "cover" else word for word in arguments]
    if command[:1] == ("review",):
        return arguments
    if command[:1] == ("merge",):
        arguments, own = ["merge", str(own)], copied(_another(other), own.with_name("into"))
    return [*arguments, "--book", str(own)]


def _another(book: Path) -> Path:
    """A book of other people beside it, into which it can be merged."""
    place = book.with_name("office")
    return place if place.exists() else Book.create(place, "Office").root


def said(arguments: list[str], encoding: str = "utf-8", **instead: object) -> tuple[int, str, str]:
    """Status, output and talk of a command, as the gate of the program lets them through; `instead` are other streams
    by their names in sys."""
    out, talk = io.BytesIO(), io.BytesIO()
    own: dict[str, object] = {
        "stdin": io.TextIOWrapper(io.BytesIO(PHRASES if "make" in arguments else TYPED)),
        "stdout": Outlet(io.TextIOWrapper(out, encoding=encoding), "output"),
        "stderr": Outlet(io.TextIOWrapper(talk, encoding=encoding), "error", quiet=True),
    }
    with contextlib.ExitStack() as stack:
        for name, stream in (own | instead).items():
            stack.enter_context(mock.patch.object(sys, name, stream))
        stack.enter_context(mock.patch.dict(os.environ, {"CLAMPBOOK_CLOCK": CLOCK, "COLUMNS": "100"}))
        status = cli.status(arguments)
        with contextlib.suppress(StreamFault):
            sys.stdout.flush()
        sys.stderr.flush()
    return status, out.getvalue().decode(encoding), talk.getvalue().decode(encoding)


def _some(chance: random.Random, many: int) -> Iterator[tuple[str, ...]]:
    yield from chance.sample(COMMANDS, many)
    if chance.randrange(40) == 0:
        yield chance.choice(SLOW)


def _name(chance: random.Random, folder: Path) -> str:
    names = sorted(path.name for path in folder.iterdir() if not path.name.startswith(".")) if folder.is_dir() else []
    return chance.choice(names) if names else "none"


def copied(book: Path, to: Path) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(book, to, symlinks=True)
    return to


def _damage(chance: random.Random, book: Path) -> str:
    """Damage one file of the book; which, and how."""
    files = sorted(path for path in book.rglob("*") if path.is_file() and path.suffix not in (".lock", ".who"))
    path = chance.choice([each for each in files if chance.randrange(3) or each.suffix in (".jsonl", ".toml", ".json")])
    ways = [_bytes, _bytes, _empty, *_WAYS.get(path.suffix, ())]
    way = chance.choice(ways)
    data = way(chance, path.read_bytes())
    path.write_bytes(data)
    return f"{path.relative_to(book)} {way.__name__.strip('_')}"


def _bytes(chance: random.Random, data: bytes) -> bytes:
    return bytes_damaged(chance, data) if data else b"\xff"


def _empty(chance: random.Random, data: bytes) -> bytes:
    return data[: chance.choice((0, 0, len(data) // 2))]


def _odd_line(chance: random.Random, data: bytes) -> bytes:
    lines = data.splitlines()
    lines.insert(chance.randrange(len(lines) + 1), chance.choice(ODD_LINES))
    return b"".join(line + b"\n" for line in lines)


def _odd_end(chance: random.Random, data: bytes) -> bytes:
    """Chained as it should be, at the end."""
    return data + chance.choice(ODD_LINES) + b"\n"


def _odd_entry(chance: random.Random, data: bytes) -> bytes:
    """Chained as it should be, somewhere between the others; it says something that cannot be."""
    lines = [json.loads(line) for line in data.splitlines()]
    lines.insert(chance.randrange(1, len(lines) + 1), chance.choice(_ENTRIES))
    return b"".join(line + b"\n" for line in chained(lines))


def _other_values(chance: random.Random, data: bytes) -> bytes:
    """Chained anew, so that nothing shows but what the lines say."""
    lines = [json.loads(line) for line in data.splitlines()]
    return b"".join(line + b"\n" for line in chained(daybook_damaged(chance, lines)))


def _a_value(chance: random.Random, data: bytes) -> bytes:
    """One value deep in one line, chained anew."""
    lines = [json.loads(line) for line in data.splitlines()]
    value_damaged(chance, lines[chance.randrange(len(lines))])
    return b"".join(line + b"\n" for line in chained(lines))


def _value_in_toml(chance: random.Random, data: bytes) -> bytes:
    tree = tomllib.loads(data.decode())
    for _ in range(chance.choice((1, 1, 2))):
        value_damaged(chance, tree)
    return tomli_w.dumps(without_none(tree)).encode()


def _value_in_json(chance: random.Random, data: bytes) -> bytes:
    tree = json.loads(data)
    value_damaged(chance, tree)
    return json.dumps(tree).encode()


_MARKS = {"at": "2026-03-02T09:00:00.000Z", "offset": "+00:00", "by": "ines"}
_ENTRIES: tuple[dict[str, object], ...] = tuple(
    {**marks, **entry}
    for marks in ({}, _MARKS)
    for entry in (
        *(
            json.loads(line)
            for line in ODD_LINES
            if line.startswith(b'{"event":') and len(line) < 200 and line.isascii()
        ),
        {"event": "key_added", "person": "maud", "key": 5, "public": "ssh-ed25519 AAAA"},
        {"event": "key_withdrawn", "person": "maud", "key": None, "public": None, "why": []},
        {"event": "run_sealed", "run": ["x"], "seal": 5, "last": {}},
        {"event": "tool_withdrawn", "tool": "w2", "check": [], "worst": {}},
        {"event": "tool_checked", "tool": "w2", "check": "x", "as_found": 5, "pulls": "many"},
        {"event": "check_opened", "check": "../../..", "tool": "w2"},
        {"event": "run_opened", "run": "../../etc", "first": 5},
        {"event": "tool_suspected", "tool": "w5", "run": 5, "line": "x", "why": []},
        {"event": "tools_used", "run": "x", "pulls": {"w5": {"w5": 10**30}}},
    )
)
_WAYS: dict[str, tuple[Callable[[random.Random, bytes], bytes], ...]] = {
    ".jsonl": (
        _odd_line,
        _odd_end,
        _odd_entry,
        _odd_entry,
        _odd_entry,
        _other_values,
        _other_values,
        _a_value,
        _a_value,
        _a_value,
    ),
    ".toml": (_value_in_toml, _value_in_toml, _value_in_toml),
    ".json": (_value_in_json, _value_in_json),
}


def main() -> None:
    """As many as are asked for; prints tries and failures."""
    from clampbook.signing import secret
    from endurance.books import full_book

    first, many = (int(each) for each in (*sys.argv[1:], "0", "10000")[:2])
    with tempfile.TemporaryDirectory(prefix="clampbook-damaged-") as name, mock.patch.object(secret, "ROUNDS", 1):
        book = full_book(Path(name) / "book").book.root
        found = damaged(book, range(first, first + many))
    print(f"damaged books: {found.tries} tries, {len(found.failures)} failures")
    for each in found.failures:
        print(each)


if __name__ == "__main__":
    main()
