"""`walk` on a follow-up: by its run, by its title, or by both; one that nobody can mean is asked for."""

from __future__ import annotations

import io
import json
import shutil
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from clampbook.book.book import Book
from clampbook.book.starting.frozen import first_event
from museum import museum

from . import saying
from .saying import Captured

GOLDEN = Path(__file__).resolve().parent.parent / "golden"
HEAD = "20260302-whinchat-pattern-c-head-{}"
NAME = "whinchat-pattern-c-head"
LOOK = "Look at the head after the first run"


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """The demo book with a head that was closed on 2 March; nobody types anything."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-16T09:00:00+01:00+20s")
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(b""), isatty=lambda: False))
    book = museum(tmp_path / "book")
    one_more(book, "uqatvlzp")
    return book


def one_more(book: Book, name: str) -> None:
    """A head that was closed on 2 March."""
    shutil.copytree(GOLDEN / "head", book.path("runs", HEAD.format(name)))


def walk(capsys: Captured, book: Book, *words: str) -> tuple[int, str, str]:
    """What the walk says."""
    return saying.said(capsys, "walk", *words, "--as", "Maud", "--plain", "--json", "--book", str(book.root))


@pytest.mark.parametrize(
    "words",
    [
        ("--of", "uqatvlzp"),
        ("--of", "uqatvlzp", "--follow-up", LOOK),
        (NAME, "--follow-up", LOOK),
        (NAME, "--follow-up", LOOK, "--of", "uqatvlzp"),
        (NAME, "--follow-up", LOOK, "--equipment", "4107"),
    ],
    ids=" ".join,
)
def test_what_nobody_can_mistake_need_not_be_said(book: Book, capsys: Captured, words: tuple[str, ...]) -> None:
    """One run waits for the work, and that run has no other."""
    _, out, talk = walk(capsys, book, *words)

    (run,) = (each for each in book.runs() if each.state == "open")
    opened = first_event(run)
    assert opened is not None and opened.of_run is not None, talk
    assert (HEAD.format("uqatvlzp"), LOOK, "4107") == (opened.of_run.run, opened.of_run.follow_up, opened.equipment)
    assert "cautions" in json.loads(out.splitlines()[0])["text"].lower()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((NAME, "--follow-up", LOOK), "After which run? Add --of RUN. These runs wait for it: 20260302-whinchat"),
        ((NAME, "--follow-up", LOOK, "--equipment", "0815"), "No run waits for “Look at the head"),
        ((NAME, "--follow-up", "Retorque"), "No run waits for “Retorque”"),
        (("whinchat-crank-caps", "--of", "uqatvlzp"), "Which follow-up? Add --follow-up TITLE. It has none."),
    ],
)
def test_what_can_be_mistaken_is_asked_for(book: Book, capsys: Captured, words: tuple[str, ...], told: str) -> None:
    """With what there is to choose from, and nothing is begun."""
    one_more(book, "bbbbbbbb")

    status, _, talk = walk(capsys, book, *words)

    assert 2 == status
    assert told in talk
    assert [] == [each for each in book.runs() if each.state == "open"]
