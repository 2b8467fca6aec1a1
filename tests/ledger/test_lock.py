"""One writer at a time, in real processes."""

import errno
import fcntl
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from filelock import FileLock

from clampbook.ledger.lock import held, take
from clampbook.ledger.refusals import LedgerFault, LockHeld

HOLD = (
    "import sys, time; from pathlib import Path\n"
    "from clampbook.ledger.lock import held, take\n"
    "lock = take(Path(sys.argv[1]), 'head', who='Ines')\n"
    "print('held', flush=True)\n"
    "time.sleep(60)\n"
)


@pytest.fixture
def writer(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock of the run 'head'."""
    with subprocess.Popen([sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert "held\n" == process.stdout.readline()
        yield process
        process.kill()


class TestSecondWriter:
    """Whoever comes second is told who is first."""

    def test_a_second_process_is_told_who_writes(self, tmp_path: Path, writer: subprocess.Popen[str]) -> None:
        """The sentence names the person, the process and since when."""
        with pytest.raises(LockHeld) as held_by:
            take(tmp_path, "head", who="Tomas")

        sentence = held_by.value.sentence
        assert sentence.startswith(f"Ines has “head” open elsewhere (process {writer.pid} on ")
        assert sentence.endswith("). Close it there first")

    def test_another_run_is_not_in_the_way(self, tmp_path: Path, writer: subprocess.Popen[str]) -> None:
        """Two people can work on two joints of one book."""
        with take(tmp_path, "flange"):
            assert None is writer.poll()

    def test_it_is_told_who_has_it_now(self, tmp_path: Path, writer: subprocess.Popen[str]) -> None:
        """Without taking it, and without being in the way of whoever has it."""
        found = held(tmp_path, "head")

        assert found is not None
        assert ("Ines", True) == (found.who, abs(time.time() - found.since.timestamp()) < 3600)
        assert None is writer.poll()
        with pytest.raises(LockHeld, match="Ines"):
            take(tmp_path, "head")

    def test_nobody_has_what_a_killed_program_left(self, tmp_path: Path, writer: subprocess.Popen[str]) -> None:
        """Its note is taken away."""
        os.kill(writer.pid, signal.SIGKILL)
        writer.wait()

        assert None is held(tmp_path, "head")
        assert [] == list(tmp_path.glob("*.who"))
        assert None is held(tmp_path, "flange")

    def test_a_kill_frees_the_lock(self, tmp_path: Path, writer: subprocess.Popen[str]) -> None:
        """Killed in the middle, the run can be opened again at once."""
        os.kill(writer.pid, signal.SIGKILL)
        writer.wait()

        take(tmp_path, "head", wait=5).release()

    def test_a_second_time_in_the_same_program(self, tmp_path: Path) -> None:
        """Two windows of one program are two writers as well."""
        with take(tmp_path, "head"), pytest.raises(LockHeld, match=f"process {os.getpid()} on"):
            take(tmp_path, "head")

    def test_a_note_that_cannot_be_read_is_left_out(self, tmp_path: Path) -> None:
        """Who it is may be unknown; that somebody writes is still told."""
        with take(tmp_path, "head"):
            (tmp_path / "head.who").write_bytes(b"\xff\x00")

            with pytest.raises(LockHeld) as held_by:
                take(tmp_path, "head")

        assert "“head” is open elsewhere. Close it there first" == held_by.value.sentence

    def test_a_name_that_steers_the_terminal_is_made_visible(self, tmp_path: Path) -> None:
        """What stands in the note is foreign text."""
        with take(tmp_path, "head", who="\x1b[2J"), pytest.raises(LockHeld) as held_by:
            take(tmp_path, "head")

        assert "\x1b" not in held_by.value.sentence

    def test_a_released_lock_is_free(self, tmp_path: Path) -> None:
        """Given back, also twice, it can be taken again, and no note is left."""
        lock = take(tmp_path, "head")
        lock.release()
        lock.release()

        take(tmp_path, "head").release()
        assert not (tmp_path / "head.who").exists()


class TestWhereLockingIsNotToBeHad:
    """Some network disks cannot lock."""

    @pytest.fixture(params=[errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS])
    def _no_locks(self, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
        code: int = request.param

        def refuse(*_: object) -> None:
            raise OSError(code, os.strerror(code))

        monkeypatch.setattr(fcntl, "flock", refuse)

    @pytest.mark.usefixtures("_no_locks")
    def test_it_is_refused(self, tmp_path: Path) -> None:
        """Without a lock two writers could harm each other, so the person must say that there is only one."""
        with pytest.raises(LedgerFault, match="If nobody else has the book open, use --alone"):
            take(tmp_path, "head")

    @pytest.mark.usefixtures("_no_locks")
    def test_whoever_is_alone_may_go_on(self, tmp_path: Path) -> None:
        """Said to be alone, the work goes on without a lock."""
        with take(tmp_path, "head", alone=True):
            assert not (tmp_path / "head.who").exists()

    def test_alone_is_no_way_past_a_writer(self, tmp_path: Path) -> None:
        """Where locking works, a second writer is refused whatever is said."""
        with take(tmp_path, "head"), pytest.raises(LockHeld):
            take(tmp_path, "head", alone=True)

    def test_a_lock_on_a_drive_that_is_lost_hides_nothing(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """It cannot be given back, and what went wrong before is what is told."""

        def lost(*_: object, **__: object) -> None:
            raise OSError(errno.ENOTCONN, os.strerror(errno.ENOTCONN))

        with pytest.raises(LedgerFault, match="said first"), take(tmp_path, "head"):
            monkeypatch.setattr(FileLock, "release", lost)
            raise LedgerFault("said first")

    def test_a_lock_folder_that_is_a_link_is_refused(self, tmp_path: Path) -> None:
        """Locks are not made outside of the book."""
        (tmp_path / "elsewhere").mkdir()
        (tmp_path / ".locks").symlink_to(tmp_path / "elsewhere")

        with pytest.raises(LedgerFault, match="it is a link"):
            take(tmp_path / ".locks", "head")
