"""The real program on a book that is taken away, that others own, whose clock or lock is not what it was.

Everything is a sentence that says what to do; what was answered before is kept, and the run goes on afterwards.
"""

from __future__ import annotations

import ctypes
import errno
import fcntl
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from clampbook import cli, demo
from clampbook.ledger.chain import chain_faults
from museum import museum
from piping import daybook, runs

DROP, PASSES_ALL_RIGHTS = 24, 1  # PR_CAPBSET_DROP and CAP_DAC_OVERRIDE, linux/prctl.h and linux/capability.h
CLOCK = "2026-03-02T09:00:00Z+3s"


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book with a run of the head that was begun and paused."""
    book = tmp_path_factory.mktemp("begun") / "book"
    museum(book)
    program = started(book, "walk", demo.HEAD, "--json", "--as", "Ines")
    assert 0 == ended(program, "+\nC 4711\n")[0]
    return book


@pytest.fixture
def book(begun: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    shutil.copytree(begun, tmp_path / "book")
    return tmp_path / "book"


def started(book: Path, *arguments: str, clock: str = CLOCK) -> subprocess.Popen[bytes]:
    """The program on a book, held to the rights of its files even where root starts it."""
    return subprocess.Popen(
        [sys.executable, "-m", "clampbook.cli", *arguments, "--book", str(book)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "CLAMPBOOK_CLOCK": clock, "PYTHONDONTWRITEBYTECODE": "1"},
        preexec_fn=_no_more_than_others,
    )


def _no_more_than_others() -> None:
    if os.geteuid() == 0:
        ctypes.CDLL(None).prctl(DROP, PASSES_ALL_RIGHTS, 0, 0, 0)


def ended(program: subprocess.Popen[bytes], lines: str = "") -> tuple[int, str, str]:
    """Exit status, output and talk once these lines were typed; never a traceback."""
    out, talk = program.communicate(lines.encode(), timeout=60)
    assert b"Traceback" not in talk + out
    assert b"not foreseen" not in talk
    return program.returncode, out.decode(), talk.decode()


def resumed(book: Path, *arguments: str, clock: str = CLOCK) -> subprocess.Popen[bytes]:
    """The program going on with the run."""
    return started(book, "walk", "--resume", "--json", "--as", "Ines", *arguments, clock=clock)


def note(program: subprocess.Popen[bytes], text: str) -> int:
    """Write a note, and wait until it is stored; the number of its line."""
    assert program.stdin is not None and program.stdout is not None
    program.stdin.write(f"/ {text}\n".encode())
    program.stdin.flush()
    for line in program.stdout:
        if b'"stored"' in line:
            stored: int = json.loads(line)["stored"]
            return stored
    raise AssertionError(f"{text!r} was not stored")


def test_a_book_that_is_unplugged_in_the_middle(book: Path) -> None:
    """The answer has nowhere to go, and that is said; what was acknowledged is on the stick, and the run goes on."""
    program = resumed(book)
    note(program, "before")
    book.rename(book.with_name("away"))

    status, _, talk = ended(program, "/ into thin air\n")

    assert 2 == status
    assert "its disk unplugged?" in talk
    book.with_name("away").rename(book)
    again = resumed(book)
    note(again, "after")
    assert 0 == ended(again)[0]
    assert ["before", "after"] == [line["text"] for line in daybook(runs(book)[0]) if line["event"] == "noted"]


def test_a_clock_that_jumps_back(book: Path) -> None:
    """The day before the last line: it is told, counts as a long break, and nothing that was stored is touched."""
    before = daybook(runs(book)[0])

    status, out, _ = ended(resumed(book, clock="2026-03-01T09:00:00Z+3s"), "/ yesterday\n")

    lines = daybook(runs(book)[0])
    assert 0 == status
    assert before == lines[: len(before)]
    assert "implausible" == next(line["clock"] for line in lines if line["event"] == "resumed")
    assert [] == chain_faults(
        runs(book)[0] / "daybook.jsonl", (runs(book)[0] / "daybook.jsonl").read_bytes().split(b"\n")[:-1]
    )
    assert '"stored"' in out


def test_a_second_writer_is_told_who_writes(book: Path) -> None:
    """One writer at a time: the second program ends, the first goes on."""
    first = resumed(book)
    note(first, "mine")

    status, out, talk = ended(resumed(book))

    assert (2, "open_elsewhere") == (status, json.loads(out)["error"]["code"])
    assert "open elsewhere (process" in talk
    note(first, "still mine")
    assert 0 == ended(first)[0]


def test_a_lock_that_a_kill_left_behind_holds_nobody_up(book: Path) -> None:
    """The system frees it; the files that it leaves say nothing by themselves."""
    killed = resumed(book)
    note(killed, "before")
    killed.kill()
    killed.communicate()
    assert [] != list((book / ".locks").glob("*.lock"))

    again = resumed(book)

    note(again, "after")
    assert 0 == ended(again)[0]


@pytest.fixture
def readable(book: Path) -> Iterator[Path]:
    """The book as somebody sees it who may read and not write it."""
    for path in (book, *book.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    yield book
    for path in (book, *book.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)


@pytest.mark.parametrize(
    "arguments",
    [
        ("walk", "--resume", "--plain", "--as", "Ines"),
        ("walk", "--resume", "--plain", "--as", "Zed"),
        ("walk", demo.HEAD, "--plain", "--as", "Ines"),
        ("check", "w2", "--as", "Ines"),
        ("addendum", "head", "--as", "Zed", "--text", "more"),
        ("close-damaged", "head", "--as", "Zed"),
    ],
)
def test_who_may_not_write_is_told(readable: Path, arguments: tuple[str, ...]) -> None:
    """Another user's book, or one on a disk that can only be read: a sentence, and nothing is changed."""
    before = {path: path.read_bytes() for path in readable.rglob("*") if path.is_file()}

    status, _, talk = ended(started(readable, *arguments), "1\n")

    assert 2 == status
    assert "permission denied. Ask the owner of the book" in talk
    assert before == {path: path.read_bytes() for path in readable.rglob("*") if path.is_file()}


