"""A name that is new on the command line: asked about by every command that takes one, or said to be new."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from io import BytesIO, TextIOWrapper
from pathlib import Path
from typing import Any

import pytest

from clampbook import cli
from clampbook.book.book import Book
from museum import museum, own
from sealing import COVER, TOOLS, Shop, sealed, walked

REFERENCE = """
[[tool]]
id = "r1"
name = "R1"
kind = "reference"
unit = "N·m"
range = ["1 N·m", "100 N·m"]
resolution = "0.01 N·m"
uncertainty = "1 %"
calibrated_on = 2026-01-12
"""
DEVIATION = 'permissible_deviation = "4 %"\n'
ASKED = "Inez is new here. Did you mean Ines? Type the number."
NOTHING_DONE = "Inez is new here, and nothing was done. For somebody new say"
Typed = Callable[..., tuple[int, str]]
Arguments = Callable[[Shop], tuple[str, ...]]


@pytest.fixture
def run(at: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Typed:
    """A command of the book with lines typed into it: its status, and all that it said."""

    def run(*arguments: str, typed: tuple[str, ...] = (), book: Path = at.book.root) -> tuple[int, str]:
        monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO("".join(f"{line}\n" for line in typed).encode())))
        monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T10:00:00Z+3s")
        status = cli.status([*arguments, "--book", str(book)])
        return status, "".join(capsys.readouterr())

    return run


def walk(at: Shop) -> tuple[str, ...]:
    """A walk by Inez."""
    del at
    return "walk", "cover", "--plain", "--as", "Inez"


def walk_for_another(at: Shop) -> tuple[str, ...]:
    """A walk in which Inez does the work, and Maud types."""
    del at
    return "walk", "cover", "--plain", "--as", "Maud", "--done-by", "Inez"


def resumed(at: Shop) -> tuple[str, ...]:
    """An open run that Inez goes on with."""
    cli.status(["walk", "cover", "--plain", "--as", "Maud", "--book", str(at.book.root)])
    return "walk", "--resume", "--plain", "--as", "Inez"


def release(at: Shop) -> tuple[str, ...]:
    """A release by Inez, with every query answered."""
    from clampbook.book.releases import queries

    found, _ = queries(at.book, at.book.root / "procedures" / "cover.toml")
    answered = (part for each in found.queries for part in ("--accept", f"{each.code} {each.key}", "looked at"))
    return "release", "cover", "--as", "Inez", "--compared-with", "Sheet 3, issue 2", *answered


def addendum(at: Shop) -> tuple[str, ...]:
    """Something that Inez adds to a sealed run."""
    return "addendum", sealed(at).id, "--as", "Inez", "--text", "Washer replaced."


def close_damaged(at: Shop) -> tuple[str, ...]:
    """A run with a line of its daybook gone, which Inez closes."""
    found = walked(at)
    (found.path / "record.toml").unlink()
    lines = found.daybook.read_bytes().splitlines(keepends=True)
    found.daybook.write_bytes(b"".join((*lines[:2], *lines[3:])))
    return "close-damaged", found.id, "--as", "Inez"


def add_cycles(at: Shop) -> tuple[str, ...]:
    """Pulls that Inez enters."""
    del at
    return "tools", "--add-pulls", "W5", "12", "--as", "Inez"


def keys_make(at: Shop) -> tuple[str, ...]:
    """A key for Inez."""
    del at
    return "keys", "make", "Inez"


def check(at: Shop) -> tuple[str, ...]:
    """A check by Inez."""
    (at.book.root / "tools.toml").write_text(TOOLS + DEVIATION + REFERENCE, encoding="utf-8")
    return "check", "W5", "--plain", "--as", "Inez"


EVERYWHERE = (walk, walk_for_another, resumed, release, addendum, close_damaged, add_cycles, keys_make, check)
everywhere = pytest.mark.parametrize("of", EVERYWHERE, ids=lambda of: of.__name__)


def files(book: Book) -> dict[Path, bytes]:
    """All that the book holds."""
    return {path: path.read_bytes() for path in book.root.rglob("*") if path.is_file() and ".locks" not in path.parts}


def people(at: Shop) -> list[str]:
    """Who is in the book."""
    return [person.name for person in at.book.people()]


@everywhere
def test_without_an_answer_nothing_is_done(of: Arguments, at: Shop, run: Typed) -> None:
    """It is asked, the way to say it in a script is told, and every file is as it was."""
    arguments = of(at)
    before = files(at.book)

    status, said = run(*arguments)

    assert 2 == status
    assert ASKED in said and NOTHING_DONE in said
    assert before == files(at.book)


@everywhere
def test_yes_means_the_nearest_known(of: Arguments, at: Shop, run: Typed) -> None:
    """Nobody comes into the book."""
    arguments = of(at)
    status, said = run(*arguments, typed=("1",))

    assert ASKED in said and NOTHING_DONE not in said
    assert status != 2 or of is keys_make  # Ines is known, and needs a passphrase typed twice
    assert ["Ines", "Maud"] == people(at)


@everywhere
def test_no_brings_somebody_new_into_the_book(of: Arguments, at: Shop, run: Typed) -> None:
    """As they were typed."""
    phrase = ("four little words", "four little words") if of is keys_make else ()

    _, said = run(*of(at), typed=("2", *phrase))

    assert ASKED in said
    assert ["Ines", "Maud", "Inez"] == people(at)


@everywhere
def test_a_script_says_that_somebody_is_new(of: Arguments, at: Shop, run: Typed) -> None:
    """Nothing is asked then."""
    phrase = ("four little words", "four little words") if of is keys_make else ()

    status, said = run(*of(at), "--new-person", typed=phrase)

    assert status in (0, 1)
    assert "Did you mean" not in said
    assert ["Ines", "Maud", "Inez"] == people(at)


def test_a_name_like_no_other_is_asked_about_without_a_nearest(at: Shop, run: Typed) -> None:
    """Yes adds them; no does nothing."""
    asked = "Okke is new here. Add Okke as a new person?"

    refused = run("tools", "--add-pulls", "W5", "12", "--as", "Okke", typed=("2",))
    added = run("tools", "--add-pulls", "W5", "12", "--as", "Okke", typed=("1",))

    assert [2, 0] == [refused[0], added[0]]
    assert asked in refused[1] and asked in added[1]
    assert ["Ines", "Maud", "Okke"] == people(at)


def test_a_book_without_people_asks_nothing(run: Typed, tmp_path: Path) -> None:
    """Whoever is the first is in it from then on."""
    book = Book.create(tmp_path / "new", "Whinchat")
    own(book.root, "cover", COVER)

    _, said = run("walk", "cover", "--plain", "--as", "Inez", typed=("pause",), book=book.root)

    assert "Did you mean" not in said
    assert ["Inez"] == [person.name for person in book.people()]


def test_the_demo_asks_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Its book has people."""
    made = museum(tmp_path / "demo")
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO()))

    assert 2 == cli.status(["demo", "--into", str(made.root), "--plain", "--as", "Inez"])
    assert ASKED in capsys.readouterr().err


def test_with_json_the_question_stands_beside_the_objects(
    at: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Standard output stays one object a line."""
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(BytesIO(b"2\npause\n")))
    cli.status(["walk", "cover", "--json", "--as", "Inez", "--book", str(at.book.root)])
    out, err = capsys.readouterr()

    told: list[dict[str, Any]] = [json.loads(line) for line in out.splitlines()]
    assert ASKED in err
    assert "prompt" in told[0] and "Inez" not in told[0].get("text", "")


def test_two_unknown_names_are_two_questions(at: Shop, run: Typed) -> None:
    """Inez types and Mauda works: each is asked about by itself."""
    _, said = run("walk", "cover", "--plain", "--as", "Inez", "--done-by", "Mauda", typed=("1", "1"))

    assert ASKED in said and "Mauda is new here. Did you mean Maud?" in said
    assert ["Ines", "Maud"] == people(at)


def test_the_name_of_several_people_is_told_apart_by_id(at: Shop, run: Typed) -> None:
    """A second Ines: the question names her, and the answer means the one whose id that is."""
    other = at.book.add_person("Ines")

    status, said = run("tools", "--add-pulls", "W5", "12", "--as", other.id)

    assert 0 == status
    assert "new here" not in said
