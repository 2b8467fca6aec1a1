"""The tables of the index, and how a run is put into them and taken out. Another shape is another VERSION."""

from __future__ import annotations

from sqlite3 import Connection

from msgspec.structs import astuple

from clampbook.archive.entry import Entry

VERSION = 14
OURS = 0x436C6D70  # "Clmp", by which the file is known as an index of this program

_SHAPE = """
CREATE TABLE run (
    number INTEGER PRIMARY KEY,
    run TEXT NOT NULL UNIQUE,
    title TEXT, revision TEXT, equipment TEXT, joint TEXT, day TEXT, ended REAL, outcome TEXT, deviations INTEGER,
    late INTEGER, unknown INTEGER, undecided INTEGER, unsigned TEXT,
    people TEXT, tools TEXT, lots TEXT, due TEXT, procedure TEXT, rest TEXT, of_run TEXT, book TEXT,
    follows TEXT, follow_up TEXT, fault TEXT,
    sealed INTEGER NOT NULL,
    folder INTEGER NOT NULL, size INTEGER NOT NULL, modified INTEGER NOT NULL, changed INTEGER NOT NULL,
    sha256 BLOB NOT NULL
);
CREATE INDEX run_by_end ON run (ended);
CREATE INDEX addendum ON run (of_run) WHERE of_run <> '';
CREATE INDEX follow_up ON run (follows) WHERE follows <> '';
CREATE TABLE later (number INTEGER NOT NULL, title TEXT, due_at TEXT, or_use TEXT);
CREATE INDEX later_of_run ON later (number);
CREATE TABLE meter (number INTEGER NOT NULL, name TEXT, value TEXT, unit TEXT);
CREATE INDEX meter_of_run ON meter (number);
CREATE TABLE pull (
    number INTEGER NOT NULL,
    line INTEGER, at TEXT, time REAL, step TEXT, stage TEXT, groupname TEXT, position TEXT, fastener TEXT, kind TEXT,
    outcome TEXT, standing TEXT, value TEXT, unit TEXT, shown TEXT, shown_unit TEXT, target TEXT, low TEXT, high TEXT,
    set_to TEXT, set_to_unit TEXT, tool TEXT, serial TEXT, adapter TEXT, person TEXT,
    deviation REAL, seconds REAL, measured TEXT, typed TEXT, told TEXT, until TEXT
);
CREATE INDEX pull_of_run ON pull (number);
CREATE INDEX pull_by_tool ON pull (tool, time) WHERE deviation IS NOT NULL;
CREATE INDEX measured ON pull (measured) WHERE measured <> '';
CREATE VIRTUAL TABLE words USING fts5 (
    procedure, equipment, people, tools, lots, rest,
    content = 'run', content_rowid = 'number', tokenize = "unicode61 remove_diacritics 2", prefix = '2 3'
);
"""
COLUMNS = (
    "run.run, run.title, run.revision, run.equipment, run.joint, run.day, run.outcome, run.deviations, run.late, "
    "run.unknown, run.undecided, run.unsigned, "
    "run.people, run.tools, run.lots, run.due, run.sealed, run.fault"
)
KNOWN = "run.run, run.folder, run.size, run.modified, run.changed, run.sha256, run.sealed, run.fault"
_WORDS = "procedure, equipment, people, tools, lots, rest"
_PUT_PULL = f"INSERT INTO pull VALUES ({', '.join('?' * 31)})"
_PUT_LATER = "INSERT INTO later VALUES (?, ?, ?, ?)"
_PUT_METER = "INSERT INTO meter VALUES (?, ?, ?, ?)"
_OF_A_RUN = ("pull", "later", "meter")  # the tables with rows of a run beside its own
_PUT_RUN = f"INSERT INTO run VALUES (NULL, {', '.join('?' * 30)})"
_PUT_WORDS = f"INSERT INTO words (rowid, {_WORDS}) VALUES (?, ?, ?, ?, ?, ?, ?)"
_TAKE_WORDS = f"INSERT INTO words (words, rowid, {_WORDS}) SELECT 'delete', number, {_WORDS} FROM run WHERE number = ?"


def make(connection: Connection) -> None:
    """Make the tables in an empty index."""
    connection.executescript(
        f"BEGIN IMMEDIATE; {_SHAPE} PRAGMA application_id = {OURS}; PRAGMA user_version = {VERSION}; COMMIT;"
    )


def fits(connection: Connection) -> bool:
    """True where an index has this shape."""
    (ours,), (version,) = (
        connection.execute(f"PRAGMA {name}").fetchone() for name in ("application_id", "user_version")
    )
    return (ours, version) == (OURS, VERSION)


def is_empty(connection: Connection) -> bool:
    """True where there is nothing at all in it."""
    (count,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return bool(count == 0)


def put(connection: Connection, entry: Entry, sealed: bool, stamp: tuple[int, int, int, int], sha256: bytes) -> None:
    """Put a run in place of whatever is known of it; within a transaction."""
    take_out(connection, entry.run)
    words = (entry.procedure, entry.equipment, entry.people, entry.tools, entry.lots, entry.rest)
    number = connection.execute(_PUT_RUN, (*_row(entry), sealed, *stamp, sha256)).lastrowid
    connection.execute(_PUT_WORDS, (number, *words))
    for put_one, found in ((_PUT_PULL, entry.pulls), (_PUT_LATER, entry.later), (_PUT_METER, entry.meters)):
        connection.executemany(put_one, [(number, *astuple(each)) for each in found])


def _row(e: Entry) -> tuple[str | float, ...]:
    ended = (e.day, e.ended, e.outcome, e.deviations, e.late, e.unknown, e.undecided, e.unsigned)
    several = (e.people, e.tools, e.lots, e.due)
    where = (e.of_run, e.book, e.follows, e.follow_up, e.fault)
    return (e.run, e.title, e.revision, e.equipment, e.joint, *ended, *several, e.procedure, e.rest, *where)


def take_out(connection: Connection, run: str) -> None:
    """Take a run out, if it is in; within a transaction."""
    found = connection.execute("SELECT number FROM run WHERE run = ?", (run,)).fetchone()
    if found is not None:
        connection.execute(_TAKE_WORDS, found)
        for table in _OF_A_RUN:
            connection.execute(f"DELETE FROM {table} WHERE number = ?", found)
        connection.execute("DELETE FROM run WHERE number = ?", found)


def restamp(connection: Connection, run: str, sealed: bool, stamp: tuple[int, int, int, int]) -> None:
    """The same record under another time of its file, or sealed since."""
    connection.execute(
        "UPDATE run SET sealed = ?, folder = ?, size = ?, modified = ?, changed = ? WHERE run = ?",
        (sealed, *stamp, run),
    )
