"""Books brought into a dataset from the command line."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from fleet.datasets import asked, golden_books

from .saying import Captured, said


@pytest.fixture
def books(tmp_path: Path) -> Path:
    (tmp_path / "books").mkdir()
    golden_books(tmp_path / "books")
    return tmp_path / "books"


def test_every_book_of_a_folder_goes_into_one_dataset(capsys: Captured, tmp_path: Path, books: Path) -> None:
    many = len(list(books.iterdir()))
    runs = len(list(books.glob("*/runs/*/record.toml")))
    line = ("export", "--parquet", str(tmp_path / "d"), "--books", str(books))
    status, _, told = said(capsys, *line)
    assert status == 0
    assert f"{runs} runs and 1 check from {many} books in {tmp_path / 'd'}" in told
    assert "Golden runs: 7 runs\n" in told
    status, _, told = said(capsys, *line)
    assert (status, told) == (0, f"Nothing new from {many} books in {tmp_path / 'd'}\n")


def test_one_book_at_a_time_goes_into_the_same_dataset(capsys: Captured, tmp_path: Path, books: Path) -> None:
    for book in ("book", "keyed"):
        status, out, _ = said(capsys, "export", "--parquet", str(tmp_path / "d"), "--book", str(books / book), "--json")
        assert status == 0
    assert json.loads(out) == {"books": 1, "runs": 8, "checks": 0, "left_out": []}
    assert len(asked(tmp_path / "d", "SELECT DISTINCT book FROM {runs}")) == 2


def test_what_is_left_out_is_told(capsys: Captured, tmp_path: Path, books: Path) -> None:
    record = next((books / "book" / "runs").glob("*belt*/record.toml"))
    record.write_text("record = ", encoding="utf-8")
    status, _, told = said(capsys, "export", "--parquet", str(tmp_path / "d"), "--book", str(books / "book"))
    assert status == 1
    assert f"Left out: {record.parent.name}: record.toml cannot be read" in told


def test_without_the_engine_the_way_to_it_is_told(
    capsys: Captured, tmp_path: Path, books: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "duckdb", None)
    status, _, told = said(capsys, "export", "--parquet", str(tmp_path / "d"), "--books", str(books))
    assert status == 2
    assert "pip install 'clampbook[fleet]'" in told
    assert not (tmp_path / "d").exists()


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (("--csv",), "--parquet exports whole books"),
        (("--person", "Ines"), "--parquet exports whole books"),
        (("--book", "x", "--books", "."), "Give one of --book and --books"),
    ],
)
def test_what_does_not_go_with_it_is_refused(capsys: Captured, tmp_path: Path, more: tuple[str, ...], why: str) -> None:
    status, _, told = said(capsys, "export", "--parquet", str(tmp_path / "d"), *more)
    assert status == 2
    assert why in told


def test_a_folder_without_a_book_is_told(capsys: Captured, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    status, _, told = said(capsys, "export", "--parquet", str(tmp_path / "d"), "--books", str(tmp_path / "empty"))
    assert status == 2
    assert "No folder in" in told
    status, _, told = said(capsys, "export", "--books", str(tmp_path / "empty"))
    assert "--books goes with --parquet" in told
