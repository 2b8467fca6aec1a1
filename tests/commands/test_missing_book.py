"""A mistyped --book: no command makes it, and each names the nearest that is there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from clampbook import cli
from clampbook.book.book import Book
from clampbook.cli import clampbook

NEEDED: dict[
    tuple[str, ...], tuple[str, ...]
] = {  # what some commands want to be said as well before they look for a book
    ("walk",): ("head",),
    ("export",): ("--csv",),
    ("trend",): ("--tool", "W5"),
    ("release",): ("--compared-with", "Sheet 12"),
}


def commands_of(group: click.Group, before: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command that can be typed, also those within another."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from commands_of(command, (*before, name))
        if not isinstance(command, click.Group) or command.invoke_without_command:
            yield (*before, name), command


def takes_a_book(command: click.Command) -> bool:
    """Whether it works in a book that can be named."""
    return any("--book" in option.opts for option in command.params)


COMMANDS = {words: command for words, command in commands_of(clampbook) if takes_a_book(command)}


def least(words: tuple[str, ...], command: click.Command) -> list[str]:
    """A command with the fewest words that it needs."""
    said = list(words)
    for each in command.params:
        if each.required:
            said += ["x"] if isinstance(each, click.Argument) else [each.opts[0], "x"]
    return [*said, *NEEDED.get(words, ())]


def on_disk(folder: Path) -> list[tuple[str, bytes]]:
    """Everything below a folder, with what is in it."""
    return [
        (str(each.relative_to(folder)), each.read_bytes() if each.is_file() else b"")
        for each in sorted(folder.rglob("*"))
    ]


@pytest.fixture
def boats(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book beside the folder that is mistyped; the working folder holds nothing else."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return Book.create(tmp_path / "boats", "Boats").root


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_nothing_is_made_and_the_nearest_is_named(
    tmp_path: Path, boats: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither the folder, nor the user's own book, nor anything in the one that was meant."""
    before = on_disk(tmp_path)

    status = cli.status([*least(words, COMMANDS[words]), "--book", str(tmp_path / "baots")])

    said = capsys.readouterr().err
    assert 2 == status, said
    assert f"Did you mean --book {boats}?" in said
    assert f"To make a new one: clampbook new {tmp_path / 'baots'}" in said
    assert before == on_disk(tmp_path)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_without_any_book_none_is_made_in_the_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """Where nobody names a book and there is none, a command leaves the disk as it was."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    cli.status(least(words, COMMANDS[words]))

    assert [] == on_disk(tmp_path), capsys.readouterr().err


@pytest.mark.usefixtures("boats")
def test_the_book_of_each_command_can_be_named_before_it_too(tmp_path: Path) -> None:
    """`clampbook --book DIR runs` makes nothing either."""
    before = on_disk(tmp_path)

    assert 2 == cli.status(["--book", str(tmp_path / "baots"), "runs"])
    assert before == on_disk(tmp_path)


def test_the_users_own_book_is_named_where_none_is_like_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is there whatever was typed."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    own = Book.create(tmp_path / "data" / "clampbook", "Own").root

    assert 2 == cli.status(["runs", "--book", str(tmp_path / "wagons")])
    assert f"Your own book is in '{own}': leave out --book." in capsys.readouterr().err


class TestMerging:
    """The other book is only read, so nobody is told how to make it."""

    def test_the_nearest_other_book_is_named(
        self, tmp_path: Path, boats: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """A slip in its name."""
        other = Book.create(tmp_path / "other" / "launch", "Launch").root

        assert 2 == cli.status(["merge", str(other.with_name("lanuch")), "--book", str(boats)])
        said = capsys.readouterr().err
        assert f"Did you mean {other}?" in said
        assert "clampbook new" not in said
