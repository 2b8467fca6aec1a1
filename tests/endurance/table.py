"""The rows of the table, each with the tries of a long evening. Another row is a line here and a function."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from endurance import competing, filling, killing, signalling, storming
from endurance.books import full_book
from endurance.rows import Found

Test = Callable[[Path, int, int], Found]  # a folder to work in, tries, seed


@dataclass(frozen=True)
class Row:
    """What is tried, how often unless somebody says, and how often in the quick suite."""

    test: Test
    tries: int
    quick: int


def _at_a_full_book(test: Callable[[Path, Path, int, int], Found]) -> Test:
    """A test that works on copies of the full book."""

    def run(place: Path, tries: int, seed: int) -> Found:
        book = place / "full"
        told = killing.in_a_child(lambda: full_book(book))
        assert told == "", told
        return test(book, place, tries, seed)

    return run


ROWS: dict[str, Row] = {
    "keys and bytes": Row(_at_a_full_book(storming.storms), 100_000, quick=800),
    "signals": Row(_at_a_full_book(signalling.signals), 500, quick=3),
    **{f"kills of {name}": Row(partial(killing.kills, job), 200, quick=1) for name, job in killing.JOBS.items()},
    **{f"full disk, {name}": Row(partial(filling.full_disks, job), 100, quick=1) for name, job in killing.JOBS.items()},
    "two writers": Row(partial(competing.two_writers, killing.AT_ONCE), 140, quick=2),
}
