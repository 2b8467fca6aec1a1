"""What the README and the pages of docs/ say is what happens."""

from __future__ import annotations

import re
import sys
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from typing import Any

import click
import pytest

from clampbook import cli
from clampbook.archive.readings import HEAD
from clampbook.commands.by_name import PLACES
from clampbook.help.keys import TABLES
from clampbook.help.reference import SHARED
from clampbook.procedure.reader import read
from clampbook.procedure.schema import schema as of_a_procedure
from clampbook.tools.schema import schema as of_the_tools
from docs_anew import filled
from museum import museum

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DOCS = {path.stem: path.read_text(encoding="utf-8") for path in sorted((ROOT / "docs").glob("*.md"))}
PAPERS = {"README": README, **DOCS}
PROGRAM = click.Context(cli.clampbook)
COMMANDS = {name: command for name in PLACES if (command := cli.clampbook.get_command(PROGRAM, name)) is not None}


def block(language: str, holding: str, paper: str = README) -> str:
    """The one fenced block of this language that holds these words."""
    blocks = [text for text in re.findall(rf"```{language}\n(.*?)```", paper, re.DOTALL) if holding in text]
    assert 1 == len(blocks)
    return str(blocks[0])


def test_the_page_is_read_in_a_few_minutes() -> None:
    """What it leaves out stands on the pages that it names."""
    assert len(README.split()) <= 1000


def test_the_session_is_what_the_program_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet is walked, with the tool that the sentence above it names, and what stands there is printed so."""
    session = block("text", "Cover screw 1")
    typed = ["W5", "1", *(line[2:] for line in session.splitlines() if line.startswith("> ")), "*0"]
    expected = [line for line in session.splitlines() if not line.startswith("> ")]
    book = museum(tmp_path / "book")
    sheet = tmp_path / "valve-cover.toml"
    sheet.write_text(block("toml", "Valve cover"), encoding="utf-8")
    said = BytesIO()
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z+3s")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO("".join(f"{line}\n" for line in typed).encode())))
    monkeypatch.setattr(sys, "stdout", TextIOWrapper(said, encoding="utf-8", write_through=True))
    monkeypatch.setattr(sys, "stderr", StringIO())

    cli.status(["walk", str(sheet), "--as", "Ines", "--plain", "--book", str(book.root)])

    assert "W5 picked up and at zero" in README
    assert "\n".join(expected) in said.getvalue().decode()


def test_the_review_asks_what_stands_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The queries about the valve cover are printed as the page of procedures has them, and nothing more."""
    first, *expected = block("text", "$ clampbook review", DOCS["procedures"]).splitlines()
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


def test_the_commands_are_listed_as_the_program_lists_them(capsys: pytest.CaptureFixture[str]) -> None:
    """Each with its line, under the same wishes and in the same order, and none left out."""
    cli.status(["--help"])

    out = capsys.readouterr().out
    assert out[out.index("Begin:\n") :].rstrip() == block("text", "walk  ", DOCS["commands"]).rstrip()


@pytest.mark.parametrize("paper", PAPERS)
def test_every_option_that_is_named_exists(paper: str) -> None:
    """Every option on a page is one of some command."""
    every = [*COMMANDS.values(), *(each for held in COMMANDS.values() for each in _held(held)), cli.clampbook]
    known = {o for command in every for each in command.params for o in each.opts} | {"--help"}

    assert set(re.findall(r"(?<!-)--[a-z][a-z-]+", PAPERS[paper])) <= known


def _held(command: click.Command) -> list[click.Command]:
    """The commands below one, such as keys make."""
    return list(command.commands.values()) if isinstance(command, click.Group) else []


@pytest.mark.parametrize("paper", PAPERS)
def test_every_link_leads_somewhere(paper: str) -> None:
    """Pages and pictures that are named lie there."""
    place = ROOT if paper == "README" else ROOT / "docs"

    assert [] == [to for to in re.findall(r"\]\(([^)]+)\)", PAPERS[paper]) if not (place / to).exists()]


@pytest.mark.parametrize(("paper", "schema"), [("procedures", of_a_procedure()), ("tools", of_the_tools())])
def test_every_key_of_a_file_is_named(paper: str, schema: dict[str, Any]) -> None:
    """Nothing that can be written into a file is left out of its page."""
    keys = {key for each in schema["$defs"].values() for key in each.get("properties", ())}
    code = " ".join(re.findall(r"```.*?```|`[^`]+`", DOCS[paper], re.DOTALL))

    assert [] == sorted(keys - set(re.findall(r"[a-z_0-9]+", code)))


@pytest.mark.parametrize("paper", DOCS)
def test_a_page_has_what_the_program_knows(paper: str) -> None:
    """Tables of keys, pictures of orders and lines about keys are written by `python tests/docs_anew.py`."""
    assert filled(DOCS[paper]) == DOCS[paper]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_whole_procedure_on_a_page_can_be_read(paper: str) -> None:
    """Who copies it has a file without errors."""
    for text in re.findall(r"```toml\n(format = .*?)```", PAPERS[paper], re.DOTALL):
        assert read(text.encode()).stages


def test_every_table_has_its_keys_on_a_page() -> None:
    """None is left out, and none is there twice."""
    marked = re.findall("<!-- keys: (.+) -->", "".join(DOCS.values()))

    assert sorted([*SHARED, *TABLES]) == sorted(marked)


def test_every_column_of_the_csv_is_named_in_its_order() -> None:
    """The page of fields lists them as the first line of a file does."""
    assert ", ".join(f"`{name}`" for name in HEAD) in " ".join(DOCS["fields"].split())
