"""What came in by a merge, and what stayed out and why."""

from __future__ import annotations

from msgspec import Struct

from clampbook.book.book import CHECKS, RUNS


class Merged(Struct, frozen=True):
    """What came in: names of runs and checks, and how many were here already; `told`: what did not, and why."""

    runs: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    already: int = 0
    others: tuple[str, ...] = ()  # procedures, people, tools that came with them
    told: tuple[str, ...] = ()


class Found:
    """What was done so far, to be told."""

    def __init__(self) -> None:
        self.came: dict[str, list[str]] = {RUNS: [], CHECKS: []}
        self.already = 0
        self.others: list[str] = []
        self.told: list[str] = []
