"""The guard of a merge: keeps out a folder that the other book does not know by its name, or signed as another."""

from __future__ import annotations

from functools import cached_property

from clampbook.book.book import CHECKS, Book
from clampbook.book.soundness.verifying import Verifying
from clampbook.check.folder import CheckFolder
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import RunFolder
from clampbook.signing.wire import KeyFault

_FORGED = frozenset({"S510", "S511", "S515", "S516"})  # not known to its log, or signed as another


class Guard:
    """Looks at each folder of another book before it is copied; its logs are read once, at the first."""

    def __init__(self, other: Book) -> None:
        self._other = other

    def keep_out(self, run: RunFolder) -> None:
        """Raises LedgerFault for what the other book does not know as this, or what cannot be held against it."""
        verifying = self._verifying
        checked = run.path.parent.name == CHECKS
        verified = verifying.check(CheckFolder(run.path)) if checked else verifying.run(run)
        wrong = next((each for each in verified.faults if each.code in _FORGED), None)
        if wrong is not None:
            told = f"its files do not match the log of its book ({wrong.path}: {wrong.text})"
            raise LedgerFault(f"{told}. See more there with: clampbook verify")

    @cached_property
    def _verifying(self) -> Verifying:
        try:
            return Verifying(self._other)
        except KeyFault as refused:
            raise LedgerFault(f"it cannot be compared with its book: {refused.sentence}") from refused
        except Faulty as faulty:
            raise LedgerFault(f"it cannot be compared with its book: {faulty.faults[0].text}") from faulty
