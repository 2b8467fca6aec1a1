"""A tool of a book that is in question: why and how far it was off, what it affected, and who is told of that."""

from __future__ import annotations

from decimal import Decimal

from clampbook.archive.affected import Span
from clampbook.archive.affected_runs import Found, Progress, look_through
from clampbook.archive.affected_words import NOTHING_KNOWN, Suspicion
from clampbook.book.book import Book
from clampbook.book.checks import check_named, tool_standing
from clampbook.book.notices import write_notices
from clampbook.book.told_apart import by_serial, identity
from clampbook.check.loading import both, load
from clampbook.check.profile import Profile, evenly, profile
from clampbook.check.standing import Failure
from clampbook.ledger.refusals import LedgerFault
from clampbook.text import as_sentence
from clampbook.tools.identity import Identity
from clampbook.tools.model import Adapter, Tool
from clampbook.tools.state import found_off


def failure_of(book: Book, tool: Tool) -> Failure | None:
    """The latest check that found a tool off. Raises LedgerFault."""
    known = tool_standing(book)
    return known.failure(known.key(tool))


def _identity(book: Book, tool: Tool | Adapter) -> Identity:
    """Of the tool in question, which need not be the one that has its id now."""
    if isinstance(tool, Adapter) or tool.serial is None:
        return identity(book, tool.id, None)
    now = next((each.serial for each in book.tools() if each.id == tool.id), None)
    return by_serial(book, tool.id, tool.serial, now)


def suspicion_of(book: Book, tool: Tool, failure: Failure) -> tuple[Suspicion, str]:
    """The suspicion that a failed check brings, and a sentence where how far the tool was off is not known any more."""
    off, told = profile_of(book, failure.check)
    suspicion = Suspicion(
        tool=tool,
        why=found_off(failure.check, failure.at, failure.worst),
        after=failure.good_until,
        until=failure.good_again,
        off=off,
        found_off=True,
    )
    return suspicion, told


def suspicion_by_hand(book: Book, tool: Tool, after: str | None = None, percent: Decimal | None = None) -> Suspicion:
    """Suspect a tool as a person asks: since a moment (UTC) that they name. Else since it was dropped or somebody
    suspected it, and where a deviation is named, or nothing happened, since its last passed check."""
    off = None if percent is None else evenly(tool.unit, percent)
    why = NOTHING_KNOWN if percent is None else "taken as off, as somebody says"
    if after is not None:
        return Suspicion(tool=tool, why=why, after=after, until=None, off=off, begins="asked")
    known = tool_standing(book)
    key = known.key(tool)
    happened = known.troubles(key) if percent is None else ()
    if happened:
        told = "; ".join(each.says for each in happened)
        return Suspicion(tool=tool, why=told, after=happened[0].at, until=None, off=None, begins="happened")
    return Suspicion(tool=tool, why=why, after=known.passed.get(key), until=None, off=off)


def profile_of(book: Book, check: str) -> tuple[Profile | None, str]:
    """Give how far a check found its tool off as found; None and why where its files are not there any more."""
    try:
        plan, progress = load(check_named(book, check))
    except LedgerFault as fault:
        return None, f"How far it was off is not known. {as_sentence(fault.sentence)}"
    found, _ = both(plan, progress)
    return (None if found is None else profile(found, plan.tool.unit)), ""


def suspicion_of_adapter(adapter: Adapter, after: str | None, percent: Decimal | None) -> Suspicion:
    """Suspect an adapter as a person asks: nobody checks one, so since a moment (UTC) that they name, or since the
    first run. A wrong length makes every torque through it wrong by the same percentage."""
    off = None if percent is None else evenly("N·m", percent)
    why = NOTHING_KNOWN if percent is None else "taken as off, as somebody says"
    return Suspicion(tool=adapter, why=why, after=after, until=None, off=off, begins="asked")


def affected_by(book: Book, suspicion: Suspicion, progress: Progress | None = None) -> Found:
    """Find what the tool did while it is in question, in all runs of the book."""
    tool = _identity(book, suspicion.tool)
    return look_through(book.runs(), tool, Span(suspicion.after, suspicion.until), suspicion.off, progress)


def tell_runs(book: Book, suspicion: Suspicion, failure: Failure, found: Found) -> str:
    """Put a notice beside each finished run that the tool touched; in a sentence, "" where none was new."""
    written = write_notices(book, failure, suspicion.tool.name, found.runs)
    if not written:
        return ""
    runs = "1 closed run has" if len(written) == 1 else f"{len(written)} closed runs have"
    return f"{runs} a notice now, in the book's folder {written[0].parent.parent.name}."
