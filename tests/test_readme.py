"""What the README says is what happens."""

from __future__ import annotations

import re
import sys
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import click
import pytest

from clampbook import cli
from clampbook.commands.by_name import PLACES
from museum import museum

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROGRAM = click.Context(cli.clampbook)
COMMANDS = {name: command for name in PLACES if (command := cli.clampbook.get_command(PROGRAM, name)) is not None}


def block(language: str, holding: str) -> str:
    """The one fenced block of this language that holds these words."""
    blocks = [text for text in re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL) if holding in text]
    assert 1 == len(blocks)
    return str(blocks[0])


def test_the_session_is_what_the_program_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet and the walk through it are printed as they stand there, but for the run's drawn letters."""
    session = block("text", "Cover screw 1")
    typed = "".join(line[2:] + "\n" for line in session.splitlines() if line.startswith("> "))
    expected = [line for line in session.splitlines() if not line.startswith("> ")]
    book = museum(tmp_path / "book")
    sheet = tmp_path / "valve-cover.toml"
    sheet.write_text(block("toml", "Valve cover"), encoding="utf-8")
    said = BytesIO()
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z+3s")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(typed.encode()), encoding="utf-8"))
    monkeypatch.setattr(sys, "stdout", TextIOWrapper(said, encoding="utf-8", write_through=True))
    monkeypatch.setattr(sys, "stderr", StringIO())

    cli.status(["walk", str(sheet), "--as", "Ines", "--book", str(book.root)])

    drawn = re.compile(r"valve-cover-[a-z2-7]{8}")
    assert drawn.sub("", "\n".join(expected)).strip() == drawn.sub("", said.getvalue().decode()).strip()


def test_the_review_asks_what_stands_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The queries about the valve cover are printed as the README has them, and nothing more."""
    first, *expected = block("text", "$ clampbook review").splitlines()
    (tmp_path / "valve-cover.toml").write_text(block("toml", "Valve cover"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))  # where somebody might have a book of their own
    monkeypatch.setenv("COLUMNS", "400")  # in a terminal its lines are folded

    status = cli.status(first.removeprefix("$ clampbook ").split())

    assert (1, expected) == (status, capsys.readouterr().out.splitlines())


def test_the_gate_runs_the_very_test_command() -> None:
    """.ci/run holds the command that the README tells everybody to run."""
    gate = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

    assert block("sh", "pytest") in gate


def test_every_command_is_there_under_its_name() -> None:
    """Each is loaded from its place, and is called there what it is called here."""
    assert {name: name for name in PLACES} == {name: command.name for name, command in COMMANDS.items()}


def test_every_command_is_named() -> None:
    """Nothing that can be typed is left out of the README."""
    assert [] == [name for name in COMMANDS if not re.search(rf"[` ]{name}\b", README)]


def test_every_option_that_is_named_exists() -> None:
    """Every option in the README is one of some command."""
    known = {o for command in COMMANDS.values() for each in command.params for o in each.opts}

    assert set(re.findall(r"(?<!-)--[a-z][a-z-]+", README)) <= known
