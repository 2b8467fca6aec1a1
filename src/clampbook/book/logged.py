"""The log of a book, read whole: what it says of runs, checks and keys, in an order that no clock can change."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from clampbook.faults import Fault
from clampbook.ledger import ledger, lines
from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.told import fault


class Log(Struct, frozen=True):
    """The log of one book: its file, and all lines with their numbers, hashes and fields."""

    file: str
    entries: tuple[tuple[int, str, dict[str, Any]], ...]
    faults: tuple[Fault, ...]

    def about(self, name: str, event: str) -> list[tuple[int, dict[str, Any]]]:
        """The lines of one kind about a run, or a check."""
        return [(n, each) for n, _, each in self.entries if each.get("event") == event and name == whose(each)]

    def knows(self, head: object) -> bool:
        """Whether the log ever ended with a line of this hash."""
        return head == lines.NOTHING_BEFORE or any(digest == head for _, digest, _ in self.entries)


def read_log(path: Path, name: str) -> Log:
    """The log in a file; `name` stands in its faults. Raises LedgerFault where it cannot be read."""
    whole, torn = ledger.read(path)
    faults = [*chain_faults(Path(name), whole), *form_faults(Path(name), whole)]
    if torn:
        faults.append(fault("D301", name, "the last line was never finished", line=len(whole) + 1))
    numbered = ((n, lines.digest(line), fields_of(line)) for n, line in enumerate(whole, start=1))
    return Log(name, tuple(numbered), tuple(faults))


def whose(line: Mapping[str, Any]) -> Any:
    """The run, or the check, that a line of a log or the first of a daybook names."""
    return line.get("run", line.get("check"))


def fields_of(line: bytes | None) -> dict[str, Any]:
    """What a line says; nothing where there is none, or none that can be read."""
    try:
        return {} if line is None else lines.decode(line)
    except LedgerFault:
        return {}
