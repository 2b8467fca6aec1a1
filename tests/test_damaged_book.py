"""A book with something broken in it, and the real program: exit status 2 and a sentence, never a traceback."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from clampbook import demo
from museum import museum
from ready import Begun

Damage = Callable[[Path], None]


def program(book: Path, *arguments: str, lines: str = "") -> tuple[int, str, str]:
    """Exit status, output and talk of the real program on a book; whatever it says is said in words."""
    done = Begun(*arguments, book=book, env={**os.environ, "CLAMPBOOK_CLOCK": "2026-03-02T09:00:00Z+3s"})
    out, talk = (said.decode() for said in done.communicate(lines.encode(), timeout=60))
    assert "Traceback" not in talk + out
    assert "not foreseen" not in talk
    return done.returncode, out, talk


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book with a run of the head that was begun and paused."""
    book = tmp_path_factory.mktemp("begun") / "book"
    museum(book)
    status, _, _ = program(book, "walk", demo.HEAD, "--json", "--as", "Ines", lines="+\nC 4711\n")
    assert 0 == status
    return book


@pytest.fixture
def book(begun: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    shutil.copytree(begun, tmp_path / "book")
    return tmp_path / "book"


def run_of(book: Path) -> Path:
    """The folder of its run."""
    return next(path for path in (book / "runs").iterdir() if not path.name.startswith("."))


def written(name: str, data: bytes) -> Damage:
    """A file of the book, or of its run where it is none of the book's, holds something else."""
    return lambda book: void(place(book, name).write_bytes(data))


def void(_: object) -> None:
    """Nothing."""


def place(book: Path, name: str) -> Path:
    """Where a file of this name is."""
    return book / name if name in ("book.toml", "book.jsonl", "people.toml", "tools.toml") else run_of(book) / name


def changed(name: str, old: bytes, new: bytes) -> Damage:
    """Some bytes of a file are others."""

    def change(book: Path) -> None:
        path = place(book, name)
        assert old in path.read_bytes()
        path.write_bytes(path.read_bytes().replace(old, new, 1))

    return change


def lost(name: str) -> Damage:
    """A file is not there."""
    return lambda book: place(book, name).unlink()


def folder_instead(name: str) -> Damage:
    """A folder stands in the place of a file."""

    def change(book: Path) -> None:
        place(book, name).unlink()
        place(book, name).mkdir()

    return change


def link_instead(name: str) -> Damage:
    """A link out of the book stands in the place of a file."""

    def change(book: Path) -> None:
        outside = book.parent / name
        place(book, name).rename(outside)
        place(book, name).symlink_to(outside)

    return change


def pipe_instead(name: str) -> Damage:
    """A pipe that nobody writes to stands in the place of a file."""

    def change(book: Path) -> None:
        place(book, name).unlink()
        os.mkfifo(place(book, name))

    return change


@pytest.mark.parametrize(
    "damage",
    [
        pytest.param(written("book.toml", b"\xff\xfe"), id="book.toml is no text"),
        pytest.param(changed("book.toml", b"format = 1", b"format = 99"), id="book.toml is of a later version"),
        pytest.param(folder_instead("book.toml"), id="book.toml is a folder"),
        pytest.param(written("people.toml", b"[[person]]\nid = 3\n"), id="people.toml has a number for an id"),
        pytest.param(written("daybook.jsonl", b""), id="the daybook is empty"),
        pytest.param(written("daybook.jsonl", b"\x00" * 4096), id="the daybook is all zeros"),
        pytest.param(changed("daybook.jsonl", b"C 4711", b"C 4712"), id="a digit of the daybook is another"),
        pytest.param(changed("daybook.jsonl", b'"daybook":2', b'"daybook":9'), id="the daybook is of a later version"),
        pytest.param(lost("daybook.jsonl"), id="the daybook is lost"),
        pytest.param(folder_instead("daybook.jsonl"), id="the daybook is a folder"),
        pytest.param(link_instead("daybook.jsonl"), id="the daybook is a link"),
        pytest.param(pipe_instead("daybook.jsonl"), id="the daybook is a pipe"),
        pytest.param(changed("plan.json", b"Head bolts", b"Head nuts "), id="the plan was changed"),
        pytest.param(lost("plan.json"), id="the plan is lost"),
        pytest.param(link_instead("plan.json"), id="the plan is a link"),
    ],
)
def test_a_run_that_cannot_be_taken_up_says_why(book: Path, damage: Damage) -> None:
    """Nothing is asked, nothing is added; one sentence a fault, the first naming what is broken."""
    name = run_of(book).name
    damage(book)

    status, out, talk = program(book, "walk", "--resume", name, "--json", "--as", "Ines", lines="1\n")

    assert 2 == status
    assert ["error"] == list(json.loads(out))
    assert talk.strip() and "Traceback" not in talk
    assert any(each in talk for each in ("book.toml", "people.toml", "tools.toml", "daybook.jsonl", "plan.json", name))


@pytest.mark.parametrize(
    "lines", [b"", b"\x00", b"{}\n", b'{"event":"run_opened","seq":1,"prev":"' + b"0" * 64 + b'"}\n']
)
def test_a_damaged_log_of_the_book_is_told_and_the_run_goes_on(book: Path, lines: bytes) -> None:
    """The log is not the run's daybook: what is wrong with it is told, and no answer is held up by it."""
    (book / "book.jsonl").write_bytes(lines)

    status, out, _ = program(book, "walk", "--resume", "--json", "--as", "Ines", lines="7\n")

    assert 0 == status
    assert '{"stored":' in out


@pytest.mark.parametrize(
    "arguments",
    [
        ("walk", "no-such-procedure", "--as", "Ines"),
        ("walk", "/", "--as", "Ines"),
        ("walk", "runs", "--as", "Ines"),
        ("walk", "--resume", "20260302-head-aaaaaaaa", "--as", "Ines"),
        ("walk", "--resume", "../../etc", "--as", "Ines"),
        ("record", "\u202e"),
        ("record", ".."),
        ("walk", demo.HEAD, "--as", "\x1b[31m"),
        ("walk", demo.HEAD, "--as", "Ines", "--joint", "port"),
        ("walk", demo.HEAD, "--as", "Ines", "--equipment", "\u202e4711"),
    ],
)
def test_what_is_named_and_not_there_is_a_sentence(book: Path, arguments: tuple[str, ...]) -> None:
    """Procedures, runs, people and joints that do not exist, or could not."""
    status, out, talk = program(book, *arguments)

    assert (2, "") == (status, out)
    assert talk.strip() and "Traceback" not in talk and "Unexpected" not in talk
    assert "\x1b" not in talk and "\u202e" not in talk


def test_a_folder_that_is_no_book_is_a_sentence(tmp_path: Path) -> None:
    """A folder with something else in it is not made a book."""
    (tmp_path / "letters.txt").write_text("Dear Maud", encoding="utf-8")

    for arguments in (("runs",), ("walk", demo.HEAD, "--as", "Ines"), ("walk", "--resume", "--as", "Ines")):
        status, out, talk = program(tmp_path, *arguments)
        assert (2, "", 1) == (status, out, len(talk.splitlines()))


def test_a_list_of_runs_is_made_with_a_damaged_run_in_it(book: Path) -> None:
    """One run that cannot be read does not hide the others."""
    shutil.copytree(run_of(book), book / "runs" / "20260301-head-aaaaaaaa")
    (book / "runs" / "20260301-head-aaaaaaaa" / "plan.json").write_bytes(b"[]")

    status, out, _ = program(book, "runs")

    assert 0 == status
    assert 2 == len(out.splitlines())


@pytest.mark.parametrize(
    "damage",
    [
        pytest.param(written("tools.toml", b"[" * 5000), id="tools.toml is nested without end"),
        pytest.param(written("tools.toml", b'[[tool]]\nid = "w1"\n'), id="tools.toml misses half a tool"),
        pytest.param(pipe_instead("tools.toml"), id="tools.toml is a pipe"),
    ],
)
def test_a_run_is_taken_up_without_tools_that_cannot_be_read(book: Path, damage: Damage) -> None:
    """What is wrong with them is told; what needs no tool goes on."""
    name = run_of(book).name
    damage(book)

    status, out, talk = program(book, "walk", "--resume", name, "--json", "--as", "Ines", lines="/ still here\n")

    assert 0 == status
    assert "tools.toml" in talk.splitlines()[0]
    assert "no tool can be picked up" in talk
    assert '"stored"' in out
