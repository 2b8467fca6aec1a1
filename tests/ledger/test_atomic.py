"""Files that are there whole or not at all."""

import errno
import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from clampbook.ledger import atomic
from clampbook.ledger.refusals import LedgerFault, LedgerFull


class TestWrite:
    """A file is replaced in one step."""

    def test_a_new_file_holds_the_bytes(self, tmp_path: Path) -> None:
        """Written, readable by its owner alone, and nothing left beside it."""
        atomic.write(tmp_path / "people.toml", b"one")

        assert b"one" == (tmp_path / "people.toml").read_bytes()
        assert 0o600 == stat.S_IMODE((tmp_path / "people.toml").stat().st_mode)
        assert ["people.toml"] == [path.name for path in tmp_path.iterdir()]

    def test_the_mode_holds_whatever_the_umask(self, tmp_path: Path) -> None:
        """Who may read a file is said by the caller, not by the shell."""
        old = os.umask(0o077)
        try:
            atomic.write(tmp_path / "report.pdf", b"one", mode=0o644)
        finally:
            os.umask(old)

        assert 0o644 == stat.S_IMODE((tmp_path / "report.pdf").stat().st_mode)

    @pytest.mark.parametrize("step", ["write", "fsync"])
    def test_no_room_leaves_the_old_file(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
        """Where the new one finds no room the old one stands untouched, and nothing is left beside it."""
        atomic.write(tmp_path / "people.toml", b"old")

        def full(*_: object) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(os, step, full)
        with pytest.raises(LedgerFull, match="Free some space"):
            atomic.write(tmp_path / "people.toml", b"new")

        assert b"old" == (tmp_path / "people.toml").read_bytes()
        assert ["people.toml"] == [path.name for path in tmp_path.iterdir()]

    def test_parts_that_break_off_leave_the_old_file(self, tmp_path: Path) -> None:
        """Of a long file as many parts as there are stand in it, and none of them where one cannot be made."""

        def broken() -> Iterator[bytes]:
            yield b"new"
            raise LedgerFault("the index is damaged")

        atomic.write_parts(tmp_path / "readings.csv", lambda: (b"one", b"", b"two"))
        with pytest.raises(LedgerFault, match="the index is damaged"):
            atomic.write_parts(tmp_path / "readings.csv", broken)

        assert b"onetwo" == (tmp_path / "readings.csv").read_bytes()
        assert ["readings.csv"] == [path.name for path in tmp_path.iterdir()]

    def test_a_folder_that_is_not_there(self, tmp_path: Path) -> None:
        """A vanished folder is a sentence."""
        with pytest.raises(LedgerFault, match="it is not there"):
            atomic.write(tmp_path / "gone" / "people.toml", b"new")

    def test_a_link_is_replaced_and_not_followed(self, tmp_path: Path) -> None:
        """A link in the book never makes a write land outside of it."""
        (tmp_path / "outside").write_bytes(b"theirs")
        (tmp_path / "people.toml").symlink_to(tmp_path / "outside")

        atomic.write(tmp_path / "people.toml", b"ours")

        assert (b"theirs", False) == ((tmp_path / "outside").read_bytes(), (tmp_path / "people.toml").is_symlink())


class TestTemporary:
    """Half a file is known by its name."""

    def test_what_a_kill_leaves_is_known(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """The file written beside, before it is put in place, has a name that no other file has."""
        seen: list[str] = []
        sync = os.fsync

        def look(descriptor: int) -> None:
            seen.extend(path.name for path in tmp_path.iterdir())
            sync(descriptor)

        monkeypatch.setattr(os, "fsync", look)
        atomic.write(tmp_path / "people.toml", b"one")

        assert [True, False] == [atomic.is_temporary(name) for name in seen]
        assert not atomic.is_temporary(".people.toml.tmp")
