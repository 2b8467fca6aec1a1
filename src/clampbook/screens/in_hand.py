"""Work in hand, a run or a check: nobody else writes to it until it is left, and leaving it is a safe pause."""

from __future__ import annotations

import contextlib
from abc import ABC, abstractmethod
from pathlib import Path
from typing import Any, Protocol

from clampbook.book.book import Book
from clampbook.ledger.event import PauseCause
from clampbook.ledger.stamp import Clock
from clampbook.run.gather.draft import Part
from clampbook.run_folder import RunFolder


class Gathers(Protocol):
    """A taker of lines that holds what came of them: `part` is the question of an answer of several, if one is
    asked."""

    part: Part | None

    @property
    def prompt(self) -> Any: ...

    @property
    def session(self) -> Any: ...

    @property
    def notice(self) -> Any: ...

    @property
    def over(self) -> bool: ...

    def line(self, text: str, lost: str = "") -> None: ...

    def back(self) -> object: ...

    def leave(self) -> object: ...

    def tell(self, sentence: str) -> None: ...


class InHand(ABC):
    """The work in hand until it is left; `_stack` holds the lock and all else that is to be let go of then."""

    gathering: Gathers

    def __init__(self, book: Book, run: RunFolder, clock: Clock) -> None:
        self.book = book
        self.run = run
        self.clock = clock
        self.outcome = "paused"
        self._stack = contextlib.ExitStack()
        self._left = False

    @abstractmethod
    def ended(self) -> str | None:
        """Tell how it ended; None where it goes on another day."""

    @abstractmethod
    def pause(self, cause: PauseCause) -> None:
        """Store a pause."""

    @abstractmethod
    def conclude(self) -> Path | None:
        """Record what is over; gives the record's path, where there is one."""

    def leave(self, cause: PauseCause = "asked") -> Path | None:
        """Store a pause where it goes on another day, let others write, and record what is over.

        Gives the record's path where there is one. Does nothing the second time.
        """
        if self._left:
            return None
        self._left = True
        try:
            if self.ended() is None:
                self.pause(cause)
        finally:
            self._stack.close()
        self.outcome = self.ended() or "paused"
        return self.conclude()
