"""What a crash leaves half done is finished at the next start."""

import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from clampbook.book.book import Book
from clampbook.book.mending import mend
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.lines import decode, digest
from clampbook.ledger.lock import take
from clampbook.run_folder import RunFolder

# Opens a run and is killed by itself at the n-th time the disk is asked for safety.
KILLED = """
import os, signal, sys
from datetime import date
from pathlib import Path
from clampbook.book.book import Book
from clampbook.book.runs import new_run
left, fsync = int(sys.argv[2]), os.fsync
def killed(descriptor):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    fsync(descriptor)
os.fsync = killed
fields = lambda names: {"event": "opened", "book": names.book, "run": names.run, "by": "ines"}
new_run(Book.open(Path(sys.argv[1])), "head", date(2026, 3, 2), b"", b"", fields)
"""


def told(book: Book) -> list[tuple[str, str]]:
    """What the book's log says, as event and run."""
    return [(entry["event"], entry["run"]) for entry in map(decode, book.log_lines())]


class TestMend:
    """Runs and log agree after a start."""

    def test_a_whole_book_needs_nothing(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """Where all is well nothing is said, written or locked."""
        start()
        before = (book.root / "book.jsonl").read_bytes()

        assert () == mend(book)
        assert before == (book.root / "book.jsonl").read_bytes()

    def test_a_run_that_the_log_lacks_gets_its_line(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """The crash came after the first line: the log's line is written now, and says that it is late."""
        log = book.root / "book.jsonl"
        run = start()
        log.write_bytes(b"")

        assert (f"{run.id} was opened. The book's log now says so.",) == mend(book)
        entry = decode(book.log_lines()[0])
        assert ("run_opened", run.id, digest(run.lines()[0][0])) == (entry["event"], entry["run"], entry["first"])
        assert "later_start" == entry["late"]
        assert () == mend(book)

    def test_an_abandoned_run_that_the_log_lacks_gets_its_line(
        self, book: Book, start: Callable[[], RunFolder], abandoned: Mapping[str, Any]
    ) -> None:
        """The crash came between the run's last line and the log's."""
        run = start()
        with book.writing(run) as daybook:
            daybook.append(abandoned)
        (run.path / "record.toml").write_bytes(b"")

        assert (f"{run.id} was abandoned. The book's log now says so.",) == mend(book)
        assert [("run_opened", run.id), ("run_abandoned", run.id)] == told(book)

    def test_a_run_that_ended_just_before_its_record_gets_it(self, book: Book) -> None:
        """The power went between the last answer and the record: all that it is made of is there."""
        ended = book.root / "runs" / "20260302-head-k7q2m4xa"
        shutil.copytree(Path(__file__).parents[1] / "golden" / "head", ended)
        golden = (ended / "record.toml").read_bytes()
        (ended / "record.toml").unlink()

        sentences = mend(book)

        assert f"{ended.name}: its record was missing, and is written now." in sentences
        assert golden == (ended / "record.toml").read_bytes()

    def test_a_run_that_ended_and_makes_no_record_is_told(
        self, book: Book, start: Callable[[], RunFolder], abandoned: Mapping[str, Any]
    ) -> None:
        """What is damaged is said at each start, until somebody looks at it."""
        run = start()
        with book.writing(run) as daybook:
            daybook.append(abandoned)

        assert any(each.startswith(f"{run.id} has ended, and its record is not written: ") for each in mend(book))

    def test_a_folder_that_never_became_a_run_is_taken_away(self, book: Book) -> None:
        """It held copies only, and nobody had answered anything."""
        draft = book.root / "runs" / ".new" / "20260302-head-k7q2m4xa"
        draft.mkdir(parents=True)
        (draft / "procedure.toml").write_text("")

        assert ("20260302-head-k7q2m4xa was never opened, and is removed.",) == mend(book)
        assert (False, ()) == (draft.exists(), mend(book))

    def test_half_a_file_is_taken_away(self, book: Book) -> None:
        """What was written beside people.toml and never put in its place is no file of the book."""
        (book.root / ".people.toml.0a1b2c3d.tmp").write_bytes(b"[[per")

        assert (".people.toml.0a1b2c3d.tmp was never finished, and is removed.",) == mend(book)
        assert not (book.root / ".people.toml.0a1b2c3d.tmp").exists()

    def test_a_torn_log_is_moved_aside(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """Half a line of the log is kept beside it, and told."""
        start()
        with (book.root / "book.jsonl").open("ab") as file:
            file.write(b'{"event"')

        assert ("8 bytes of a torn last line are saved beside the book's log.",) == mend(book)
        assert b'{"event"' == (book.root / "book.torn-0001").read_bytes()

    def test_a_book_that_cannot_be_written_is_still_read(
        self, book: Book, start: Callable[[], RunFolder], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Where another program keeps the lock, the mending is told and left for the next start."""
        run = start()
        (book.root / "book.jsonl").write_bytes(b"")
        monkeypatch.setattr("clampbook.book.book._PATIENCE", 0.1)

        with take(book.root / ".locks", "book"):
            sentences = mend(book)

        assert "“book” open elsewhere" in sentences[0]
        assert "tries to finish it at the next start" in sentences[1]
        assert (f"{run.id} was opened. The book's log now says so.",) == mend(book)

    def test_a_changed_log_is_told_and_left_alone(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """Nothing is added to a log that is not the one that was written."""
        log = book.root / "book.jsonl"
        for _ in range(3):
            start()
        log.write_bytes(changed := log.read_bytes().replace(b"ines", b"okke", 1))

        sentences = mend(book)

        assert "line 1: this line was changed after it was written" in sentences[0]
        assert "Nothing was repaired" in sentences[-1]
        assert changed == log.read_bytes()

    def test_a_run_whose_first_line_is_lost_is_left_as_it_is(self, book: Book) -> None:
        """A folder that somebody copied in part is told, not touched."""
        folder = book.root / "runs" / "20260302-head-k7q2m4xa"
        folder.mkdir()
        (folder / "daybook.jsonl").write_bytes(b"")

        assert (f"'{folder}' has no readable first line. It stays unchanged.",) == mend(book)
        assert folder.exists()

    def test_a_run_of_another_book_is_not_ours_to_log(self, book: Book) -> None:
        """Copied over without its log it is told; with its log in logs/ it is known."""
        folder = book.root / "runs" / "20260302-head-k7q2m4xa"
        folder.mkdir()
        Ledger.open(folder / "daybook.jsonl", create=True).append({"event": "opened", "book": "otherbok"})

        assert (f"'{folder}' belongs to another book. This book's log does not name it.",) == mend(book)
        (book.root / "logs").mkdir()
        log = Ledger.open(book.root / "logs" / "otherbok.jsonl", create=True)
        log.append({"event": "run_opened", "run": folder.name})
        assert () == mend(book)

    @pytest.mark.parametrize("safe", range(12))
    def test_a_kill_at_any_moment_of_opening_is_mended(self, book: Book, safe: int) -> None:
        """Killed wherever it was, after the next start every run has its first line and its line in the log."""
        done = subprocess.run([sys.executable, "-c", KILLED, str(book.root), str(safe)], check=False)
        assert done.returncode in (-signal.SIGKILL, 0)

        mend(book)

        assert [("run_opened", run.id) for run in book.runs()] == told(book)
        assert all((run.first() or {})["event"] == "opened" for run in book.runs())
        assert [] == chain_faults(book.root / "book.jsonl", book.log_lines())
        assert () == mend(book)
