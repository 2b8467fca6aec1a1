"""What holds for every test."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from clampbook.signing import secret

if TYPE_CHECKING:
    from sealing import Shop

# Modules are compiled once, not at each of some thousand starts of the program, whatever the surroundings would have.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

TESTS = Path(__file__).parent
# Files whose tests mostly wait, for a terminal or for the time that a pull takes; the longest tests first.
WAITING = (
    "screens/test_ten_minutes.py",
    "bench_model/test_bench_model.py",
    "screens/test_terminal.py",
    "screens/new_book/test_new_book_terminal.py",
    "screens/check/test_check_terminal.py",
    "test_no_room.py",
    "endurance/test_quick.py",
)
BEGUN_BY = 0.7  # share of a worker's tests among which those that wait are spread, so that none is begun last


def pytest_configure(config: pytest.Config) -> None:
    """Several workers take tests from one another, as some wait for minutes."""
    if config.getoption("dist", "no") == "load":
        config.option.dist = "worksteal"


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Where several work, each gets some tests that wait, spread among its others, so that the processors never do."""
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if workers > 1:
        items[:] = spread(items, workers)


def spread(items: list[pytest.Item], workers: int) -> list[pytest.Item]:
    """The same tests in the order in which they are dealt out: as many neighbours to each worker, a file as a whole."""
    rank = {TESTS / name: place for place, name in enumerate(WAITING)}
    waiting = sorted((item for item in items if item.path in rank), key=lambda item: rank[item.path])
    others = [item for item in items if item.path not in rank]
    share = len(items) / workers
    turns = -(-len(waiting) // workers)
    dealt = [
        (number % workers * share + number // workers / turns * share * BEGUN_BY, [item])
        for number, item in enumerate(waiting)
    ]
    place = 0.0
    for _, file in groupby(others, key=lambda item: item.path):
        dealt.append((place, tests := list(file)))
        place += len(tests) * len(items) / len(others)
    return [item for _, tests in sorted(dealt, key=lambda each: each[0]) for item in tests]


@pytest.fixture(autouse=True, scope="session")
def quick_keys() -> Iterator[None]:
    """Keys are made and unlocked hundreds of times: in tests by as few rounds as OpenSSH itself takes at least."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(secret, "ROUNDS", 1)
        yield


@pytest.fixture
def whinchat(tmp_path: Path) -> Shop:
    """A book at the Whinchat in which Ines and Maud sign with keys."""
    from sealing import shop

    return shop(tmp_path / "book")


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """At the same book, in which they only type their names."""
    from sealing import shop

    return shop(tmp_path / "book", keys=False)
