"""`find`, `export`, `trend` and `merge`: what they print, what they refuse, and that Ctrl-C loses nothing."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from archive.book_of_records import CRANK, FLANGE, GIVEN_UP, GOLDEN, HEAD, a_record, made
from clampbook.archive import readings
from clampbook.book.book import Book
from sealing import shop, walked

from . import saying
from .saying import Captured


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Four runs that are over."""
    return made(tmp_path / "book")


def said(capsys: Captured, book: Book, *arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output, standard error of a command on the book."""
    return saying.said(capsys, *arguments, "--book", str(book.root))


class TestFind:
    """Runs by words and filters."""

    def test_two_lines_a_run(self, book: Book, capsys: Captured) -> None:
        """Which, when, how it ended; what, on what, by whom, with what."""
        status, out, _ = said(capsys, book, "find", "gasket", "--person", "maud")

        assert 0 == status
        first, second = out.splitlines()
        assert f"{HEAD} · 2026-03-02 · accepted, 10 deviations · closed, not sealed" == first
        assert second.startswith("    Cylinder head, pattern C · Whinchat, revision B · 4107 · Ines")

    def test_as_one_object(self, book: Book, capsys: Captured) -> None:
        """For scripts: `runs`, and whether there are more."""
        _, out, _ = said(capsys, book, "find", "--lot", "head gasket", "--json")

        (run,) = json.loads(out)["runs"]
        assert (HEAD, "4107", "2026-03-02", "accepted", 10, "closed, not sealed") == tuple(
            run[key] for key in ("run", "equipment", "day", "outcome", "deviations", "state")
        )
        assert ["Ines", "Okke", "Tomas", "Maud"] == run["people"]
        assert "Head gasket: 10" in run["lots"]

    def test_nothing_found_is_said(self, book: Book, capsys: Captured) -> None:
        """It is no failure."""
        assert (0, "No record found. Try fewer words.\n") == said(capsys, book, "find", "nowhere")[:2]

    def test_a_few_of_many(self, book: Book, capsys: Captured) -> None:
        """That there are more stands on standard error."""
        _, out, talk = said(capsys, book, "find", "--most", "1")

        assert out.startswith(GIVEN_UP)
        assert "There are more than 1" in talk

    def test_a_record_that_cannot_be_read_is_something_to_look_at(self, book: Book, capsys: Captured) -> None:
        """Exit status 1, and why."""
        a_record(book, "20260401-odd-bbbbbbbb", 'title = "\\u001b[2J')

        status, out, _ = said(capsys, book, "find", "20260401")
        assert 1 == status
        assert "not readable: record.toml cannot be read" in out

    def test_what_is_no_day_is_refused(self, book: Book, capsys: Captured) -> None:
        """With how to write it."""
        status, _, talk = said(capsys, book, "find", "--since", "last week")

        assert (2, "--since last week is not a day. Write it like 2026-03-02.\n") == (status, talk)

    def test_ctrl_c_keeps_what_was_read(self, tmp_path: Path) -> None:
        """Exit status 130, no traceback; the next search reads only the rest."""
        book = Book.create(tmp_path / "book", "Museum")
        for number in range(_RECORDS):
            folder = book.path("runs", f"20260302-head-aaaaaa{chr(97 + number // 26)}{chr(97 + number % 26)}")
            folder.mkdir()
            shutil.copy(GOLDEN / "head" / "record.toml", folder)
        arguments = ["find", "--json", "--book", str(book.root)]

        stopped = subprocess.run(
            [sys.executable, "-c", _CTRL_C, *arguments], capture_output=True, text=True, timeout=120
        )

        assert (130, False) == (stopped.returncode, "Traceback" in stopped.stderr)
        assert 0 < _known(book) < _STOPPED_AT
        told = subprocess.run(
            [sys.executable, "-m", "clampbook", *arguments], capture_output=True, text=True, check=True, timeout=120
        )
        assert (100, True) == (len(json.loads(told.stdout)["runs"]), json.loads(told.stdout)["more"])
        assert _RECORDS == _known(book)


_RECORDS, _STOPPED_AT = 300, 280  # at most 250 are read before they are written
# Ctrl-C as it reads the record of that number, however quick the machine is; a shell in the background ignores it.
_CTRL_C = f"""
import os, signal, sys
from clampbook import cli
from clampbook.archive import reading_in

read, numbers = reading_in.read, iter(range(1, {_RECORDS} + 1))

def stopped(*arguments):
    if next(numbers) == {_STOPPED_AT}:
        os.kill(os.getpid(), signal.SIGINT)
    return read(*arguments)

signal.signal(signal.SIGINT, signal.default_int_handler)
reading_in.read = stopped
cli.main(sys.argv[1:])
"""


def _known(book: Book) -> int:
    """How many runs an index on disk holds; none while it is not there."""
    path = book.root / "index.sqlite"
    if not path.exists() or not path.stat().st_size:
        return 0
    try:
        with sqlite3.connect(path) as connection:
            (count,) = connection.execute("SELECT count(*) FROM run").fetchone()
        connection.close()
    except sqlite3.OperationalError:
        return 0
    return int(count)


class TestExport:
    """Readings as a table."""

    def test_of_the_runs_that_are_named(self, book: Book, capsys: Captured) -> None:
        """On standard output, under one line of names."""
        _, out, _ = said(capsys, book, "export", "--csv", "crank-caps")

        rows = list(csv.DictReader(StringIO(out)))
        assert {CRANK} == {row["run"] for row in rows}
        assert {"w1", "w5"} >= {row["tool"] for row in rows if row["kind"] == "pull"}

    def test_of_all_runs_where_nothing_is_said(self, book: Book, capsys: Captured) -> None:
        """No option is needed; `--csv`, the only format, may be said."""
        status, out, _ = said(capsys, book, "export")

        assert 0 == status
        assert {CRANK, HEAD, FLANGE} <= {row["run"] for row in csv.DictReader(StringIO(out))}
        assert out == said(capsys, book, "export", "--csv")[1]

    def test_of_all_that_filters_find(self, book: Book, capsys: Captured, tmp_path: Path) -> None:
        """Into a file."""
        path = tmp_path / "readings.csv"
        status, out, talk = said(capsys, book, "export", "--csv", "--since", "2026-03-03", "--into", str(path))

        rows = list(csv.DictReader(StringIO(path.read_text(encoding="utf-8"))))
        assert (0, "", f"{len(rows)} readings saved to {path}\n") == (status, out, talk)
        assert HEAD not in {row["run"] for row in rows}

    def test_as_one_object(self, book: Book, capsys: Captured) -> None:
        """For scripts: the same rows by the same names, numbers as numbers, and null where a cell is empty."""
        _, out, _ = said(capsys, book, "export", CRANK, "--json")
        rows = list(csv.DictReader(StringIO(said(capsys, book, "export", CRANK)[1])))

        told = json.loads(out)["readings"]
        assert [list(row) for row in rows] == [list(row) for row in told]
        assert [float(row["value"]) for row in rows] == [row["value"] for row in told]
        assert "" not in {value for row in told for value in row.values()}
        assert {int} == {type(row["line"]) for row in told}

    def test_an_index_that_breaks_off_gives_no_reading_twice(
        self, book: Book, capsys: Captured, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """What was read of it before it was found damaged is not printed: it is made again, and asked again."""
        whole, sound, times = said(capsys, book, "export")[1], readings.readings, []

        def breaking(*asked: Any, **how: Any) -> Iterator[tuple[object, ...]]:
            times.append(asked)
            for number, row in enumerate(sound(*asked, **how)):
                if number == 2 and len(times) == 1:
                    error = sqlite3.DatabaseError("database disk image is malformed")
                    error.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
                    raise error
                yield row

        monkeypatch.setattr(readings, "readings", breaking)

        assert (0, whole) == said(capsys, book, "export")[:2]
        assert len(times) == 2

    def test_clicks_where_they_are_asked_for(self, book: Book, capsys: Captured) -> None:
        """With their setting and without a value."""
        _, without, _ = said(capsys, book, "export", "--csv", HEAD)
        _, with_them, _ = said(capsys, book, "export", "--csv", "--clicks", HEAD)

        assert ("clicked" in without, "clicked" in with_them) == (False, True)

    @pytest.mark.parametrize(
        ("arguments", "sentence"),
        [
            (["export", "head", "--equipment", "4107"], "not both"),
            (["export", "nowhere"], "no run 'nowhere'"),
            (["export", "--csv", "--json"], "one of --csv and --json"),
        ],
    )
    def test_what_makes_no_sense_is_refused(
        self, book: Book, capsys: Captured, arguments: list[str], sentence: str
    ) -> None:
        """With a sentence."""
        status, _, talk = said(capsys, book, *arguments)

        assert 2 == status
        assert sentence in talk


class TestTrend:
    """The run chart."""

    def test_by_the_name_of_a_tool(self, book: Book, capsys: Captured) -> None:
        """As it is printed on it, even where the file of tools does not name it any more; what was pulled to a stretch
        aimed at no torque."""
        status, out, _ = said(capsys, book, "trend", "--tool", "W5")

        assert 0 == status
        assert out.startswith("W5: 14 readings in 1 run, 2026-03-02\n")
        assert "Median +0.3 %" in out

    def test_as_one_object(self, book: Book, capsys: Captured) -> None:
        """Every reading with its deviation in percent and the running median."""
        _, out, _ = said(capsys, book, "trend", "--person", "Ines", "--stage", "turn", "--json")

        told = json.loads(out)
        assert len(told["readings"]) == told["count"] > 0
        assert {"run", "line", "at", "tool", "person", "outcome", "deviation", "running_median", "seconds"} == set(
            told["readings"][0]
        )

    def test_clicks_are_not_charted(self, book: Book, capsys: Captured) -> None:
        """A setting tool has no readings."""
        _, out, _ = said(capsys, book, "trend", "--tool", "W2")

        assert out.startswith("W2: no readings with a target.")

    def test_on_paper(self, book: Book, capsys: Captured, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """The same bytes whenever it is made at the same time of the same book."""
        monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-05-01T12:00:00Z")
        paths = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
        for path in paths:
            assert 0 == said(capsys, book, "trend", "--fastener", "M10", "--pdf", str(path))[0]

        assert paths[0].read_bytes() == paths[1].read_bytes()


class TestMerge:
    """Two books."""

    def test_what_came_is_said(self, capsys: Captured, tmp_path: Path) -> None:
        """And found at once."""
        theirs = shop(tmp_path / "theirs", keys=False)
        walked(theirs)
        ours = Book.create(tmp_path / "ours", "Ours")

        status, out, _ = said(capsys, ours, "merge", str(theirs.book.root))
        assert (0, True) == (status, out.startswith("1 run and 0 checks copied."))
        assert 1 == len(json.loads(said(capsys, ours, "find", "--json")[1])["runs"])

    def test_what_the_other_book_does_not_know_stays_there(self, book: Book, capsys: Captured, tmp_path: Path) -> None:
        """Folders that were put into it under another name."""
        ours = Book.create(tmp_path / "ours", "Ours")

        status, out, _ = said(capsys, ours, "merge", str(book.root))
        assert (1, True) == (status, out.startswith("0 runs and 0 checks copied."))

    def test_what_collides_is_something_to_look_at(self, capsys: Captured, tmp_path: Path) -> None:
        """Exit status 1, a sentence each."""
        theirs = shop(tmp_path / "theirs", keys=False)
        run = walked(theirs)
        ours = Book.create(tmp_path / "ours", "Ours")
        said(capsys, ours, "merge", str(theirs.book.root))
        ours.path("runs", run.id, "record.toml").write_text("")

        status, out, _ = said(capsys, ours, "merge", str(theirs.book.root), "--json")
        told = json.loads(out)
        assert (1, 0, []) == (status, told["already"], told["runs"])
        assert f"{run.id} is here already with other content (record.toml)" in told["collisions"][0]
