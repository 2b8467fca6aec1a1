"""A run that the log ends is never looked at again; whatever the log does not end is."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest

from clampbook.archive.finding import Query, find
from clampbook.archive.index import Archive
from clampbook.book.book import Book
from clampbook.book.log_told import KEPT
from clampbook.book.mending import mend
from clampbook.book.merging.merging import merge
from clampbook.book.runs import unsealed
from clampbook.book.sealing.of_run import Signing
from clampbook.book.settled import settled, unsettled_runs
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger import lines
from clampbook.ledger.chain import chain_faults
from clampbook.run_folder import RunFolder
from clampbook.screens.bench_lists import closed_runs
from sealing import Shop, sealed, shop, walked

LONG_AGO = 946_684_800  # seconds: the first of January 2000
# Reads what is settled anew and is killed by itself at the n-th time the disk is asked for safety.
KILLED = """
import os, signal, sys
from itertools import pairwise
from pathlib import Path
from clampbook.book.book import Book
from clampbook.book.sealing.of_run import Signing
from clampbook.book.settled import settled
left, fsync = int(sys.argv[2]), os.fsync
def killed(descriptor):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    fsync(descriptor)
os.fsync = killed
settled(Book.open(Path(sys.argv[1])))
"""


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """The harbour museum's shop, where names are typed."""
    return shop(tmp_path / "book", keys=False)


