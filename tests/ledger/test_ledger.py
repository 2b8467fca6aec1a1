"""A ledger on disk: what it keeps through cuts, full disks and other programs."""

import errno
import os
import resource
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clampbook.ledger.chain import chain_faults
from clampbook.ledger.ledger import Ledger, read
from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.ledger.refusals import LedgerFault, LedgerFull


def clicked(position: int) -> dict[str, object]:
    """The fields of a click at a position."""
    return {"event": "clicked", "step": f"1.1/{position}", "unit": "N·m"}


@pytest.fixture
def daybook(tmp_path: Path) -> Ledger:
    """A daybook of four lines."""
    ledger = Ledger.open(tmp_path / "daybook.jsonl", create=True)
    for position in range(1, 5):
        ledger.append(clicked(position))
    return ledger


class TestAppend:
    """One answer is one line, safe before it is acknowledged."""

    def test_the_first_line_has_nothing_before_it(self, tmp_path: Path) -> None:
        """Line 1 is number 1 and holds 64 zeros."""
        ledger = Ledger.open(tmp_path / "daybook.jsonl", create=True)

        line = ledger.append({"event": "opened"})

        assert b'{"event":"opened","prev":"' + NOTHING_BEFORE.encode() + b'","seq":1}' == line

    def test_what_is_returned_is_what_stands_on_disk(self, daybook: Ledger) -> None:
        """The whole line comes back, without its newline, and is the last of the file."""
        line = daybook.append(clicked(5))

        assert daybook.path.read_bytes().endswith(b"\n" + line + b"\n")
        assert (line, digest(line)) == (daybook.lines[-1], daybook.head)

    def test_a_reopened_daybook_goes_on_where_it_was(self, daybook: Ledger) -> None:
        """Number and hash go on over a restart."""
        again = Ledger.open(daybook.path)
        again.append(clicked(5))

        lines, torn = read(daybook.path)
        assert ([], 0) == (chain_faults(daybook.path, lines), torn)
        assert 5 == len(lines)

    def test_the_line_is_on_the_disk_before_it_is_acknowledged(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The system is told to make the line safe when the whole of it has been written."""
        seen: list[bytes] = []
        monkeypatch.setattr(os, "fsync", lambda _: seen.append(daybook.path.read_bytes()))

        line = daybook.append(clicked(5))

        assert [True] == [data.endswith(line + b"\n") for data in seen]

    def test_only_the_owner_reads_it(self, daybook: Ledger) -> None:
        """A daybook names people, so nobody else on the machine may read it."""
        assert 0o600 == stat.S_IMODE(daybook.path.stat().st_mode)

    def test_what_the_system_takes_piecemeal_is_written_whole(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A system that takes seven bytes at a time gets the line in pieces."""
        write = os.write
        monkeypatch.setattr(os, "write", lambda descriptor, data: write(descriptor, bytes(data)[:7]))

        daybook.append(clicked(5))

        lines, torn = read(daybook.path)
        assert (5, 0, []) == (len(lines), torn, chain_faults(daybook.path, lines))


class TestTornTail:
    """A power cut can leave half a line; it is moved aside and told."""

    def test_a_torn_line_is_moved_aside_and_counted(self, daybook: Ledger) -> None:
        """The bytes stand in a file beside, the ledger ends with its last whole line."""
        whole = daybook.path.read_bytes()
        daybook.path.write_bytes(whole + b'{"event":"rea')

        again = Ledger.open(daybook.path)

        assert (13, whole) == (again.torn, daybook.path.read_bytes())
        assert b'{"event":"rea' == daybook.path.with_name("daybook.torn-0001").read_bytes()

    def test_a_second_tear_does_not_take_the_place_of_the_first(self, daybook: Ledger) -> None:
        """Every torn tail gets a file of its own."""
        for tail in (b"first", b"second"):
            with daybook.path.open("ab") as file:
                file.write(tail)
            Ledger.open(daybook.path)

        kept = sorted(daybook.path.parent.glob("daybook.torn-*"))
        assert [b"first", b"second"] == [path.read_bytes() for path in kept]

    def test_a_line_that_only_lacks_its_newline_is_not_guessed_at(self, daybook: Ledger) -> None:
        """It was never acknowledged, so it is moved aside like any other torn line."""
        data = daybook.path.read_bytes()
        daybook.path.write_bytes(data[:-1])

        again = Ledger.open(daybook.path)

        assert daybook.lines[:-1] == again.lines
        assert len(daybook.lines[-1]) == again.torn

    def test_reading_changes_nothing(self, daybook: Ledger) -> None:
        """Who only reads may do so while somebody writes: half a line is counted, not moved."""
        data = daybook.path.read_bytes() + b"half"
        daybook.path.write_bytes(data)

        lines, torn = read(daybook.path)

        assert (4, 4) == (len(lines), torn)
        assert (data, ["daybook.jsonl"]) == (daybook.path.read_bytes(), [p.name for p in daybook.path.parent.iterdir()])

    @settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(share=st.floats(0, 1))
    def test_a_cut_at_any_byte_leaves_an_earlier_state(self, daybook: Ledger, share: float) -> None:
        """Cut anywhere: the lines are a prefix of those written, the rest is moved aside, and adding goes on whole."""
        written = b"".join(line + b"\n" for line in daybook.lines)
        cut = daybook.path.parent / "cut" / "daybook.jsonl"
        cut.parent.mkdir(exist_ok=True)
        for old in cut.parent.iterdir():
            old.unlink()
        place = round(share * len(written))
        cut.write_bytes(written[:place])

        again = Ledger.open(cut)
        kept = [*again.lines]
        again.append({"event": "resumed", "torn": again.torn})

        assert daybook.lines[: written[:place].count(b"\n")] == kept
        assert place == sum(len(line) + 1 for line in kept) + again.torn
        lines, torn = read(cut)
        assert (0, []) == (torn, chain_faults(cut, lines, again.head))
        tails = [path.read_bytes() for path in cut.parent.glob("*.torn-*")]
        assert written[place - again.torn : place] == b"".join(tails)


def refuse_after(count: int, code: int) -> Callable[[int, bytes], int]:
    """A write that takes `count` bytes and then fails as the system would."""
    write = os.write
    taken = 0

    def limited(descriptor: int, data: bytes) -> int:
        nonlocal taken
        if taken >= count:
            raise OSError(code, os.strerror(code))
        written = write(descriptor, bytes(data)[: count - taken])
        taken += written
        return written

    return limited


class TestFullDisk:
    """No room: nothing is lost, it is said, and it goes on when there is room."""

    @pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT])
    def test_a_line_for_which_there_is_no_room_leaves_no_trace(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch, code: int
    ) -> None:
        """What half of the line was written is cut away again, and the person is told to make room."""
        before = daybook.path.read_bytes()
        monkeypatch.setattr(os, "write", refuse_after(20, code))

        with pytest.raises(LedgerFull) as full:
            daybook.append(clicked(5))

        assert (before, 4) == (daybook.path.read_bytes(), len(daybook.lines))
        expected = f"Disk full. '{daybook.path}' could not be written. Free some space, then try again"
        assert expected == full.value.sentence

    def test_adding_goes_on_when_there_is_room(self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
        """The same open ledger takes the same answer again, as if nothing had been."""
        with monkeypatch.context() as patch, pytest.raises(LedgerFull):
            patch.setattr(os, "write", refuse_after(20, errno.ENOSPC))
            daybook.append(clicked(5))

        daybook.append(clicked(5))

        lines, torn = read(daybook.path)
        assert (5, 0, []) == (len(lines), torn, chain_faults(daybook.path, lines, daybook.head))

    def test_room_that_is_missed_only_when_making_it_safe(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Some disks say only at the end that there was no room: the line is taken away again."""
        before = daybook.path.read_bytes()

        def full(_: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(LedgerFull):
            daybook.append(clicked(5))

        assert before == daybook.path.read_bytes()

    def test_where_even_cutting_back_fails_nothing_more_is_added(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Half a line that could not be taken away is never written on to; opening anew sets it aside."""
        with monkeypatch.context() as patch, pytest.raises(LedgerFault):
            patch.setattr(os, "write", refuse_after(20, errno.EIO))
            patch.setattr(os, "ftruncate", refuse_after(0, errno.EIO))
            daybook.append(clicked(5))

        with pytest.raises(LedgerFault, match="was changed by another program"):
            daybook.append(clicked(5))
        assert 20 == Ledger.open(daybook.path).torn

    def test_an_interrupt_in_the_middle_leaves_no_half_line(
        self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Ctrl-C while the line is on its way to the disk: it is there whole or not at all."""
        before = daybook.path.read_bytes()

        def interrupted(_: int) -> None:
            monkeypatch.undo()
            raise KeyboardInterrupt

        monkeypatch.setattr(os, "fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            daybook.append(clicked(5))

        assert before == daybook.path.read_bytes()

    def test_a_real_limit_of_the_system(self, daybook: Ledger) -> None:
        """With the system's own limit on a file's size, a process adds until it is refused, and the chain is whole."""
        limit = daybook.path.stat().st_size + 500
        script = (
            "import resource, sys; from pathlib import Path\n"
            "from clampbook.ledger.ledger import Ledger; from clampbook.ledger.refusals import LedgerFull\n"
            f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {resource.RLIM_INFINITY}))\n"
            "ledger = Ledger.open(Path(sys.argv[1]))\n"
            "try:\n"
            "    while True: ledger.append({'event': 'noted', 'text': 'oil on the bench'})\n"
            "except LedgerFull:\n"
            f"    resource.setrlimit(resource.RLIMIT_FSIZE, ({resource.RLIM_INFINITY}, {resource.RLIM_INFINITY}))\n"
            "    ledger.append({'event': 'noted', 'text': 'room again'})\n"
            "    print(len(ledger.lines))\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", script, str(daybook.path)], capture_output=True, text=True, check=True
        )

        lines, torn = read(daybook.path)
        assert (int(done.stdout), 0, []) == (len(lines), torn, chain_faults(daybook.path, lines))
        assert b"room again" in lines[-1]


class TestOtherPrograms:
    """Nothing is added to a file that is not the one last known."""

    def test_a_file_made_longer_is_refused(self, daybook: Ledger) -> None:
        """Somebody else's line at the end: the answer is not stored behind it."""
        with daybook.path.open("ab") as file:
            file.write(b"{}\n")

        with pytest.raises(LedgerFault, match="was changed by another program"):
            daybook.append(clicked(5))
        assert daybook.path.read_bytes().endswith(b"{}\n")

    def test_a_file_made_shorter_is_refused(self, daybook: Ledger) -> None:
        """A line taken away behind our back is noticed before the next is written."""
        with daybook.path.open("r+b") as file:
            file.truncate(len(daybook.lines[0]) + 1)

        with pytest.raises(LedgerFault, match="was changed by another program"):
            daybook.append(clicked(5))

    def test_a_file_that_lost_its_last_newline_is_refused(self, daybook: Ledger) -> None:
        """Two lines would become one: nothing is added to a file that does not end in a newline."""
        data = daybook.path.read_bytes()
        with daybook.path.open("r+b") as file:
            file.write(data[:-1] + b" ")

        with pytest.raises(LedgerFault, match="the last line of"):
            daybook.append(clicked(5))

    def test_a_file_put_in_its_place_is_refused(self, daybook: Ledger) -> None:
        """A copy saved over it by an editor is another file, even with the same bytes."""
        data = daybook.path.read_bytes()
        copy = daybook.path.with_name("copy")
        copy.write_bytes(data)
        copy.replace(daybook.path)

        with pytest.raises(LedgerFault, match="was replaced by another file"):
            daybook.append(clicked(5))

    def test_a_vanished_folder_is_told(self, daybook: Ledger) -> None:
        """A drive pulled out: the answer is not stored into thin air."""
        daybook.path.parent.rename(daybook.path.parent.with_name("elsewhere"))

        with pytest.raises(LedgerFault, match="disk unplugged"):
            daybook.append(clicked(5))

    def test_a_file_that_may_not_be_written_is_told(self, daybook: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
        """A book on a read-only disk takes no answer."""

        def refuse(*_: object) -> int:
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))

        monkeypatch.setattr(os, "open", refuse)
        with pytest.raises(LedgerFault, match="could not be written: this disk is read-only"):
            daybook.append(clicked(5))


class TestOpening:
    """What is no ledger is refused with a sentence."""

    def test_a_new_ledger_takes_no_other_file_s_place(self, daybook: Ledger) -> None:
        """Making a ledger where one stands is refused."""
        with pytest.raises(LedgerFault, match="could not be made: file exists"):
            Ledger.open(daybook.path, create=True)

    def test_a_ledger_that_is_not_there(self, tmp_path: Path) -> None:
        """Opening makes no file by itself."""
        with pytest.raises(LedgerFault, match="it is not there"):
            Ledger.open(tmp_path / "daybook.jsonl")
        assert [] == list(tmp_path.iterdir())

    def test_a_link_is_not_followed(self, daybook: Ledger) -> None:
        """A link could lead out of the book."""
        link = daybook.path.with_name("link.jsonl")
        link.symlink_to(daybook.path)

        with pytest.raises(LedgerFault, match="it is a link"):
            Ledger.open(link)

    @pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo])
    def test_what_is_no_plain_file(self, tmp_path: Path, make: Callable[[Path], None]) -> None:
        """A folder or a pipe of that name is told, and nothing waits on it."""
        make(tmp_path / "daybook.jsonl")

        with pytest.raises(LedgerFault, match="could not be"):
            read(tmp_path / "daybook.jsonl")
        with pytest.raises(LedgerFault, match="could not be"):
            Ledger.open(tmp_path / "daybook.jsonl")
