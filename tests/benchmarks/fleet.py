"""What a dataset of many books costs beside the engine alone: reading the records and writing the same tables.

Quick, with 20 books of about 15 000 acts each; `--long` with 1 000 books. `--books N` says another number. All times
are those of the processor. Each row has its goal; exit status as of `run.py`, which this does not belong to because
its books are large.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from time import process_time

import duckdb

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from benchmarks.run import row  # noqa: E402
from benchmarks.walking import Pair  # noqa: E402
from clampbook.help.questions import questions, tables_of  # noqa: E402

FEW, MANY = 20, 1_000  # books
RUNS = 200  # of a book, over ten years: with the acts of the template some 15 000
_TURNS = 9  # of each question
_TEMPLATE = TESTS / "golden" / "head" / "record.toml"
_DAY, _FIRST = "2026-03-02", date(2016, 1, 4)
_CHECK = next((TESTS / "golden_book" / "book" / "checks").glob("*/record.toml"))
_EXPORT = """
import sys, time
from clampbook.cli import status
done = status(["export", "--parquet", sys.argv[1], "--books", sys.argv[2]])
most = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(done, time.process_time(), int(most) // 1024)
"""


def books(folder: Path, many: int) -> Path:
    """So many books with the runs of ten years each: the records of a golden run, on other days, with other values."""
    text = _TEMPLATE.read_bytes()
    name = next(line for line in text.decode().splitlines() if line.startswith("run = ")).split('"')[1]
    check = _CHECK.read_bytes()
    for number in range(many):
        book = folder / f"book{number:04}"
        book.mkdir(parents=True)
        (book / "book.toml").write_text(f'format = 1\nid = "b{number:07}"\nname = "Workshop {number}"\n')
        for at in range(RUNS):
            day = _FIRST + timedelta(days=18 * at)
            run = f"{day:%Y%m%d}-head-{_letters(number)}{_letters(at)}"
            told = text.replace(name.encode(), run.encode()).replace(_DAY.encode(), day.isoformat().encode())
            told = told.replace(b"HM-01", b"H%03d-" % (number % 1000)).replace(b'.5"', b'.%d"' % (at % 10))
            _written(book / "runs" / run, told)
        for at in range(10):
            day = _FIRST + timedelta(days=365 * at)
            told = check.replace(b"2026-03-28", day.isoformat().encode()).replace(b"HM-01", b"H%03d-" % (number % 1000))
            _written(book / "checks" / f"{day:%Y%m%d}-w5-{_letters(number)}{_letters(at)}", told)
    return folder


def _letters(number: int) -> str:
    return "".join(chr(97 + number // 26**place % 26) for place in (3, 2, 1, 0))


def _written(folder: Path, record: bytes) -> None:
    folder.mkdir(parents=True)
    (folder / "record.toml").write_bytes(record)


def exported(dataset: Path, lying: Path) -> tuple[float, int]:
    """Seconds of an export in a process of its own, and the megabytes that it had at most."""
    line = [sys.executable, "-c", _EXPORT, str(dataset), str(lying)]
    done = subprocess.run(line, check=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    status, seconds, megabytes = done.stdout.split()
    if status != "0":
        raise RuntimeError(f"export ended with {status}")
    return float(seconds), int(megabytes)


def bare(dataset: Path, lying: Path, into: Path) -> float:
    """Seconds of reading the bytes of all records, and of writing the same tables by the engine alone."""
    began = process_time()
    for record in lying.rglob("record.toml"):
        record.read_bytes()
    with duckdb.connect(config={"threads": 2, "memory_limit": "400MB"}) as engine:
        engine.execute(tables_of(dataset))
        for table in _tables(engine):
            folder = into / table
            folder.mkdir(parents=True)
            options = "FORMAT parquet, COMPRESSION zstd, PARTITION_BY (book, year)"
            engine.execute(f"COPY (FROM {table}) TO '{folder}' ({options})")
    return process_time() - began


def _tables(engine: duckdb.DuckDBPyConnection) -> list[str]:
    return [name for (name,) in engine.execute("SELECT view_name FROM duckdb_views() WHERE NOT internal").fetchall()]


def asked(ours: Path, own: Path, question: str) -> Pair:
    """Seconds of the quickest answers of both, asked in turns."""
    took = [(_answered(ours, question), _answered(own, question)) for _ in range(_TURNS)]
    return Pair(min(each for each, _ in took), min(each for _, each in took))


def _answered(dataset: Path, question: str) -> float:
    with duckdb.connect(config={"threads": 2}) as engine:
        engine.execute(tables_of(dataset))
        began = process_time()
        engine.execute(questions()[question]).fetchall()
        return process_time() - began


def measured(folder: Path, many: int) -> Iterator[tuple[str, str, Pair, float]]:
    """What is measured, against what, both times, and the greatest ratio wanted."""
    lying, dataset, own = books(folder / "books", many), folder / "dataset", folder / "own"
    first, most = exported(dataset, lying)
    again, _ = exported(dataset, lying)
    yield f"export of {many} books", "reading them, the same tables bare", Pair(first, bare(dataset, lying, own)), 2.0
    yield "the second, with nothing new", "the first", Pair(again, first), 0.05
    tenth = folder / "tenth"
    tenth.mkdir()
    for each in sorted(lying.iterdir())[: max(1, many // 10)]:
        (tenth / each.name).symlink_to(each)
    _, little = exported(folder / "little", tenth)
    yield f"memory of {many} books, ms for MB", "of a tenth of them", Pair(most / 1000, little / 1000), 1.3
    for question in questions():
        yield question, "of files the engine wrote", asked(dataset, own, question), 1.2
    with duckdb.connect() as engine:
        engine.execute(tables_of(dataset))
        print(f"readings: {engine.execute('SELECT count(*) FROM acts').fetchall()[0][0]:,}")


def main() -> int:
    """Measure, print the table, and give the exit status."""
    many = int(sys.argv[sys.argv.index("--books") + 1]) if "--books" in sys.argv else FEW
    many = MANY if "--long" in sys.argv else many
    reached = True
    with tempfile.TemporaryDirectory(prefix=".benchmark-", dir=TESTS.parent) as name:
        for what, against, pair, goal in measured(Path(name), many):
            reached &= row(what, against, pair, goal)
    return 0 if reached else 1


if __name__ == "__main__":
    sys.exit(main())
