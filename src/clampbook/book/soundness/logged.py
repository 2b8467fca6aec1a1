"""The log of a book, read whole: what it says of runs, checks and keys, in an order that no clock can change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from clampbook.book.book import LOGS, Book
from clampbook.faults import Fault
from clampbook.ledger import ledger, lines
from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.told import fault

Entry = tuple[int, dict[str, Any]]  # a line of a log: its number and its fields


class Log(Struct, frozen=True):
    """The log of one book: its file, all lines with their numbers and fields, and what is wrong with it.

    `hashes` are those of its lines in order, `heads` the same without. A book has a few lines for each of its runs, and
    all its runs are verified one after the other, so lines are found by what they tell and of whom, not looked for each
    time.
    """

    file: str
    entries: tuple[Entry, ...]
    faults: tuple[Fault, ...]
    hashes: tuple[str, ...]
    heads: frozenset[str]
    of_kind: Mapping[str, list[Entry]]
    of_whom: Mapping[tuple[str, str], list[Entry]]
    begun: Mapping[str, int]

    def about(self, name: str, event: str) -> list[Entry]:
        """The lines of one kind about a run, or a check."""
        return self.of_whom.get((event, name), [])

    def first(self, name: str) -> int:
        """The number of the first line that names a run, or a check; behind the end where none does."""
        return self.begun.get(name, len(self.hashes) + 1)

    def telling(self, event: str) -> list[Entry]:
        """The lines of one kind."""
        return self.of_kind.get(event, [])

    def knows(self, head: object) -> bool:
        """True where the log ever ended with a line of this hash."""
        return head == lines.NOTHING_BEFORE or (isinstance(head, str) and head in self.heads)


def merged_logs(book: Book) -> dict[str, Log]:
    """The logs of books that were merged into this one, by the ids of the books. Raises LedgerFault."""
    return {path.stem: read_log(path, f"{LOGS}/{path.name}") for path in book.merged_logs()}


def read_log(path: Path, name: str) -> Log:
    """The log in a file; `name` stands in its faults. Raises LedgerFault where it cannot be read."""
    whole, torn = ledger.read(path)
    entries = tuple((n, fields_of(line)) for n, line in enumerate(whole, start=1))
    hashes = tuple(map(lines.digest, whole))
    faults: list[Fault] = []
    if not all(map(_continues, whole, entries, (lines.NOTHING_BEFORE, *hashes))):
        faults += (*chain_faults(Path(name), whole), *form_faults(Path(name), whole))
    if torn:
        faults.append(fault("D301", name, "the last line was never finished", line=len(whole) + 1))
    of_kind: defaultdict[str, list[Entry]] = defaultdict(list)
    of_whom: defaultdict[tuple[str, str], list[Entry]] = defaultdict(list)
    begun: dict[str, int] = {}
    for each in entries:
        event, about = each[1].get("event"), whose(each[1])
        if isinstance(about, str):
            begun.setdefault(about, each[0])
        if isinstance(event, str):
            of_kind[event].append(each)
            if isinstance(about, str):
                of_whom[event, about].append(each)
    return Log(name, entries, tuple(faults), hashes, frozenset(hashes), of_kind, of_whom, begun)


def _continues(line: bytes, entry: Entry, before: str) -> bool:
    """Tell whether nothing at all is wrong with a line that was read as this entry; what is, is looked for then."""
    number, said = entry
    seq = said.get("seq")
    return type(seq) is int and seq == number and said.get("prev") == before and lines.encoded(said) == line


def whose(line: Mapping[str, Any]) -> Any:
    """The run, or the check, that a line of a log or the first of a daybook names."""
    return line.get("run", line.get("check"))


def fields_of(line: bytes | None) -> dict[str, Any]:
    """Read what a line says; nothing where there is none, or none that can be read."""
    try:
        return {} if line is None else lines.decode(line)
    except LedgerFault:
        return {}
