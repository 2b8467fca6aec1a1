"""The test of the runs and checks of a book: each against itself, and all against the book's log."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

from clampbook import __version__
from clampbook.book.book import CHECKS, LOG, LOGS, PEOPLE, RUNS, Book
from clampbook.book.checks import checks
from clampbook.book.due.crossed import EVENTS as ABOUT_FOLLOW_UPS
from clampbook.book.keys import held_keys
from clampbook.book.soundness import approvals
from clampbook.book.soundness.found import CLOSED, NOT_SEALED, SEALED, Looked, Soundness
from clampbook.book.soundness.logged import Log, fields_of, merged_logs, read_log, whose
from clampbook.book.soundness.logged_keys import (
    as_people_have_them,
    dated_back,
    keys_told,
    signed_when_known,
    two_at_once,
    without_it,
)
from clampbook.book.soundness.logged_seals import EVENTS, end_of, not_led_to, of_the_seal
from clampbook.book.soundness.stopped import Before, sum_of
from clampbook.check.folder import CheckFolder
from clampbook.check.standing import CHECK_OPENED, TOOL_CHECKED
from clampbook.faults import Fault
from clampbook.ledger import lines
from clampbook.ledger.formats import BEFORE
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.folder import Lying, lying
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.names import SEAL_TEXT
from clampbook.record.sealed.sums import digests
from clampbook.record.sealed.told import fault
from clampbook.record.sealed.typed import Typed
from clampbook.record.sealed.verify import Logged, Verified, verify
from clampbook.run_folder import DAMAGED, DAYBOOK, SEAL, RunFolder, begun_before, names
from clampbook.signing.allowed import Allowed
from clampbook.signing.seal_text import LogHead

_ENDS = ("run_sealed", "run_damaged", "run_abandoned")  # what the log can know of a run's last line, the latest first


class Verifying:
    """Verifies the runs of a book one by one, with its logs read once. `outside` is what is vouched for elsewhere.

    Raises LedgerFault where the log cannot be read, KeyFault or Faulty where people.toml cannot.
    """

    def __init__(self, book: Book, outside: tuple[Allowed, ...] | None = None) -> None:
        self._book = book
        self._people = held_keys(book)
        self.outside = outside
        self._logs = {book.id: read_log(book.path(LOG), LOG), **merged_logs(book)}
        self._keys = {log.file: keys_told(log) for log in self._logs.values()}

    @property
    def root(self) -> Path:
        """The folder of the book."""
        return self._book.root

    def book(self) -> tuple[Fault, ...]:
        """Find what is wrong with the logs, with the releases they tell of, and the runs they name that are not
        there."""
        present = {
            "run_opened": set(names(self._book.path(RUNS))),
            CHECK_OPENED: set(names(self._book.path(CHECKS))),
        }
        found: list[Fault] = []
        came = self._came_by_merging()
        for book, log in self._logs.items():
            found += log.faults
            for number, entry in log.entries:
                event, name = str(entry.get("event")), whose(entry)
                left_out = book != self._book.id and name not in came  # open there, or refused, as merging said then
                if event in present and name not in present[event] and not left_out:
                    what = "check" if event == CHECK_OPENED else "run"
                    found.append(fault("S514", log.file, f"the {what} {name} was opened and is not there", line=number))
                if event in ABOUT_FOLLOW_UPS and name not in present["run_opened"] and not left_out:
                    told = f"a follow-up of {name} was crossed off, or made due again, and no such run is there"
                    found.append(fault("S514", log.file, told, line=number))
            found += two_at_once(log)
        own = self._logs[self._book.id]
        keys = self._keys[own.file]
        found += approvals.faults(self._book, own.file, own.entries, keys, self.outside)
        return (*found, *as_people_have_them(self._people, keys))

    def _came_by_merging(self) -> frozenset[str]:
        """Runs and checks of other books that this one's log says were copied into it."""
        merged = [entry for _, entry in self._logs[self._book.id].entries if entry.get("event") == "merged"]
        lists = (entry.get(key) for entry in merged for key in ("runs", "checks"))
        return frozenset(str(name) for each in lists if isinstance(each, list) for name in each)

    def ends(self) -> tuple[LogHead, ...]:
        """Give the end of each log, this book's first: noted outside, it shows later whether lines were taken out."""
        return tuple(end_of(book, log) for book, log in self._logs.items())

    def leads_to(self, heads: Sequence[LogHead]) -> tuple[Fault, ...]:
        """Find what the logs no longer lead to of what was noted outside."""
        found = (not_led_to(head, self._logs.get(head.book)) for head in heads)
        return tuple(each for each in found if each is not None)

    def run(self, run: RunFolder) -> Soundness:
        """Everything about one run."""
        return self.look(run).found

    def check(self, check: CheckFolder) -> Soundness:
        """Everything about one check of a tool."""
        return self.look(check).found

    def ground(self) -> str:
        """Name all that a finding rests on but the bytes of its folder: the logs, what is vouched for outside, and
        the version of the program."""
        logs = [(book, log.file, log.hashes) for book, log in self._logs.items()]
        return sha256(repr((__version__, self._book.id, logs, self.outside)).encode()).hexdigest()

    def look(self, folder: RunFolder, before: Mapping[str, Before] | None = None) -> Looked:
        """Everything about one run, or one check. What was found `before` is found again for the very same bytes."""
        where = f"{CHECKS if isinstance(folder, CheckFolder) else RUNS}/{folder.id}"
        try:
            found = lying(folder.path)
        except LedgerFault as refused:
            told = fault("S504", folder.id, refused.sentence)
            return Looked(where, "", Soundness(folder.id, "not readable", (told,)))
        hashes = digests(found.files)
        same = sum_of(found, hashes)
        earlier = (before or {}).get(where)
        if earlier is not None and earlier.sum == same:
            return Looked(where, same, earlier.found, earlier.at)
        if isinstance(folder, CheckFolder):
            return Looked(where, same, self._check(folder, found, hashes))
        return Looked(where, same, self._run(folder, found, hashes))

    def _run(self, run: RunFolder, found: Lying, hashes: Mapping[str, str]) -> Soundness:
        line = _first_line(found)
        first = fields_of(line)
        if begun_before(first):
            return _made_before(run, "runs")
        log = self._logs.get(str(first.get("book")), self._logs[self._book.id])
        told = Logged(
            _one(log, run, "run_sealed", "seal"),
            next(filter(None, (_one(log, run, event, "last") for event in _ENDS)), None),
        )
        verified = verify(found, hashes, told, Keys(self._keys[log.file], self.outside, log.file))
        backdated = dict(dated_back(run, verified.signed, log))
        state = _state(run, found.files)
        ended = next((number for number, _ in log.about(run.id, EVENTS["run"])), None)
        faults = [
            *verified.faults,
            *backdated.values(),
            *without_it(run.id, (*verified.typed, *gave_up_unsigned(verified)), log, ended),
            *_in_the_log(run, line, log, state),
            *self._of_this_book(first),
            *signed_when_known(verified.signed, self._keys[log.file]),
        ]
        if state == SEALED:
            faults += of_the_seal(run.id, "run", found.files.get(SEAL_TEXT), verified.gone, self._logs, log)
        elif self.outside is not None and state != NOT_SEALED:
            faults.append(fault("S525", SEAL, f"the run is {state} and not sealed. No signature by a trusted key"))
        placed = tuple(_in_its_folder(f"runs/{run.id}", each) for each in faults)
        signed = [one for one in verified.signed if one.number not in backdated]
        seal = next((one for one in signed if one.number == 0), None)
        return Soundness(
            run.id, state, placed, tuple(one for one in signed if one.number), found.left_over, seal, verified.typed
        )

    def _of_this_book(self, first: Mapping[str, Any]) -> Iterator[Fault]:
        book = first.get("book")
        if book is not None and book not in self._logs:
            told = f"this began in the book {book}; this one is {self._book.id}, and no log of the other is here"
            yield fault("S515", DAYBOOK, told, line=1)

    def _check(self, check: CheckFolder, found: Lying, hashes: Mapping[str, str]) -> Soundness:
        from clampbook.record.checks.verify import verify as verify_check

        line = _first_line(found)
        first = fields_of(line)
        if begun_before(first):
            return _made_before(check, CHECKS)
        log = self._logs.get(str(first.get("book")), self._logs[self._book.id])
        told = Logged(_one(log, check, EVENTS["check"], "seal"), _one(log, check, TOOL_CHECKED, "last"))
        verified = verify_check(found, hashes, told, Keys(self._keys[log.file], self.outside, log.file))
        ended = next((number for number, _ in log.about(check.id, EVENTS["check"])), None)
        faults = [
            *verified.faults,
            *without_it(check.id, verified.typed, log, ended),
            *_begun_as_logged(check, line, log, CHECK_OPENED),
            *self._of_this_book(first),
        ]
        if check.state in ("closed", "abandoned") and not log.about(check.id, TOOL_CHECKED):
            lacks = f"no line says how the check {check.id} ended: the next start writes it, or lines are missing"
            faults.append(fault("S516", log.file, lacks))
        if SEAL in found.files:
            faults += of_the_seal(check.id, "check", found.files.get(SEAL_TEXT), (), self._logs, log)
        elif check.state == "closed":
            told_of = f"the check is closed, not sealed: clampbook seal {check.id} finishes it"
            faults.append(fault("S517", SEAL, told_of))
        elif self.outside is not None:
            faults.append(fault("S525", SEAL, "the check is not sealed. No signature by a trusted key"))
        where = f"{CHECKS}/{check.id}"
        state = _state(check, found.files)
        if check.state == "abandoned" and any(name.startswith(DAMAGED) for name in found.files):
            state = "damaged, closed early"
        placed = tuple(_in_its_folder(where, each) for each in faults)
        seal = next(iter(verified.signed), None)
        return Soundness(check.id, state, placed, (), found.left_over, seal, verified.typed)


