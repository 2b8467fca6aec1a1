"""The account of a merge: what came in, and what stayed out and why."""

from __future__ import annotations

from msgspec import Struct

from clampbook.book.book import CHECKS, RUNS


class Merged(Struct, frozen=True):
    """The result of a merge: names of runs and checks, and how many were here already; `told`: what did not come,
    and why."""

    runs: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    already: int = 0
    others: tuple[str, ...] = ()  # procedures, people, tools that came with them
    told: tuple[str, ...] = ()


class Found:
    """The account so far, to be told."""

    def __init__(self) -> None:
        self.came: dict[str, list[str]] = {RUNS: [], CHECKS: []}
        self.already: dict[str, list[str]] = {RUNS: [], CHECKS: []}
        self.others: list[str] = []
        self.told: list[str] = []
