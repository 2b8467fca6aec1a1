"""What most screens begin with: the demo book, and one clock for the work and for the keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_keyboard import Time
from at_looks import one_clock
from clampbook.book.book import Book
from museum import museum


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's folder for state, so that no copy of answers is left over from elsewhere."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book."""
    return museum(tmp_path / "book")


@pytest.fixture
def time(monkeypatch: pytest.MonkeyPatch) -> Time:
    """The one clock of the work and of the keys."""
    return one_clock(monkeypatch)