def gave_up_unsigned(verified: Verified) -> Iterator[Typed]:
    """Find who gave up signatures of others, and did not sign the seal with it."""
    sealer = next((each.person for each in verified.signed if each.number == 0), None)
    for each in verified.gone:
        if each.by.id != sealer:
            yield Typed(each.line, each.by, f"giving up signature {each.number}", each.at)


def checks_over(book: Book) -> tuple[CheckFolder, ...]:
    """The checks that can be verified: all that are not open any more."""
    return tuple(check for check in checks(book) if check.state != "open")


def over(book: Book) -> tuple[RunFolder, ...]:
    """The runs that can be verified: all that are not open any more, and those whose files are damaged."""
    return tuple(run for run in book.runs() if (run.path / SEAL).exists() or run.state != "open")


def _made_before(run: RunFolder, folder: str) -> Soundness:
    """Leave what an earlier format holds as it is; nobody here vouches for it."""
    sealed: dict[str, bytes] = {SEAL: b""} if (run.path / SEAL).exists() else {}
    state = _state(run, sealed, CLOSED)
    return Soundness(run.id, state, (fault("S521", f"{folder}/{run.id}/{DAYBOOK}", BEFORE, line=1),))


def _state(run: RunFolder, files: Mapping[str, bytes], closed: str = NOT_SEALED) -> str:
    if SEAL in files:
        return SEALED
    match run.state:
        case "closed":
            return closed
        case state:
            return state