@pytest.fixture
def looked_into(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """The runs of which any file was opened or looked for, by their names."""
    found: set[str] = set()

    def told(path: object) -> None:
        parts = Path(os.fsdecode(path)).parts if isinstance(path, str | bytes | os.PathLike) else ()
        found.update(name for above, name in pairwise(parts) if above == "runs" and name[0] == "2")

    for name in ("open", "stat", "lstat", "scandir"):
        real: Callable[..., object] = getattr(os, name)

        def watched(path: object, *rest: object, real: Callable[..., object] = real, **named: object) -> object:
            told(path)
            return real(path, *rest, **named)

        monkeypatch.setattr(os, name, watched)
    yield found


def grown(book: Book, count: int = 200) -> None:
    """The log gets so many lines of no run, as a shop writes them over the years."""
    with book.log() as log:
        for number in range(count):
            log.append({"event": "pulls_added", "tool": "w5", "count": number})


def again(book: Book) -> Book:
    """The same book as another program opens it."""
    settled(book, anew=True)
    return Book.open(book.root)


class TestSettled:
    """What the log ends, and nothing else."""

    def test_a_sealed_run_is_not_looked_into(self, at: Shop, looked_into: set[str]) -> None:
        """Neither when a crash is mended, nor for the lists of the bench, nor by an index that knows it."""
        run = sealed(at)
        going_on = walked(at)
        with Archive(at.book.root) as archive:
            archive.refresh(None, settled(at.book).sealed)
            looked_into.clear()
            assert () == mend(at.book)
            assert [going_on.id] == [each.id for each in unsealed(at.book)]
            assert () == at.book.unfinished_runs()
            assert {run.id, going_on.id} == set(closed_runs(at.book))
            archive.refresh(None, settled(at.book).sealed)

        assert {going_on.id} == looked_into

    def test_a_run_that_is_closed_and_not_sealed_is_looked_into(self, at: Shop) -> None:
        """The bench offers to seal it."""
        run = walked(at)

        assert (run,) == unsettled_runs(at.book) == unsealed(at.book)

    def test_what_goes_on_is_neither_sealed_nor_abandoned(self, at: Shop) -> None:
        """Told line by line as the log grows, and from all of it."""
        sealed(at)
        settled(at.book)
        going_on = walked(at)
        sealed(at)

        assert (going_on.id,) == settled(at.book).going_on == settled(at.book, anew=True).going_on

    def test_a_run_that_the_log_does_not_know_is_looked_into(self, at: Shop) -> None:
        """Its folder was put there, sealed or not: somebody must be told."""
        run = sealed(at)
        strange = run.path.with_name("20200101-cover-abcdefgh")
        shutil.copytree(run.path, strange)

        assert (RunFolder(strange),) == unsettled_runs(at.book)

    def test_a_sealed_run_whose_line_is_lost_gets_it_again(self, at: Shop) -> None:
        """A crash came between the seal and the log's line, long after other lines were kept."""
        run = sealed(at)
        log = at.book.root / "book.jsonl"
        whole = log.read_bytes()
        log.write_bytes(b"".join(line + b"\n" for line in lines.split(whole)[0][:-1]))

        assert (f"{run.id} was sealed. The book's log now says so.",) == mend(at.book)
        assert () == unsettled_runs(at.book)

    def test_a_log_that_is_not_whole_settles_nothing(self, at: Shop) -> None:
        """Then every run is looked into, and the line is named."""
        run = sealed(at)
        grown(at.book)
        settled(at.book, anew=True)
        log = at.book.root / "book.jsonl"
        log.write_bytes(log.read_bytes().replace(b'"event":"run_opened"', b'"event":"run_openee"', 1))

        assert (run,) == unsettled_runs(at.book, settled(at.book, anew=True))
        assert "line 1" in mend(at.book)[0]

    def test_a_sealed_run_that_could_not_be_read_is_read_once_it_can(self, at: Shop) -> None:
        """Its record was damaged when the index was made, then put back from a backup with its old times."""
        run = sealed(at)
        record = run.path / "record.toml"
        whole, times = record.read_bytes(), record.stat()
        record.write_bytes(b"[" + whole[1:])
        with Archive(at.book.root) as archive:
            archive.refresh(None, settled(at.book).sealed)
            assert [hit.fault for hit in archive.asked(lambda c: find(c, Query())).runs] != [""]
            record.write_bytes(whole)
            os.utime(record, ns=(times.st_atime_ns, times.st_mtime_ns))
            archive.refresh(None, settled(at.book).sealed)

            assert [hit.fault for hit in archive.asked(lambda c: find(c, Query())).runs] == [""]


class TestKept:
    """What was read of the log is kept beside it, and holds for the very bytes that it was read from."""

    def test_a_short_log_is_read_each_time(self, at: Shop) -> None:
        """Nothing is written for a book that is small."""
        sealed(at)
        settled(at.book, anew=True)

        assert not (at.book.root / KEPT).exists()

    def test_it_says_the_same_as_the_log(self, at: Shop) -> None:
        """Read from what was kept, and from the log alone."""
        runs = sealed(at), walked(at)
        grown(at.book)
        first = settled(at.book, anew=True)
        assert (at.book.root / KEPT).exists()
        second = settled(at.book, anew=True)
        (at.book.root / KEPT).unlink()

        assert first == second == settled(at.book, anew=True)
        assert frozenset({runs[0].id}) == first.over

    def test_times_of_files_mean_nothing(self, at: Shop) -> None:
        """A run that was closed after it was kept, all files with the time of the year 2000."""
        grown(at.book)
        settled(at.book, anew=True)
        run = walked(at)
        for path in (*at.book.root.rglob("*"), at.book.root):
            os.utime(path, (LONG_AGO, LONG_AGO))

        assert (run,) == unsettled_runs(again(at.book))

    def test_a_backup_that_is_put_back_is_read_anew(self, at: Shop, tmp_path: Path) -> None:
        """The whole book as it was before the seal, but for what was kept since: the run waits for its seal again."""
        run = walked(at)
        shutil.copytree(at.book.root, tmp_path / "backup")
        _seal(at, run)
        grown(at.book)
        assert () == unsettled_runs(at.book, settled(at.book, anew=True))
        kept = (at.book.root / KEPT).read_bytes()
        shutil.rmtree(at.book.root)
        shutil.copytree(tmp_path / "backup", at.book.root)
        (at.book.root / KEPT).write_bytes(kept)

        assert (run,) == unsealed(at.book) == unsettled_runs(again(at.book))

    def test_a_log_that_went_another_way_is_read_anew(self, at: Shop) -> None:
        """Put back from a backup, then longer than it was before, with other lines."""
        run = walked(at)
        before = (at.book.root / "book.jsonl").read_bytes()
        _seal(at, run)
        grown(at.book)
        settled(at.book, anew=True)
        (at.book.root / "book.jsonl").write_bytes(before)
        before = (at.book.root / KEPT).read_bytes()
        grown(at.book, 300)

        assert (run,) == unsettled_runs(again(at.book))
        assert before != (at.book.root / KEPT).read_bytes()  # the next program need not read it anew

    @pytest.mark.parametrize("change", [lambda data: data.replace(b"cover", b"covet"), lambda data: data[:-9], bytes])
    def test_one_that_was_changed_in_place_counts_nothing(self, at: Shop, change: Callable[[bytes], bytes]) -> None:
        """Changed by hand, cut, emptied: the log is read, and says what it said."""
        sealed(at)
        grown(at.book)
        before = settled(at.book, anew=True)
        kept = at.book.root / KEPT
        kept.write_bytes(change(kept.read_bytes()) if change is not bytes else b"")

        assert before == settled(at.book, anew=True)

    def test_what_another_version_kept_counts_nothing(self, at: Shop) -> None:
        """It may mean something else by the same letters: the log is read, and says what it says."""
        run = walked(at)
        grown(at.book)
        settled(at.book, anew=True)
        kept = at.book.root / KEPT
        told = kept.read_bytes().split(b"\n")[1].replace(b'"settled":3', b'"settled":2')
        told = told.replace(f'"{run.id}":"ou"'.encode(), f'"{run.id}":"os"'.encode())
        assert f'"{run.id}":"os"'.encode() in told
        kept.write_bytes(sha256(told).hexdigest().encode() + b"\n" + told)

        assert (run,) == unsettled_runs(at.book, settled(at.book, anew=True))

    @pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="only where a program can be killed so")
    @pytest.mark.parametrize("when", [0, 1])
    def test_a_kill_while_it_is_written_costs_nothing(self, at: Shop, when: int) -> None:
        """What is half written is swept away at the next start, and the log is read again."""
        run = walked(at)
        grown(at.book)
        killed = subprocess.run([sys.executable, "-c", KILLED, str(at.book.root), str(when)], check=False)
        assert -signal.SIGKILL == killed.returncode

        mend(at.book)

        assert (run,) == unsettled_runs(at.book)
        assert [] == [path.name for path in at.book.root.iterdir() if path.name.endswith(".tmp")]

    def test_an_edit_of_a_sealed_run_is_found_by_verifying(self, at: Shop) -> None:
        """The bench asks the log; whoever verifies looks at every byte."""
        run = sealed(at)
        grown(at.book)
        settled(at.book, anew=True)
        record = run.path / "record.toml"
        record.write_bytes(record.read_bytes().replace(b"30.1", b"30.2", 1))

        assert () == unsettled_runs(at.book)
        assert not Verifying(at.book).run(run).sound


