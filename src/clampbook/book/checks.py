"""The checks of a book: opened like runs, and what they find written into the book's log at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from clampbook import run_folder
from clampbook.book.book import CHECKS, RUNS, Book
from clampbook.book.log_told import CHECKED, OPENED
from clampbook.book.runs import DRAFTS, away, put
from clampbook.book.settled import Settled, own_log, settled, unsettled_checks
from clampbook.book.told_apart import identities, identity_of
from clampbook.check.standing import (
    CHECK_OPENED,
    LATER_START,
    TOOL_CHECKED,
    TOOL_WITHDRAWN,
    Standing,
    about_tools,
    standing,
)
from clampbook.ledger import atomic, lines
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.tools.identity import Identity, numbered

if TYPE_CHECKING:
    from clampbook.check.folder import CheckFolder
    from clampbook.check.judging import Judgement
    from clampbook.check.plan import CheckPlan
    from clampbook.check.progress import Progress
    from clampbook.tools.model import CheckVerdict, Tool, Trouble


class Opening(Struct, frozen=True):
    """The content of a check's first line: the check, its book, the log's last hash, and what was frozen for it."""

    check: str
    book: str
    log_head: str
    plan_sha256: str


def new_check(
    book: Book,
    tool: Tool,
    on: date,
    plan: bytes,
    readings: bytes | None,
    opened: Callable[[Opening], Mapping[str, Any]],
) -> CheckFolder:
    """Open a check of a tool on a day: freeze what it uses, write `opened` as its first line, name it in the log.

    Raises LedgerFault or LedgerFull, and then there is no check.
    """
    from clampbook.check.folder import CheckFolder

    with book.log() as log:
        check_id = run_folder.new_id(on, tool.id)
        draft, folder = book.path(CHECKS, DRAFTS, check_id), book.path(CHECKS, check_id)
        names = Opening(check_id, book.id, log.head, sha256(plan).hexdigest())
        try:
            _freeze(draft, plan, readings)
            first = Ledger.open(draft / run_folder.DAYBOOK, create=True).append(opened(names))
            put(draft, folder)
        except BaseException:
            away(draft)
            away(folder)
            raise
        try:
            log.append(_opened(check_id, tool, first))
        except LedgerFault:
            away(folder)
            raise
    return CheckFolder(folder)


def checks(book: Book) -> tuple[CheckFolder, ...]:
    """All checks by day and name."""
    from clampbook.check.folder import folders

    return tuple(folders(book.path(CHECKS)))


def check_named(book: Book, name: str) -> CheckFolder:
    """The check of this name, or the only one whose name holds it. Raises LedgerFault."""
    found = [each for each in checks(book) if each.id == name] or [each for each in checks(book) if name in each.id]
    if len(found) == 1:
        return found[0]
    if not found:
        raise LedgerFault(f"no check {shown(Path(name))} in this book")
    ids = ", ".join(each.id for each in found[:5])
    raise LedgerFault(f"several checks match. Type more of the name ({ids})")


def check_or_none(book: Book, name: str) -> CheckFolder | None:
    """The check that a name means where it can mean nothing else: no run is called so, and one check is."""
    if not name or any(name in run for run in run_folder.names(book.path(RUNS))):
        return None
    found = [check for check in checks(book) if name in check.id]
    return found[0] if len(found) == 1 else None


def checks_of(book: Book, tool: Tool) -> Iterator[CheckFolder]:
    """The checks of a tool by day and name, those of another tool that has, or had, its id left out."""
    return _those_of(book, tool, checks(book))


def _those_of(book: Book, tool: Tool, those: Iterable[CheckFolder]) -> Iterator[CheckFolder]:
    named = [each for each in those if each.id[9:-9] == tool.id]
    identity = identity_of(book, tool) if named else None
    return (each for each in named if identity is not None and _is_of(each, identity))


def _is_of(check: CheckFolder, identity: Identity) -> bool:
    """Tell whether a check is of this tool, as far as its files say."""
    first = check.opened()
    try:
        serial = check.frozen().tool.serial
    except LedgerFault:
        serial = None
    return first is None or identity.is_same(first.book, serial, first.at)


def open_check_of(book: Book, tool: Tool) -> CheckFolder | None:
    """The latest check of a tool that is neither closed nor abandoned."""
    found = [each for each in _those_of(book, tool, unsettled_checks(book)) if each.state == "open"]
    return found[-1] if found else None


def unsealed_checks(book: Book) -> tuple[CheckFolder, ...]:
    """The checks that are closed and not sealed: still to be signed, or the program ended before that."""
    found = (check for check in unsettled_checks(book) if not (check.path / run_folder.SEAL).exists())
    return tuple(check for check in found if check.state == "closed" and not check.made_before)


def tool_standing(book: Book) -> Standing:
    """Read what the book's log says of its tools. Raises LedgerFault where the log cannot be read."""
    told = own_log(book)
    return standing(about_tools(told.other_lines), identities(book, told))


