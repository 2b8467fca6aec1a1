"""Runs that are killed on their way, an index that is killed while it is written, and a clock that is set back."""

from __future__ import annotations

import random
import traceback
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from archive.test_killed import killed_and_found
from clampbook.book.soundness.verifying import Verifying
from endurance.children import in_a_child
from endurance.rows import Found
from sealing import Ticking, shop, signed, walked
from test_kills import killed_on_the_way, walked_undisturbed

OF_ONE_RUN = 20  # kills
OF_ONE_BOOK = 50  # kills of its index


class SetBack(Ticking):
    """A clock that somebody sets back, or forth, now and then, by minutes or days."""

    def __init__(self, chance: random.Random) -> None:
        super().__init__()
        self.chance = chance

    def now(self) -> datetime:
        """The next time."""
        if self.chance.random() < 0.2:
            self.at += timedelta(minutes=self.chance.choice((-1, -20, -90, -3000, 15, 2000)))
        return super().now()


def kills_of_walk(place: Path, tries: int, seed: int) -> Found:
    """The head of the Whinchat, killed twenty times a run."""
    undisturbed = walked_undisturbed(place / "undisturbed")

    def one(root: Path, number: int, kills: int) -> None:
        killed_on_the_way(root, seed * 1000 + number, kills, undisturbed)

    return _by_parts(place, tries, OF_ONE_RUN, one)


def kills_of_the_index(place: Path, tries: int, seed: int) -> Found:
    """The index of forty-eight runs, killed fifty times a book."""
    return _by_parts(
        place, tries, OF_ONE_BOOK, lambda root, number, kills: killed_and_found(root, kills, f"index {seed} {number}")
    )


def clocks_set_back(place: Path, tries: int, seed: int) -> Found:
    """A run is walked, signed and sealed by such a clock; it is sound, and whoever reads it is told of the clock."""

    def one(root: Path, number: int, _: int) -> None:
        assert in_a_child(lambda: _walked_and_sealed(root, random.Random(f"clock {seed} {number}"))) == ""

    return _by_parts(place, tries, 1, one)


def _walked_and_sealed(root: Path, chance: random.Random) -> None:
    at = shop(root, keys=False)
    object.__setattr__(at, "clock", SetBack(chance))
    run = walked(at)
    signed(at, run).seal()
    assert () == Verifying(at.book).run(run).faults
    assert () == Verifying(at.book).book()
    lines = run.lines()[0]
    times = [line.split(b'"at":"')[1][:24] for line in lines]
    assert times == sorted(times) or b"clock" in b"".join(lines)


def _by_parts(place: Path, tries: int, most: int, one: Callable[[Path, int, int], None]) -> Found:
    """So many tries, some of them in one book; a failure of one of them is one of that book."""
    found = Found()
    while found.tries < tries:
        some = min(most, tries - found.tries)
        number = found.tries
        found.tries += some
        try:
            one(place / f"book-{number}", number, some)
        except Exception:
            found.failures.append(f"{number}: {traceback.format_exc()[-2000:]}")
    return found
