"""A small book and the parts of a run, for the tests of the book."""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from clampbook.book.book import Book
from clampbook.book.runs import Opening, new_run
from clampbook.run_folder import RunFolder

Opened = Callable[[Opening], Mapping[str, Any]]


@pytest.fixture
def opened() -> Opened:
    """The fields of a first line, as a walk by Ines would write them."""
    return lambda names: {
        "event": "opened",
        "at": "2026-03-02T09:00:00.000Z",
        "offset": "+01:00",
        "by": "ines",
        "run": names.run,
        "book": names.book,
        "log_head": names.log_head,
        "procedure_sha256": names.procedure_sha256,
        "plan_sha256": names.plan_sha256,
    }


@pytest.fixture
def abandoned() -> Mapping[str, Any]:
    """The fields of a last line: Tomas gave the run up."""
    return {
        "event": "abandoned",
        "at": "2026-03-02T10:00:00.000Z",
        "offset": "+01:00",
        "by": "tomas",
        "reason": "wrong gasket",
    }


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The museum's book, new."""
    return Book.create(tmp_path / "book", "Harbour museum")


@pytest.fixture
def start(book: Book, opened: Opened) -> Callable[[], RunFolder]:
    """Opens one more run of the head procedure on 2 March 2026."""
    return lambda: new_run(book, "head", date(2026, 3, 2), b'title = "Head"\n', b"{}", opened)
