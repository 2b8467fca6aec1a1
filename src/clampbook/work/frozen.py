"""The bytes of a daybook as what they must be to make a record: whole lines, chained, of one kind of work."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

from msgspec import Struct

from clampbook.ledger.chain import chain_faults
from clampbook.ledger.lines import UNREADABLE, digest, split
from clampbook.text import as_sentence, printable
from clampbook.work.daybook import Opening, of_another_format

Event = TypeVar("Event")
First = TypeVar("First", bound=Opening)

_DAYBOOK = "daybook.jsonl"


class RecordFault(Exception):  # noqa: N818 - what it carries is a fault of the work's files
    """The files of a run or a check do not make a record; `sentence` says which one, where, and what to do."""

    def __init__(self, sentence: str) -> None:
        self.sentence = printable(sentence)  # it may quote what was found in a file
        super().__init__(self.sentence)


class Whole(Struct, Generic[Event, First], frozen=True):
    """All events in order (line n is `events[n - 1]`), the first of them, and the hash of the last line."""

    events: tuple[Event, ...]
    opened: First
    last_line_sha256: str


def whole(data: bytes, read: Callable[[bytes], Event], opening: type[First], noun: str) -> Whole[Event, First]:
    """The daybook of a `noun`; raises RecordFault with one sentence where these bytes are none."""
    lines, torn = split(data)
    if torn:
        goes_on = f"Resume the {noun} once to move it aside, or close the {noun}"
        raise RecordFault(f"{_DAYBOOK}, line {len(lines) + 1}: the line was never finished. {goes_on}.")
    if not lines:
        raise RecordFault(f"{_DAYBOOK} is empty. There is nothing to record.")
    for fault in chain_faults(Path(_DAYBOOK), lines):
        raise RecordFault(f"{_DAYBOOK}, line {fault.line}: {fault.text}. {as_sentence(fault.hint)}")
    if (told := of_another_format(_DAYBOOK, lines)) is not None:
        raise RecordFault(f"{told}.")
    events = tuple(_event(number, line, read, noun) for number, line in enumerate(lines, start=1))
    opened = events[0]
    if not isinstance(opened, opening):
        raise RecordFault(f"{_DAYBOOK}, line 1: a {noun} begins with the line that opens it; this one does not.")
    return Whole(events, opened, digest(lines[-1]))


def _event(number: int, line: bytes, read: Callable[[bytes], Event], noun: str) -> Event:
    try:
        return read(line)
    except UNREADABLE as error:
        raise RecordFault(f"{_DAYBOOK}, line {number}: this is no line of a {noun} ({error}).") from error
