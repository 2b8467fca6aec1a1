"""The seal of a folder, of a run or of a check: the sums of every file, the text over them, its signature, a line in
the log.

seal.sha256 comes last: where it stands the folder is sealed, and all that belongs to the seal is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from clampbook.book.book import Book
from clampbook.book.log_told import SEALED
from clampbook.book.runs import RUN_SEALED
from clampbook.book.sealing.facts import take_away
from clampbook.book.settled import own_log
from clampbook.ledger import atomic, lines
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person
from clampbook.record.sealed.folder import lying
from clampbook.record.sealed.given_up import read as read_given_up
from clampbook.record.sealed.names import BESIDE_THE_SEAL, GIVEN_UP, SEAL_SIGNATURE, SEAL_TEXT
from clampbook.record.sealed.sums import digests, sums
from clampbook.run_folder import SEAL, RunFolder
from clampbook.signing import seal_text
from clampbook.signing.seal_text import LogHead, Sealed, SealStatement
from clampbook.signing.sshsig import SEAL_NAMESPACE
from clampbook.work.frozen import RecordFault

if TYPE_CHECKING:
    from clampbook.signing.secret import SecretKey

CHECK_SEALED = "check_sealed"
_EVENTS: Mapping[Sealed, str] = {"run": RUN_SEALED, "check": CHECK_SEALED}
_MOST = 10_000_000  # bytes of a seal, or of what stands beside it


def log_head(book: Book) -> LogHead:
    """Tell where the book's log stands now. Raises LedgerFault."""
    own = own_log(book)
    return LogHead(book.id, own.count, own.head)


def put_seal(
    folder: RunFolder, what: Sealed, by: Person | None, at: datetime, key: SecretKey | None, log: LogHead
) -> None:
    """Seal the folder as it lies, signed with `key`, or with none. Raises LedgerFault; then it is not sealed."""
    seal = sums(digests({n: data for n, data in lying(folder.path).files.items() if n not in BESIDE_THE_SEAL}))
    said = SealStatement(
        what=what,
        of=folder.id,
        person=None if by is None else by.id,
        name=None if by is None else by.name,
        at=at,
        key=None if key is None else key.public.fingerprint,
        seal=sha256(seal).hexdigest(),
        log=log,
    )
    text, signature = seal_text.text(said), inside(folder.path, SEAL_SIGNATURE)
    atomic.write(inside(folder.path, SEAL_TEXT), text)
    if key is not None:
        atomic.write(signature, key.sign(text, SEAL_NAMESPACE))
    else:
        take_away(signature)  # of an attempt that came to nothing
    atomic.write(inside(folder.path, SEAL), seal)


def sealed_entry(folder: RunFolder, what: Sealed) -> dict[str, Any]:
    """The log's line for a folder that is sealed: its last line, its seal with what stands beside it, and who sealed it
    when. Raises LedgerFault where one of them cannot be read."""
    seal, text = read_file(inside(folder.path, SEAL), _MOST), _beside(folder, SEAL_TEXT)
    entry: dict[str, Any] = {
        "event": _EVENTS[what],
        what: folder.id,
        "last": lines.digest(folder.last_line() or b"{}"),
        "seal": sha256(seal).hexdigest(),
    }
    if text is not None:
        entry["text"] = sha256(text).hexdigest()
    if text is not None and (said := seal_text.read(text)) is not None:
        stamp = stamp_of(said.at)
        entry |= {**stamp.when, "by": said.person, "key": said.key}
    try:
        left_out = read_given_up(_beside(folder, GIVEN_UP))
    except RecordFault:
        return entry
    if left_out:
        entry["given_up"] = [
            {"number": each.number, "person": each.person.id, "by": each.by.id, "because": each.because}
            for each in left_out
        ]
    return entry


def log_seal(book: Book, folder: RunFolder, what: Sealed) -> str:
    """The book's log says once that the folder is sealed, and with which seal; gives the seal's SHA-256."""
    entry, own = sealed_entry(folder, what), own_log(book)
    if SEALED not in (own.runs if what == "run" else own.checks).get(folder.id, ""):
        with book.log() as log:
            log.append(entry)
    return str(entry["seal"])


def _beside(folder: RunFolder, name: str) -> bytes | None:
    path = inside(folder.path, name)
    return read_file(path, _MOST) if path.exists() else None
