"""Faults of a ledger whose lines are not the ones that were written: numbers without a gap, each hash in its place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from clampbook.faults import Fault
from clampbook.ledger.lines import NOTHING_BEFORE, UNREADABLE, digest, in_form


class Link(msgspec.Struct, frozen=True):
    """The two fields that make a line part of a chain."""

    seq: int
    prev: str


_HINT = "compare it with an earlier copy of the book"
_SAID = {  # code -> key, sentence
    "D301": ("", "this line is damaged and cannot be read"),
    "D302": ("seq", "this line carries number {found}, but {allowed} is due: lines are missing or out of place"),
    "D303": ("", "this line was changed after it was written: the line after it has another hash of it"),
    "D304": ("prev", "this line does not continue the line before: one of them was changed or lines are missing"),
    "D305": ("", "this is not the last line known from elsewhere: it was changed, or lines were cut off or added"),
    "D306": ("", "this line is not in the form in which lines are written: keys sorted, each once, no blanks"),
}

_read_link = msgspec.json.Decoder(Link).decode


def chain_faults(path: Path, lines: Sequence[bytes], head: str | None = None) -> list[Fault]:
    """Everything that shows that lines were changed, lost or added, in the order of the lines.

    The last line is vouched for by nothing in the file itself: a change there, or a cut after it, is found only where
    its hash is known from elsewhere and given as `head`.
    """
    links = [_link(line) for line in lines]
    hashes = [NOTHING_BEFORE, *map(digest, lines)]
    held = [*(link.prev if link else None for link in links[1:]), head]  # what is said of each line's hash after it
    faults: list[Fault] = []
    due = 1
    for index, link in enumerate(links):
        if link is None:
            faults.append(_fault(path, index + 1, "D301", _beginning(lines[index])))
            due += 1
            continue
        if link.seq != due:
            faults.append(_fault(path, index + 1, "D302", str(link.seq), str(due)))
        if link.prev != hashes[index]:
            whole = link.seq == due and held[index] == hashes[index + 1]
            faults.append(_broken_link(path, index + 1, link.prev, hashes[index], whole))
        due = link.seq + 1
    if head is not None and head != hashes[-1]:
        faults.append(_fault(path, len(lines) or None, "D305", hashes[-1], head))
    return faults


def form_faults(path: Path, lines: Sequence[bytes]) -> list[Fault]:
    """Lines in another form than the one written here, such as one that names a key twice."""
    return [
        _fault(path, number, "D306", _beginning(line))
        for number, line in enumerate(lines, start=1)
        if not in_form(line)
    ]


def _link(line: bytes) -> Link | None:
    try:
        return _read_link(line)
    except UNREADABLE:
        return None


def _broken_link(path: Path, number: int, held: str, real: str, whole: bool) -> Fault:
    """Line `number` holds another hash than the line before has; if it is itself whole, the one before was changed."""
    if whole and number > 1:
        return _fault(path, number - 1, "D303", real, held)
    return _fault(path, number, "D304", held, real)


def _fault(path: Path, number: int | None, code: str, found: str, allowed: str = "") -> Fault:
    key, sentence = _SAID[code]
    return Fault(str(path), number, key, code, found, allowed, sentence.format(found=found, allowed=allowed), _HINT)


def _beginning(line: bytes) -> str:
    return line[:40].decode(errors="backslashreplace")
