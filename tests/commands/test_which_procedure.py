"""A procedure is named alike in all commands: by its name in the book, or by the path of its file."""

from __future__ import annotations

import shutil
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path

import pytest

from clampbook.demo import HEAD
from museum import museum

from .saying import Captured, said

NAMING = [
    ("review",),
    ("plan",),
    ("match",),
    ("form",),
    ("release", "--as", "Maud", "--compared-with", "Issue 3"),
    ("walk", "--as", "Ines", "--plain"),
]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for data with the demo book in it, and somebody who stands elsewhere and types nothing."""
    museum(tmp_path / "clampbook")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-10T09:00:00Z+3s")
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(), encoding="utf-8"))
    return tmp_path


@pytest.mark.parametrize("command", NAMING, ids=lambda words: words[0])
def test_its_name_in_the_book_is_enough(command: tuple[str, ...], home: Path, capsys: Captured) -> None:
    """In the person's own book without a word, in another one with --book."""
    first, *more = command

    assert 2 != said(capsys, first, HEAD, *more)[0]
    (home / "clampbook").rename(home / "moved")
    assert 2 == said(capsys, first, HEAD, *more)[0]
    assert 2 != said(capsys, first, HEAD, *more, "--book", str(home / "moved"))[0]


def test_a_review_takes_the_only_name_that_begins_so(home: Path, capsys: Captured) -> None:
    """It only reads. What two names begin with, and what a walk is to do, is typed in full."""
    own = home / "clampbook" / "procedures"
    shutil.copy(own / f"{HEAD}.toml", own / "ringflange.toml")

    assert f"{own / 'ringflange.toml'}: no errors" in " ".join(said(capsys, "review", "ring")[1].split())
    assert 2 == said(capsys, "walk", "ring", "--as", "Ines", "--plain")[0]
    shutil.copy(own / f"{HEAD}.toml", own / "ringgear.toml")
    assert 2 == said(capsys, "review", "ring")[0]


@pytest.mark.parametrize("command", NAMING, ids=lambda words: words[0])
def test_so_is_the_path_of_its_file(command: tuple[str, ...], home: Path, capsys: Captured) -> None:
    """Wherever it lies."""
    first, *more = command
    shutil.copy(home / "clampbook" / "procedures" / f"{HEAD}.toml", "mine.toml")

    assert 2 != said(capsys, first, "mine.toml", *more)[0]


@pytest.mark.parametrize("command", NAMING, ids=lambda words: words[0])
def test_a_name_that_there_is_not_is_told_with_those_there_are(
    command: tuple[str, ...], home: Path, capsys: Captured
) -> None:
    """In the same sentence everywhere."""
    del home
    first, *more = command

    status, _, talk = said(capsys, first, "cylinder-haed", *more)

    assert 2 == status
    assert "o procedure 'cylinder-haed' in this book. Give the path of a file, or one of shaft-flange-16" in talk
    assert HEAD in talk


@pytest.mark.parametrize("command", [("review",), ("plan",), ("form",)], ids=lambda words: words[0])
def test_a_file_needs_no_book(command: tuple[str], home: Path, capsys: Captured) -> None:
    """Whoever has none yet can read a procedure, and is told where it is not there."""
    shutil.move(home / "clampbook" / "procedures" / f"{HEAD}.toml", "mine.toml")
    shutil.rmtree(home / "clampbook")

    assert 2 != said(capsys, *command, "mine.toml")[0]
    status, out, talk = said(capsys, *command, "yours")
    assert 2 == status
    assert "there is no such file" in f"{out}{talk}".lower()
