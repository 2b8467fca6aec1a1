"""The findings of verifying, for a person and for a script: each run, where logs end, and what is not vouched for."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from clampbook.streams import json_text
from clampbook.text import counted, printable

if TYPE_CHECKING:
    from clampbook.book.soundness.found import Looked, Soundness
    from clampbook.faults import Fault
    from clampbook.record.sealed.signed import Signed
    from clampbook.signing.seal_text import LogHead

Beside = Mapping[str, tuple[str, ...]]  # what is to be said beside each run
NOT_VOUCHED_FOR = (
    "what a person is called in people.toml (records keep the name as it was)",
    "tools.toml as it is now, calibration dates too (records keep each tool as it was picked up)",
    "the name and the paper in book.toml",
    "open runs and checks, drafts of procedures, notices beside runs, and the index",
    "times, which come from the clock of the machine, or from a paper form",
)


class Logs(Struct, frozen=True):
    """The end of each log, this book's first, what was noted of them outside, and whether there are trusted keys."""

    ends: tuple[LogHead, ...]
    noted: tuple[LogHead, ...]
    outside: bool


class TakenUp(Struct, frozen=True):
    """The findings that were worked out before verifying was stopped: their number, and the time of the first."""

    many: int
    since: datetime

    @classmethod
    def of(cls, looked: Iterable[Looked]) -> TakenUp | None:
        """Count them; None where there is none."""
        times = [each.before for each in looked if each.before is not None]
        return cls(len(times), min(times)) if times else None

    def as_data(self) -> dict[str, Any]:
        """The same for a script."""
        return {"count": self.many, "since": self.since.isoformat(timespec="seconds")}


def summary(found: list[Soundness], of_the_book: tuple[Fault, ...], checks: int) -> str:
    """Give the outcome in one line: how many are intact, and how far that is known, or how many have problems."""
    from clampbook.book.soundness.found import has_problems

    if not found:
        return "No closed runs." if not of_the_book else f"{counted(len(of_the_book), 'problem')} in the book"
    runs = len(found) - checks
    what = " and ".join(counted(many, noun) for many, noun in ((runs, "run"), (checks, "check")) if many)
    wrong = sum(map(has_problems, found))
    if wrong or of_the_book:
        parts = [f"{wrong} with problems"] if wrong else []
        parts += [f"{counted(len(of_the_book), 'problem')} in the book"] if of_the_book else []
        return f"{what}, {', '.join(parts)}"
    how = Counter(map(_known_by, found))
    parts = [f"{how[word]} {word}" for word in _KNOWN_BY if how[word]]
    return f"{what} intact: {', '.join(parts)}" if not how[_UNCHECKED] else f"{what}: {', '.join(parts)}"


_UNCHECKED = "not checked, of an earlier format"
_KNOWN_BY = (
    "signed by a trusted key",
    "signed by a key known only from this book",
    "with typed names",
    "not sealed",
    _UNCHECKED,
)


def _known_by(found: Soundness) -> str:
    from clampbook.book.soundness.found import SEALED

    trusted, own, typed, unsealed, unchecked = _KNOWN_BY
    if not found.checked:
        return unchecked
    if found.state != SEALED:
        return unsealed
    if not found.signed:
        return typed
    return trusted if all(each.trusted for each in found.signed) else own


def told(
    found: list[Soundness], of_the_book: tuple[Fault, ...], beside: Beside, logs: Logs, taken_up: TakenUp | None = None
) -> Iterator[str]:
    """All of it line by line."""
    from clampbook.book.soundness.found import in_sentences
    from clampbook.faults import show
    from clampbook.ledger.formats import FORMAT

    for each in found:
        yield from in_sentences(each)
        yield from (f"  {printable(sentence)}" for sentence in beside[each.run])
    for fault in of_the_book:
        yield from show(fault).splitlines()
    yield from _of_the_logs(logs)
    if any(each.checked for each in found):
        yield (
            f"All was counted again by the rules of daybook format {FORMAT}. "
            "That finds changes, not errors in the rules."
        )
        if taken_up is not None:
            yield (
                f"{taken_up.many} of {len(found)} were counted before verify was stopped, from "
                f"{taken_up.since:%Y-%m-%d %H:%M} on. Their files were read again now: every byte is the same."
            )
        yield "Not covered:"
        yield from (f"  {each}" for each in NOT_VOUCHED_FOR)
    if any(each.signed for each in found) and not logs.outside:
        yield (
            "Keys found only in this book could have been made by anyone who can write to it. "
            "Compare their fingerprints with what you know from elsewhere, or add --trust FILE."
        )


def _of_the_logs(logs: Logs) -> Iterator[str]:
    for number, end in enumerate(logs.ends):
        whose = "The log of this book" if number == 0 else f"The log of the merged book {printable(end.book)}"
        yield f"{whose} has {end.lines} lines. Write down its end: {printable(end.shown)}"
    for head in logs.noted:
        yield f"Nothing is known of the log of {printable(head.book)} after line {head.lines}, which was noted outside."
    if not logs.noted:
        yield (
            "Lines removed or rewritten at the end of a log show only against an end that you wrote down: "
            "--head BOOK:N:HASH"
        )


def as_object(
    found: list[Soundness], of_the_book: tuple[Fault, ...], beside: Beside, logs: Logs, taken_up: TakenUp | None = None
) -> None:
    """The same as one JSON object on standard output."""
    from clampbook.faults import as_data

    said = {
        "intact": all(each.sound for each in found) and not of_the_book,
        "trusted_from_outside": logs.outside,
        "runs": [_run_as_data(each) | {"notices": list(beside[each.run])} for each in found],
        "problems": [as_data(fault) for fault in of_the_book],
        "logs": [{"book": end.book, "lines": end.lines, "head": end.sha256, "note": end.shown} for end in logs.ends],
        "nothing_known_after": [{"book": head.book, "line": head.lines} for head in logs.noted],
        "counted_before": None if taken_up is None else taken_up.as_data(),
        "not_vouched_for": list(NOT_VOUCHED_FOR),
    }
    sys.stdout.write(json_text(said, indent=1))


def _run_as_data(found: Soundness) -> dict[str, Any]:
    from clampbook.faults import as_data

    return {
        "run": found.run,
        "state": found.state,
        "intact": found.sound,
        "checked": found.checked,
        "problems": [as_data(fault) for fault in found.faults],
        "left_over": list(found.left_over),
        "signatures": [_signature(each) for each in found.signed],
        "seal": None if found.seal is None else _signature(found.seal),
    }


def _signature(signed: Signed) -> dict[str, Any]:
    return {
        "number": signed.number,
        "person": signed.person,
        "name": signed.name,
        "meaning": signed.meaning,
        "at": signed.at.isoformat(),
        "key": signed.key,
        "known": signed.known,
        "trusted": signed.trusted,
    }
