"""The index is a cache: missing, stale, damaged, of another version or not writable, runs are found all the same."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from archive.book_of_records import CRANK, FLANGE, GIVEN_UP, HEAD, a_record, found, hits, made
from clampbook.archive import reading_in, store
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive, noted
from clampbook.book.book import Book
from clampbook.run_folder import RunFolder

ALL = [GIVEN_UP, CRANK, FLANGE, HEAD]  # the latest first
EVERYTHING = Query()


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Four finished runs."""
    return made(tmp_path / "book")


def refreshed(book: Book) -> int:
    """How many records are read to bring the index up to date."""
    with Archive(book.root) as archive:
        return archive.refresh()


class TestKeepingUp:
    """Only what changed is read."""

    def test_a_missing_index_is_made(self, book: Book) -> None:
        """All runs are read once, and none a second time."""
        assert (4, 0) == (refreshed(book), refreshed(book))

    def test_a_new_run_is_read_alone(self, book: Book) -> None:
        """The others are known."""
        refreshed(book)
        a_record(book, "20260401-pump-bbbbbbbb", 'title = "Water pump"\nclosed_at = "2026-04-01T10:00:00+02:00"\n')

        assert 1 == refreshed(book)
        assert ["20260401-pump-bbbbbbbb", *ALL] == found(book, EVERYTHING)

    def test_a_changed_record_is_read_again(self, book: Book) -> None:
        """Even one of the same length, given its old time again."""
        refreshed(book)
        path = book.path("runs", CRANK, "record.toml")
        before = path.stat()
        path.write_bytes(path.read_bytes().replace(b"Bearing shells", b"Wearing shells"))
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))

        assert [CRANK] == found(book, Query(lot="wearing"))

    def test_a_record_that_was_only_touched_is_not_parsed(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """Its hash is the same, and so its entry stays."""
        refreshed(book)
        os.utime(book.path("runs", CRANK, "record.toml"))
        parsed: list[str] = []
        monkeypatch.setattr(reading_in, "entry", lambda run, _: parsed.append(run))

        assert 1 == refreshed(book)
        assert [] == parsed

    def test_a_run_that_is_gone_is_forgotten(self, book: Book) -> None:
        """The folders are the truth."""
        refreshed(book)
        shutil.rmtree(book.path("runs", FLANGE))

        assert [GIVEN_UP, CRANK, HEAD] == found(book, EVERYTHING)
        assert [] == found(book, Query(words=("sixteen",)))

    def test_an_ended_run_without_its_record_is_found(self, book: Book) -> None:
        """Its record is made from the other files, and read-only media stay as they are."""
        book.path("runs", CRANK, "record.toml").unlink()

        assert [CRANK] == found(book, Query(lot="bearing shells"))
        assert not book.path("runs", CRANK, "record.toml").exists()

    def test_a_run_that_is_open_is_not_in_it(self, book: Book) -> None:
        """It stands on the bench."""
        folder = book.path("runs", CRANK)
        folder.joinpath("record.toml").unlink()
        daybook = folder / "daybook.jsonl"
        daybook.write_bytes(b"\n".join(daybook.read_bytes().split(b"\n")[:-2]) + b"\n")

        assert CRANK not in found(book, EVERYTHING)

    def test_a_run_that_was_just_sealed_is_noted(self, book: Book) -> None:
        """Without looking at any other."""
        refreshed(book)
        book.path("runs", CRANK, "seal.sha256").write_text("")
        book.path("runs", HEAD, "seal.sha256").write_text("")

        noted(book.root, RunFolder(book.path("runs", CRANK)))

        with Archive(book.root) as archive:
            sealed = archive.asked(lambda c: c.execute("SELECT run FROM run WHERE sealed").fetchall())
        assert [(CRANK,)] == sealed

    def test_nothing_is_noted_where_there_is_no_index(self, book: Book) -> None:
        """It is made by whoever searches first."""
        noted(book.root, RunFolder(book.path("runs", CRANK)))

        assert not book.path("index.sqlite").exists()

    def test_stopping_it_keeps_what_was_there(self, book: Book) -> None:
        """Ctrl-C in the middle of a batch leaves the index as it was before that batch."""
        book_of_three = {HEAD, CRANK, FLANGE}
        shutil.rmtree(book.path("runs", GIVEN_UP))
        refreshed(book)
        for run in ("20260401-pump-bbbbbbbb", "20260402-pump-bbbbbbbb"):
            a_record(book, run, 'title = "Water pump"\n')

        def stop(done: int, _: int) -> None:
            if done == 2:
                raise KeyboardInterrupt

        with Archive(book.root) as archive:
            with pytest.raises(KeyboardInterrupt):
                archive.refresh(stop)
            known = archive.asked(lambda c: {run for (run,) in c.execute("SELECT run FROM run")})
        assert book_of_three == known
        assert 5 == len(found(book, EVERYTHING))


class TestWhatIsNoIndex:
    """Whatever lies there instead, the runs are found."""

    @pytest.mark.parametrize("bytes_there", [b"", b"no database at all" * 300, b"SQLite format 3\0" + b"\0" * 5000])
    def test_another_file(self, book: Book, bytes_there: bytes) -> None:
        """It is thrown away."""
        book.path("index.sqlite").write_bytes(bytes_there)

        assert ALL == found(book, EVERYTHING)

    @pytest.mark.parametrize("place", [24, 100, 4096, 8192, 12_288, 20_480])
    def test_damaged_pages(self, book: Book, place: int) -> None:
        """Damage that only shows while something is looked for is mended on the way."""
        refreshed(book)
        path = book.path("index.sqlite")
        whole = path.read_bytes()
        path.write_bytes(whole[:place] + b"\xff" * 3000 + whole[place + 3000 :])

        assert [HEAD, FLANGE] == sorted(found(book, Query(words=("gasket",))))
        assert ALL == found(book, EVERYTHING)

    def test_a_cut_one(self, book: Book) -> None:
        """As a full disk leaves it."""
        refreshed(book)
        path = book.path("index.sqlite")
        path.write_bytes(path.read_bytes()[:20_000])

        assert ALL == found(book, EVERYTHING)

    @pytest.mark.parametrize("change", ["PRAGMA user_version = 99", "PRAGMA application_id = 7", "DROP TABLE run"])
    def test_one_of_another_version(self, book: Book, change: str) -> None:
        """A newer program's index is not guessed at: it is made anew."""
        refreshed(book)
        with sqlite3.connect(book.path("index.sqlite")) as connection:
            connection.execute(change)
        connection.close()

        assert ALL == found(book, EVERYTHING)

    def test_a_link_out_of_the_book_is_not_followed(self, book: Book, tmp_path: Path) -> None:
        """What it points to stays as it is, and the person is told."""
        outside = tmp_path / "outside.sqlite"
        outside.write_bytes(b"somebody else's")
        book.root.joinpath("index.sqlite").symlink_to(outside)

        with Archive(book.root) as archive:
            assert 4 == archive.refresh()
            assert ["leads out of the book" in sentence for sentence in archive.told] == [True]
        assert b"somebody else's" == outside.read_bytes()

    def test_a_folder_of_that_name(self, book: Book) -> None:
        """The index is in memory then."""
        book.path("index.sqlite").mkdir()

        assert ALL == found(book, EVERYTHING)

    def test_where_nothing_can_be_written(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """On a read-only disk the index that is there is taken, and brought up to date in memory."""
        refreshed(book)
        a_record(book, "20260401-pump-bbbbbbbb", 'title = "Water pump"\n')

        def refuse(*_: object) -> None:
            raise OSError(30, "Read-only file system")

        monkeypatch.setattr(store, "_usable", refuse)
        with Archive(book.root) as archive:
            assert 1 == archive.refresh()
            assert "read-only file system" in archive.told[0]
            assert 5 == archive.asked(lambda c: c.execute("SELECT count(*) FROM run").fetchone()[0])

    def test_where_there_is_no_room(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """On a full disk everything is found all the same, and the index is whole when there is room again."""
        set_up = store._set_up

        def full(connection: sqlite3.Connection) -> None:
            set_up(connection)
            connection.execute("PRAGMA max_page_count = 18")

        with monkeypatch.context() as patch:
            patch.setattr(store, "_set_up", full)
            with Archive(book.root) as archive:
                assert 4 == archive.refresh()
                assert "disk is full" in archive.told[0]
                assert 4 == archive.asked(lambda c: c.execute("SELECT count(*) FROM run").fetchone()[0])
        assert ALL == found(book, EVERYTHING)

    def test_its_file_is_readable_by_its_owner_only(self, book: Book) -> None:
        """As all files of a book are."""
        refreshed(book)

        assert 0o600 == book.path("index.sqlite").stat().st_mode & 0o777


class TestTwoPrograms:
    """Two programs on one book at once are fine."""

    def test_both_bring_it_up_to_date(self, book: Book) -> None:
        """Six at once, on an index that is not there yet: each finds every run, once."""
        code = (
            "import sys; from pathlib import Path; from clampbook.archive.index import Archive\n"
            "with Archive(Path(sys.argv[1])) as a:\n"
            "    a.refresh()\n"
            "    print(a.asked(lambda c: c.execute('select count(*), count(distinct run) from run').fetchone()))"
        )
        for number in range(60):
            a_record(book, f"20260401-pump-bbbbbb{chr(97 + number // 26)}{chr(97 + number % 26)}", 'title = "Pump"\n')
        several = [
            subprocess.Popen([sys.executable, "-c", code, str(book.root)], stdout=subprocess.PIPE, text=True)
            for _ in range(6)
        ]

        assert ["(64, 64)\n"] * 6 == [each.communicate(timeout=60)[0] for each in several]
        assert 0 == refreshed(book)

    def test_one_reads_while_the_other_writes(self, book: Book) -> None:
        """What was known before is found meanwhile."""
        refreshed(book)
        a_record(book, "20260401-pump-bbbbbbbb", 'title = "Water pump"\n')
        seen: list[int] = []

        def look(_: int, __: int) -> None:
            with Archive(book.root) as other:
                seen.append(other.asked(lambda c: c.execute("SELECT count(*) FROM run").fetchone()[0]))

        with Archive(book.root) as archive:
            archive.refresh(look)
        assert [4] == seen

    def test_a_writer_that_does_not_end_is_told(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """After a while the index is taken as it is."""
        refreshed(book)
        a_record(book, "20260401-pump-bbbbbbbb", 'title = "Water pump"\n')
        monkeypatch.setattr(store, "_PATIENCE", 0.05)
        busy = sqlite3.connect(book.path("index.sqlite"), isolation_level=None)
        busy.execute("BEGIN IMMEDIATE")

        with Archive(book.root) as archive:
            assert 0 == archive.refresh()
            assert "Another program is writing" in archive.told[0]
        busy.close()


class TestHostileRecords:
    """A record can be anything; it is shown as text, or refused with a sentence, and the others are found."""

    @pytest.mark.parametrize(
        "text",
        [
            "title = ",
            "title = 1" + "0" * 5000,
            "a = " + "[" * 3000,
            "\x00\x01",
            "run = 3\n" + "x = {a={" * 500,
            'title = "a"\ntitle = "b"',
        ],
    )
    def test_one_that_cannot_be_read_is_named(self, book: Book, text: str) -> None:
        """With why, under the name of its folder."""
        a_record(book, "20260401-odd-bbbbbbbb", text)

        (hit,) = hits(book, Query(words=("20260401-odd",)))
        assert hit.fault.startswith("record.toml cannot be read")
        assert 5 == len(found(book, EVERYTHING))

    @pytest.mark.parametrize(
        "text",
        [
            "deviations = 99999999999999999999999999\ntitle = 5\nrun = '../../etc/passwd'",
            "reading = 3\nperson = [1, 2]\ntool = [[3]]\ngroup = {}\npart = 'x'\nnote = [{note = 1}]",
            "[[reading]]\nline = 99999999999999999999999\nkind = 'pull'",
            "[[reading]]\nline = 1\nkind = 'pull'\nat = '9999-99-99'\nat_fastener = '1e999999999'\nround = 1",
            "closed_at = '0001-01-01T00:00:00+23:59'",
            'title = "\\u0000\\u001b[2J #eval(read(\\"/etc/passwd\\"))"',
        ],
    )
    def test_values_of_the_wrong_kind_are_left_out(self, book: Book, text: str) -> None:
        """It is found by the name of its folder all the same."""
        a_record(book, "20260401-odd-bbbbbbbb", text)

        assert ["20260401-odd-bbbbbbbb"] == found(book, Query(words=("20260401-odd-bbbbbbbb",)))

    def test_a_record_that_is_a_link_is_not_followed(self, book: Book, tmp_path: Path) -> None:
        """Out of the book or not."""
        secret = tmp_path / "secret.toml"
        secret.write_text('title = "secret"')
        folder = book.path("runs", "20260401-odd-bbbbbbbb")
        folder.mkdir()
        folder.joinpath("record.toml").symlink_to(secret)

        assert [] == found(book, Query(words=("secret",)))
        (hit,) = hits(book, Query(words=("20260401-odd",)))
        assert "record.toml is a link, and links are not followed here" == hit.fault

    def test_a_folder_that_is_a_link_is_left_alone(self, book: Book, tmp_path: Path) -> None:
        """It is no run of this book."""
        shutil.copytree(book.path("runs", HEAD), tmp_path / "elsewhere")
        book.path("runs").joinpath("20260401-odd-bbbbbbbb").symlink_to(tmp_path / "elsewhere")

        assert ALL == found(book, EVERYTHING)
