"""The seal of a check of a tool: whoever closed it signs the seal, where they have a key; else it is sealed as it is.

A check holds no sign-offs: the signature of its seal is the only one, and covers every file and every page.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.book import LOCKS, Book
from clampbook.book.keys import announced, known_keys, open_to_others, unlock
from clampbook.book.sealing.facts import take_away
from clampbook.book.sealing.seal_writing import log_head, log_seal, put_seal
from clampbook.book.sealing.sealer import not_before_the_key
from clampbook.check import events as e
from clampbook.check.folder import CheckFolder
from clampbook.ledger import atomic, lock
from clampbook.ledger.inside import inside
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.record.checks.verify import is_ours
from clampbook.record.sealed.dues import SealDue
from clampbook.record.sealed.folder import lying
from clampbook.record.sealed.names import ALLOWED, REPORT
from clampbook.run_folder import SEAL
from clampbook.signing import allowed

if TYPE_CHECKING:
    from clampbook.signing.secret import SecretKey


class CheckSigning:
    """The seal of one check. Raises LedgerFault where its last line cannot be read."""

    what = "check"
    disagreement = None

    def __init__(self, book: Book, check: CheckFolder, clock: Clock) -> None:
        self._book = book
        self._check = check
        self._clock = clock
        self._key: SecretKey | None = None
        self._left = False
        self._by = _closer(book, check)

    @property
    def sealed(self) -> bool:
        """True once the seal stands."""
        return inside(self._check.path, SEAL).exists()

    @property
    def report(self) -> Path:
        """The path of the report, once the check is sealed."""
        return self._check.path / REPORT

    @property
    def log_end(self) -> str:
        """The end of the book's log now, as it is noted down outside the book. Raises LedgerFault."""
        return log_head(self._book).shown

    @property
    def beside(self) -> tuple[str, ...]:
        """The sentences that are said before somebody signs: whoever else can get at the keys of this book."""
        return open_to_others(self._book)

    @property
    def wanted(self) -> SealDue | None:
        """The key that seals the check now; None where nobody's does, or it was left for later."""
        idle = self.sealed or self._left or self._key is not None or self._check.state != "closed"
        return None if idle else self._due

    @property
    def _due(self) -> SealDue | None:
        key = announced(self._book).get(self._by.id) if self._by is not None else None
        return None if key is None or self._by is None else SealDue(self._by, key)

    @property
    def asked(self) -> str:
        """The act that the passphrase is asked for, in a few words."""
        return "to seal this check"

    def text(self) -> str:
        """Tell what the signature does, to be read before the passphrase is typed."""
        return self._now().told(self._check.id, "check")

    def give(self, passphrase: str) -> SealDue:
        """Take the key that seals. Raises KeyFault for a wrong passphrase, LedgerFault for a clock put back."""
        due = self._now()
        not_before_the_key(self._book, due, self._clock.now())
        self._key = unlock(self._book, due.person.id, due.key, passphrase)
        return due

    def later(self) -> None:
        """Leave it for another time: the check is not sealed then."""
        self._left, self._key = True, None

    def seal(self) -> str:
        """Print the report, seal the folder, and write it into the book's log; gives the seal's SHA-256.

        Raises LedgerFault where it is still to be signed, RecordFault where the report cannot be printed.
        """
        if self._check.state != "closed":
            raise LedgerFault(f"the check {self._check.id} is {self._check.state}. Only a closed check can be sealed")
        due = self._due
        if not self.sealed and self._key is None and due is not None:
            told = f"the check {self._check.id} is closed, not sealed. {due.person.name} still has to sign"
            raise LedgerFault(f"{told}: clampbook seal {self._check.id}")
        with self._dropping():
            if not self.sealed:
                self._put()
        self._key = None
        return log_seal(self._book, self._check, "check")

    def _put(self) -> None:
        from clampbook.record.checks import report

        found = lying(self._check.path)
        strange = [*found.odd, *(name for name in found.files if not is_ours(name))]
        if strange:
            told = f"{shown(self._check.path / strange[0])} does not belong to the check"
            raise LedgerFault(f"{told}. Remove it first")
        for name in found.left_over:
            take_away(self._check.path / name)
        at, log, key = self._clock.now(), log_head(self._book), self._key
        self._allowed(at)
        report.write(self._check, self._book.paper(), log=log, signed=key is not None)
        put_seal(self._check, "check", self._by, at, key, log)

    def _allowed(self, at: datetime) -> None:
        """Write down whose key it is, for whoever checks the signature with ordinary tools."""
        path, key = inside(self._check.path, ALLOWED), self._key
        if key is None or self._by is None:
            take_away(path)
            return
        not_before_the_key(self._book, SealDue(self._by, key.public.fingerprint), at)
        held = [each for each in known_keys(self._book) if (each.person, each.key) == (self._by.id, key.public)]
        atomic.write(path, allowed.lines(held))

    def _now(self) -> SealDue:
        due = self.wanted
        if due is None:
            raise LedgerFault(f"{self._check.id} needs no signature")
        return due

    @contextlib.contextmanager
    def _dropping(self) -> Iterator[None]:
        """Under the lock of sealing; whatever fails, no key is kept for what comes after it."""
        try:
            with lock.take(self._book.path(LOCKS), f"{self._check.id}.seal", alone=self._book.alone):
                yield
        except BaseException:
            self._key = None
            raise


def _closer(book: Book, check: CheckFolder) -> Person | None:
    """Give the person who wrote the last line, by the name that the book has for them."""
    line = check.last_line()
    try:
        by = None if line is None else e.read(line).by
    except UNREADABLE as error:
        raise LedgerFault(f"{shown(check.daybook)}: its last line cannot be read ({error})") from error
    return None if by is None else Person(by, book.name_of(by) or by)