def _first_line(found: Lying) -> bytes | None:
    """The first line of the daybook that is verified, if there is a whole one."""
    daybook = found.files.get(DAYBOOK, b"")
    end = daybook.find(b"\n")
    return None if end < 0 else daybook[:end]


def _in_the_log(run: RunFolder, line: bytes | None, log: Log, state: str) -> Iterator[Fault]:
    """Ask whether the log tells the same story of a run as its folder."""
    yield from _begun_as_logged(run, line, log, "run_opened")
    if state == NOT_SEALED:
        told = f"the run is closed, not sealed: clampbook seal {run.id} finishes it"
        yield fault("S517", SEAL, told)


def _begun_as_logged(run: RunFolder, line: bytes | None, log: Log, event: str) -> Iterator[Fault]:
    opened, first = log.about(run.id, event), fields_of(line)
    if not opened:
        yield fault("S516", log.file, f"no line says that {run.id} was opened: it was put here, or lines are missing")
    elif line is not None and lines.digest(line) != opened[0][1].get("first"):
        told = f"another first line of {run.id} is known here than its daybook has"
        yield fault("S515", log.file, told, line=opened[0][0])
    if line is not None and not log.knows(first.get("log_head")):
        told = "the log of the book does not know the place at which this began: lines of it are missing or changed"
        yield fault("S516", DAYBOOK, told, line=1)
    if whose(first) not in (None, run.id):
        yield fault("S515", DAYBOOK, f"this is the daybook of {whose(first)}", line=1)


def _one(log: Log, run: RunFolder, event: str, key: str) -> str | None:
    found: Sequence[tuple[int, dict[str, Any]]] = log.about(run.id, event)
    value = found[0][1].get(key) if found else None
    return value if isinstance(value, str) else None


def _in_its_folder(folder: str, each: Fault) -> Fault:
    """The same fault with the place of its file within the book."""
    if each.path.startswith((LOG, f"{LOGS}/", PEOPLE)):
        return each
    return Fault(
        f"{folder}/{each.path}", each.line, each.key, each.code, each.found, each.allowed, each.text, each.hint
    )
