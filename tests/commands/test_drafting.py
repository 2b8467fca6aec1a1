"""`clampbook draft`: which file is meant, and what a new one begins with. The screen itself is stood in for."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.commands import on_screen
from museum import museum

from .saying import Captured, said

Opened = list[tuple[Path, bool, str | None]]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Opened:
    """What was opened on a terminal: the file, whether a book was there, and the text of a new file."""
    found: Opened = []

    def drafting(path: Path, book: Book | None, text: str | None = None) -> int:
        found.append((path, book is not None, text))
        return 0

    monkeypatch.setattr(on_screen, "drafting", drafting)
    monkeypatch.setattr(on_screen, "is_a_screen", lambda: True)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    return found


def test_a_name_is_the_procedure_of_the_book(opened: Opened, tmp_path: Path, capsys: Captured) -> None:
    """Its file is opened as it is."""
    book = museum(tmp_path / "data" / "clampbook")
    status, *_ = said(capsys, "draft", "whinchat-pattern-c-head")

    assert 0 == status
    assert [(book.path("procedures", "whinchat-pattern-c-head.toml"), True, None)] == opened


def test_a_new_name_becomes_a_procedure_of_the_book(opened: Opened, tmp_path: Path, capsys: Captured) -> None:
    """With a frame that has its title, and no file before it is saved."""
    book = museum(tmp_path / "data" / "clampbook")
    said(capsys, "draft", "Port cover")
    ((path, _, text),) = opened

    assert book.path("procedures", "port-cover.toml") == path
    assert text is not None and 'title = "Port cover"' in text
    assert not path.exists()


def test_without_a_book_it_is_a_file_here(opened: Opened, capsys: Captured) -> None:
    """No book is made for it."""
    said(capsys, "draft", "cover")
    ((path, with_a_book, text),) = opened

    assert (Path("cover.toml"), False) == (path, with_a_book)
    assert text is not None


def test_it_can_begin_with_a_sample(opened: Opened, capsys: Captured) -> None:
    """As a draft of revision A whose values are to be replaced."""
    said(capsys, "draft", "cover.toml", "--from", "flywheel")
    ((_, _, text),) = opened

    assert text is not None and text.startswith("# Started from the sample flywheel.")
    assert 'revision = "A"' in text and 'status = "draft"' in text


def test_a_sample_that_is_none_is_told_with_the_nearest(opened: Opened, capsys: Captured) -> None:
    """And nothing is opened."""
    status, _, talk = said(capsys, "draft", "cover.toml", "--from", "flywhel")

    assert (2, []) == (status, opened)
    assert "Did you mean flywheel?" in talk


def test_a_file_that_is_there_does_not_begin_with_a_sample(opened: Opened, tmp_path: Path, capsys: Captured) -> None:
    """What stands in it would be lost."""
    (tmp_path / "cover.toml").write_text("# mine\n", encoding="utf-8")
    status, _, talk = said(capsys, "draft", "cover.toml", "--from", "flywheel")

    assert (2, []) == (status, opened)
    assert "cover.toml is there already" in talk


def test_without_a_terminal_it_says_what_to_do(capsys: Captured, tmp_path: Path) -> None:
    """An editor, and the review."""
    status, _, talk = said(capsys, "draft", str(tmp_path / "cover.toml"))

    assert 2 == status
    assert "clampbook review" in talk
