"""--json: one object on standard output from every command that says something, also where it could not be done."""

from __future__ import annotations

import json
import re
import shutil
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path
from typing import Any

import click
import pytest

from archive.book_of_records import GOLDEN as RUNS
from archive.book_of_records import NAMES
from clampbook import cli
from clampbook.book.book import Book
from clampbook.commands import refused, releasing
from clampbook.commands.by_name import PLACES
from clampbook.demo import HEAD
from museum import museum
from signers import PHRASE

from .saying import Captured, said

NO_BOOK = {"demo", "new", "help", "setting", "estimate", "schema"}  # they make one, or need none
# What each needs to be asked for something, and the keys of the object that it prints.
DONE: dict[str, tuple[list[str], set[str]]] = {
    "demo": (["--only-make", "--into", "quay"], {"book", "name"}),
    "new": (["workshop"], {"book", "name", "written", "there"}),
    "help": (["window"], {"places"}),
    "review": ([HEAD], {"errors", "queries", "accepted"}),
    "plan": ([HEAD], {"title", "revision", "stages", "steps"}),
    "match": ([HEAD], {"stages", "notices"}),
    "form": ([HEAD], {"form", "code"}),
    "release": (
        ["shaft-flange-16", "--as", "Maud", "--compared-with", "Issue 3"],
        {"procedure", "revision", "act", "saved", "signed"},
    ),
    "runs": ([], {"runs"}),
    "due": ([], {"due"}),
    "close-damaged": (["crank-caps", "--as", "Ines"], {"run", "state", "told"}),
    "tools": ([], {"tools", "adapters", "due"}),
    "affected": (["W5"], {"runs"}),
    "setting": (["90 N·m", "--lever", "400 mm", "--adapter", "60 mm"], {"setting"}),
    "estimate": (["--thread", "M10", "--torque", "30 N·m", "--nut-factor", "0.2"], {"clamp_load"}),
    "find": ([], {"runs", "more"}),
    "record": (["crank-caps"], {"record", "title"}),
    "report": (["crank-caps", "--into", "crank-caps.pdf"], {"run", "report"}),
    "export": (["crank-caps"], {"readings"}),
    "trend": ([], {"readings"}),
    "merge": (["other-book"], {"runs", "checks", "already", "others", "collisions"}),
    "keys": ([], {"keys"}),
    "keys make": (["Maud"], {"person", "name", "fingerprint", "public", "added"}),
    "keys revoke": (
        ["Ines", "--as", "Maud", "--yes", "--known-since", "never"],
        {"person", "fingerprint", "withdrawn"},
    ),
    "seal": (["crank-caps"], {"run", "sealed", "missing", "told"}),
    "verify": ([], {"intact", "runs", "problems"}),
    "addendum": (["crank-caps", "--as", "Ines", "--text", "Cap 3 has a paint mark"], {"run", "sealed", "missing"}),
}
ASKING = {"walk", "check", "draft"}  # one object for each question: tests/plain, tests/check and test_guided have them
TOLD = {"walk": ["shaft-flange-16", "--as", "Ines"], "check": ["shaft-flange-16", "--as", "Ines"], "draft": []}
ITSELF = {"schema"}  # prints nothing but JSON


def _all() -> dict[str, click.Command]:
    """Every command by its name, with those below one."""
    context = click.Context(cli.clampbook)
    held = {name: command for name in PLACES if (command := cli.clampbook.get_command(context, name))}
    below = {
        f"{name} {sub}": command
        for name, group in held.items()
        if isinstance(group, click.Group)
        for sub, command in group.commands.items()
    }
    return held | below


