"""The example in the help of each command can be typed as it stands, in the demo book after a few runs."""

from __future__ import annotations

import shlex
import shutil
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path

import click
import pytest

from archive.book_of_records import GOLDEN as RUNS
from archive.book_of_records import NAMES
from clampbook import cli
from clampbook.book.book import Book
from clampbook.commands.by_name import PLACES
from museum import museum
from signers import PHRASE

from .saying import Captured, said

PROGRAM = click.Context(cli.clampbook)
FIRST = "  Example:\n    clampbook "
ON_A_TERMINAL = ("draft",)  # nothing can be typed into a text without one, and no line would stand for it


def _all() -> list[str]:
    """Every command, with those below one."""
    held = {name: cli.clampbook.get_command(PROGRAM, name) for name in PLACES}
    below = [f"{name} {sub}" for name, each in held.items() if isinstance(each, click.Group) for sub in each.commands]
    return [each for each in (*held, *below) if each not in ON_A_TERMINAL]


def _example(capsys: Captured, command: str) -> list[str]:
    """The words of the one example in the help of a command, without where its output goes."""
    _, told, _ = said(capsys, *command.split(), "--help")
    assert 1 == told.count(FIRST)
    line = told.partition(FIRST)[2].rstrip("\n")
    assert "\n" not in line
    assert len(f"clampbook {line}") <= 76  # beside the four spaces before it
    words = shlex.split(line)
    return words[: words.index(">")] if ">" in words else words


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for data with the demo book, in which four runs are over, and another book to be copied from."""
    place = tmp_path_factory.mktemp("examples")
    book = museum(place / "clampbook")
    for run, golden in NAMES.items():
        shutil.copytree(RUNS / golden, book.path("runs", run))
    for name in ("Ines", "Maud"):
        book.person_named(name)
    Book.create(place / "other-book", "The other quay")
    return place


@pytest.mark.parametrize("command", _all())
def test_it_does_what_it_says(
    command: str, shop: Path, tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It begins with its command, and does it: nothing is refused. Nobody types anything where it asks."""
    words = _example(capsys, command)
    place = tmp_path / "data"
    shutil.copytree(shop, place)
    monkeypatch.setenv("XDG_DATA_HOME", str(place))
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-10T09:00:00Z+3s")
    monkeypatch.chdir(place)
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(_typed(command)), encoding="utf-8"))
    _before(capsys, command, place / "clampbook")

    assert command.split() == words[: len(command.split())]
    status, out, talk = said(capsys, *words)
    assert 2 != status, talk
    assert out or talk


def _typed(command: str) -> bytes:
    """The lines that are typed after a command: a passphrase where it makes a key, and a word where it is for good."""
    lines = {"keys make": [PHRASE, PHRASE], "keys revoke": [PHRASE, PHRASE, "revoke"]}.get(command, [])
    return "".join(f"{line}\n" for line in lines).encode()


def _before(capsys: Captured, command: str, book: Path) -> None:
    """Bring the book to where somebody needs the command."""
    match command:
        case "keys revoke":
            assert 0 == said(capsys, "keys", "make", "Ines")[0]
        case "addendum":
            assert 2 != said(capsys, "seal", "crank-caps")[0]
        case "close-damaged":
            (daybook,) = (book / "runs").glob("*crank-caps*/daybook.jsonl")
            written = daybook.read_bytes().splitlines(keepends=True)
            daybook.write_bytes(b"".join([*written[:20], b"torn\n"]))
