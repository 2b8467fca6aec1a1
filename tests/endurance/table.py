"""The rows of the table, each with the tries of a long evening. Another row is a line here and a function."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from endurance import competing, damaged_books, damaging, filling, killing, signalling, storming, tampering, walking
from endurance.books import full_book
from endurance.children import in_a_child
from endurance.rows import Found

Test = Callable[[Path, int, int], Found]  # a folder to work in, tries, seed


@dataclass(frozen=True)
class Row:
    """What is tried, how often unless somebody says, and how often in the quick suite (0: it is there anyway)."""

    test: Test
    tries: int
    quick: int


def _at_a_full_book(test: Callable[[Path, Path, int, int], Found]) -> Test:
    """A test that works on copies of the full book."""

    def run(place: Path, tries: int, seed: int) -> Found:
        book = place / "full"
        told = in_a_child(lambda: full_book(book))
        assert told == "", told
        return test(book, place, tries, seed)

    return run


def _damaged_books(book: Path, place: Path, tries: int, seed: int) -> Found:
    """Damages of every file of the full book, three commands on each."""
    del place
    found = damaged_books.damaged(book, range(seed * 1_000_000, seed * 1_000_000 + -(-tries // 3)))
    return Found(found.tries, found.failures)


ROWS: dict[str, Row] = {
    "keys and bytes": Row(_at_a_full_book(storming.storms), 100_000, quick=800),
    "signals": Row(_at_a_full_book(signalling.signals), 500, quick=3),
    "kills of walk": Row(walking.kills_of_walk, 500, quick=0),  # tests/test_kills.py has its own share
    "kills of index": Row(walking.kills_of_the_index, 200, quick=0),  # so has tests/archive/test_killed.py
    **{f"kills of {name}": Row(partial(killing.kills, job), 200, quick=1) for name, job in killing.JOBS.items()},
    **{f"full disk, {name}": Row(partial(filling.full_disks, job), 100, quick=1) for name, job in killing.JOBS.items()},
    "two writers": Row(partial(competing.two_writers, killing.AT_ONCE), 140, quick=2),
    "clock set back in a run": Row(walking.clocks_set_back, 200, quick=1),
    **{f"damaged: {name}": Row(test, 10_000, quick=0) for name, test in damaging.ENTRANCES.items()},
    "damaged: books": Row(_at_a_full_book(_damaged_books), 10_000, quick=0),
    "tampering": Row(tampering.tamperings, 3 * len(tampering.CASES), quick=0),  # so has test_tampering.py
}
