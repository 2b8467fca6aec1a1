"""How far verifying a whole book has come: said on a terminal alone, and taken up after a stop."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from benchmarks.old_books import made
from clampbook import cli
from clampbook.book.soundness import side_by_side, stopped
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.stopped import Before
from clampbook.book.soundness.verifying import Verifying
from clampbook.commands import how_far
from clampbook.commands.how_far import HowFar, in_short
from clampbook.run_folder import RunFolder

MANY = 24  # runs
STOPPED_AT = 11


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with so many sealed runs."""
    root = tmp_path_factory.mktemp("whinchat") / "book"
    made(root, MANY)
    return root


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is kept after a stop lies in the folder of nobody else."""
    monkeypatch.setattr(stopped, "_place", lambda ground: tmp_path / "verifying" / f"{ground[:16]}.json")


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "1 s"),
        (7, "7 s"),
        (23, "25 s"),
        (90, "90 s"),
        (91, "2 min"),
        (720, "12 min"),
        (5400, "90 min"),
        (5401, "2 h"),
        (72_000, "20 h"),
    ],
)
def test_a_time_to_wait_is_said_in_round_figures(seconds: float, said: str) -> None:
    """Rounded up: nobody minds what is over early."""
    assert in_short(seconds) == said


class Watched:
    """Somebody who looks at a terminal, and a clock that goes as the test wants."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, columns: int = 80) -> None:
        self.at = 100.0
        monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
        monkeypatch.setattr(how_far, "monotonic", lambda: self.at)
        monkeypatch.setattr(shutil, "get_terminal_size", lambda: os.terminal_size((columns, 24)))


def test_it_says_how_many_are_done_and_how_long_the_others_take(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1240 in 3.5 seconds: the other 8760 take about 25 more. Nothing is estimated from the first blink."""
    clock = Watched(monkeypatch)
    far = HowFar(10_000, "runs")
    clock.at += 0.2
    far.come(40)
    assert "\r40 of 10000 runs, Ctrl-C stops" == capsys.readouterr().err
    clock.at += 3.3
    far.come(1240)
    assert "\r1240 of 10000 runs, about 25 s left, Ctrl-C stops" == capsys.readouterr().err


def test_the_estimate_follows_what_is_slow_now(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is taken up goes by quickly, and says nothing of the runs after it."""
    clock = Watched(monkeypatch)
    far = HowFar(10_000, "runs")
    clock.at += 1
    far.come(5000)
    for number in range(5001, 5101):
        clock.at += 0.5
        far.come(number)

    assert "5100 of 10000 runs, about 41 min left" in capsys.readouterr().err.split("\r")[-1]


def test_a_shorter_line_leaves_nothing_of_the_longer_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """At its end it is a line of its own."""
    clock = Watched(monkeypatch)
    far = HowFar(100, "runs and checks")
    clock.at += 2
    far.come(50)
    far.end()

    longest = len("50 of 100 runs and checks, about 2 s left, Ctrl-C stops")
    assert capsys.readouterr().err.endswith(f"\r{'100 of 100 runs and checks':<{longest}}\n")


def test_at_40_columns_it_stays_on_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """How to stop it goes first."""
    clock = Watched(monkeypatch, 40)
    far = HowFar(10_000, "runs")
    clock.at += 3.5
    far.come(1240)

    assert "\r1240 of 10000 runs, about 25 s left" == capsys.readouterr().err


def test_a_pipe_gets_nothing_of_it(root: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither on standard output nor beside it."""
    assert 0 == cli.status(["verify", "--book", str(root)])
    out, err = capsys.readouterr()
    assert f"{MANY} runs intact: {MANY} with typed names" == out.splitlines()[0]
    assert "" == err


def test_a_terminal_is_told_all_of_them_at_the_end(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And the outcome stands on standard output alone."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)

    assert 0 == cli.status(["verify", "--book", str(root)])
    out, err = capsys.readouterr()
    assert err.endswith("\n") and f"{MANY} of {MANY} runs" == err.split("\r")[-1].strip()
    assert "\r" not in out


def stopped_after_eleven(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody presses Ctrl-C once that many runs are verified."""
    real = Verifying.look
    looked: list[RunFolder] = []

    def until(self: Verifying, folder: RunFolder, before: Mapping[str, Before] | None = None) -> Looked:
        if len(looked) == STOPPED_AT:
            raise KeyboardInterrupt
        looked.append(folder)
        return real(self, folder, before)

    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T14:05:00Z")
    with monkeypatch.context() as patch:
        patch.setattr(Verifying, "look", until)
        patch.setattr(side_by_side, "processors", lambda: 1)  # on a busy machine others would be started meanwhile
        assert 130 == cli.status(["verify", "--book", str(root)])


def test_what_was_stopped_is_taken_up_and_the_result_says_so(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Once: a pass that came to its end leaves nothing to the next one."""
    stopped_after_eleven(root, monkeypatch)
    out, err = capsys.readouterr()
    assert "" == out
    assert f"Stopped: {STOPPED_AT} of {MANY} checked." in err
    assert "Verify again within 24 hours to go on from here." in err

    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T15:00:00Z")
    assert 0 == cli.status(["verify", "--book", str(root), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert {"count": STOPPED_AT, "since": "2026-03-02T14:05:00+00:00"} == told["counted_before"]
    assert MANY == len(told["runs"]) and told["intact"]

    assert 0 == cli.status(["verify", "--book", str(root), "--json"])
    assert json.loads(capsys.readouterr().out)["counted_before"] is None


def test_the_result_says_in_words_what_was_counted_before(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """How many, when, and that their files were read again."""
    stopped_after_eleven(root, monkeypatch)
    capsys.readouterr()

    assert 0 == cli.status(["verify", "--book", str(root)])
    assert (
        f"{STOPPED_AT} of {MANY} were counted before verify was stopped, from 2026-03-02 14:05 on. "
        "Their files were read again now: every byte is the same."
    ) in capsys.readouterr().out.splitlines()
