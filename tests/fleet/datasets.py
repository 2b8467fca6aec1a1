"""Datasets for the tests: books exported as a head office would, and asked through the engine itself."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

import duckdb

from clampbook.fleet.export import Exported, Source, export

TESTS = Path(__file__).parents[1]
GOLDEN_BOOKS = tuple(sorted((TESTS / "golden_book").glob("*/book.toml")))
GOLDEN_RUNS = tuple(sorted((TESTS / "golden").glob("*/record.toml")))


def golden_books(into: Path) -> list[Path]:
    """Copies of the golden books, and a book in which the golden runs lie."""
    books = []
    for cover in GOLDEN_BOOKS:
        books.append(into / cover.parent.name)
        shutil.copytree(cover.parent, books[-1])
    books.append(into / "runs-alone")
    books[-1].mkdir()
    (books[-1] / "book.toml").write_text('format = 1\nid = "golden00"\nname = "Golden runs"\n', encoding="utf-8")
    for record in GOLDEN_RUNS:
        run = tomllib.loads(record.read_text(encoding="utf-8"))["run"]
        shutil.copytree(record.parent, books[-1] / "runs" / run)
    return books


def source(book: Path) -> Source:
    """A book as it is exported."""
    cover = tomllib.loads((book / "book.toml").read_text(encoding="utf-8"))
    return Source(book, cover["id"], cover["name"])


def exported(dataset: Path, *books: Path) -> list[Exported]:
    """Export these books."""
    return export(dataset, [source(book) for book in books])


def asked(dataset: Path, sql: str) -> list[dict[str, Any]]:
    """The rows that the engine answers with; {acts} stands for the files of that table."""
    tables = {
        path.name: f"read_parquet('{path}/*/*/*.parquet', hive_partitioning = true)" for path in dataset.iterdir()
    }
    with duckdb.connect() as engine:
        engine.execute("SET TimeZone = 'UTC'")
        found = engine.execute(sql.format_map(tables))
        names = [each[0] for each in found.description]
        return [dict(zip(names, row, strict=True)) for row in found.fetchall()]