ALL = _all()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo book, in which four runs are over and Ines and Maud work, and somebody types phrases."""
    book = museum(tmp_path / "clampbook")
    for run, golden in NAMES.items():
        shutil.copytree(RUNS / golden, book.path("runs", run))
    for name in ("Ines", "Maud"):
        book.person_named(name)
    Book.create(tmp_path / "other-book", "The other quay")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-10T09:00:00Z+3s")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(f"{PHRASE}\n".encode() * 4), encoding="utf-8"))
    return book.root


def _before(capsys: Captured, command: str, book: Path) -> None:
    """Bring the book to where somebody needs the command."""
    match command:
        case "keys revoke":
            assert 0 == said(capsys, "keys", "make", "Ines")[0]
        case "addendum":
            assert 2 != said(capsys, "seal", "crank-caps")[0]
        case "close-damaged":
            (daybook,) = (book / "runs").glob("*crank-caps*/daybook.jsonl")
            daybook.write_bytes(b"".join([*daybook.read_bytes().splitlines(keepends=True)[:20], b"torn\n"]))


def _error(out: str) -> dict[str, Any]:
    (line,) = out.splitlines()
    told = json.loads(line)
    assert ["error"] == list(told)
    return dict(told["error"])


def test_every_command_takes_it() -> None:
    """But for the one that prints nothing else."""
    without = {
        name for name, command in ALL.items() if "--json" not in {o for each in command.params for o in each.opts}
    }

    assert ITSELF == without
    assert set(ALL) == set(DONE) | ASKING | without


def test_every_command_that_reads_a_book_takes_one() -> None:
    """What makes one, and what needs none, does not."""
    without = {
        name for name, command in ALL.items() if "--book" not in {o for each in command.params for o in each.opts}
    }

    assert NO_BOOK == without


@pytest.mark.parametrize("command", DONE)
def test_what_was_done_is_one_object(command: str, home: Path, capsys: Captured) -> None:
    """And nothing else stands on standard output."""
    arguments, keys = DONE[command]
    _before(capsys, command, home)

    status, out, talk = said(capsys, *command.split(), *arguments, "--json")

    assert status in (0, 1), talk
    assert keys <= json.loads(out).keys()


@pytest.mark.parametrize("command", sorted(set(ALL) - NO_BOOK))
def test_where_there_is_no_book_it_is_one_object_too(command: str, home: Path, capsys: Captured) -> None:
    """With a code for scripts, the folder, and the sentence that stands on standard error; the status is 2 as ever."""
    arguments = TOLD[command] if command in ASKING else DONE[command][0]
    away = home.parent / "away"

    status, out, talk = said(capsys, *command.split(), *arguments, "--json", "--book", str(away))

    error = _error(out)
    assert (2, "no_book", str(away)) == (status, error["code"], error["where"])
    assert talk == error["text"] + "\n"
    assert (status, talk) == said(capsys, *command.split(), *arguments, "--book", str(away))[::2]


@pytest.mark.parametrize("command", sorted(set(ALL) - ITSELF))
def test_an_option_that_there_is_not_is_told_by_its_command(command: str, capsys: Captured) -> None:
    """Even a command line that cannot be read asks for JSON where --json stands in it."""
    status, out, _ = said(capsys, *command.split(), "--json", "--no-such-thing")

    error = _error(out)
    assert (2, "usage", f"clampbook {command}") == (status, error["code"], error["where"])


@pytest.mark.parametrize("words", ["keys --allowed-signers", "tools --labels", "export --csv"])
def test_what_is_printed_otherwise_is_not_asked_for_as_json_too(words: str, capsys: Captured) -> None:
    """Nobody gets text where an object was asked for."""
    status, out, _ = said(capsys, *words.split(), "--json")

    assert (2, "usage") == (status, _error(out)["code"])


def test_the_page_of_fields_names_every_code() -> None:
    """And no other: scripts hold on to them."""
    module = (Path(refused.__file__)).read_text(encoding="utf-8") + Path(releasing.__file__).read_text(encoding="utf-8")
    page = (Path(__file__).parents[2] / "docs" / "fields.md").read_text(encoding="utf-8")
    paragraph = page.partition("or one of `usage`")[2].partition("`where`")[0]

    assert set(re.findall(r'Refused\(\s*"(\w+)"', module)) == {"usage", *re.findall(r"`(\w+)`", paragraph)} - {
        "queries"
    }


def test_errors_of_a_file_are_those_of_review(tmp_path: Path, capsys: Captured) -> None:
    """Each with file, line, key and code; the first stands for all."""
    path = tmp_path / "half.toml"
    path.write_text('format = 2\ntitle = "Half"\nrevison = "A"\n')
    _, out, _ = said(capsys, "review", str(path), "--json")
    reviewed = json.loads(out)["errors"]

    status, out, _ = said(capsys, "plan", str(path), "--json")

    error = _error(out)
    assert (2, reviewed) == (status, error["errors"])
    assert (reviewed[0]["code"], f"{path}:{reviewed[0]['line']}") == (error["code"], error["where"])


def test_queries_that_nobody_answered_stand_beside_the_error(home: Path, capsys: Captured) -> None:
    """A release that is not given says which."""
    path = home / "procedures" / "cover.toml"
    path.write_text(
        'format = 2\ntitle = "Cover"\nrevision = "A"\nsource = "Sheet 3 (invented)"\nunit = "N·m"\n\n'
        '[[group]]\nname = "Cover screws"\npositions = "1-4"\nthread = "M10"\nsequence = "listed"\n\n'
        '[[stage]]\ndo = "tighten"\nto = "30 N·m"\nwithin = "±2 N·m"\n'
    )
    status, out, _ = said(capsys, "release", "cover", "--as", "Maud", "--compared-with", "Issue 3", "--json")

    error = _error(out)
    assert (2, "unanswered", str(path)) == (status, error["code"], error["where"])
    assert {"W"} == {query["code"][0] for query in error["queries"]}
