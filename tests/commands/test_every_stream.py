"""Every command with its streams closed, full, or in an encoding that lacks half of our signs: a sentence, never a
traceback, and never a word about something that was not foreseen."""

from __future__ import annotations

import random
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from clampbook.commands.by_name import PLACES
from clampbook.streams import NoInlet, Outlet
from endurance.books import full_book
from endurance.damaged_books import COMMANDS, copied, said, written

FULL = Path("/dev/full")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with something in every corner."""
    return full_book(tmp_path_factory.mktemp("made") / "book").book.root


def test_every_command_is_among_them() -> None:
    """But for those that have no book, print a file, or need a terminal."""
    without = {"demo", "new", "draft", "help", "schema", "setting", "estimate", "report", "form"}

    assert set(PLACES) == without | {command[0] for command in COMMANDS if command}


def of_all(
    book: Path, own: Path, streams: Callable[[], dict[str, object]], encoding: str = "utf-8"
) -> dict[str, tuple[int, str, str]]:
    """What each command says, on a copy of the book of its own."""
    found = {}
    for command in COMMANDS:
        arguments = written(copied(book, own), book, random.Random(" ".join(command)), command)
        found[" ".join(command)] = status, out, talk = said(arguments, encoding, **streams())
        assert status in (0, 1, 2, 130), (command, status, talk)
        assert "Traceback" not in out + talk and "not foreseen" not in out + talk, (command, talk)
        assert status != 2 or talk.strip(), command
    return found


@pytest.mark.parametrize("output", ["closed", "full"])
def test_where_nothing_can_be_printed_it_is_a_sentence(book: Path, tmp_path: Path, output: str) -> None:
    """Status 2 from whatever prints, on a closed as on a full standard output."""

    def streams() -> dict[str, object]:
        stream = None if output == "closed" else FULL.open("w", encoding="utf-8")
        return {"stdout": Outlet(stream, "output")}

    found = of_all(book, tmp_path / "book", streams)

    assert {2} == {status for status, _, _ in found.values()}
    said_so = {name for name, (_, _, talk) in found.items() if "Standard output " in talk}
    assert {"", "runs", "runs --json", "find --json", "tools", "verify", "record RUN", "plan cover"} <= said_so
    assert any(name.startswith("walk") for name in said_so)


def test_where_nothing_can_be_typed_it_is_a_sentence(book: Path, tmp_path: Path) -> None:
    """From whatever asks something, before anything is begun; all else does what it does."""
    found = of_all(book, tmp_path / "book", lambda: {"stdin": NoInlet()})

    asking = {name for name, (status, _, talk) in found.items() if status == 2 and "Standard input is closed" in talk}
    assert {"walk cover --plain --as Ines", "walk cover --json --as Ines", "keys make Okke"} <= asking
    assert {"check w2 --plain --as Ines", "check w2 --new-check --plain --as Ines"} <= asking
    assert (0, 0) == (found["runs"][0], found["find --json"][0])


def test_every_encoding_can_be_printed_in(book: Path, tmp_path: Path) -> None:
    """Nothing fails for a sign that the encoding lacks, and the status is that of any other encoding."""
    as_ever, *others = (
        {name: status for name, (status, _, _) in of_all(book, tmp_path / "book", dict, encoding).items()}
        for encoding in ("utf-8", "ascii", "latin-1")
    )

    assert [as_ever, as_ever] == others


def test_nothing_is_printed_that_does_not_show(book: Path, tmp_path: Path) -> None:
    """Neither control nor bidirectional characters, of a book that holds them where it can."""
    own = copied(book, tmp_path / "odd")
    people = own / "people.toml"
    people.write_text(
        people.read_text(encoding="utf-8").replace('"Maud"', '"Maud \\u202e\\u001b[2J"'), encoding="utf-8"
    )

    for name, (_, out, talk) in of_all(own, tmp_path / "book", dict).items():
        odd = {sign for sign in out + talk if unicodedata.category(sign) in ("Cc", "Cf") and sign != "\n"}
        assert set() == odd, name
