"""Long work that somebody stops with Ctrl-C says how far it came; long sentences are folded where a person reads."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from clampbook import cli
from clampbook.archive.index import Archive
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.verifying import Verifying
from clampbook.commands.options import say
from clampbook.run_folder import RunFolder
from sealing import sealed, shop, walked


def test_verifying_that_is_stopped_names_the_first_run_that_was_not_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And what was wrong until then, and that nothing was changed; the status is 130."""
    at = shop(tmp_path / "book")
    first, second = sorted((sealed(at), sealed(at)), key=lambda run: run.id)
    (first.path / "plan.json").write_bytes(b"{}")
    real = Verifying.look

    def until_the_second(self: Verifying, run: RunFolder) -> Looked:
        if run.id == second.id:
            raise KeyboardInterrupt
        return real(self, run)

    monkeypatch.setattr(Verifying, "look", until_the_second)

    assert 130 == cli.status(["verify", "--book", str(at.book.root)])
    out, err = capsys.readouterr()
    assert "" == out
    assert f"Stopped: 1 of 2 checked, with problems: {first.id}. " in err
    assert f"Nothing is known of the last 1, from {second.id} on. Nothing was changed." in err


def test_runs_that_are_only_not_sealed_yet_are_not_called_unsound(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Stopped after the first of two that are closed, not sealed."""
    at = shop(tmp_path / "book", keys=False)
    second = max((walked(at), walked(at)), key=lambda run: run.id)
    real = Verifying.look

    def until_the_second(self: Verifying, run: RunFolder) -> Looked:
        if run.id == second.id:
            raise KeyboardInterrupt
        return real(self, run)

    monkeypatch.setattr(Verifying, "look", until_the_second)

    assert 130 == cli.status(["verify", "--book", str(at.book.root)])
    assert "Stopped: 1 of 2 checked. Nothing is known of the last 1" in capsys.readouterr().err


def test_a_search_that_is_stopped_while_records_are_read_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """How many were not read, and that no run was changed; the status is 130."""
    at = shop(tmp_path / "book", keys=False)
    walked(at)

    def stopped(_: Archive, progress: Any, __: object) -> int:
        progress(30, 70)
        raise KeyboardInterrupt

    monkeypatch.setattr(Archive, "refresh", stopped)

    assert 130 == cli.status(["find", "cover", "--book", str(at.book.root)])
    out, err = capsys.readouterr()
    assert "" == out
    assert "30 of 70 records were read for the index. Nothing was searched or changed." in err


@pytest.mark.parametrize(("terminal", "longest"), [(True, 40), (False, 71)])
def test_what_is_said_is_folded_at_a_terminal_only(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], terminal: bool, longest: int
) -> None:
    """At 40 columns no word is cut; in a pipe the line is whole."""
    sentence = "Write the fingerprint down outside this book: somebody may look for it."
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal)

    say(sentence)

    told = capsys.readouterr().err
    assert sentence.split() == told.split()
    assert longest >= max(map(len, told.splitlines())) > longest - 12
