"""A program that is killed with SIGKILL while it writes the index: the next one finds all the same.

CLAMPBOOK_KILLS sets how many there are (default 200, of which a fifth are tried here).
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import time
from pathlib import Path

from archive.book_of_records import found, made
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive
from clampbook.archive.store import INDEX
from clampbook.book.book import Book

KILLS = max(1, int(os.environ.get("CLAMPBOOK_KILLS", "200")) // 5)
COPIES = 12  # of each of the four runs
LONGEST = 0.25  # seconds until the kill


def test_kills_while_the_index_is_written(tmp_path: Path) -> None:
    """Made, brought up to date, or thrown away: whenever it was cut short, every run is found, and each once."""
    killed_and_found(tmp_path / "book", KILLS, "index")


def killed_and_found(root: Path, kills: int, seed: str) -> None:
    """So many kills of the index of a new book, in which every run is found now and then, and at the end."""
    book = many(root)
    everything = sorted(run.id for run in book.runs())
    chance = random.Random(seed)

    for _ in range(kills):
        if chance.random() < 0.3:
            (book.root / INDEX).unlink(missing_ok=True)
        for run in chance.sample(everything, 10):
            os.utime(book.path("runs", run, "record.toml"))
        killed_while_refreshing(book.root, chance.uniform(0, LONGEST))
        if chance.random() < 0.2:
            assert everything == sorted(found(book, Query()))

    assert everything == sorted(found(book, Query()))


def many(root: Path) -> Book:
    """The runs of the little book, each a dozen times."""
    book = made(root)
    for run in book.runs():
        for number in range(1, COPIES):
            letters = "abcdefghijkl"[number] * 8
            shutil.copytree(run.path, run.path.with_name(f"{run.id[:-8]}{letters}"))
    return book


def killed_while_refreshing(root: Path, after: float) -> None:
    """A process of its own brings the index up to date; it is killed after so many seconds."""
    child = os.fork()
    if child == 0:
        try:
            with Archive(root) as archive:
                archive.refresh()
        finally:
            os._exit(0)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
