"""The demo book of the harbour museum as tests begin with it, and what a book holds as plain values."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from clampbook import demo
from clampbook.book.book import Book
from clampbook.run_folder import RunFolder

DAY = date(2026, 3, 2)


def museum(folder: Path) -> Book:
    """The demo book, as it was on 2 March 2026."""
    return demo.make(folder, DAY)[0]


def own(root: Path, name: str, text: str) -> None:
    """Another procedure for the book in this folder."""
    (root / "procedures" / f"{name}.toml").write_text(text, encoding="utf-8")


def lines_of(folder: RunFolder) -> list[dict[str, Any]]:
    """The daybook of a run, or of a check."""
    return [json.loads(line) for line in folder.lines()[0]]


def log_of(book: Book) -> list[dict[str, Any]]:
    """The book's log."""
    return [json.loads(line) for line in book.log_lines()]
