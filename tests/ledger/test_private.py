"""Folders of a book are read by their owner alone."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from clampbook.ledger.private import make_folder


@pytest.fixture(autouse=True)
def open_handed() -> Iterator[None]:
    """A machine that gives new files to everybody."""
    before = os.umask(0)
    yield
    os.umask(before)


def test_every_folder_on_the_way_is_the_owners(tmp_path: Path) -> None:
    """Not only the last one."""
    make_folder(tmp_path / "checks" / ".draft" / "one")

    made = [tmp_path / "checks", tmp_path / "checks" / ".draft", tmp_path / "checks" / ".draft" / "one"]
    assert [0o700] * 3 == [stat.S_IMODE(path.stat().st_mode) for path in made]


def test_one_that_is_there_stays_as_it_is(tmp_path: Path) -> None:
    """Nothing is taken from whoever was given it."""
    (tmp_path / "runs").mkdir(mode=0o750)
    make_folder(tmp_path / "runs")

    assert 0o750 == stat.S_IMODE((tmp_path / "runs").stat().st_mode)


def test_one_that_must_be_new_is(tmp_path: Path) -> None:
    """Two programs never take the same name."""
    make_folder(tmp_path / "run", new=True)

    with pytest.raises(FileExistsError):
        make_folder(tmp_path / "run", new=True)
