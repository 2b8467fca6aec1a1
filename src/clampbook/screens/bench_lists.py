"""The content of a book, as the bench lists it: first what can be read at once, then what takes a moment."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book.book import PROCEDURES, RUNS
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import ADDENDUM, RunFolder, names
from clampbook.units import show_day

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.due.entries import Due
    from clampbook.book.due.listing import Span
    from clampbook.check.folder import CheckFolder
    from clampbook.procedure.model import Procedure
    from clampbook.tools.model import Stock

Released = Mapping[Path, "Procedure | None"]  # of each file that holds a release the procedure; None: it has errors
NO_PROCEDURES = "No procedures yet. Start a new one, or put one in the folder procedures."
_HEAD_OF_A_SHEET = 4096  # bytes in which title and revision stand as a rule
_LINE = re.compile(rb'^(title|revision|status)\s*=\s*("[^"\n]*")', re.MULTILINE)


class OpenRun(Struct, frozen=True):
    """An open run by its first and last line; `where` and `title` are known once its daybook was folded."""

    run: RunFolder
    person: str
    since: str
    last: str
    where: str = ""
    title: str = ""
    in_hand: str = ""
    late: bool = False  # typed in from a paper form

    @property
    def text(self) -> str:
        """One line: what, where, who, since when; and who has it open now."""
        title = self.title or self.run.id
        parts = (
            title,
            self.where,
            "typed in from paper" if self.late else "",
            f"{self.person}, since {self.since}",
            self.in_hand,
        )
        return " · ".join(part for part in parts if part)


class Sheet(Struct, frozen=True):
    """A procedure of the book by what stands at its head."""

    path: Path
    title: str
    revision: str

    @property
    def text(self) -> str:
        """One line."""
        return f"{self.title} · revision {self.revision}" if self.revision else self.title


class DueLine(Struct, frozen=True):
    """An entry of the list of what is due; `crossed_off`: it can be, as it is a follow-up."""

    text: str
    entry: Due
    crossed_off: bool = False


class ToSeal(Struct, frozen=True):
    """A run, or a check, that is closed and not sealed: somebody has still to sign, or the program ended before that
    could be."""

    run: RunFolder

    @property
    def text(self) -> str:
        """One line."""
        return f"{self.run.id} · closed, not sealed"


class CheckToSeal(ToSeal, frozen=True):
    """The same of a check."""

    run: CheckFolder

    @property
    def text(self) -> str:
        """One line."""
        return f"Check {super().text}"


class OpenCheck(Struct, frozen=True):
    """A check of a tool that was begun and neither closed nor given up."""

    check: CheckFolder
    tool: str
    person: str
    since: str
    phase: str = ""
    in_hand: str = ""

    @property
    def text(self) -> str:
        """One line: which tool, how far, who, since when; and who has it open now."""
        parts = (f"Check of {self.tool}", self.phase, f"{self.person}, since {self.since}", self.in_hand)
        return " · ".join(filter(None, parts))


class Tools(Struct, frozen=True):
    """The tools of the book; how many there are in which state is known once their file was read."""

    known: str = ""

    @property
    def text(self) -> str:
        """One line."""
        return self.known or "tools and adapters"


def day_and_time(at: str | None) -> str:
    """ "2026-03-02 09:14" in the place's own time for a time of the daybook."""
    try:
        local = datetime.fromisoformat(at or "").astimezone()
    except ValueError:
        return "?"
    return f"{local:%Y-%m-%d %H:%M}"


def moment_in_words(at: str | None) -> str:
    """The same in a sentence: "2 March 2026, 09:14"."""
    told = day_and_time(at)
    return told if told == "?" else f"{show_day(told)}, {told[11:]}"


def open_runs(book: Book) -> tuple[OpenRun, ...]:
    """The open runs, and damaged ones, from their first and last lines alone, the latest first."""
    found = []
    for run in book.unfinished_runs():
        first, last = run.first() or {}, run.last() or {}
        person: Any = first.get("person")
        name = person.get("name") if isinstance(person, dict) else None
        typed = first.get("typed_at")
        since = day_and_time(typed or first.get("at"))[:10]
        found.append(OpenRun(run, str(name or "?"), since, _stopped(last), late=typed is not None))
    return tuple(reversed(found))


def in_hand_of(book: Book, work: RunFolder) -> str:
    """Tell who has this run, or check, open at the moment; "" where nobody has."""
    held = book.writer(work)
    if held is None:
        return ""
    who = held.who or "another program"
    return f"open elsewhere: {who}, since {day_and_time(held.since.isoformat())}"


def _stopped(last: dict[str, Any]) -> str:
    match last.get("event"):
        case "held":
            return f"on hold: {last.get('reason', '')}"
        case "paused":
            return "paused"
        case _:
            return ""


def looked_into(book: Book, one: OpenRun) -> OpenRun:
    """The same with where it stands, and who has it now; a run whose files are not whole says so."""
    from clampbook.book.starting.frozen import plan_frozen
    from clampbook.procedure.model import Inspect
    from clampbook.run.fold.frames import at_hand
    from clampbook.run.walk import read_progress

    try:
        plan = plan_frozen(one.run)
        progress = read_progress(one.run.daybook, plan, one.run.lines()[0])
    except LedgerFault as fault:
        return replace(one, where=fault.sentence)
    title = " · ".join(part for part in (plan.title, plan.joint, progress.worked_on) if part)
    index = min(at_hand(progress), len(plan.steps) - 1)
    where = f"step {index + 1} of {len(plan.steps)}"
    stage = plan.stage_of(plan.steps[index])
    if isinstance(stage, Inspect) and stage.hold_point and not progress.questions:
        where += " · waiting for inspection"
    held = in_hand_of(book, one.run)
    last = "" if held else one.last  # what it stopped for last is over
    person = book.name_of(progress.by) or one.person  # who has it now: it may have been handed over
    return replace(one, person=person, where=" · ".join(filter(None, (where, last))), title=title, in_hand=held)


