"""Signing and sealing a run: a few steps, each safe on the disk, that can be gone on with after any break.

A face drives it: `wanted` says whose signature is asked for, `text` shows what is signed, `give` takes the
pass-phrase; `seal` closes the folder for good once every announced signature is there.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from clampbook.book.book import LOCKS, Book
from clampbook.book.keys import known_keys, open_to_others, unlock
from clampbook.book.runs import RUN_SEALED, sealed_entry
from clampbook.ledger import atomic, lines, lock
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.ledger.stamp import Clock
from clampbook.record import report
from clampbook.record.frozen import Frozen, RecordFault, read
from clampbook.record.record import build, disagreement
from clampbook.record.sealed import names
from clampbook.record.sealed.dues import Due, dues, to_sign
from clampbook.record.sealed.folder import lying
from clampbook.record.sealed.sums import digests, sums
from clampbook.record.written import FROZEN
from clampbook.run.events import Closed
from clampbook.run_folder import DAYBOOK, RECORD, SEAL, RunFolder
from clampbook.signing import allowed
from clampbook.signing.held import HeldKey, second, written
from clampbook.signing.wire import KeyFault
from clampbook.text import as_sentence

_MOST = 500_000_000  # bytes of a file of a run


class Signing:
    """The signatures of one run, and its seal. Raises RecordFault or LedgerFault where its files are not whole."""

    def __init__(self, book: Book, run: RunFolder, clock: Clock) -> None:
        self._book = book
        self._run = run
        self._clock = clock
        self._at: datetime | None = None
        self._left: set[int] = set()
        daybook = self._bytes(DAYBOOK)
        self._frozen: Frozen = read(run.procedure(), run.plan(), daybook)
        self._hashes = tuple(map(lines.digest, lines.split(daybook)[0]))
        self._dues = dues(self._frozen.events)

    @property
    def closed(self) -> bool:
        """Whether the run is closed, so that it can be sealed once all have signed."""
        return isinstance(self._frozen.ended, Closed)

    @property
    def sealed(self) -> bool:
        """Whether the seal stands."""
        return self._path(SEAL).exists()

    @property
    def report(self) -> Path:
        """Where the report is, once the run is sealed."""
        return self._run.path / names.REPORT

    @property
    def missing(self) -> tuple[Due, ...]:
        """The signatures that were announced and are not there; those at the end only once the run is closed."""
        due = [each for each in self._dues if each.at_once or self.closed]
        return tuple(each for each in due if not self._path(names.signature_of(each.number)).exists())

    @property
    def beside(self) -> tuple[str, ...]:
        """What is to be said before somebody signs: whoever else can get at the keys of this book."""
        return open_to_others(self._book)

    @property
    def wanted(self) -> Due | None:
        """Whose signature is asked for now: those given while the run went on come before those at its end, which vouch
        for them too. None where nothing more is to be signed, or all that is was left for later."""
        if self.sealed:
            return None
        open_ones = [each for each in self.missing if each.number not in self._left]
        first = next((each for each in open_ones if each.at_once), None)
        if first is not None:
            return first
        waits = any(each.at_once for each in self.missing) and not self._path(names.FACTS).exists()
        return None if waits else next(iter(open_ones), None)

    def text(self) -> str:
        """What is signed now, to be read before the pass-phrase is typed; its time is that of the asking."""
        self._at = self._clock.now()
        return self._text(self._now(), self._at).decode()

    def give(self, passphrase: str) -> Due:
        """Sign what is wanted. Raises KeyFault for a wrong pass-phrase, LedgerFault where it cannot be written or the
        clock stands before the making of the key; then nothing has changed, and it can be tried again."""
        due = self._now()
        at = self._at or self._clock.now()
        self._not_before_the_key(due, at)
        key = unlock(self._book, due.person.id, due.key, passphrase)
        text = self._text(due, at)
        with self._writing():
            atomic.write(self._path(names.text_of(due.number)), text)
            atomic.write(self._path(names.signature_of(due.number)), key.sign(text))
        self._at = None
        return due

    def _not_before_the_key(self, due: Due, at: datetime) -> None:
        """A clock that was put back must not sign: no verifying would ever let that signature stand."""
        made = next((held.added for held in known_keys(self._book) if _is_of(due, held)), None)
        if made is not None and second(at) < made:
            self._at = None
            raise LedgerFault(
                f"the clock says {written(at)}, before the key of {due.person.name} was made ({written(made)}), and "
                "such a signature would not stand: set the clock of the machine right, then sign"
            )

    @property
    def disagreement(self) -> str | None:
        """What is to be said where the record says something else of a step than the walk did."""
        path = self._path(RECORD)
        return disagreement(self._bytes(RECORD)) if path.exists() else None

    def later(self) -> None:
        """Leave the signature that is wanted for another time: the run is not sealed then."""
        due = self.wanted
        if due is not None:
            self._left.add(due.number)
        self._at = None

    def seal(self, *, without: bool = False) -> str:
        """Print the report, seal the folder, and write it into the book's log; gives the seal's SHA-256.

        `without`: a signature that can never be given any more stays missing, which every verifying will tell.
        Raises LedgerFault where one is missing, RecordFault where the report cannot be printed.
        """
        if not self.closed:
            raise LedgerFault(f"the run {self._run.id} is {self._run.state}: only a closed run is sealed")
        missing = self.missing
        if missing and not without and not self.sealed:
            who = ", ".join(dict.fromkeys(due.person.name for due in missing))
            raise LedgerFault(
                f"the run {self._run.id} is closed, not sealed: it is still to be signed by {who}; "
                f"clampbook seal {self._run.id} asks for it"
            )
        with self._writing():
            if not self.sealed:
                self._prepare()
                report.write(self._run.path, self._book.paper())
                atomic.write(self._path(SEAL), sums(digests(lying(self._run.path).files)))
        seal = self._logged()
        from clampbook.archive.index import noted

        noted(self._book.root, self._run)
        return seal

    def _now(self) -> Due:
        due = self.wanted
        if due is None:
            raise LedgerFault(f"nothing is to be signed in {self._run.id}")
        return due

    def _text(self, due: Due, at: datetime) -> bytes:
        facts = None if due.at_once else sha256(self._prepared()).hexdigest()
        return to_sign(self._frozen, self._hashes, due, at, facts)

    def _prepared(self) -> bytes:
        """facts.sha256, which is written before the first signature at the end is asked for."""
        path = self._path(names.FACTS)
        if not path.exists():
            with self._writing():
                self._prepare()
        return self._bytes(names.FACTS)

    def _prepare(self) -> None:
        """Record, allowed signers and facts, in this order. Once somebody has signed over them they stay as they are.

        Raises LedgerFault where they do not fit together any more.
        """
        self._tidy()
        path = self._path(names.FACTS)
        if any(self._path(names.signature_of(due.number)).exists() for due in self._dues if not due.at_once):
            if self._bytes(names.FACTS) != self._facts():
                raise LedgerFault(f"{shown(path)} does not fit the files beside it: clampbook verify names them")
            return
        procedure, plan, daybook = (self._bytes(name) for name in FROZEN)
        atomic.write(self._path(RECORD), build(procedure, plan, daybook))
        held = [key for due in self._dues for key in known_keys(self._book) if _is_of(due, key)]
        if held:
            atomic.write(self._path(names.ALLOWED), allowed.lines(held))
        atomic.write(path, self._facts())

    def _facts(self) -> bytes:
        later = {names.FACTS, names.REPORT, SEAL}
        ends = {due.number for due in self._dues if not due.at_once}
        files = lying(self._run.path).files
        kept = {name: data for name, data in files.items() if name not in later and names.number_of(name) not in ends}
        return sums(digests(kept))

    def _tidy(self) -> None:
        """Only what belongs to a run is sealed; what a killed program left half written is taken away."""
        found = lying(self._run.path)
        announced = {None, *(due.number for due in self._dues)}
        for name in found.left_over:
            _take_away(self._run, name)
        for name in found.files:
            if not names.belongs(name) or names.number_of(name) not in announced:
                raise LedgerFault(f"{shown(self._run.path / name)} does not belong to the run: take it away first")
        if found.odd:
            raise LedgerFault(f"{shown(self._run.path / found.odd[0])} is no plain file: take it away first")

    def _logged(self) -> str:
        """The book's log says once that the run is sealed, and with which seal."""
        seal = sha256(self._path(SEAL).read_bytes()).hexdigest()
        last = self._run.last_line() or b"{}"
        told = (entry for entry in map(lines.decode, self._book.log_lines()) if entry.get("event") == RUN_SEALED)
        if not any(entry.get("run") == self._run.id for entry in told):
            with self._book.log() as log:
                log.append(sealed_entry(self._run.id, last, seal))
        return seal

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        with lock.take(self._book.path(LOCKS), f"{self._run.id}.seal", alone=self._book.alone):
            yield

    def _path(self, name: str) -> Path:
        return inside(self._run.path, name)

    def _bytes(self, name: str) -> bytes:
        return read_file(self._path(name), _MOST)


def _is_of(due: Due, held: HeldKey) -> bool:
    return held.person == due.person.id and held.key.fingerprint == due.key


def _take_away(run: RunFolder, name: str) -> None:
    path = run.path / name
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise refusal(path, error, "be taken away") from error


def finish(signing: Signing) -> tuple[str, ...]:
    """Seal the run and say in sentences that it is, or why it is not yet; never in the way of a walk's end."""
    try:
        signing.seal()
    except (RecordFault, LedgerFault, KeyFault) as fault:
        why = fault.sentence.removesuffix(".")
    except Exception as error:  # whatever it is, the run is over and recorded, and nobody at the bench can mend it
        why = f"something was not foreseen ({type(error).__name__}: {error})"
    else:
        differs = signing.disagreement
        told = () if differs is None else (as_sentence(differs),)
        return (*told, f"The report is in {signing.report}.", "The run is sealed.")
    return as_sentence(why), "What was done is recorded all the same."
