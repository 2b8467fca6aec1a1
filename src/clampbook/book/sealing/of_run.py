"""Signing and sealing a run: a few steps, each safe on the disk, that can be gone on with after any break.

A face drives it: `wanted` says whose signature is asked for, `asked` and `text` show what is signed, `give` takes the
passphrase; `seal` closes the folder for good once every announced signature is there, or given up.

The key of whoever signs last signs the seal too, where that comes at once. It is let go of at any failure and any
pause; then `wanted` asks for it again.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.book import LOCKS, Book
from clampbook.book.keys import open_to_others, unlock
from clampbook.book.sealing.facts import MOST, prepare, take_away
from clampbook.book.sealing.seal_writing import log_head, log_seal, put_seal
from clampbook.book.sealing.sealer import not_before_the_key, not_sealed, revoked, who_seals
from clampbook.ledger import atomic, lines, lock
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.people import Person
from clampbook.record import report
from clampbook.record.frozen import Frozen, read
from clampbook.record.record import disagreement
from clampbook.record.sealed import given_up, names
from clampbook.record.sealed.dues import Due, SealDue, closers, dues, last_by, to_sign
from clampbook.record.sealed.given_up import GivenUp
from clampbook.run.events import Closed
from clampbook.run_folder import DAYBOOK, RECORD, SEAL, RunFolder
from clampbook.text import clean

if TYPE_CHECKING:
    from clampbook.signing.secret import SecretKey


class Signing:
    """The signatures of one run, and its seal. Raises RecordFault or LedgerFault where its files are not whole.

    `by` is who seals where nobody signs the seal; `at_its_end`: the run was closed just now, by whoever is still there.
    """

    what = "run"

    def __init__(
        self, book: Book, run: RunFolder, clock: Clock, by: Person | None = None, *, at_its_end: bool = False
    ) -> None:
        self._book = book
        self._run = run
        self._clock = clock
        self._at: datetime | None = None
        self._left: set[int] = set()  # 0: the seal
        self._key: SecretKey | None = None  # of whoever signed last, for the seal that follows at once
        daybook = self._bytes(DAYBOOK)
        self._frozen: Frozen = read(run.procedure(), run.plan(), daybook)
        self._hashes = tuple(map(lines.digest, lines.split(daybook)[0]))
        self._dues = dues(self._frozen.events)
        self._left |= {due.number for due in self._dues if revoked(book, due)}  # nobody is asked for such a passphrase
        self._by = by or (last_by(self._frozen.events) if at_its_end else None)
        self.given_up: tuple[GivenUp, ...] = ()

    @property
    def closed(self) -> bool:
        """True once the run is closed, so that it can be sealed once all have signed."""
        return isinstance(self._frozen.ended, Closed)

    @property
    def sealed(self) -> bool:
        """True once the seal stands."""
        return self._path(SEAL).exists()

    @property
    def report(self) -> Path:
        """The path of the report, once the run is sealed."""
        return self._run.path / names.REPORT

    @property
    def log_end(self) -> str:
        """The end of the book's log now, as it is noted down outside the book. Raises LedgerFault."""
        return log_head(self._book).shown

    @property
    def missing(self) -> tuple[Due, ...]:
        """The signatures that were announced and are not there; those at the end only once the run is closed."""
        due = [each for each in self._dues if each.at_once or self.closed]
        out = {each.number for each in self.given_up}
        return tuple(each for each in due if each.number not in out and not self._given(each))

    @property
    def never(self) -> bool:
        """Tell whether a signature is missing that can never be given, as its key is withdrawn."""
        return any(revoked(self._book, due) for due in self.missing)

    @property
    def beside(self) -> tuple[str, ...]:
        """The sentences that are said before somebody signs: whoever else can get at the keys of this book."""
        return open_to_others(self._book)

    @property
    def wanted(self) -> Due | SealDue | None:
        """The signature that is asked for now: those given while the run went on come before those at its
        end, which vouch for them too, and the seal comes last. None where nothing more is to be signed,
        or all that is was left for later.
        """
        if self.sealed:
            return None
        open_ones = [each for each in self.missing if each.number not in self._left]
        first = next((each for each in open_ones if each.at_once), None)
        if first is not None:
            return first
        waits = any(each.at_once for each in self.missing) and not self._path(names.FACTS).exists()
        if waits or open_ones:
            return None if waits else open_ones[0]
        return self._seal_due if self._key is None and 0 not in self._left else None

    @property
    def _seal_due(self) -> SealDue | None:
        """The key that signs the seal; None where a signature is still to come, or nobody can."""
        if not self.closed or self.missing:
            return None
        return who_seals(self._book, [due for due in self._dues if self._given(due)], self.given_up)

    @property
    def _seal_lacks_key(self) -> bool:
        """True where somebody signed, or was to sign, at the end and nobody can sign the seal any more, which nobody
        has given up yet."""
        whole = self.closed and not self.missing and not any(each.number == 0 for each in self.given_up)
        return whole and bool(closers(self._dues)) and self._seal_due is None

    @property
    def asked(self) -> str:
        """The act that the passphrase is asked for, in a few words."""
        due = self._now()
        if isinstance(due, SealDue):
            return "to seal this run"
        last = not due.at_once and self.missing == (due,) and self.closed
        return "to sign, and to seal this run" if last else "to sign"

    def text(self) -> str:
        """Give the text that is signed now, to be read before the passphrase is typed; its time is that of the
        asking."""
        due = self._now()
        with self._dropping():
            self._at = self._clock.now()
            return due.told(self._run.id) if isinstance(due, SealDue) else self._text(due, self._at).decode()

    def give(self, passphrase: str) -> Due | SealDue:
        """Sign what is wanted. Raises KeyFault for a wrong passphrase, LedgerFault where it cannot be written or the
        clock stands before the making of the key; then nothing has changed, and it can be tried again."""
        due = self._now()
        with self._dropping():
            at = self._at or self._clock.now()
            self._in_time(due, at)
            key = unlock(self._book, due.person.id, due.key, passphrase)
            if isinstance(due, Due):
                self._sign(due, at, key)
            self._at = None
            if self._seals_too(due):
                self._key, self._by = key, due.person
        return due

    def _seals_too(self, due: Due | SealDue) -> bool:
        """Tell whether the seal follows at once, and the key that signed this signs that too."""
        if isinstance(due, SealDue):
            return True
        givers = [each.by for each in self.given_up]
        return self.closed and not due.at_once and not self.missing and (not givers or due.person in givers)

    def _sign(self, due: Due, at: datetime, key: SecretKey) -> None:
        text = self._text(due, at)
        with self._writing():
            if self.sealed or self._given(due):  # in another program, since it was asked for here
                raise LedgerFault(f"{self._run.id} needs no signature")
            atomic.write(self._path(names.text_of(due.number)), text)
            atomic.write(self._path(names.signature_of(due.number)), key.sign(text))

    def give_up(self, by: Person, because: str) -> tuple[GivenUp, ...]:
        """Go on without the signatures that were left, or without all that are missing where none was, since they can
        never be given: who says so, and why, stands in the log and on page one. Gives those that it was done with.

        Raises LedgerFault where the run is not closed, TextFault for a reason that is none."""
        if not self.closed:
            raise LedgerFault(f"the run {self._run.id} is {self._run.state}. Only a closed run can be sealed")
        why = clean(because, what="the reason", most=200)
        if not why:
            raise LedgerFault("say why it can never be signed. The reason goes on page one of the report")
        at = self._clock.now().isoformat(timespec="seconds")
        left = [due for due in self.missing if due.number in self._left] or self.missing
        new = tuple(given_up.given_up(due, by, why, at) for due in left)
        self.given_up += new
        if self._seal_lacks_key:
            new += (given_up.of_the_seal(by, why, at),)
            self.given_up += new[-1:]
        self._by = by if new else self._by
        return new

    def _in_time(self, due: Due | SealDue, at: datetime) -> None:
        try:
            not_before_the_key(self._book, due, at)
        except LedgerFault:
            self._at = None
            raise

    @property
    def disagreement(self) -> str | None:
        """The sentence for a record that says something else of a step than the walk did; None where both agree."""
        path = self._path(RECORD)
        return disagreement(self._bytes(RECORD)) if path.exists() else None

    def later(self) -> None:
        """Leave the signature that is wanted for another time: the run is not sealed then."""
        due = self.wanted
        if due is not None:
            self._left.add(0 if isinstance(due, SealDue) else due.number)
        self._at = self._key = None

    def seal(self) -> str:
        """Print the report, seal the folder, and write it into the book's log; gives the seal's SHA-256.

        Raises LedgerFault where a signature is missing, RecordFault where the report cannot be printed.
        """
        if not self.closed:
            raise LedgerFault(f"the run {self._run.id} is {self._run.state}. Only a closed run can be sealed")
        if not self.sealed:
            self._may_seal()
        with self._dropping(), self._writing():
            if not self.sealed:
                self._put()
        self._key = None
        seal = log_seal(self._book, self._run, "run")
        from clampbook.archive.index import noted

        noted(self._book.root, self._run)
        return seal

    def _may_seal(self) -> None:
        missing = [due.person.name for due in self.missing]
        if not missing and self._key is None and (due := self._seal_due) is not None:
            missing = [due.person.name]
        if missing or self._seal_lacks_key:
            never = [due.person.name for due in self.missing if revoked(self._book, due)]
            raise LedgerFault(not_sealed(self._run.id, missing, never))

    def _put(self) -> None:
        """Everything that is sealed, and then the seal."""
        prepare(self._book, self._run, self._dues)
        if self.given_up:
            atomic.write(self._path(names.GIVEN_UP), given_up.written(self.given_up))
        else:
            take_away(self._path(names.GIVEN_UP))  # of an attempt that came to nothing
        at, log = self._clock.now(), log_head(self._book)
        if self._key is not None and self._by is not None:
            self._in_time(SealDue(self._by, self._key.public.fingerprint), at)
        report.write(self._run.path, self._book.paper(), log=log)
        put_seal(self._run, "run", self._by, at, self._key, log)

    def _now(self) -> Due | SealDue:
        due = self.wanted
        if due is None:
            raise LedgerFault(f"{self._run.id} needs no signature")
        return due

    def _text(self, due: Due, at: datetime) -> bytes:
        facts = None if due.at_once else sha256(self._prepared()).hexdigest()
        return to_sign(self._frozen, self._hashes, due, at, facts)

    def _prepared(self) -> bytes:
        """facts.sha256, which is written before the first signature at the end is asked for."""
        path = self._path(names.FACTS)
        if not path.exists():
            with self._writing():
                prepare(self._book, self._run, self._dues)
        return self._bytes(names.FACTS)

    def _given(self, due: Due) -> bool:
        return self._path(names.signature_of(due.number)).exists()

    @contextlib.contextmanager
    def _dropping(self) -> Iterator[None]:
        """Whatever fails, no key is kept for what comes after it."""
        try:
            yield
        except BaseException:
            self._key = None
            raise

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        with lock.take(self._book.path(LOCKS), f"{self._run.id}.seal", alone=self._book.alone):
            yield

    def _path(self, name: str) -> Path:
        return inside(self._run.path, name)

    def _bytes(self, name: str) -> bytes:
        return read_file(self._path(name), MOST)