def tell_book(book: Book, check: CheckFolder, plan: CheckPlan, progress: Progress, *, late: bool = False) -> bool:
    """Write into the log what a check found, as far as it is not there yet; True where the tool is withdrawn by it now.

    A tool found off is withdrawn as soon as all was pulled as found; how the check ended follows at its end.
    """
    from clampbook.check.checking import failed
    from clampbook.check.prompts import judged

    known = {(each["event"], each.get("check")) for each in about_tools(own_log(book).other_lines)}
    due: list[dict[str, Any]] = []
    last = check.last_line() or b"{}"
    withdrawn = failed(plan, progress) and (TOOL_WITHDRAWN, check.id) not in known
    if withdrawn:
        worst = judged(plan, progress, "as found").worst
        due.append({"event": TOOL_WITHDRAWN, "worst": _rounded(worst), **_line_of(last)})
    if progress.ended is not None and (TOOL_CHECKED, check.id) not in known:
        due.append(_ended(plan, progress, last) | _not_cleared(book, check, plan.tool))
    if due:
        of = {"tool": plan.tool.id, **numbered(plan.tool.serial)}
        with book.log() as log:
            for entry in due:
                log.append({**entry, "check": check.id, **of, **({"late": LATER_START} if late else {})})
    return withdrawn


def still_against(book: Book, check: CheckFolder, tool: Tool) -> str:
    """A sentence about what happened to a tool after its check started, of which the check says nothing; "" where
    nothing did. Raises LedgerFault where the log cannot be read."""
    later = _since_begun(book, check, tool)
    if not later:
        return ""
    told = " and ".join(each.says for each in later)
    return f"{tool.name}: {told}, after this check started. Use it only with a reason, until it passes a new check."


def _since_begun(book: Book, check: CheckFolder, tool: Tool) -> tuple[Trouble, ...]:
    first = check.opened()
    begun = "" if first is None else first.at
    known = tool_standing(book)
    return tuple(each for each in known.troubles(known.key(tool, begun)) if each.at > begun)


def _not_cleared(book: Book, check: CheckFolder, tool: Tool) -> dict[str, Any]:
    """Give what the check does not speak for, by the daybook's line that tells of it."""
    later = _since_begun(book, check, tool)
    return {"not_cleared": [{"run": each.run, "line": each.line} for each in later]} if later else {}


def mend_checks(
    book: Book, known: Settled | None = None, unsettled: Sequence[CheckFolder] | None = None
) -> Iterator[str]:
    """Write what the log lacks of checks that were opened, ended, or found a tool off, just before it could be told.

    Each thing is said in a sentence; a check whose files are damaged is told and left as it is.
    """
    folder = book.path(CHECKS)
    if not folder.is_dir():
        return
    yield from _drafts(folder / DRAFTS)
    known = known or settled(book)
    for check in unsettled_checks(book, known) if unsettled is None else unsettled:
        if check.made_before:
            continue
        told = known.checks.get(check.id, "")
        try:
            if OPENED not in told and _opened_late(book, check):
                yield f"{check.id} was opened. The book's log now says so."
            if CHECKED not in told and _is_ours(book, check) and _told_late(book, check):
                yield f"{check.id} has its result in the book's log now."
            if not (check.path / run_folder.RECORD).exists() and check.state in ("closed", "abandoned"):
                yield _recorded_late(check)
        except LedgerFault as fault:
            yield f"{check.id}: {fault.sentence}"


