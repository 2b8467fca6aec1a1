"""The files of a run's folder by name: what belongs to a run, and in which order it is summed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clampbook.check.folder import READINGS
from clampbook.ledger.atomic import half_written
from clampbook.run_folder import DAYBOOK, PLAN, PROCEDURE, RECORD, SEAL

if TYPE_CHECKING:
    from clampbook.run.events import ScanKind

ALLOWED = "allowed_signers"
FACTS = "facts.sha256"
REPORT = "report.pdf"
GIVEN_UP = "given-up.toml"
SEAL_TEXT = "seal.txt"
SEAL_SIGNATURE = "seal.txt.sig"
BESIDE_THE_SEAL = frozenset({SEAL, SEAL_TEXT, SEAL_SIGNATURE})  # the only files that it does not name

_TORN = re.compile(r"daybook\.(torn|damaged)-[0-9]{4}")
_SIGNED = re.compile(r"signoff-([1-9][0-9]{0,5})\.txt(\.sig)?")
_SCAN = re.compile(r"scan-[1-9][0-9]{0,3}\.(pdf|png|jpg)")
_ENDINGS: dict[ScanKind, str] = {"PDF": "pdf", "PNG": "png", "JPEG": "jpg"}
_ORDER = {name: place for place, name in enumerate((PROCEDURE, PLAN, DAYBOOK, "torn", RECORD, ALLOWED, FACTS))}
_LAST = {GIVEN_UP: 1, REPORT: 2}


def text_of(number: int) -> str:
    """The name of the text that was signed as this number."""
    return f"signoff-{number}.txt"


def signature_of(number: int) -> str:
    """The name of its signature."""
    return f"signoff-{number}.txt.sig"


def number_of(name: str) -> int | None:
    """Give the number of the sign-off that a file belongs to; None where it is no text and no signature."""
    found = _SIGNED.fullmatch(name)
    return None if found is None else int(found[1])


def scan_name(number: int, kind: ScanKind) -> str:
    """The name of the scan of this number: "scan-1.pdf"."""
    return f"scan-{number}.{_ENDINGS[kind]}"


def is_scan(name: str) -> bool:
    """True where a file is a scan of a paper form."""
    return _SCAN.fullmatch(name) is not None


def belongs(name: str) -> bool:
    """Tell whether a file of this name has a place in a run's folder."""
    known = name in _ORDER and name != "torn"
    named = known or name in (REPORT, GIVEN_UP, *BESIDE_THE_SEAL) or number_of(name) is not None
    return named or is_torn(name) or is_scan(name)


def is_torn(name: str) -> bool:
    """True where a file holds bytes of a torn line, or a damaged daybook, moved aside; no report carries it."""
    return _TORN.fullmatch(name) is not None


def is_left_over(name: str) -> bool:
    """True where a program that was killed left this behind: one of the files of a run or a check, half written."""
    meant = half_written(name)
    return meant is not None and (belongs(meant) or meant == READINGS)


def place(name: str) -> tuple[int, int, str]:
    """Give the place of a file among those of its run: what was frozen first, then the signatures, the report last."""
    if is_torn(name):
        return _ORDER["torn"], 0, name
    number = number_of(name)
    if number is not None:
        return len(_ORDER), number, name
    return _ORDER.get(name, len(_ORDER) + 1), _LAST.get(name, 0), name
