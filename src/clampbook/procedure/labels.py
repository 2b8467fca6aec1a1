"""Positions as people write them, "1-4, 7" or a list, as the single labels that are meant."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice

from clampbook.procedure.codes import Code
from clampbook.procedure.slips import KeyPath, Slips, short
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted

MOST_POSITIONS = 20_000
LONGEST = 24
_ALL_LISTED, _FIRST_LISTED = 8, 6
_DASHES = "-−–"
_RANGE = re.compile(rf"([^\W\d_]*)([0-9]{{1,6}})[{_DASHES}]([^\W\d_]*)([0-9]{{1,6}})")
_LETTERS = re.compile(rf"([A-Z])[{_DASHES}]([A-Z])|([a-z])[{_DASHES}]([a-z])")
_SPACED_DASH = re.compile(rf"(?<=\w)\s+[{_DASHES}]\s+(?=\w)")
_UNFIT = frozenset("/@:\"'\\[]{}<>=#")


def expanded(slips: Slips, at: KeyPath, pieces: Sequence[str], *, what: str = "position") -> tuple[str, ...]:
    """All labels in the order in which they are written, ranges counted out; unreadable ones are slips."""
    found: list[str] = []
    for piece in pieces:
        if piece == UNREAD:
            continue
        for part in _parts(piece):
            labels = list(islice(_counted(part), MOST_POSITIONS + 1))
            if len(found) + len(labels) > MOST_POSITIONS:
                too_many(slips, at, short(piece))
                return tuple(found)
            found.extend(label for label in labels if fit(slips, at, label, what))
    if not found and all(piece != UNREAD for piece in pieces) and not any(map(str.strip, pieces)):
        slips.add(
            Code.POSITIONS,
            at,
            f"no {what} is named",
            found="nothing",
            allowed='such as "1-4, 7"',
            hint='write them like "1-4, 7"',
        )
    return tuple(found)


def fit(slips: Slips, at: KeyPath, label: str, what: str = "position") -> bool:
    """True where this can be a label: short, and without the signs that the names of steps are made with."""
    bad = next((sign for sign in label if sign in _UNFIT or sign.isspace()), None)
    if bad is None and len(label) <= LONGEST and label not in (".", "-"):
        return True
    slips.add(
        Code.POSITIONS,
        at,
        f"{quoted(label)} cannot be the name of a {what}",
        found=label,
        allowed=f"up to {LONGEST} letters, digits and signs, without blanks and without / @ : quotes or brackets",
        hint="use a short label such as 7, A1 or front",
    )
    return False


def once(slips: Slips, at: KeyPath, labels: Iterable[str], what: str = "position") -> tuple[str, ...]:
    """The labels, each once; one that stands twice is a slip."""
    seen: dict[str, None] = {}
    twice: dict[str, None] = {}
    for label in labels:
        (twice if label in seen else seen)[label] = None
    if twice:
        slips.add(
            Code.POSITION_TWICE,
            at,
            f"{named(twice, what)} {'is' if len(twice) == 1 else 'are'} named more than once",
            found=listed(twice),
            allowed="each once",
            hint=f"name {'it' if len(twice) == 1 else 'each'} once",
        )
    return tuple(seen)


def named(labels: Collection[str], what: str = "position") -> str:
    """Labels with the word for them: "position 3", "positions 3, 4"."""
    return f"{what}{'s' if len(labels) > 1 else ''} {listed(labels)}"


def listed(labels: Collection[str]) -> str:
    """Labels for a sentence; of many the first few and how many more there are."""
    if len(labels) <= _ALL_LISTED:
        return ", ".join(map(short, labels))
    return f"{', '.join(map(short, islice(labels, _FIRST_LISTED)))} and {len(labels) - _FIRST_LISTED} more"


def too_many(slips: Slips, at: KeyPath, found: str) -> None:
    """Tell that a joint has more positions than anybody could mean."""
    slips.add(
        Code.TOO_MANY,
        at,
        f"there are more than {MOST_POSITIONS} positions",
        found=found,
        allowed=f"up to {MOST_POSITIONS}",
        hint="check the numbers",
    )


def _parts(piece: str) -> Iterator[str]:
    return (part for part in re.split(r"[,;\s]+", _SPACED_DASH.sub("-", piece)) if part)


def _counted(part: str) -> Iterator[str]:
    """The labels of a range such as 1-10, A1-A4, A1-4 or A-D, also downwards; else the label itself."""
    if letters := _LETTERS.fullmatch(part):
        first, last = (end for end in letters.groups() if end)
        yield from map(chr, _steps(ord(first), ord(last)))
        return
    ends = _RANGE.fullmatch(part)
    if ends is None or ends[3] not in ("", ends[1]):
        yield part
        return
    width = len(ends[2]) if ends[2].startswith("0") else 1
    for number in _steps(int(ends[2]), int(ends[4])):
        yield f"{ends[1]}{number:0{width}}"


def _steps(first: int, last: int) -> range:
    return range(first, last + 1) if first <= last else range(first, last - 1, -1)
