"""Opening and abandoning runs."""

import errno
import hashlib
import os
import re
import stat
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

import pytest

from clampbook.book.book import Book
from clampbook.book.runs import Opening, abandon, new_run
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.lines import NOTHING_BEFORE, decode, digest
from clampbook.ledger.refusals import LedgerFault, LedgerFull
from clampbook.run_folder import RunFolder


def told(book: Book) -> list[tuple[str, str]]:
    """What the book's log says, as event and run."""
    return [(entry["event"], entry["run"]) for entry in map(decode, book.log_lines())]


class TestNewRun:
    """Frozen files, then the first line, then a line in the log."""

    def test_the_folder_holds_what_was_frozen(self, start: Callable[[], RunFolder]) -> None:
        """The exact bytes of procedure and plan, and a daybook of one line."""
        run = start()

        assert (b'title = "Head"\n', b"{}") == (run.procedure(), run.plan())
        assert ["daybook.jsonl", "plan.json", "procedure.toml"] == sorted(path.name for path in run.path.iterdir())
        assert 1 == len(run.lines()[0])

    def test_its_name_tells_day_and_procedure(self, start: Callable[[], RunFolder]) -> None:
        """The day, the procedure's short name, and letters that make it one of its own."""
        first, second = start(), start()

        assert re.fullmatch("20260302-head-[a-z2-7]{8}", first.id)
        assert first.id != second.id

    def test_the_first_line_names_what_was_frozen(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """Run, book, and the SHA-256 of both files, as sha256sum gives them."""
        first = decode(start().lines()[0][0])

        assert (book.id, hashlib.sha256(b"{}").hexdigest()) == (first["book"], first["plan_sha256"])
        assert hashlib.sha256(b'title = "Head"\n').hexdigest() == first["procedure_sha256"]

    def test_each_run_names_the_log_as_it_stood(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """The first finds an empty log, the second the hash of the line about the first: a lost run leaves a gap."""
        first, second = start(), start()

        heads = [(run.first() or {})["log_head"] for run in (first, second)]
        assert [NOTHING_BEFORE, digest(book.log_lines()[0])] == heads

    def test_the_log_names_each_run(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """One chained line a run, with the hash of its first line, when and by whom."""
        run = start()

        entry = decode(book.log_lines()[0])
        assert ("run_opened", run.id, "ines") == (entry["event"], entry["run"], entry["by"])
        assert digest(run.lines()[0][0]) == entry["first"]
        assert [] == chain_faults(book.root / "book.jsonl", book.log_lines())

    def test_only_the_owner_reads_it(self, start: Callable[[], RunFolder]) -> None:
        """Folder and files are nobody else's."""
        run = start()

        assert [0] * 4 == [stat.S_IMODE(path.stat().st_mode) & 0o077 for path in (run.path, *run.path.iterdir())]

    @pytest.mark.parametrize("step", ["write", "fsync", "rename"])
    @pytest.mark.parametrize("after", range(8))
    def test_no_room_at_any_step_leaves_no_run(
        self, book: Book, start: Callable[[], RunFolder], monkeypatch: pytest.MonkeyPatch, step: str, after: int
    ) -> None:
        """Wherever the disk fills up, the run is either there whole and in the log, or not there at all."""
        real: Callable[..., Any] = getattr(os, step)
        left = after

        def full(*arguments: object) -> object:
            nonlocal left
            left -= 1
            if left == -1:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return real(*arguments)

        with monkeypatch.context() as patch:
            patch.setattr(os, step, full)
            try:
                run = start()
            except LedgerFull:
                assert ((), []) == (book.runs(), told(book))
            else:
                assert [("run_opened", run.id)] == told(book)

        start()
        assert len(book.runs()) == len(told(book))

    def test_what_fails_while_the_first_line_is_made_leaves_no_run(self, book: Book) -> None:
        """A fault of the caller passes through, and nothing is left of the folder."""

        def fails(_: Opening) -> Mapping[str, Any]:
            raise ValueError("no person")

        with pytest.raises(ValueError, match="no person"):
            new_run(book, "head", date(2026, 3, 2), b"", b"", fails)
        assert ((), []) == (book.runs(), list((book.root / "runs" / ".new").iterdir()))

    @pytest.mark.parametrize("slug", ["", "../x", "Head", "a b", "-"])
    def test_a_name_that_is_no_slug_is_refused(
        self, book: Book, opened: Callable[[Opening], Mapping[str, Any]], slug: str
    ) -> None:
        """A folder's name never comes raw from a file's."""
        with pytest.raises(LedgerFault, match="cannot name a run"):
            new_run(book, slug, date(2026, 3, 2), b"", b"", opened)


class TestAbandon:
    """A run given up for good."""

    def test_daybook_and_log_say_so(
        self, book: Book, start: Callable[[], RunFolder], abandoned: Mapping[str, Any]
    ) -> None:
        """The last line of the run, and a line in the log with its hash and by whom."""
        run = start()

        abandon(book, run, abandoned)

        entry = decode(book.log_lines()[-1])
        assert ("abandoned", "run_abandoned", "tomas") == (run.state, entry["event"], entry["by"])
        assert digest(run.lines()[0][-1]) == entry["last"]

    def test_what_is_ended_is_not_abandoned_again(
        self, book: Book, start: Callable[[], RunFolder], abandoned: Mapping[str, Any]
    ) -> None:
        """Nothing is added after the end."""
        run = start()
        abandon(book, run, abandoned)

        with pytest.raises(LedgerFault, match="is abandoned: nothing is added to it"):
            abandon(book, run, abandoned)
        assert 2 == len(run.lines()[0])
