"""A shell completes what is half typed: commands, options, and the procedures, runs, tools and people of the book."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest
from click.shell_completion import ShellComplete

from archive.book_of_records import CRANK, FLANGE, GIVEN_UP, GOLDEN, HEAD, NAMES
from clampbook import cli
from clampbook.book.book import Book
from clampbook.demo import HEAD as HEAD_PROCEDURE
from museum import museum

CHECK = "20260328-w5-gxwslc6k"
ALL_RUNS = {HEAD, CRANK, FLANGE, GIVEN_UP}
HEAVY = {"pydantic", "textual", "typst", "cryptography", "sqlite3", "tomlkit", "tree_sitter"}


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """The demo book in the folder for data, with four runs that are over, one that stands open, and a check."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    found = museum(tmp_path / "clampbook")
    for run, golden in NAMES.items():
        shutil.copytree(GOLDEN / golden, found.path("runs", run))
    open_one = Path(shutil.copytree(GOLDEN / "head", found.path("runs", "20260309-whinchat-pattern-c-head-bbbbbbbb")))
    daybook = open_one / "daybook.jsonl"
    daybook.write_bytes(b"".join(daybook.read_bytes().splitlines(keepends=True)[:20]))
    (found.path("runs", FLANGE) / "seal.sha256").write_text("")
    shutil.copytree(GOLDEN.parent / "golden_book" / "book" / "checks" / CHECK, found.root / "checks" / CHECK)
    found.person_named("Ines")
    found.person_named("Maud van der Meer")
    return found


OPEN = "20260309-whinchat-pattern-c-head-bbbbbbbb"


def offered(*words: str, half: str = "") -> set[str]:
    """What a shell is offered after these words for the half of the next one."""
    told = ShellComplete(cli.clampbook, {}, "clampbook", "_CLAMPBOOK_COMPLETE").get_completions(list(words), half)
    return {f"<{item.type}>" if item.type != "plain" else item.value for item in told}


@pytest.mark.parametrize("command", ["walk", "review", "plan", "match", "form", "release", "draft"])
def test_procedures(book: Book, command: str) -> None:
    """By name, whatever the capitals; where none begins so it is left to the shell, which knows files."""
    del book
    assert {HEAD_PROCEDURE, "whinchat-crank-caps", "whinchat-coupling-flange"} == offered(command, half="Whin")
    assert {"<file>"} == offered(command, half="../")


@pytest.mark.parametrize("command", ["record", "report", "export", "verify", "close-damaged"])
def test_runs_and_checks(book: Book, command: str) -> None:
    """By the beginning of the name, or by what stands in it."""
    del book
    assert ALL_RUNS | {OPEN, CHECK} == offered(command, half="2026")
    assert {CRANK} == offered(command, half="crank")


def test_only_runs_that_the_command_is_for(book: Book) -> None:
    """Open ones to resume, unsealed ones to seal, sealed ones to add to."""
    del book
    assert {OPEN} == offered("walk", "--resume")
    assert FLANGE not in offered("seal")
    assert {HEAD, CRANK} <= offered("seal")
    assert {FLANGE} == offered("addendum")


def test_tools(book: Book) -> None:
    """By the name on them; adapters where they are asked for, behind a plus where they are put on."""
    del book
    assert {"W1", "W2", "W5", "W7", "W9"} == offered("check", half="w")
    assert {"R1"} == offered("check", "W5", "--reference", half="r")
    assert {"A1"} == offered("affected", half="a")
    assert {"W7+A1"} == offered("form", HEAD_PROCEDURE, "--tool", half="W7+")
    assert {"W5"} == offered("trend", "--tool", half="w5")


def test_people(book: Book) -> None:
    """By name; by id where a name is several words, which a shell would take apart."""
    known = {person.name if " " not in person.name else person.id for person in book.people()}

    assert {"Ines", "maud-van-der-meer"} <= known
    assert known == offered("walk", "--as") == offered("keys", "make") == offered("find", "--person")
    assert {"Ines"} == offered("walk", HEAD_PROCEDURE, "--done-by", half="in")


def test_topics_of_the_help() -> None:
    """They need no book."""
    assert {"sequences"} == offered("help", half="se")
    assert {"start", "keys", "trouble"} < offered("help")


@pytest.mark.parametrize("command", ["new", "draft"])
def test_samples(command: str) -> None:
    """Those of the library, which need no book."""
    assert {"flywheel"} == offered(command, "--from", half="fly")


def test_the_book_that_is_named(book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Before the command or after it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "nowhere"))

    assert set() == offered("check", half="w")
    assert "W5" in offered("check", "--book", str(book.root), half="w")
    assert "W5" in offered("--book", str(book.root), "check", half="w")


def test_a_damaged_book_offers_nothing(book: Book) -> None:
    """And says nothing: a person is in the middle of a line."""
    (book.root / "tools.toml").write_text("[[tool]\n")
    (book.root / "people.toml").write_bytes(b"\xff")
    shutil.rmtree(book.root / "runs")

    assert set() == offered("check") | offered("walk", "--as") | offered("walk", "--resume")


def test_nothing_slow_is_loaded(book: Book) -> None:
    """Neither what reads files with care nor a screen: a person waits."""
    del book
    asking = (
        "import json, sys; from click.shell_completion import ShellComplete; from clampbook import cli\n"
        "shell = ShellComplete(cli.clampbook, {}, 'clampbook', '_CLAMPBOOK_COMPLETE')\n"
        "for words in (['walk', '--resume'], ['record'], ['check'], ['new', '--from'], ['walk', '--as'], []):\n"
        "    assert shell.get_completions(words, ''), words\n"
        "print(json.dumps(sorted(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", asking], capture_output=True, text=True, check=True, timeout=60)

    assert set() == HEAVY & set(json.loads(said.stdout))


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash is here")
@pytest.mark.parametrize(
    ("half", "whole"),
    [
        ("clampbook close-d", "clampbook close-damaged"),
        ("clampbook check w5", "clampbook check W5"),
        ("clampbook record crank", f"clampbook record {CRANK}"),
        ("clampbook walk whinchat-pat", f"clampbook walk {HEAD_PROCEDURE}"),
        ("clampbook walk --as In", "clampbook walk --as Ines"),
    ],
)
def test_a_real_bash_completes(book: Book, half: str, whole: str) -> None:
    """With the line of the page of commands, at a terminal: Tab ends the word."""
    page = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
    (line,) = [each for each in page.splitlines() if "_CLAMPBOOK_COMPLETE=bash_source" in each]
    command = line[line.index("eval") :].partition("`")[0]
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    home = str(book.root.parent)
    environment = {
        "PATH": path,
        "XDG_DATA_HOME": home,
        "HOME": home,
        "TERM": "dumb",
        "PS1": "$ ",
        "INPUTRC": "/dev/null",
    }
    bash = pexpect.spawn("bash", ["--norc", "--noprofile", "-i"], env=environment, encoding="utf-8", timeout=30)
    bash.setwinsize(24, 200)
    bash.sendline(command)
    bash.sendline("echo re''ady")
    bash.expect_exact("ready")
    bash.expect_exact("$ ")
    bash.send(f"{half}\t\x01printf '[%s]' \r")  # to the beginning of the line, which is printed word by word
    bash.expect_exact("".join(f"[{word}]" for word in whole.split()))
    bash.close(force=True)