def open_checks(book: Book) -> tuple[OpenCheck, ...]:
    """The checks that can be resumed, the latest first; one whose files are damaged goes by its id."""
    from clampbook.book.settled import unsettled_checks
    from clampbook.check.loading import load

    found = []
    for check in unsettled_checks(book):
        if check.state != "open":
            continue
        first = check.opened()
        try:
            plan, progress = load(check)
            tool, phase = plan.tool.name, str(progress.phase)
        except LedgerFault:
            tool, phase = check.id, ""
        person, at = (first.person.name, first.at) if first is not None else ("?", None)
        found.append(OpenCheck(check, tool, person, day_and_time(at)[:10], phase, in_hand_of(book, check)))
    return tuple(reversed(found))


def to_seal(book: Book) -> tuple[ToSeal, ...]:
    """The runs and the checks that are closed and not sealed."""
    from clampbook.book.checks import unsealed_checks
    from clampbook.book.runs import unsealed

    return (*map(ToSeal, unsealed(book)), *map(CheckToSeal, unsealed_checks(book)))


def sheets(book: Book) -> tuple[Sheet, ...]:
    """The procedures of the book, by the head of each file."""
    return tuple(_sheet(book, path) for path in book.procedures())


def _sheet(book: Book, path: Path) -> Sheet:
    """By its file's name alone where that cannot be read, or is a link that leads out of the book."""
    try:
        with book.path(PROCEDURES, path.name).open("rb") as file:
            head = file.read(_HEAD_OF_A_SHEET)
    except (OSError, LedgerFault):
        return Sheet(path, path.stem, "")
    found: dict[str, str] = {}
    for key, value in _LINE.findall(head):
        try:
            found.setdefault(key.decode(), tomllib.loads(f"v = {value.decode()}")["v"])
        except (ValueError, tomllib.TOMLDecodeError):
            continue
    revision = ", ".join(part for part in (found.get("revision"), found.get("status")) if part)
    return Sheet(path, found.get("title", path.stem), revision)


def held_to_its_release(sheet: Sheet, released: Released) -> Sheet:
    """The same, where its head says that it is released, as it stands: it may have been changed meanwhile."""
    if not sheet.revision.endswith("released") or sheet.path not in released:
        return sheet
    procedure = released[sheet.path]
    if procedure is None:
        return Sheet(sheet.path, sheet.title, f"{sheet.revision}, errors since")
    if procedure.status == "released":
        return sheet
    return Sheet(sheet.path, sheet.title, f"{procedure.revision}, {procedure.status}: {procedure.lapsed}")


def closed_runs(book: Book) -> tuple[str, ...]:
    """The names of the runs that are over, the latest first; an addendum is none. Of what the log ends only the name is
    read, unless it is that of an addendum."""
    from clampbook.book.settled import settled

    folder, over = book.path(RUNS), settled(book).over

    def is_counted(name: str) -> bool:
        if name in over and f"-{ADDENDUM}-" not in name:
            return True
        run = RunFolder(folder / name)
        return (name in over or run.state in ("closed", "abandoned")) and run.addendum_to is None

    return tuple(filter(is_counted, reversed(names(folder))))


def follow_ups(book: Book, span: Span, left: Callable[[], bool] = bool) -> tuple[tuple[Due, ...], tuple[str, ...]]:
    """The follow-ups that are due, and a sentence where they cannot be read. The records that are new are read into the
    index first; where the bench is `left` meanwhile, those that were read stay there."""
    from clampbook.archive.index import Archive
    from clampbook.book.due import listing
    from clampbook.book.settled import settled

    def go_on(_: int, __: int) -> None:
        if left():
            raise _Left

    with Archive(book.root) as archive:
        try:
            archive.refresh(go_on, settled(book).sealed)
            found = listing.follow_ups(book, archive, book.unfinished_runs(), span.now)
            return listing.still_due(found, span), ()
        except _Left:
            return (), ()
        except LedgerFault as fault:
            return (), (fault.sentence,)


def some_crossed_off(book: Book) -> bool:
    """True where a follow-up is crossed off; False too where the log cannot be read, which `follow_ups` tells."""
    from clampbook.book.due.crossed import crossed_off

    try:
        return bool(crossed_off(book))
    except LedgerFault:
        return False


class _Left(Exception):  # noqa: N818 - nobody waits for the rest any more
    """The bench was left while records were still read."""


def due_lines(entries: Iterable[Due]) -> tuple[DueLine, ...]:
    """List what is due, sorted by day, as the bench lists it."""
    from clampbook.archive.follow_ups import FollowUp
    from clampbook.book.due.entries import in_order
    from clampbook.book.due.words import line

    return tuple(DueLine(line(each), each, isinstance(each.what, FollowUp)) for each in in_order(entries))


def looked_over(stock: Stock, today: date) -> tuple[Tools, tuple[str, ...]]:
    """The tools of the book in a few words, and one sentence for each thing that somebody should look at and that no
    list of what is due has; those that were withdrawn by hand rest."""
    from clampbook.screens.tools.telling import summary
    from clampbook.tools.state import state

    told = tuple(
        f"{tool.name}: {told}"
        for tool in stock.tools
        if tool.withdrawn is None
        for told in state(tool, today, stock.use(tool.id)).besides
    )
    return Tools(summary(stock, today)), told
