"""Seals against the logs of the book: which seal, by whom and when, and where the log stood when it was put."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256

from clampbook.book.soundness.logged import Log
from clampbook.faults import Fault
from clampbook.ledger import lines
from clampbook.ledger.stamp import stamp_of
from clampbook.record.sealed.given_up import GivenUp
from clampbook.record.sealed.names import SEAL_TEXT
from clampbook.record.sealed.told import fault
from clampbook.signing import seal_text
from clampbook.signing.seal_text import SHORTEST, LogHead, Sealed, SealStatement

EVENTS: Mapping[Sealed, str] = {"run": "run_sealed", "check": "check_sealed"}


def noted(text: str) -> LogHead:
    """BOOK:N:HASH as it was noted, blanks left out. Raises ValueError with a sentence."""
    book, _, rest = "".join(text.split()).rpartition(":")[0].partition(":")
    said = "".join(text.split()).rpartition(":")[2].lower()
    if not book or not rest.isdecimal() or len(rest) > 9 or not set(said) <= set("0123456789abcdef"):
        raise ValueError("a noted head is BOOK:N:HASH, such as k7q2m4xa:12:9f2c…, as verify prints it")
    if not SHORTEST <= len(said) <= 64:
        raise ValueError(f"the hash of a noted head has {SHORTEST} to 64 digits, and {len(said)} were given")
    return LogHead(book, int(rest), said)


def end_of(book: str, log: Log) -> LogHead:
    """Give the end of a log."""
    return LogHead(book, len(log.hashes), log.hashes[-1] if log.hashes else lines.NOTHING_BEFORE)


def not_led_to(head: LogHead, log: Log | None) -> Fault | None:
    """Tell why a log does not lead to a line that was noted; None where it does."""
    if log is None:
        return fault("S527", "book.jsonl", f"the log of the book {head.book}, noted outside, is not here")
    if head.lines > len(log.hashes):
        told = f"line {head.lines} was noted outside the book, and the log ends at line {len(log.hashes)}"
        return fault("S527", log.file, f"{told}: lines are missing at its end")
    found = log.hashes[head.lines - 1] if head.lines else lines.NOTHING_BEFORE
    if found.startswith(head.sha256):
        return None
    told = f"the log no longer leads to {head.lines}:{head.sha256}. This line, or one before it, was changed"
    return fault("S527", log.file, told, line=head.lines, found=found, allowed=head.sha256)


def of_the_seal(
    name: str, what: Sealed, text: bytes | None, gone: Sequence[GivenUp], logs: Mapping[str, Log], log: Log
) -> Iterator[Fault]:
    """Ask whether the logs tell the same of a seal as the text that goes with it. `log` is that of the folder's
    book."""
    said = None if text is None else seal_text.read(text)
    if said is not None and said.log.book not in logs:
        yield fault("S528", SEAL_TEXT, f"this was sealed in the book {said.log.book}, whose log is not here")
    there = log if said is None else logs.get(said.log.book, log)
    told = there.about(name, EVENTS[what])
    if not told:
        yield fault("S515", there.file, f"no line says that {name} was sealed")
    for number, _ in told[1:]:
        yield fault("S515", there.file, f"{name} is said to be sealed a second time", line=number)
    if text is None or said is None:
        return
    yield from _head(said, there, told[0][0] if told else None)
    for number, entry in told[:1]:
        if entry.get("text") != sha256(text).hexdigest():
            yield fault(
                "S515", there.file, f"another text goes with the seal of {name} than this line knows", line=number
            )
        elif (entry.get("at"), entry.get("by")) != (stamp_of(said.at).text, said.person):
            yield fault("S515", there.file, f"{name} was sealed by somebody else or at another time", line=number)
        listed = [(each.number, each.person.id, each.by.id, each.because) for each in gone]
        if _listed(entry.get("given_up")) != listed:
            told_of = f"other signatures of {name} are said to be skipped than its folder has"
            yield fault("S515", there.file, told_of, line=number)


def _listed(found: object) -> list[tuple[object, ...]]:
    rows = found if isinstance(found, list) else []
    return [
        tuple(row.get(key) for key in ("number", "person", "by", "because")) for row in rows if isinstance(row, dict)
    ]


def _head(said: SealStatement, log: Log, sealed: int | None) -> Iterator[Fault]:
    """A seal holds where the log stood before it: a log that was written anew, or lost lines, does not lead there."""
    head = said.log
    found = log.hashes[head.lines - 1 : head.lines] if head.lines else (lines.NOTHING_BEFORE,)
    if found != (head.sha256,):
        told = f"when {said.of} was sealed, the log had {head.lines} lines, the last of them another than here"
        yield fault("S528", log.file, told, line=head.lines or None)
    elif sealed is not None and sealed <= head.lines:
        yield fault("S528", log.file, f"{said.of} is said to be sealed before the log was as long as its seal says")