def test_looking_needs_no_right_to_write(readable: Path) -> None:
    """Runs, tools, records and verifying show what is there, and change nothing."""
    before = {path: path.read_bytes() for path in readable.rglob("*") if path.is_file()}

    found = [
        ended(started(readable, *each)) for each in (("runs",), ("record", "head"), ("find", "Whinchat"), ("verify",))
    ]

    assert [0, 0, 0, 0] == [status for status, _, _ in found]
    assert before.items() <= {path: path.read_bytes() for path in readable.rglob("*") if path.is_file()}.items()


def test_everything_is_readable_by_its_owner_alone(book: Path) -> None:
    """Names, notes and keys are nobody else's, whatever the shell's own rule is."""
    found = (*book.rglob("*.jsonl"), *book.rglob("plan.json"), book / "people.toml", book / "tools.toml")

    assert [0o600] * len(found) == [path.stat().st_mode & 0o777 for path in found]


@pytest.fixture
def _no_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that cannot lock, as some on a network."""

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", refuse)


@pytest.mark.usefixtures("_no_locks")
def test_without_locks_nothing_is_written_unless_somebody_says_to_be_alone(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Any command that writes: refused with what to say, and done once that is said."""
    before = (book / "people.toml").read_bytes()

    refused = cli.status(["walk", demo.HEAD, "--as", "Zed", "--new-person", "--plain", "--book", str(book)])

    assert 2 == refused
    assert "If nobody else has the book open, use --alone" in capsys.readouterr().err
    assert before == (book / "people.toml").read_bytes()
    cli.status(["--alone", "close-damaged", "head", "--as", "Zed", "--new-person", "--book", str(book)])
    assert "--alone" not in capsys.readouterr().err
    assert b"Zed" in (book / "people.toml").read_bytes()