class TestAdding:
    """A line that is added to a long log costs no more than one that is added to a short one."""

    @pytest.mark.skipif(not Path("/proc/self/io").exists(), reason="only where the system counts what is read")
    def test_only_the_end_of_the_log_is_read(self, at: Shop) -> None:
        """By a program that knows it, for a whole line more."""
        grown(at.book, 2_000)
        settled(at.book, anew=True)
        before = _bytes_read()
        with at.book.log() as log:
            log.append({"event": "pulls_added", "tool": "w5", "count": 1})

        assert _bytes_read() - before < 20_000 < (at.book.root / "book.jsonl").stat().st_size

    def test_it_goes_on_with_the_log_that_is_there(self, at: Shop) -> None:
        """A backup was put back meanwhile, and goes on another way: number and hash are those of its last line."""
        log = at.book.root / "book.jsonl"
        sealed(at)
        before = log.read_bytes()
        grown(at.book, 30)
        settled(at.book)
        log.write_bytes(before)
        with at.book.log() as ledger:
            line = ledger.append({"event": "pulls_added", "tool": "w5", "count": 1})

        assert log.read_bytes() == before + line + b"\n"
        assert chain_faults(log, lines.split(log.read_bytes())[0]) == []

    def test_a_torn_end_is_moved_aside_all_the_same(self, at: Shop) -> None:
        """By a program that knows the line before it."""
        grown(at.book, 30)
        settled(at.book)
        log = at.book.root / "book.jsonl"
        before = log.read_bytes()
        log.write_bytes(before + b'{"event":"pul')
        with at.book.log() as ledger:
            assert 13 == ledger.torn
            line = ledger.append({"event": "pulls_added", "tool": "w5", "count": 1})

        assert log.read_bytes() == before + line + b"\n"
        assert b'{"event":"pul' == (at.book.root / "book.torn-0001").read_bytes()


class TestMerged:
    """Another book that was taken into this one."""

    def test_what_its_log_ends_is_settled_here_too(self, at: Shop, tmp_path: Path) -> None:
        """Its runs came with its log."""
        other = shop(tmp_path / "other", keys=False)
        theirs, ours = sealed(other), walked(at)
        merge(at.book, other.book, {"at": "2026-03-02T12:00:00.000Z", "offset": "+00:00", "by": "ines"})

        assert (ours,) == unsettled_runs(at.book)
        assert theirs.id in settled(at.book).over

    def test_its_log_does_not_end_what_was_opened_here(self, at: Shop, tmp_path: Path) -> None:
        """A line of a foreign log that says that a run of this book is sealed hides nothing."""
        other = shop(tmp_path / "other", keys=False)
        sealed(other)
        run = walked(at)
        with other.book.log() as log:
            log.append({"event": "run_opened", "run": run.id})
            log.append({"event": "run_sealed", "run": run.id})
        (at.book.root / "logs").mkdir(exist_ok=True)
        shutil.copy(other.book.root / "book.jsonl", at.book.root / "logs" / f"{other.book.id}.jsonl")

        assert (run,) == unsettled_runs(at.book)


def _seal(at: Shop, run: RunFolder) -> None:
    """Nobody in this shop signs with a key, so that it can be sealed at once."""
    Signing(at.book, run, at.clock).seal()


def _bytes_read() -> int:
    """What this program has read so far, as the system counts it."""
    return int(Path("/proc/self/io").read_text().splitlines()[0].removeprefix("rchar: "))
