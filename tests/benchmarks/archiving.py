"""The archive: searching 100 000 records against the bare query, and making the index against parsing the records."""

from __future__ import annotations

import shutil
import sqlite3
import tomllib
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from time import perf_counter

from benchmarks.walking import Pair
from clampbook.archive import tables
from clampbook.archive.entering import entry
from clampbook.archive.finding import Query, find, statement
from clampbook.archive.index import Archive
from clampbook.archive.store import INDEX
from clampbook.slug import drawn

RECORDS_TO_READ = 3000
RECORDS_TO_SEARCH = 100_000
GOAL = 1.5
PEOPLE = ("Ines", "Tomas", "Maud", "Okke")
TITLES = ("Cylinder head, pattern C", "Coupling flange", "Valve cover", "Shaft tunnel flange", "Water pump")
QUERIES = (
    Query(words=("gask",)),
    Query(words=("L-7", "ines")),
    Query(lot="Head gasket: L-12"),
    Query(person="Maud", tool="W5", since="2020-01-01", until="2022-12-31"),
    Query(equipment="EN-0042"),
)
_READING = """
[[reading]]
line = {line}
step = "1.1/{position}"
stage = 1
round = 1
position = "{position}"
attempt = 1
kind = "pull"
outcome = "within"
standing = "counts"
typed = "{value}"
value = "{value}"
unit = "N·m"
at_fastener = "{value}"
judged_unit = "N·m"
window_from = "28"
window_to = "32"
tool = "w5"
at = "{day}T09:{minute:02}:30.000+01:00"
by = "{by}"
"""
_RECORD = """\
record = 2
title = "{title} (invented)"
revision = "B"
procedure_status = "released"
source = "Workshop sheet {number} (invented)"
trial = false
run = "{run}"
equipment = "EN-{unit:04}"
sheet_unit = "N·m"
opened_at = "{day}T09:00:00.000+01:00"
closed_at = "{day}T09:40:00.000+01:00"
outcome = "done"
deviations = 0

[[person]]
id = "{by}"
name = "{name}"

[[part]]
line = 3
part = "Head gasket"
recorded = "lot"
what = "L-{lot}"

[[tool]]
tool = "w5"
name = "W5"
kind = "indicating"
serial = "HM-0118"

[[group]]
group = "Cover screws"
positions = {positions}
thread = "M10"

[[group.stage]]
stage = 1
what = "pull"
round = 1
target = "30"
window_from = "28"
window_to = "32"
{readings}
[[note]]
line = 40
note = "{note}"
"""
_NOTES = ("read twice", "a drop of oil at the seat", "thread cleaned", "gasket edge looked at", "nothing to say")


def records(count: int, readings: int, seed: int = 7) -> Iterator[tuple[str, str]]:
    """So many invented records as text, each with the name of its run."""
    chance = Random(seed)
    for number in range(count):
        day = date(2016, 1, 4) + timedelta(days=number * 3900 // count)
        name = chance.choice(PEOPLE)
        run, by = f"{day:%Y%m%d}-cover-{drawn()}", name.lower()
        pulled = "".join(
            _READING.format(
                line=line,
                position=line,
                value=f"{chance.gauss(30, 0.6):.1f}",
                day=day,
                minute=line,
                by=by,
            )
            for line in range(1, readings + 1)
        )
        yield (
            run,
            _RECORD.format(
                title=chance.choice(TITLES),
                number=number,
                run=run,
                unit=chance.randrange(500),
                day=day,
                by=by,
                name=name,
                lot=chance.randrange(2000),
                positions=readings,
                readings=pulled,
                note=chance.choice(_NOTES),
            ),
        )


def a_book(root: Path, count: int, readings: int = 16) -> Path:
    """The folder of a book with so many records, and nothing else in it."""
    (root / "runs").mkdir(parents=True)
    for run, record in records(count, readings):
        (root / "runs" / run).mkdir()
        (root / "runs" / run / "record.toml").write_text(record, encoding="utf-8")
    return root


def rebuilt(folder: Path) -> Pair:
    """Making the index of a book of 3 000 records, against reading its files and parsing their TOML."""
    root = a_book(folder / "to-read", RECORDS_TO_READ)
    parsing, making = [], []
    for _ in range(3):
        parsing.append(_seconds(lambda: _parsed(root)))
        (root / INDEX).unlink(missing_ok=True)
        making.append(_seconds(lambda: _made(root)))
    shutil.rmtree(root)
    return Pair(min(making), min(parsing))


def looked_at_again(folder: Path) -> Pair:
    """Bringing an index up to date where nothing changed, against making it."""
    root = a_book(folder / "to-look-at", RECORDS_TO_READ // 3)
    making = _seconds(lambda: _made(root))
    again = min(_seconds(lambda: _made(root)) for _ in range(3))
    shutil.rmtree(root)
    return Pair(again, making)


def searched(folder: Path) -> Pair:
    """Several searches in 100 000 records, against the same statements given to SQLite itself."""
    path = folder / "to-search.sqlite"
    connection = sqlite3.connect(path, isolation_level=None)
    tables.make(connection)
    connection.execute("BEGIN")
    template = tomllib.loads(next(records(1, 2))[1])
    chance = Random(11)
    for number in range(RECORDS_TO_SEARCH):
        run, record = _varied(template, number, chance)
        tables.put(connection, entry(run, record), True, (0, 0, 0, 0), b"")
    connection.execute("COMMIT")
    ours, raw = [], []
    for _ in range(7):
        ours.append(_seconds(lambda: [find(connection, query) for query in QUERIES]))
        raw.append(_seconds(lambda: [_raw(connection, query) for query in QUERIES]))
    assert all(find(connection, query).runs for query in QUERIES)
    connection.close()
    path.unlink()
    return Pair(min(ours), min(raw))


def _varied(template: dict[str, object], number: int, chance: Random) -> tuple[str, dict[str, object]]:
    day = date(2000, 1, 3) + timedelta(days=number // 11)
    name = chance.choice(PEOPLE)
    return f"{day:%Y%m%d}-cover-{drawn()}", {
        **template,
        "title": chance.choice(TITLES),
        "equipment": f"EN-{chance.randrange(500):04}",
        "closed_at": f"{day}T09:40:00.000+01:00",
        "person": [{"id": name.lower(), "name": name}],
        "part": [{"part": "Head gasket", "recorded": "lot", "what": f"L-{chance.randrange(2000)}"}],
        "note": [{"note": chance.choice(_NOTES)}],
    }


def _raw(connection: sqlite3.Connection, query: Query) -> list[tuple[object, ...]]:
    sql, values = statement(query)
    return connection.execute(sql, (*values, 101)).fetchall()


def _parsed(root: Path) -> None:
    for path in sorted(root.glob("runs/*/record.toml")):
        tomllib.loads(path.read_bytes().decode())


def _made(root: Path) -> None:
    with Archive(root) as archive:
        archive.refresh()


def _seconds(work: Callable[[], object]) -> float:
    begun = perf_counter()
    work()
    return perf_counter() - begun
