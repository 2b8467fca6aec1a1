"""The faults of a sealed run, each with its file, its line where one is known, and a hint what to do."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.faults import Fault
from clampbook.record.sealed.sums import first_difference
from clampbook.run_folder import RECORD
from clampbook.text import printable

_AGAIN = "compare with a copy of the book from before the change"
_NOTHING_CHANGED = (
    "S509",
    "S517",
    "S518",
    "S521",
    "S522",
    "S524",
    "S525",
)  # the text itself says what is to be done, or nothing can be


def other_record(held: bytes, made: bytes) -> Iterator[Fault]:
    """That record.toml is not the one that the frozen files make, with the first line that differs."""
    if made != held:
        told = "this is not the record that the daybook makes"
        yield fault("S507", RECORD, told, line=first_difference(held, made))


def fault(code: str, file: str, text: str, *, line: int | None = None, found: str = "", allowed: str = "") -> Fault:
    """A fault; `file` is its name in the run's folder, and whatever is quoted from it cannot do harm on a screen."""
    hint = "" if code in _NOTHING_CHANGED else _AGAIN
    return Fault(printable(file), line or None, "", code, printable(found), printable(allowed), printable(text), hint)