def _is_ours(book: Book, check: CheckFolder) -> bool:
    """True where a check speaks of a tool of this book: one that came in by a merge may be of another tool of that
    id."""
    from clampbook.faults import Faulty

    first = check.opened()
    if first is None or first.book == book.id:
        return True
    plan = check.frozen()
    try:
        tool = next((each for each in book.tools() if each.id == plan.tool.id), None)
    except Faulty:
        return False  # nobody can tell them apart
    return tool is not None and (tool == plan.tool or identity_of(book, tool).is_same(first.book, plan.tool.serial))


def _recorded_late(check: CheckFolder) -> str:
    from clampbook.record.checks.written import write
    from clampbook.work.frozen import RecordFault

    try:
        write(check)
    except RecordFault as fault:
        return f"{check.id} has ended, and its record is not written: {fault.sentence}"
    return f"{check.id}: its record was missing, and is written now."


def _opened_late(book: Book, check: CheckFolder) -> bool:
    """A check of this very book whose folder was put in place, and whose line in the log a crash prevented."""
    first, said = check.first_line(), check.opened()
    if first is None or said is None or said.book != book.id:
        return False
    entry = _opened(check.id, check.frozen().tool, first)
    with book.log() as log:
        if OPENED in settled(book).checks.get(check.id, ""):  # whoever opened it had the log until now
            return False
        log.append({**entry, "late": LATER_START})
    return True


def _opened(check: str, tool: Tool, first: bytes) -> dict[str, Any]:
    """The log's line on a check that was opened with this first line."""
    of = {"tool": tool.id, **numbered(tool.serial)}
    return {"event": CHECK_OPENED, "check": check, **of, **_line_of(first, "first")}


def _told_late(book: Book, check: CheckFolder) -> bool:
    from clampbook.check.loading import load

    before = own_log(book).count
    plan, progress = load(check)
    tell_book(book, check, plan, progress, late=True)
    return own_log(book).count > before


def _drafts(drafts: Path) -> Iterator[str]:
    """Folders that never became checks: nothing in them was ever acknowledged."""
    try:
        found = sorted(drafts.iterdir()) if drafts.is_dir() else []
    except OSError as error:
        raise refusal(drafts, error, "be read") from error
    for path in found:
        away(path)
        yield f"{path.name} was never opened, and is removed."


def _ended(plan: CheckPlan, progress: Progress, last: bytes) -> dict[str, Any]:
    from clampbook.check.loading import both
    from clampbook.check.pulls_made import pulls_in

    found, left = both(plan, progress)
    latest = left or found
    return {
        "event": TOOL_CHECKED,
        "as_found": _counting(found, progress),
        "as_left": _counting(left, progress),
        "worst": None if latest is None else _rounded(latest.worst),
        "pulls": pulls_in(plan, progress),
        **_line_of(last, "last"),
    }


def _counting(found: Judgement | None, progress: Progress) -> CheckVerdict | None:
    """Give what was found, as it counts: a check that was abandoned, or lost lines, never speaks for a tool."""
    if found is None or progress.ended == "closed" or found.verdict == "failed":
        return None if found is None else found.verdict
    return "undecided"


def _rounded(worst: object) -> str | None:
    from decimal import Decimal

    from clampbook.check.deciding import rounded

    return rounded(worst) if isinstance(worst, Decimal) else None


def _freeze(draft: Path, plan: bytes, readings: bytes | None) -> None:
    from clampbook.check.folder import READINGS

    try:
        make_folder(draft, new=True)
    except OSError as error:
        raise refusal(draft, error, "be made") from error
    atomic.write(draft / run_folder.PLAN, plan)
    if readings is not None:
        atomic.write(draft / READINGS, readings)


def _line_of(line: bytes, key: str | None = None) -> dict[str, Any]:
    """Give the time and the person of the check's own line, and its hash under a key."""
    said = lines.decode(line)
    told: dict[str, Any] = {name: said[name] for name in ("at", "offset", "by") if name in said}
    return told if key is None else {**told, key: lines.digest(line)}
