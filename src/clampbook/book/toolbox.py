"""The tools of a book as a whole: what their file says, what the log knows of their use, and changes to either.

Pulls of runs that ended stand in the log, one line a run, so that counting them never means reading every run again.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from clampbook.book.book import CHECKS, LOG, RUNS, TOOLS, Book
from clampbook.book.log_told import ABANDONED, USED, Told
from clampbook.book.settled import open_in, own_log
from clampbook.book.told_apart import identities
from clampbook.book.use_told import CYCLES_ADDED, TOOLS_USED, first_odd
from clampbook.check.folder import CheckFolder
from clampbook.check.standing import uses
from clampbook.faults import Faulty
from clampbook.ledger import atomic
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import in_utc
from clampbook.run_folder import RunFolder
from clampbook.text import printable
from clampbook.tools.identity import Identities, numbered
from clampbook.tools.model import Adapter, Stock, Tool, Use
from clampbook.tools.pull_counts import Pulled, Pulls, since, summed
from clampbook.work.daybook import MISFIT

OUT_OF_SERVICE, IN_SERVICE = "tool_out_of_service", "tool_returned_to_service"
_TAKEN = b'"event":"tool_taken"'
MOST_CYCLES = 1_000_000


def stock(book: Book, then: datetime | None = None) -> Stock:
    """Tools and adapters in the order of the file, with what is known of the use of each; `then` as it was at a time.

    Raises Faulty with all faults of tools.toml, LedgerFault where the log cannot be read.
    """
    found = _read_stock(tools_file(book), str(book.path(TOOLS)))
    if not found.tools:
        return found
    told = own_log(book)
    which = identities(book, told)
    checked = uses(told.other_lines, which, until=in_utc(then) if then is not None else None)
    counted = _counts(book, told, which)
    until = then.date().isoformat() if then is not None else None

    def use(tool: Tool) -> Use:
        key = which.key(tool.id, tool.serial)
        known = checked.get(key, Use())
        return Use(
            pulls=since(counted.get(key, {}), tool.calibrated_on, until),
            last_check=known.last_check,
            troubles=known.troubles,
            serial_was=which.was(tool.id, tool.serial),
            others=which.others(key)[1],
        )

    return Stock(found.tools, found.adapters, {tool.id: use(tool) for tool in found.tools})


def _read_stock(data: bytes, path: str) -> Stock:
    from clampbook.tools.reader import read_stock  # what reads files by hand takes a while to load

    return read_stock(data, path)


def stock_or_fault(book: Book, then: datetime | None = None) -> tuple[Stock, str | None]:
    """The same; where the file cannot be read, nothing, and what is wrong with it in one line."""
    try:
        return stock(book, then), None
    except Faulty as faulty:
        first, more = faulty.faults[0], len(faulty.faults) - 1
        line = f"line {first.line}, " if first.line is not None else ""
        others = f", and {more} more: clampbook tools lists them" if more else ""
        return Stock(), f"{TOOLS}, {line}{first.text}{others}"


def tools_file(book: Book) -> bytes:
    """The bytes of tools.toml; none where it is not there. Raises Faulty where they cannot be read."""
    from clampbook.procedure.intake import load

    path = book.path(TOOLS)
    return load(path) if path.exists() or path.is_symlink() else b""


def put_tools(book: Book, before: bytes, after: bytes) -> Stock:
    """Put a changed tools.toml in its place, where it still holds what was read (`before`).

    Raises LedgerFault where somebody changed it meanwhile, Faulty with all faults of what would be written.
    """
    found = _read_stock(after, str(book.path(TOOLS)))
    with book.holding():
        _as_it_was_read(book, before)
        atomic.write(book.path(TOOLS), after)
    return found


def put_signed_for(book: Book, before: bytes, after: bytes, entry: dict[str, Any]) -> None:
    """The same for a tool that is taken out of service or returned, which stands in the log with the name of who says
    so (`entry`). The log is told first. Raises as `put_tools` does."""
    _read_stock(after, str(book.path(TOOLS)))
    with book.log() as log:
        _as_it_was_read(book, before)
        log.append(entry)
        atomic.write(book.path(TOOLS), after)


def _as_it_was_read(book: Book, before: bytes) -> None:
    if tools_file(book) != before:
        told = "has changed. Nothing saved. Open the entry again"
        raise LedgerFault(f"{shown(book.path(TOOLS))} {told}")


def counts(book: Book) -> Pulls:
    """All pulls that the book knows of, by tool as its identities tell them apart: of what has ended, and by hand, from
    the log, of all else from its daybooks."""
    told = own_log(book)
    return _counts(book, told, identities(book, told))


def _counts(book: Book, told: Told, which: Identities) -> Pulls:
    if told.use.odd and (wrong := first_odd(book.log_lines())) is not None:
        raise LedgerFault(f"{shown(book.path(LOG))} has a line that cannot be read: {wrong}")
    runs, checks = open_in(told)
    ended = ({which.key(each.tool, each.serial, each.first): each.days} for each in told.use.pulls)
    open_ones = (_counted(book, which, run) for run in runs)
    return summed(*ended, *open_ones, *(_of_a_check(book, which, check) for check in checks))


def _of_a_check(book: Book, which: Identities, check: str) -> Pulls:
    """The pulls of a check that is open; none where its files are damaged, which is told elsewhere."""
    from clampbook.check.loading import load
    from clampbook.check.pulls_made import pulls_in

    try:
        plan, progress = load(CheckFolder(book.path(CHECKS, check)))
        days = pulls_in(plan, progress).get(plan.tool.id, {})
        return {which.key(plan.tool.id, plan.tool.serial, progress.at or None): days}
    except LedgerFault:
        return {}


def _counted(book: Book, which: Identities, run: str) -> Pulls:
    try:
        found = pulls_of(RunFolder(book.path(RUNS, run)))
        return summed(*({which.key(id, serial): days} for (id, serial), days in found.items()))
    except LedgerFault:  # what the log names is no folder of this book
        return {}


def pulls_of(run: RunFolder) -> Pulled:
    """The pulls of one run; none where its files are damaged, or of an earlier format, which is told elsewhere."""
    if run.made_before:
        return {}
    try:
        lines = run.lines()[0]
        if not any(_TAKEN in line for line in lines):
            return {}
        from clampbook.run.events import read  # most of the program, wanted only where a run that is open was tightened
        from clampbook.run.in_hand.pulls_made import pulls
        from clampbook.run.plan import decode

        return pulls(decode(run.plan()), map(read, lines))
    except (LedgerFault, *UNREADABLE, *MISFIT):
        return {}


def tell_use(book: Book, run: RunFolder) -> None:
    """Write into the log what a run that ended used of its tools, unless it stands there already.

    One that was closed has its line even where no tool was used: then its daybook need never be read for this again.
    """
    if not {USED, ABANDONED}.isdisjoint(own_log(book).runs.get(run.id, "")):
        return
    found, last = pulls_of(run), run.last() or {}
    if found or last.get("event") == "closed":
        by_whom: dict[str, Any] = {key: last[key] for key in ("at", "offset", "by") if key in last}
        with book.log() as log:
            log.append({"event": TOOLS_USED, "run": run.id, "used": _rows(found), **by_whom})


def _rows(found: Pulled) -> list[dict[str, Any]]:
    return [{"tool": id, **numbered(serial), "pulls": days} for (id, serial), days in found.items()]


def add_pulls(book: Book, tool: Tool, count: int, on: date, stamp: dict[str, Any]) -> None:
    """Count pulls that were done outside the program; `stamp` says when and by whom that was entered.

    Raises LedgerFault where the number cannot be.
    """
    if not 0 < count <= MOST_CYCLES:
        raise LedgerFault(f"{count} is not a number of pulls. Type 1 to {MOST_CYCLES}")
    with book.log() as log:
        what = {"event": CYCLES_ADDED, "tool": tool.id, **numbered(tool.serial)}
        log.append({**what, "count": count, "on": on.isoformat(), **stamp})


def tool_named(book: Book, name: str) -> Tool:
    """The tool of this id or name. Raises LedgerFault, or Faulty for a tools file with faults."""
    tools = book.tools()
    wanted = name.casefold()
    found = next((tool for tool in tools if wanted in (tool.id.casefold(), tool.name.casefold())), None)
    if found is None:
        known = ", ".join(tool.name for tool in tools) or "none yet"
        raise LedgerFault(f"no tool “{printable(name)}” in this book. Tools here: {known}")
    return found


def adapter_named(book: Book, name: str) -> Adapter | None:
    """The adapter of this id or name, where no tool has it. Raises Faulty for a tools file with faults."""
    held, wanted = stock(book), name.casefold()
    if any(wanted in (tool.id.casefold(), tool.name.casefold()) for tool in held.tools):
        return None
    return next((each for each in held.adapters if wanted in (each.id.casefold(), each.name.casefold())), None)


def references(book: Book) -> tuple[Tool, ...]:
    """Give the tools that others can be checked against, in the order of the file; withdrawn ones are left out."""
    return tuple(tool for tool in book.tools() if tool.kind == "reference" and tool.withdrawn is None)


def reference_for(book: Book, name: str | None) -> Tool | None:
    """The reference of this name; without one the only one that the book has, None where it has none.

    Raises LedgerFault where there are several to choose from.
    """
    if name is not None:
        return tool_named(book, name)
    found = references(book)
    if len(found) > 1:
        raise LedgerFault(f"choose one with --reference: {', '.join(tool.name for tool in found)}")
    return found[0] if found else None
