"""Tools as runs and checks knew them, for one that the book's file does not hold any more, or not under that number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import msgspec
from msgspec.structs import replace

from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.book.told_apart import identities
from clampbook.book.toolbox import tool_named
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.events import ToolTaken, read
from clampbook.run_folder import RunFolder
from clampbook.text import printable
from clampbook.tools.identity import Identities, folded
from clampbook.tools.model import Tool

_TAKEN = b'"event":"tool_taken"'


def tool_or_past(book: Book, name: str, serial: str | None) -> Tool:
    """Find the tool of this id or name in the book's file, or else as it was used last; `serial` says which of those
    that had the id. Raises LedgerFault where nothing is known of it, or Faulty for a tools file with faults."""
    wanted = name.casefold()
    now = next((tool for tool in book.tools() if wanted in _names(tool)), None)
    if now is not None and (serial is None or _has(now, serial)):
        return now
    used = sorted(_used(book, wanted), key=lambda one: (one.book == book.id, one.at))
    if not used and now is None:
        return tool_named(book, name)  # which says what there is
    which = identities(book)
    this = [one.tool for one in used if _has(one.tool, serial)] if serial is not None else _last(which, used)
    if this:
        return this[-1]
    if now is None and not which.is_known(used[-1].tool.id, serial or ""):
        numbers = ", ".join(sorted({printable(one.tool.serial) for one in used if one.tool.serial})) or "none"
        told = f"no tool “{printable(name)}” with serial {printable(serial or '')} in this book"
        raise LedgerFault(f"{told}. Serials here: {numbers}")
    return replace(now if now is not None else used[-1].tool, serial=serial)


def _last(which: Identities, used: list[_Use]) -> list[Tool]:
    """Give the tool that had its id last, each time as it was known when it was used."""
    return [one.tool for one in used if which.key(one.tool.id, one.tool.serial, one.at) == which.key(one.tool.id)]


def _names(tool: Tool) -> tuple[str, str]:
    return tool.id.casefold(), tool.name.casefold()


def _has(tool: Tool, serial: str) -> bool:
    return tool.serial is not None and folded(tool.serial) == folded(serial)


class _Use(NamedTuple):
    """A tool as it was taken up in a run, or checked: in the book of this id, at a moment (UTC)."""

    book: str
    at: str
    tool: Tool


def _used(book: Book, wanted: str) -> Iterator[_Use]:
    """Each use of a tool of this id or name.

    What cannot be read tells nothing here; whoever looks through the runs names it.
    """
    for run in book.runs():
        for at, tool in _taken(run):
            if wanted in _names(tool):
                yield _Use(str((run.first() or {}).get("book", "")), at, tool)
    for check in checks(book):
        opened = check.opened()
        try:
            tool = check.frozen().tool
        except LedgerFault:
            continue
        if opened is not None and wanted in _names(tool):
            yield _Use(opened.book, opened.at, tool)


def _taken(run: RunFolder) -> Iterator[tuple[str, Tool]]:
    try:
        lines = run.lines()[0]
    except LedgerFault:
        return
    for line in lines:
        if _TAKEN in line:
            try:
                event = read(line)
            except msgspec.DecodeError:
                continue
            if isinstance(event, ToolTaken):
                yield event.at, event.tool
