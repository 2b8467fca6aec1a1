"""A second export brings in what is new, and takes what changed in place of what was."""

from __future__ import annotations

import shutil
import stat
from pathlib import Path

import pytest

from clampbook.fleet.export import Exported, export
from clampbook.ledger.refusals import LedgerFault
from fleet.datasets import asked, exported, golden_books, source

NOTHING = Exported(0, 0, ())


@pytest.fixture
def books(tmp_path: Path) -> list[Path]:
    return golden_books(tmp_path / "books")[:2]


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path) -> None:
    (tmp_path / "books").mkdir()


def _files(dataset: Path) -> dict[str, tuple[int, int]]:
    return {str(each): (each.stat().st_mtime_ns, each.stat().st_ino) for each in dataset.rglob("*.parquet")}


def test_nothing_new_writes_nothing(tmp_path: Path, books: list[Path]) -> None:
    assert [each.runs for each in exported(tmp_path / "d", *books)] == [6, 8]
    before = _files(tmp_path / "d")
    assert exported(tmp_path / "d", *books) == [NOTHING, NOTHING]
    assert _files(tmp_path / "d") == before


def test_a_book_in_another_place_is_the_same_book(tmp_path: Path, books: list[Path]) -> None:
    exported(tmp_path / "d", *books)
    before = _files(tmp_path / "d")
    moved = shutil.copytree(books[0], tmp_path / "elsewhere", copy_function=shutil.copyfile)
    assert exported(tmp_path / "d", moved) == [NOTHING]
    assert _files(tmp_path / "d") == before


def test_a_run_that_is_new_joins_the_others(tmp_path: Path, books: list[Path]) -> None:
    run = next((books[0] / "runs").iterdir())
    aside = shutil.move(run, tmp_path / run.name)
    exported(tmp_path / "d", *books)
    assert not asked(tmp_path / "d", f"FROM {{acts}} WHERE run = '{run.name}'")
    shutil.move(aside, run)
    assert [each.runs for each in exported(tmp_path / "d", *books)] == [1, 0]
    assert len(asked(tmp_path / "d", "FROM {runs}")) == 14
    assert asked(tmp_path / "d", f"FROM {{acts}} WHERE run = '{run.name}'")


def test_a_run_that_is_sealed_later_takes_the_place_of_its_row(tmp_path: Path, books: list[Path]) -> None:
    run = sorted((books[0] / "runs").iterdir())[0]
    seal = (run / "seal.sha256").read_bytes()
    (run / "seal.sha256").unlink()
    exported(tmp_path / "d", books[0])
    sealed = f"SELECT sealed FROM {{runs}} WHERE run = '{run.name}'"
    assert asked(tmp_path / "d", sealed) == [{"sealed": False}]
    (run / "seal.sha256").write_bytes(seal)
    assert [each.runs for each in exported(tmp_path / "d", books[0])] == [1]
    assert asked(tmp_path / "d", sealed) == [{"sealed": True}]
    assert len(asked(tmp_path / "d", "FROM {runs}")) == 6


def test_a_run_that_is_gone_is_gone_from_the_dataset(tmp_path: Path, books: list[Path]) -> None:
    exported(tmp_path / "d", books[0])
    run = next((books[0] / "runs").iterdir())
    shutil.rmtree(run)
    exported(tmp_path / "d", books[0])
    assert not asked(tmp_path / "d", f"FROM {{acts}} WHERE run = '{run.name}'")
    assert len(asked(tmp_path / "d", "FROM {runs}")) == 5


def test_files_that_somebody_deleted_are_written_anew(tmp_path: Path, books: list[Path]) -> None:
    exported(tmp_path / "d", *books)
    shutil.rmtree(tmp_path / "d" / "runs")
    exported(tmp_path / "d", *books)
    assert len(asked(tmp_path / "d", "FROM {runs}")) == 14


def test_a_record_that_cannot_be_read_is_told_and_left_out_whole(tmp_path: Path, books: list[Path]) -> None:
    run = sorted((books[0] / "runs").iterdir())[0]
    whole = (run / "record.toml").read_bytes()
    (run / "record.toml").write_bytes(whole[: len(whole) // 2] + b"\n[[")
    for _ in range(2):
        (done,) = exported(tmp_path / "d", books[0])
        (told,) = done.left_out
        assert told.startswith(f"{run.name}: record.toml cannot be read")
        assert len(asked(tmp_path / "d", "FROM {runs}")) == 5
        assert not asked(tmp_path / "d", f"FROM {{acts}} WHERE run = '{run.name}'")
    (run / "record.toml").write_bytes(whole)
    assert exported(tmp_path / "d", books[0]) == [Exported(1, 0, ())]
    assert len(asked(tmp_path / "d", "FROM {runs}")) == 6


def test_a_record_of_another_format_is_left_out(tmp_path: Path, books: list[Path]) -> None:
    record = sorted((books[0] / "runs").iterdir())[0] / "record.toml"
    record.write_bytes(record.read_bytes().replace(b"record = 2", b"record = 3", 1))
    (done,) = exported(tmp_path / "d", books[0])
    assert done.left_out[0].endswith("record.toml has format 3, this version knows 2: use a newer version")


def test_a_run_that_was_merged_in_stands_once(tmp_path: Path, books: list[Path]) -> None:
    home, other = books
    (home / "logs").mkdir(exist_ok=True)
    begun_there = f'book = "{source(other).id}"'
    run = next(each.parent for each in (other / "runs").glob("*/record.toml") if begun_there in each.read_text())
    shutil.copytree(run, home / "runs" / run.name)
    assert [each.runs for each in exported(tmp_path / "d", home)] == [7]
    exported(tmp_path / "d", home, other)
    exported(tmp_path / "d", home, other)
    held = asked(tmp_path / "d", f"SELECT book FROM {{runs}} WHERE run = '{run.name}'")
    assert held == [{"book": source(other).id}]


def test_a_book_that_can_only_be_read_stays_as_it_is(tmp_path: Path, books: list[Path]) -> None:
    for each in (books[0], *books[0].rglob("*")):
        each.chmod(each.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH))
    before = {each: (each.stat().st_mtime_ns, each.stat().st_size) for each in books[0].rglob("*")}
    try:
        assert [each.runs for each in exported(tmp_path / "d", books[0])] == [6]
        assert {each: (each.stat().st_mtime_ns, each.stat().st_size) for each in books[0].rglob("*")} == before
    finally:
        for each in (books[0], *books[0].rglob("*")):
            each.chmod(each.stat().st_mode | stat.S_IWUSR)


def test_two_books_of_one_id_are_refused(tmp_path: Path, books: list[Path]) -> None:
    copy = shutil.copytree(books[0], tmp_path / "copy")
    with pytest.raises(LedgerFault, match="have the same id"):
        export(tmp_path / "d", [source(books[0]), source(copy)])


def test_an_id_that_leads_out_of_the_dataset_is_refused(tmp_path: Path, books: list[Path]) -> None:
    with pytest.raises(LedgerFault, match="cannot name a folder"):
        export(tmp_path / "d", [source(books[0])._replace(id="../elsewhere")])


def test_a_table_that_nobody_filled_can_be_asked(tmp_path: Path, books: list[Path]) -> None:
    exported(tmp_path / "d", books[1])
    assert asked(tmp_path / "d", "FROM {check_readings}") == []
