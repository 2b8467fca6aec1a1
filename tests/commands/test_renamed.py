"""Old names of commands and options: whoever types one is told the new one, and nothing is done."""

from __future__ import annotations

import pytest

from clampbook import cli

Captured = pytest.CaptureFixture[str]

COMMANDS = {"touched": "affected", "sheet": "form", "suit": "match", "keys withdraw": "keys revoke"}
OPTIONS = [
    ("check W5", "--hold reference", "--bring"),
    ("walk head", "--hands Tomas", "--done-by"),
    ("walk head", "--unit 4711", "--equipment"),
    ("walk head", "--because draft", "--reason"),
    ("find gasket", "--unit 4711", "--equipment"),
    ("export --csv", "--unit 4711", "--equipment"),
    ("export --csv", "--releases", "--clicks"),
    ("trend", "--unit 4711", "--equipment"),
    ("tools", "--add-cycles W1 40", "--add-pulls"),
    ("estimate --thread M10", "--preload 9kN", "--clamp-load"),
    ("seal head", "--without", "--skip-missing"),
    ("seal head", "--because gone", "--reason"),
    ("release head --as Maud", "--look-again 2027-03-02", "--compare-by"),
    ("release head --as Maud --withdraw", "--because old", "--reason"),
    ("keys revoke Ines", "--why lost", "--reason"),
    ("check W5", "--new", "--new-check"),
    ("walk head --as Zed", "--new", "--new-person"),
    ("demo", "--new", "--new-person"),
    ("due", "--new", "--new-person"),
    ("tools", "--new", "--new-person"),
    ("release head --as Zed", "--new", "--new-person"),
    ("keys make Zed", "--new", "--new-person"),
    ("addendum head --as Zed", "--new", "--new-person"),
    ("close-damaged head --as Zed", "--new", "--new-person"),
]


@pytest.mark.parametrize(("old", "new"), COMMANDS.items())
def test_an_old_command_names_the_new_one(capsys: Captured, old: str, new: str) -> None:
    """The new name is one that exists, and the status is that of something that could not be done."""
    status = cli.status([*old.split(), "W5"])

    assert 2 == status
    assert f"clampbook {old} is now clampbook {new}." in capsys.readouterr().err
    assert 0 == cli.status([*new.split(), "--help"])


@pytest.mark.parametrize(("command", "old", "new"), OPTIONS)
def test_an_old_option_names_the_new_one(capsys: Captured, command: str, old: str, new: str) -> None:
    """What stands in its place is an option of that very command."""
    name = " ".join(command.split()[: 2 if command.startswith("keys") else 1])

    status = cli.status([*command.split(), *old.split()])

    assert 2 == status
    assert f"{old.split()[0]} of clampbook {name} is now {new}." in capsys.readouterr().err
    cli.status([*name.split(), "--help"])
    assert f"{new} " in capsys.readouterr().out


def test_what_was_never_a_name_is_answered_as_before(capsys: Captured) -> None:
    """An option that is mistyped, or that another command had, has no new name."""
    for command in (["find", "--hands", "Ines"], ["tuched"]):
        assert 2 == cli.status(command)
        assert "is now" not in capsys.readouterr().err
