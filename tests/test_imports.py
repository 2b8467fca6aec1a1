"""What is imported when: printing commands never pay for a screen, and quantities wait for the table of units."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from clampbook import demo
from clampbook.demo import samples

CORE = (
    "text",
    "units",
    "faults",
    "procedure.model",
    "procedure.reader",
    "tools.model",
    "tools.reader",
    "ledger.ledger",
    "run.walk",
    "run.gather.parts",
    "run.asked",
    "record.record",
    "record.written",
    "book.book",
    "book.starting.new_run",
    "book.starting.walking",
    "plain.loop",
    "plain.words",
    "plain.objects",
    "commands.walking",
    "commands.line_by_line",
    "cli",
)
HEAVY = ("textual", "typst", "cryptography", "sqlite3", "pikepdf")
HEAD = next(str(path) for path in samples() if path.stem == demo.HEAD)


def imported(code: str) -> frozenset[str]:
    """The modules that a fresh interpreter holds after running this code."""
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint('\\n=', *sys.modules, sep='\\n')"],
        capture_output=True,
        check=True,
        timeout=60,
    )
    return frozenset(told.stdout.decode().partition("\n=\n")[2].split())


def test_no_core_package_reaches_the_toolkit() -> None:
    """None of the core, imported alone or together, brings in the toolkit, the typesetter, keys or the index."""
    held = imported("\n".join(f"import clampbook.{name}" for name in CORE))

    assert [] == [name for name in HEAVY if name in held]


@pytest.mark.parametrize("name", ["text", "units", "faults", "procedure.model", "tools.model", "run.events", "cli"])
def test_light_modules_wait_for_the_table_of_units_and_the_reader(name: str) -> None:
    """Until a quantity is converted or a file is read, neither pint nor pydantic nor a parser is loaded."""
    held = imported(f"import clampbook.{name}")

    assert [] == [heavy for heavy in (*HEAVY, "pint", "pydantic", "tree_sitter") if heavy in held]


@pytest.mark.parametrize(
    ("arguments", "unneeded"),
    [
        (["--help"], ("pint", "pydantic", "msgspec", "tree_sitter")),
        (["schema"], ("pint", "tree_sitter")),
        (["review", HEAD], ("tree_sitter",)),
        (["plan", HEAD, "--json"], ("tree_sitter",)),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_commands_that_print_import_no_more_than_they_need(arguments: list[str], unneeded: tuple[str, ...]) -> None:
    """A printed page never waits for a screen."""
    held = imported(f"from clampbook import cli\nassert cli.status({arguments!r}) == 0")

    assert [] == [name for name in (*HEAVY, *unneeded) if name in held]


def test_looking_into_a_book_imports_no_screen(tmp_path: Path) -> None:
    """The list of open runs is printed at once."""
    demo.make(tmp_path / "book")

    held = imported(
        f"from clampbook import cli\nassert cli.status(['runs', '--book', {str(tmp_path / 'book')!r}]) == 0"
    )

    assert [] == [name for name in (*HEAVY, "pint") if name in held]


@pytest.mark.parametrize(
    ("asked", "unneeded"),
    [
        ("runs", ("pydantic", "sqlite3", "clampbook.run.events", "clampbook.record.record")),
        ("find", ("pydantic", "clampbook.run.events", "clampbook.record.record", "clampbook.archive.entering")),
        ("due", ("clampbook.run.events", "clampbook.record.record", "clampbook.archive.entering")),
        ("keys", ("pydantic", "sqlite3", "clampbook.run.events")),
    ],
)
def test_a_list_of_a_book_with_nothing_open_waits_for_no_event_and_no_page(
    tmp_path: Path, asked: str, unneeded: tuple[str, ...]
) -> None:
    """Nothing is new, so that what reads a run, or a file that people write, is not loaded."""
    demo.make(tmp_path / "book")

    held = imported(
        f"from clampbook import cli\nassert cli.status([{asked!r}, '--book', {str(tmp_path / 'book')!r}]) in (0, 1)"
    )

    assert [] == [name for name in unneeded if name in held]


# What comes after a walk, or is another's: its record and seal, tool checks, the index, queries, other commands.
NOT_OF_A_WALK = (
    "archive",
    "book.sealing",
    "book.soundness",
    "check.checking",
    "commands.checking",
    "commands.verify",
    "record.record",
    "record.pages",
    "review",
    "signing.sshsig",
)


def test_a_plain_walk_that_is_paused_imports_nothing_but_the_walk(tmp_path: Path) -> None:
    """Line by line it needs no toolkit, and what is done with its record waits until there is one."""
    demo.make(tmp_path / "book")
    arguments = ["walk", demo.HEAD, "--plain", "--as", "Ines", "--book", str(tmp_path / "book")]

    held = imported(f"import sys, io\nfrom clampbook import cli\nassert cli.status({arguments!r}) == 0")

    assert [] == [name for name in HEAVY if name in held]
    assert [] == [name for name in NOT_OF_A_WALK if f"clampbook.{name}" in held]
